"""Loads of the tail rotor in closed form and strip by strip. Balance of yaw, power and damping: tests/reference/test_tail.py."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from paddlebar.craft.blades import gauss
from paddlebar.craft.sections import section_table
from paddlebar.physics.blade import element_load
from paddlebar.physics.inflow import descent_excess
from paddlebar.physics.section import OF_TAIL
from paddlebar.physics.tail import tail_loads
from paddlebar.physics.vectors import ZERO
from physics.given import record
from reference.rig import straight_tables

RHO, RADIUS, CHORD, PITCH, SPEED, SLOPE, DRAG = 1.2, 0.04, 0.01, math.radians(6.0), 200.0, 5.7, 0.03


def tail(blades: int = 2, hand: float = 1.0, n: int = 6, **more: Any) -> Any:
    x, dr = gauss(0.0, RADIUS, n)
    one = np.ones(n)
    return record(**{
        "tail_elements": n, "tail_blades": blades, "tail_hand": hand, "tail_x": x, "tail_pitch": PITCH * one, "tail_shape": one,
        "tail_log_chord": math.log(CHORD / 1.5e-5) * one, "tail_half_area": 0.5 * RHO * CHORD * dr, "tail_radius": RADIUS,
        **more,
    })  # fmt: skip


@pytest.mark.parametrize("hand", [1.0, -1.0])
@pytest.mark.parametrize("blades", [2, 3])
def test_still_tail_without_inflow(blades: int, hand: float) -> None:
    """Thrust N_b/6 rho a c theta Omega^2 R^3, torque N_b/8 rho cd c Omega^2 R^4 [C], nothing else; Gauss is exact: 1e-12."""
    (f1, f2, thrust), (m1, m2, m3), torque = tail_loads(
        tail(blades, hand), straight_tables(SLOPE, DRAG), ZERO, ZERO, SPEED, 0.0
    )
    assert thrust == pytest.approx(blades * RHO * SLOPE * CHORD * PITCH * SPEED**2 * RADIUS**3 / 6.0, rel=1e-12)
    assert torque == pytest.approx(blades * RHO * DRAG * CHORD * SPEED**2 * RADIUS**4 / 8.0, rel=1e-12)
    assert m3 == pytest.approx(-hand * torque, rel=1e-12)
    assert (f1, f2, m1, m2) == pytest.approx((0.0, 0.0, 0.0, 0.0), abs=1e-15)


@pytest.mark.parametrize("hand", [1.0, -1.0])
def test_loads_are_those_of_strips_as_vectors(hand: float) -> None:
    """Each strip at r (cos, sin, 0) moves at v + (w + hand speed e3) x r; its load is summed as force and r x force, mean of four azimuths."""
    tables = np.stack([section_table(name) for name in ("cambered plate", "flat plate", "thin aerofoil")])
    rng = np.random.default_rng(5)
    n = 4
    p = tail(3, hand, n, tail_pitch=rng.uniform(0.0, 0.4, n), tail_shape=rng.uniform(0.5, 1.5, n), tail_alpha_zero=-0.05,
             tail_chord_over_r=rng.uniform(0.1, 0.5, n), tail_log_chord=np.log(rng.uniform(200.0, 900.0, n)))  # fmt: skip
    axis = np.array([0.0, 0.0, 1.0])
    for _ in range(10):
        v, w = rng.normal(size=3) * 2.0, rng.normal(size=3) * 8.0
        inflow, speed = rng.uniform(-1.0, 1.0), rng.uniform(100.0, 300.0)
        force, moment = np.zeros(3), np.zeros(3)
        for angle in np.arange(4) * 0.5 * math.pi:
            out = np.array([math.cos(angle), math.sin(angle), 0.0])
            ahead = hand * np.cross(axis, out)
            for k in range(n):
                moving = v + np.cross(w + hand * speed * axis, p.tail_x[k] * out)
                strip = (p.tail_pitch[k], p.tail_log_chord[k], p.tail_half_area[k], p.tail_chord_over_r[k])
                ut, up = float(moving @ ahead), float(-moving[2] - inflow * p.tail_shape[k])
                normal, forward, _, met = element_load(tables, (OF_TAIL, p.tail_alpha_zero, 1.0), strip, ut, up)
                forward -= normal * descent_excess(inflow, v[2]) * p.tail_shape[k] / met
                push = 0.75 * (normal * axis + forward * ahead)
                force += push
                moment += np.cross(p.tail_x[k] * out, push)
        pushed, turned, torque = tail_loads(p, tables, tuple(map(float, v)), tuple(map(float, w)), speed, inflow)
        size = np.abs(force).max()
        assert pushed == pytest.approx(force, rel=1e-10, abs=1e-12 * size)
        assert turned == pytest.approx(moment, rel=1e-10, abs=1e-12 * size * RADIUS)
        assert torque == pytest.approx(-hand * moment[2], rel=1e-10)
