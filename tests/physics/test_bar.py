"""The air on one arm of the bar in closed form. The bar's motion in it: tests/reference/test_bar_following.py.

Broken : moment of the drag without its arm; lost paddle that still lifts: each refused here.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from paddlebar.craft.bar import SPHERE_CD, fill_bar, set_bar
from paddlebar.craft.blades import helmbold
from paddlebar.craft.parameters import blank
from paddlebar.craft.parts import ROD_CD
from paddlebar.craft.sections import section_table
from paddlebar.files.scenario import Run
from paddlebar.physics.bar import arm_loads
from paddlebar.physics.blade import element_load
from paddlebar.physics.section import OF_PADDLE
from physics.given import flat
from reference.rig import craft, straight_tables

RHO, NU, SPEED = 1.2, 1.5e-5, 48.0
ARM, WIRE, TIP = 0.1, 0.6e-3, 4e-3
SLOPE = 6.0
TABLES = straight_tables(SLOPE)
PLAIN = {
    "kind": "seesaw",
    "lead_deg": 90,
    "gain": 0,
    "arm_mm": 100,
    "wire_diameter_mm": 0.6,
    "wire_mass_g": 0.4,
    "tip_mass_g": 0.6,
}
PADDLE: dict[str, Any] = {
    "paddle_span_mm": 30,
    "paddle_chord_mm": 15,
    "paddle_centre_mm": 80,
    "paddle_mass_g": 0.1,
    "wire_diameter_mm": 1e-9,
    "tip_diameter_mm": 0,
}


def arm(paddles: tuple[float, float] = (1.0, 1.0), tips: tuple[float, float] = (1.0, 1.0), **keys: Any) -> Any:
    params = blank()
    whole = craft(bar={**PLAIN, **keys})
    fill_bar(params, whole.bar, RHO, NU, Run(paddle_elements=4))
    set_bar(params, whole, tips, paddles)
    return params.view(np.recarray)[0]


def loads(
    p: Any,
    v: tuple[float, float] = (0, 0),
    w: tuple[float, ...] = (0, 0, SPEED),
    which: int = 0,
    v0: float = 0.0,
    hand: float = 1.0,
) -> np.ndarray:
    """Force forward and up, moment (3), of an arm that lies across the shaft."""
    p.hand = hand
    past, rate = (0.0, float(v[0]), float(v[1])), tuple(float(x) for x in w)
    return np.array(flat(arm_loads(p, TABLES, which, past, rate, (0.0, 0.0, 1.0), v0)))


@pytest.mark.parametrize("which", [0, 1])
def test_turning_wire_and_tip_ball_by_hand(which: int) -> None:
    """Torque of the wire rho cd d Omega^2 L^4/8 (two Gauss points are exact), of the ball rho cd S/2 Omega^2 L^3; force likewise [C]."""
    f2, f3, m1, m2, m3 = loads(arm(), which=which)
    ball = 0.5 * RHO * SPHERE_CD * math.pi / 4.0 * TIP**2
    assert m3 == pytest.approx(-RHO * ROD_CD * WIRE * SPEED**2 * ARM**4 / 8.0 - ball * SPEED**2 * ARM**3, rel=1e-12)
    assert f2 == pytest.approx(-RHO * ROD_CD * WIRE * SPEED**2 * ARM**3 / 6.0 - ball * SPEED**2 * ARM**2, rel=1e-12)
    assert (f3, m1, m2) == (0.0, 0.0, 0.0)


def test_lost_ball_has_no_drag_on_its_arm_only() -> None:
    p = arm(tips=(0.0, 1.0))
    wire = -RHO * ROD_CD * WIRE * SPEED**2 * ARM**4 / 8.0
    assert loads(p, which=0)[4] == pytest.approx(wire, rel=1e-12)
    assert loads(p, which=1)[4] < 1.01 * wire


def test_paddle_damps_the_tilt_of_the_bar() -> None:
    """Moment a rate of tilt -1/2 rho a k c Omega (r2^4 - r1^4)/4 (references 4.1), a the section's slope, k Helmbold's for 2:1; 0.2 %."""
    rate = 0.05
    k = helmbold(2.0)
    got = loads(arm(**PADDLE), w=(0, rate, SPEED))[3] / rate
    assert got == pytest.approx(-0.5 * RHO * SLOPE * k * 0.015 * SPEED * (0.095**4 - 0.065**4) / 4.0, rel=2e-3)


def test_lost_paddle_does_nothing() -> None:
    p = arm(paddles=(1.0, 0.0), **PADDLE)
    p.bar_lumps = 0  # without the wire
    assert loads(p, w=(0, 2.0, SPEED), which=0)[3] < 0.0
    assert not loads(p, w=(0, 2.0, SPEED), which=1).any()


def test_paddle_in_the_wash_is_pushed_down() -> None:
    assert loads(arm(**PADDLE), v0=0.6)[1] < 0.0
    assert loads(arm(**PADDLE), v0=-0.6)[1] == pytest.approx(-loads(arm(**PADDLE), v0=0.6)[1], rel=1e-12)


def test_clockwise_bar_is_the_mirror_image() -> None:
    p = arm(**{**PADDLE, "wire_diameter_mm": 0.6, "paddle_incidence_deg": 4})
    first = loads(p, (1.0, -0.4), (2.0, 3.0, 44.0), v0=0.4)
    other = loads(p, (1.0, -0.4), (-2.0, -3.0, -44.0), v0=0.4, hand=-1.0)
    assert other == pytest.approx(first, rel=1e-12)


def test_it_takes_energy_from_any_motion() -> None:
    """No wash and a section without lift or moment: power below nought."""
    p = arm(**{**PADDLE, "wire_diameter_mm": 0.6, "tip_diameter_mm": 4})
    p.hand = 1.0
    tables = straight_tables(0.0, 0.05)
    rng = np.random.default_rng(1)
    for v, w in zip(rng.normal(size=(100, 2)), rng.normal(size=(100, 3)) * [1.0, 5.0, 40.0], strict=True):
        (f2, f3), (m1, m2, m3) = arm_loads(p, tables, 0, (0.0, *v), tuple(w), (0.0, 0.0, 1.0), 0.0)
        assert f2 * v[0] + f3 * v[1] + m1 * w[0] + m2 * w[1] + m3 * w[2] < 0.0


def test_still_bar_in_still_air() -> None:
    assert not loads(arm(), w=(0, 0, 0)).any()
    assert not loads(arm(**PADDLE), w=(0, 0, 0)).any()


@pytest.mark.parametrize("hand", [1.0, -1.0])
@pytest.mark.parametrize("which", [0, 1])
def test_loads_are_those_of_strips_and_lumps_as_vectors(which: int, hand: float) -> None:
    """What stands at (x, 0, 0) moves at v + w x r through air that sinks along the shaft; summed as force and r x force. 1e-12, rounding."""
    rng = np.random.default_rng([3, which])
    tables = np.stack([section_table(name) for name in ("flat plate", "cambered plate", "thin aerofoil")])
    p = arm(
        (1.0, 1.0), (1.0, 0.0), **{**PADDLE, "wire_diameter_mm": 0.6, "tip_diameter_mm": 4, "paddle_incidence_deg": 4}
    )
    p.hand = hand
    strips, lumps = int(p.paddle_elements), int(p.bar_lumps)
    p.paddle_shape[:strips] = rng.uniform(0.5, 1.5, strips)
    p.bar_lump_shape[:lumps] = rng.uniform(0.5, 1.5, lumps)
    for _ in range(20):
        v, w = rng.normal(size=3) * 2.0, rng.normal(size=3) * [20.0, 10.0, 3.0] + np.array([0, 0, hand * SPEED])
        up, v0 = np.array([0.0, *rng.normal(size=2)]), float(rng.uniform(-0.6, 0.9))
        up /= np.linalg.norm(up)
        force, moment = np.zeros(3), np.zeros(3)
        for k in range(strips):
            r = np.array([p.paddle_x[k], 0.0, 0.0])
            moving = v + hand * np.cross(w, r) + v0 * p.paddle_shape[k] * up
            strip = (p.paddle_pitch, p.paddle_log_chord, p.paddle_half_area[k], 0.0)
            ut, flow = float(moving[1]), float(-moving[2])
            normal, forward, couple, _ = element_load(tables, (OF_PADDLE, 0.0, p.paddle_slope), strip, ut, flow)
            push = np.array([0.0, forward, normal])
            force += push
            moment += np.cross(r, push) + np.array([couple * p.paddle_chord, 0.0, 0.0])
        for k in range(lumps):
            r = np.array([p.bar_lump_x[k], 0.0, 0.0])
            across = (v + hand * np.cross(w, r) + v0 * p.bar_lump_shape[k] * up)[1:]
            push = np.array([0.0, *(-p.bar_half_drag[which, k] * np.linalg.norm(across) * across)])
            force += push
            moment += np.cross(r, push)
        found = flat(arm_loads(p, tables, which, *(tuple(map(float, each)) for each in (v, w, up)), v0))
        assert found == pytest.approx(np.array([*force[1:], *moment]), rel=1e-10, abs=1e-12 * np.abs(force).max() * ARM)
        assert found[2] != 0.0  # the section's own moment is there
