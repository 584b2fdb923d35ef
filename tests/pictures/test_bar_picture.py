"""The reference in the picture of the bar is right: a bar that holds its plane lies on it, a dragged one does not."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
import pytest

from factories import made_up_flight, made_up_scenario
from paddlebar.flight.pose import hermite
from paddlebar.flight.result import Flight
from paddlebar.pictures.bar import draw_bar, window, windows


def test_hermite_is_exact_for_cubics_and_fourth_order_else() -> None:
    t = np.array([0.0, 0.3, 0.7, 1.6, 2.0])
    at = np.linspace(0.0, 2.0, 57)
    assert hermite(at, t, t**3 - t, 3 * t**2 - 1) == pytest.approx(at**3 - at, abs=1e-14)
    errors = []
    for n in (20, 40):
        t = np.linspace(0.0, 2.0, n + 1)
        errors.append(np.abs(hermite(at, t, np.sin(7 * t), 7 * np.cos(7 * t)) - np.sin(7 * at)).max())
    assert np.log2(errors[0] / errors[1]) == pytest.approx(4.0, abs=0.4)


def fixed_bar(turns: str = "counter-clockwise", n: int = 400) -> Flight:
    """A bar whose plane stands still in space, leaned 4 deg to the right, on a body that pitches and yaws.

    Written out with plain rotations, sharing no formula with the picture.
    """
    base = made_up_flight(duration=1.0)
    t = np.linspace(0.0, 1.0, n)
    pitch, yaw = 0.3 * t**2, 0.5 * t
    w = np.cos(pitch / 2) * np.cos(yaw / 2)
    attitude = np.stack([w, -np.sin(pitch / 2) * np.sin(yaw / 2), np.sin(pitch / 2) * np.cos(yaw / 2),
                         np.cos(pitch / 2) * np.sin(yaw / 2)], axis=1)  # fmt: skip
    rate = np.stack([-0.5 * np.sin(pitch), 0.6 * t, 0.5 * np.cos(pitch)], axis=1)
    azimuth = 60.0 * t
    psi = azimuth + np.radians(30.0)
    normal = np.array([0.0, np.sin(np.radians(4.0)), -np.cos(np.radians(4.0))])
    angle = np.empty(n)
    for k in range(n):
        cp, sp, cy, sy = np.cos(pitch[k]), np.sin(pitch[k]), np.cos(yaw[k]), np.sin(yaw[k])
        to_earth = np.array([[cy, -sy, 0], [sy, cy, 0], [0, 0, 1]]) @ np.array([[cp, 0, sp], [0, 1, 0], [-sp, 0, cp]])
        side = -1.0 if turns == "clockwise" else 1.0
        along, up = to_earth @ [-np.cos(psi[k]), side * np.sin(psi[k]), 0.0], to_earth @ [0.0, 0.0, -1.0]
        angle[k] = np.arctan2(-normal @ along, normal @ up)
    fields: dict[str, Any] = {"time": t, "attitude": attitude, "rate_body": rate, "rotor_azimuth": azimuth,
              "rotor_speed": np.full(n, 60.0), "bar_angle": angle, "bar_rate": np.gradient(angle, t, edge_order=2),
              "tilt": pitch, "heading": yaw, "flap": np.zeros((n, 1)), "flap_rate": np.zeros((n, 1))}  # fmt: skip
    for name in ("height", "position_cg"):
        fields[name] = getattr(base, name)[:1].repeat(n, axis=0)
    flown: Flight = dataclasses.replace(base, **fields, scenario=made_up_scenario(craft__shaft__turns=turns))
    return flown


@pytest.mark.parametrize("turns", ["counter-clockwise", "clockwise"])
def test_a_bar_fixed_in_space_lies_on_the_reference(turns: str) -> None:
    part = window(fixed_bar(turns), 0.0)
    assert np.degrees(np.abs(part.bar_angle - part.fixed_angle).max()) < 0.05
    assert np.degrees(part.bar_moved) < 0.1
    # The body pitches by 0.3 t^2 rad; the angle of its shaft is that and nothing else, whatever it yaws.
    t_end = part.revolutions[-1] * 2 * np.pi / 60.0
    assert part.shaft_moved == pytest.approx(0.3 * t_end**2, rel=1e-3)
    # Its arm draws the same curve above the horizon every revolution: 4 deg up and down.
    assert np.degrees(part.arm_above.max()) == pytest.approx(4.0, abs=0.02)


def test_a_locked_bar_leaves_the_reference_by_what_the_body_leaned() -> None:
    flown = fixed_bar()
    locked = dataclasses.replace(flown, bar_angle=0 * flown.bar_angle, bar_rate=0 * flown.bar_rate)
    part = window(locked, 0.0)
    assert part.bar_moved == pytest.approx(part.shaft_moved, rel=0.05)
    assert np.abs(part.arm_above - part.hub_above).max() < 1e-12
    assert np.abs(part.fixed_angle).max() == pytest.approx(part.shaft_moved, rel=0.15)


def test_the_wrong_lead_or_sense_would_show() -> None:
    """The check above can fail: with sense of rotation or lead reversed the bar is nowhere near its reference."""
    flown = fixed_bar()
    for wrong in ({"craft__shaft__turns": "clockwise"}, {"craft__bar__lead_deg": -30.0}):
        part = window(dataclasses.replace(flown, scenario=made_up_scenario(**wrong)), 0.0)
        assert np.degrees(np.abs(part.bar_angle - part.fixed_angle).max()) > 1.0


def test_held_and_dragged_are_told_apart(flight: Flight) -> None:
    held, dragged = windows(flight)[-1], windows(made_up_flight(dragged=True))[-1]
    assert held.bar_moved < 0.2 * held.shaft_moved
    assert dragged.bar_moved > 0.8 * dragged.shaft_moved


def test_the_picture_shows_the_numbers_of_its_windows(flight: Flight) -> None:
    figure, parts = draw_bar(flight), windows(flight)
    assert len(parts) == 2
    for column, part in enumerate(parts):
        lines = {line.get_label(): np.asarray(line.get_ydata()) for line in figure.axes[column].lines}
        assert np.array_equal(lines["the bar (seesaw)"], np.degrees(part.bar_angle))
        assert np.array_equal(lines["if its plane stood still"], np.degrees(part.fixed_angle))


@pytest.mark.parametrize(("kind", "nf", "panels"), [("seesaw", 1, 3), ("none", 1, 2), ("none", 0, 1), ("locked", 3, 3)])
def test_panels_with_nothing_to_show_are_left_out(kind: str, nf: int, panels: int) -> None:
    figure = draw_bar(made_up_flight(duration=0.5, nf=nf, scenario=made_up_scenario(craft__bar__kind=kind)))
    assert len(figure.axes) == panels
