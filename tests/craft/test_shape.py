"""The geometry of the craft against the equations' own: where a mass put somewhere on hub, blade, bar or tail adds itself in them.

Broken : lead, hand, lean, height, offset, precone, pitch of the wrong sign or left out, one at a time: each refused here.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from paddlebar.craft.build import Numbers, build
from paddlebar.craft.shape import Arms, arms_of, blades_of, hub_of, plane_lean
from paddlebar.craft.standing import contacts, tail_of
from paddlebar.files.craft import Craft, Shaft
from paddlebar.files.load import parse_scenario
from paddlebar.flight import layout, rhs
from paddlebar.flight.events import clearances
from paddlebar.physics import bodies

Array = NDArray[np.float64]

MODELS = Path(__file__).parents[2] / "models"
FLIGHT = 'craft = "hall-ten.toml"\n[skein]\nturns = 300\n[launch]\nheight_m = 5\n'
HEADS = {"rigid": 5, "teetering": 2, "flapping": 3}  # and a number of blades
CASES = [(seed, head, turns) for seed, head in enumerate(HEADS) for turns in ("counter-clockwise", "clockwise")]
NEAR = 1e-12  # m


def drawn(seed: int, head: str, turns: str) -> tuple[Craft, Numbers, np.random.Generator]:
    """A craft with everything askew, its parameters, and the numbers that it was drawn from."""
    rng = np.random.default_rng([seed, turns == "clockwise"])

    def some(low: float, high: float) -> float:
        return float(rng.uniform(low, high))

    changes: dict[str, Any] = {
        "shaft.hub_mm": rng.uniform(-40.0, 40.0, 3).tolist(), "shaft.turns": turns,
        "shaft.tilt_forward_deg": some(-20.0, 20.0), "shaft.tilt_right_deg": some(-20.0, 20.0),
        "rotor.blades": HEADS[head], "rotor.tip_chord_mm": some(15.0, 40.0), "rotor.twist_deg": some(-9.0, 9.0),
        "rotor.collective_deg": some(-5.0, 20.0), "rotor.feather_axis_percent": some(0.0, 60.0),
        "head.kind": head, "head.hinge_offset_mm": some(5.0, 20.0), "head.precone_deg": some(-5.0, 12.0),
        "head.delta3_deg": some(-30.0, 30.0),
        "bar.lead_deg": some(10.0, 350.0), "bar.gain": some(-1.0, 1.0), "bar.height_mm": some(-20.0, 40.0),
        "bar.paddle_span_mm": some(20.0, 30.0), "bar.paddle_chord_mm": some(10.0, 20.0), "bar.paddle_mass_g": 0.1,
        "bar.paddle_centre_mm": some(60.0, 90.0), "bar.paddle_incidence_deg": some(-20.0, 20.0),
        "tail.at_mm": rng.uniform(-200.0, 200.0, 3).tolist(), "tail.thrust_to": str(rng.choice(["left", "right"])),
    }  # fmt: skip
    scenario = parse_scenario(
        FLIGHT, folder=MODELS, overrides={f"craft.{key}": value for key, value in changes.items()}
    )
    return scenario.craft, build(scenario), rng


def state_at(azimuth: float, tilt: float, flap: Array) -> Array:
    y = np.zeros(layout.state_size(flap.size))
    y[layout.ATTITUDE] = 1.0
    y[layout.ROTOR_AZIMUTH], y[layout.BAR_ANGLE] = azimuth, tilt
    y[layout.FLAP : layout.FLAP + flap.size] = flap
    return y


def moment(numbers: Numbers, y: Array) -> Array:
    """Sum of mass times place of all bodies [kg m], as the right-hand side leaves it."""
    work = rhs.work_array()
    rhs.rhs(0.0, y, numbers.params, numbers.tables, numbers.gusts, work)
    return work[bodies.TOTAL, 1:4].copy()


def place_of(mass: str, numbers: Numbers, y: Array, **others: Any) -> Array:
    """Where the equations have the centre of one body: what doubling its mass adds."""
    once = numbers.copy()
    for key, value in others.items():
        once.params[0][key] = value
    twice = once.copy()
    twice.params[0][mass] *= 2.0
    return (moment(twice, y) - moment(once, y)) / once.params[0][mass]


@pytest.mark.parametrize(("seed", "head", "turns"), CASES)
def test_hub_tail_and_bar_are_where_the_equations_have_them(seed: int, head: str, turns: str) -> None:
    craft, numbers, rng = drawn(seed, head, turns)
    arms, hub = arms_of(craft), hub_of(craft.shaft)
    assert arms is not None
    assert craft.tail is not None
    bar = craft.bar
    inner, outer = (1e-3 * (bar.paddle_centre_mm + s * bar.paddle_span_mm) for s in (-0.5, 0.5))
    c, s = (0.5e-3 * bar.paddle_chord_mm * f(math.radians(bar.paddle_incidence_deg)) for f in (math.cos, math.sin))
    arm = 1e-3 * bar.arm_mm
    for _ in range(5):
        azimuth, tilt = rng.uniform(-20.0, 20.0), rng.uniform(-0.5, 0.5)
        y = state_at(azimuth, tilt, np.zeros(int(numbers.params[0]["flaps"])))
        assert place_of("hub_mass", numbers, y) == pytest.approx(hub.place, abs=NEAR)
        assert place_of("tail_mass", numbers, y) == pytest.approx(tail_of(craft.tail).place, abs=NEAR)
        for tip, out in zip(arms.tips(azimuth, tilt), (arm, -arm), strict=True):
            assert tip == pytest.approx(place_of("bar_mass", numbers, y, bar_centre=(out, 0.0, 0.0)), abs=NEAR)
        corners = [[(inner, c, s), (outer, c, s), (outer, -c, -s), (inner, -c, -s)]]
        corners.append([(-x, -forward, up) for x, forward, up in corners[0]])  # nose up in its own motion too
        for paddle, found in zip(corners, arms.paddles(azimuth, tilt), strict=True):
            for own, place in zip(paddle, found, strict=True):
                assert place == pytest.approx(place_of("bar_mass", numbers, y, bar_centre=own), abs=NEAR)


@pytest.mark.parametrize(("seed", "head", "turns"), CASES)
def test_blade_1_is_where_the_equations_have_it(seed: int, head: str, turns: str) -> None:
    """Leading edge, quarter chord, feathering axis, trailing edge of tip and root; pitched by the bar and by delta-3 as there."""
    craft, numbers, rng = drawn(seed, head, turns)
    rotor, blades = craft.rotor, blades_of(craft)
    offset = 1e-3 * craft.head.hinge_offset_mm if head == "flapping" else 0.0
    for _ in range(5):
        azimuth, tilt = rng.uniform(-20.0, 20.0), rng.uniform(-0.4, 0.4)
        flap = rng.uniform(-0.3, 0.3, int(numbers.params[0]["flaps"]))
        y = state_at(azimuth, tilt, flap)
        own_flap = flap[0] if flap.size else 0.0
        x = 1e-3 * np.array([rotor.root_mm, rotor.radius_mm])
        for chordwise in (0.0, 0.25, rotor.feather_axis_percent / 100.0, 1.0):
            found = blades.line(0, x, chordwise, azimuth, own_flap, blades.feathering(0, tilt, own_flap))
            for k, chord in enumerate((rotor.chord_mm, rotor.tip_chord_mm)):
                pitch = math.radians(rotor.collective_deg + rotor.twist_deg * (1e3 * x[k] / rotor.radius_mm - 0.75))
                ahead = 1e-3 * chord * (rotor.feather_axis_percent / 100.0 - chordwise)
                own = (x[k] - offset, ahead * math.cos(pitch), ahead * math.sin(pitch))
                want = place_of("blade_mass", numbers, y, blade_centre=own, blades=1)
                assert found[k] == pytest.approx(want, abs=NEAR)


@pytest.mark.parametrize(("seed", "head", "turns"), CASES)
def test_every_blade_is_where_the_equations_have_it(seed: int, head: str, turns: str) -> None:
    """All together, and each alone, by how its leading edge moves when it alone is pitched by the bar."""
    craft, numbers, rng = drawn(seed, head, turns)
    blades, n = blades_of(craft), craft.rotor.blades
    p = numbers.params[0]
    own = rng.uniform([0.1, 0.005, -0.005], [0.2, 0.03, 0.005])
    azimuth, tilt = rng.uniform(-20.0, 20.0), 0.3
    flap = rng.uniform(-0.3, 0.3, int(p["flaps"]))
    y = state_at(azimuth, tilt, flap)
    flaps = [p["flap_sign"][i] * flap[p["flap_of_blade"][i]] if flap.size else 0.0 for i in range(n)]

    def at(i: int, pitch: float) -> Array:
        return blades.hinge(i, azimuth) + own @ np.array(blades.axes(i, azimuth, flaps[i], pitch))

    together = sum(at(i, float(blades.feathering(i, tilt, flaps[i]))) for i in range(n))
    assert together == pytest.approx(place_of("blade_mass", numbers, y, blade_centre=own), abs=n * NEAR)
    for i in range(n):
        share = np.zeros_like(p["feather_share"])
        before = place_of("blade_mass", numbers, y, blade_centre=own, feather_share=share)
        share[i] = 1.0
        after = place_of("blade_mass", numbers, y, blade_centre=own, feather_share=share)
        still = -math.tan(math.radians(craft.head.delta3_deg)) * flaps[i]
        assert after - before == pytest.approx(at(i, still + tilt) - at(i, still), abs=n * NEAR)


@pytest.mark.parametrize(("seed", "head", "turns"), CASES)
def test_the_lowest_point_is_that_of_the_equations(seed: int, head: str, turns: str) -> None:
    """With rotor and bar shrunk to a point, the hub: what is left are the points that touch."""
    craft, numbers, rng = drawn(seed, head, turns)
    p = numbers.params[0]
    p["radius"] = p["bar_mass"] = 0.0
    points = np.array([*contacts(craft), hub_of(craft.shaft).place])
    for turn in Rotation.random(6, rng=rng):
        y = state_at(0.0, 0.0, np.zeros(int(p["flaps"])))
        y[layout.ATTITUDE : layout.ATTITUDE + 4] = turn.as_quat(scalar_first=True)
        down, north = turn.apply(points)[:, 2], np.abs(turn.apply(points)[:, 0])
        found = clearances(y, numbers.params.view(np.recarray)[0])
        assert found[:3] == pytest.approx((-down.max(), -down.min(), north.max()), abs=NEAR)


def shaft(**keys: Any) -> Shaft:
    return Shaft.model_validate({"hub_mm": (0.0, 0.0, 0.0), "hub_mass_g": 1.0, "hub_diameter_mm": 20.0, **keys})


def test_an_upright_hub_looks_aft_and_turns_by_its_hand() -> None:
    """Blade 1 over the tail; a quarter turn on it points to the right of a rotor that turns counter-clockwise seen from above."""
    hub = hub_of(shaft())
    assert (hub.axis, hub.aft, hub.right) == (pytest.approx([0, 0, -1]), pytest.approx([-1, 0, 0]), pytest.approx([0, 1, 0]))  # fmt: skip
    assert hub.out(0.0) == pytest.approx([-1, 0, 0])
    assert hub.out(0.5 * math.pi) == pytest.approx([0, 1, 0], abs=1e-15)
    assert hub_of(shaft(turns="clockwise")).out(0.5 * math.pi) == pytest.approx([0, -1, 0], abs=1e-15)
    for turns, sense in (("counter-clockwise", 1.0), ("clockwise", -1.0)):
        here = hub_of(shaft(turns=turns))
        spin = np.cross(here.out(0.3), here.ahead(0.3))  # right-hand rule: up for counter-clockwise
        assert spin == pytest.approx(sense * here.axis, abs=1e-15)


@pytest.mark.parametrize("turns", ["counter-clockwise", "clockwise"])
def test_places_have_the_azimuth_under_which_they_lie(turns: str) -> None:
    """Out along an azimuth and up the shaft, and back."""
    hub = hub_of(shaft(turns=turns, tilt_forward_deg=8.0, tilt_right_deg=-12.0, hub_mm=(10.0, 20.0, 30.0)))
    azimuth, out, up = np.array([0.0, 1.0, 3.0, 5.5]), np.array([0.1, 0.05, 0.2, 0.3]), np.array([0.02, -0.1, 0.0, 0.3])
    places = hub.place + out[:, None] * hub.out(azimuth) + np.multiply.outer(up, hub.axis)
    found = hub.azimuth_of(places)
    assert np.cos(found - azimuth) == pytest.approx(np.ones(4), abs=1e-15)
    assert ((found >= 0.0) & (found <= 2.0 * math.pi)).all()
    away, above = hub.out_and_up(places, 0.01)
    assert (away, above) == (pytest.approx(out, abs=1e-12), pytest.approx(up - 0.01, abs=1e-12))


@pytest.mark.parametrize(("forward", "right"), [(6.0, 0.0), (0.0, -11.0), (9.0, 14.0)])
def test_a_leaning_hub_keeps_three_square_axes(forward: float, right: float) -> None:
    hub = hub_of(shaft(tilt_forward_deg=forward, tilt_right_deg=right))
    frame = np.array([hub.axis, hub.aft, hub.right])
    assert frame @ frame.T == pytest.approx(np.eye(3), abs=1e-14)
    assert np.linalg.det(frame) == pytest.approx(1.0, rel=1e-14)
    assert math.degrees(math.atan2(hub.axis[0], -hub.axis[2])) == pytest.approx(forward, abs=1e-12)
    assert math.degrees(math.atan2(hub.axis[1], -hub.axis[2])) == pytest.approx(right, abs=1e-12)
    level = hub.upright()
    assert (level.axis, level.hand) == (pytest.approx([0, 0, -1]), hub.hand)


@pytest.mark.parametrize("turns", ["counter-clockwise", "clockwise"])
def test_rates_are_those_of_the_places(turns: str) -> None:
    """End of an arm on a body that turns, against central differences."""
    hub = hub_of(shaft(turns=turns, tilt_forward_deg=7.0, tilt_right_deg=-4.0))
    psi, speed, angle, rate, w = 0.8, 50.0, 0.2, -3.0, np.array([1.0, -2.0, 0.5])
    h = 1e-5
    ends = [Rotation.from_rotvec(w * t).apply(hub.raised(psi + speed * t, angle + rate * t)) for t in (-h, h)]
    found = hub.raised_rate(np.array(psi), np.array(speed), np.array(angle), np.array(rate), w)
    assert found == pytest.approx((ends[1] - ends[0]) / (2.0 * h), abs=1e-5)


def test_any_shape_of_angles_gives_as_many_places() -> None:
    craft, _, rng = drawn(1, "teetering", "clockwise")
    blades, arms = blades_of(craft), arms_of(craft)
    assert isinstance(arms, Arms)
    psi, angle = rng.uniform(-3.0, 3.0, (2, 4, 5))
    assert arms.tips(psi, angle).shape == (4, 5, 2, 3)
    assert arms.paddles(psi, angle).shape == (4, 5, 2, 4, 3)
    x = np.array([0.1, 0.2, 0.15])
    line = blades.line(1, x, 0.25, psi, angle, 0.5 * angle)
    assert line.shape == (4, 5, 3, 3)
    assert line[2, 3] == pytest.approx(blades.line(1, x, 0.25, psi[2, 3], angle[2, 3], 0.5 * angle[2, 3]), abs=1e-16)
    assert arms.tips(psi, angle)[1, 4] == pytest.approx(arms.tips(psi[1, 4], angle[1, 4]), abs=1e-16)


@pytest.mark.parametrize("turns", ["counter-clockwise", "clockwise"])
def test_lean_of_a_plane_from_its_angles_round_the_hub(turns: str) -> None:
    """A plane that leans by small angles forward and to the right stands above the hub's by cosine and sine of azimuth."""
    hub = hub_of(shaft(turns=turns))
    forward, right = 2e-5, -3e-5
    normal = np.array([forward, right, -1.0])
    above = [-float(hub.out(psi) @ normal) / float(hub.axis @ normal) for psi in (0.0, 0.5 * math.pi)]
    assert plane_lean(above[0], above[1], hub.hand) == pytest.approx((forward, right), rel=1e-8)
