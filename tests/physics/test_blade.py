"""Strips and blades in closed form: straight section tables, so that every integral can be written down.

Broken : lift and drag exchanged in the forward force; half the damping in pitch; inflow up for down: each refused here.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from paddlebar.craft.blades import gauss, helmbold
from paddlebar.craft.sections import section_table
from paddlebar.physics.blade import blade_loads, element_load
from paddlebar.physics.inflow import descent_excess
from paddlebar.physics.section import OF_BLADE, coefficients
from paddlebar.physics.stall_delay import stall_delay
from paddlebar.physics.vectors import ZERO
from physics.given import flat, record
from reference.rig import straight_tables

SLOPE, DRAG, RHO = 5.7, 0.04, 1.2
TABLES = straight_tables(SLOPE, DRAG)
PURE = straight_tables(2.0 * math.pi)
HALF = 0.5 * RHO * 0.03 * 0.01  # rho c dr/2
LOG_CHORD = math.log(0.03 / 1.5e-5)


def strip(ut: float, up: float, pitch: float, *, tables: np.ndarray = TABLES, slope: float = 1.0) -> np.ndarray:
    return np.array(element_load(tables, (OF_BLADE, 0.0, slope), (pitch, LOG_CHORD, HALF, 0.0), ut, up))


def test_level_strip_by_hand() -> None:
    """8 m/s, 5 deg: lift 0.5 rho V^2 c dr cl, drag likewise. Cubic in alpha keeps a straight table straight: 1e-12."""
    normal, forward, couple, speed = strip(8.0, 0.0, math.radians(5.0))
    assert normal == pytest.approx(0.5 * 1.2 * 64.0 * 3e-4 * SLOPE * math.radians(5.0), rel=1e-12)
    assert forward == pytest.approx(-0.5 * 1.2 * 64.0 * 3e-4 * DRAG, rel=1e-12)
    assert couple == 0.0
    assert speed == pytest.approx(8.0, rel=1e-15)


def test_lift_stands_on_the_flow_and_drag_lies_in_it() -> None:
    """Power of the load on the moving strip is -drag V: the lift does no work, at any angle of flow and pitch."""
    rng = np.random.default_rng(1)
    for ut, up, pitch in rng.uniform([-9, -9, -3.0], [9, 9, 3.0], (200, 3)):
        normal, forward, _, speed = strip(ut, up, pitch)
        assert forward * ut - normal * up == pytest.approx(-HALF * speed**3 * DRAG, rel=1e-9)


def test_turned_flow_turns_the_load() -> None:
    """Flow and chord turned together, plane of reference left: the same force in other components."""
    flow, chord, turn = math.radians(20.0), math.radians(7.0), math.radians(33.0)
    first = strip(8.0 * math.cos(flow), 8.0 * math.sin(flow), chord)
    other = strip(8.0 * math.cos(flow + turn), 8.0 * math.sin(flow + turn), chord - turn)
    c, s = math.cos(turn), math.sin(turn)
    assert other[1] == pytest.approx(c * first[1] + s * first[0], rel=1e-10)
    assert other[0] == pytest.approx(c * first[0] - s * first[1], rel=1e-10)


def test_load_grows_as_speed_squared_and_ends_in_still_air() -> None:
    assert strip(16.0, 2.0, 0.1)[:2] == pytest.approx(4.0 * strip(8.0, 1.0, 0.1)[:2], rel=1e-12)
    assert not strip(0.0, 0.0, 0.1).any()
    assert not strip(5e-5, 5e-5, 0.1).any()


def test_angles_beyond_half_a_turn_are_taken_back() -> None:
    """Pitch of 350 deg is one of -10, from either side, whatever the flow."""
    for up in (-3.0, 3.0):
        for sense in (1.0, -1.0):
            near = strip(5.0, up, sense * math.radians(10.0))
            assert strip(5.0, up, sense * math.radians(10.0 - 360.0)) == pytest.approx(near, rel=1e-9)


@pytest.mark.parametrize(
    ("aspect", "published"), [(1, 1.483), (2, 2.603), (3, 3.363), (4, 3.883), (6, 4.529), (8, 4.906)]
)
def test_short_wing_has_helmbolds_slope(aspect: int, published: float) -> None:
    """references 2.1 [C], slope per radian; here at 0.01 deg and with the two-dimensional 2 pi. 1e-3, the table's own rounding;
    against the formula 1e-6."""
    a = math.radians(0.01)
    found = strip(8.0, 0.0, a, tables=PURE, slope=helmbold(aspect))[0] / (HALF * 64.0 * a)
    assert found == pytest.approx(published, abs=6e-4)
    assert found == pytest.approx(2.0 * math.pi * helmbold(aspect), rel=1e-6)


def test_short_wing_pays_for_its_lift() -> None:
    """Induced drag cl^2 (1 - k)/(2 pi k), k the slope over 2 pi: lifting-line theory, cl^2/(pi AR) for a long wing [C]."""
    a = math.radians(1.0)
    for aspect in (3.0, 40.0):
        k = helmbold(aspect)
        normal, forward, *_ = strip(8.0, 0.0, a, tables=PURE, slope=k) / (HALF * 64.0)
        assert -forward == pytest.approx(normal**2 * (1.0 - k) / (2.0 * math.pi * k), rel=1e-3)
    assert -forward / (normal**2 / (math.pi * 40.0)) == pytest.approx(1.0, rel=0.03)


def test_short_wing_across_the_flow_is_the_plain_section() -> None:
    for a in (90.0, -90.0):
        assert strip(8.0, 0.0, math.radians(a), slope=0.4) == pytest.approx(strip(8.0, 0.0, math.radians(a)), rel=1e-12)


CHORD, RADIUS, PITCH, SPEED = 0.03, 0.2, math.radians(8.0), 48.0


def blade(n: int = 12, root: float = 0.0, **more: Any) -> Any:
    """A rectangular blade feathering about its quarter chord."""
    x, dr = gauss(root, RADIUS, n)
    one = np.ones(n)
    return record(**{
        "elements": n, "el_x": x, "el_half_area": 0.5 * RHO * CHORD * dr, "el_chord": CHORD * one, "el_pitch": PITCH * one,
        "el_cos": math.cos(PITCH) * one, "el_sin": math.sin(PITCH) * one, "el_log_chord": math.log(CHORD / 1.5e-5) * one,
        "el_damping": math.pi * RHO * CHORD**3 * dr / 16.0, "el_shape": one, "radius": RADIUS,
        **more,
    })  # fmt: skip


def loads(
    p: Any, v: tuple[float, ...] = (0, 0, 0), w: tuple[float, ...] = (0, 0, SPEED), hand: float = 1.0, azimuth: float = 0.0,
    inflow: tuple[float, ...] = (0, 0, 0), tables: np.ndarray = TABLES,
) -> np.ndarray:  # fmt: skip
    """Loads of a blade neither coned nor feathered, (8,): its axes are the shaft's."""
    p.hand = hand
    moving, turning, carried = (tuple(float(x) for x in each) for each in (v, w, inflow))
    place = (math.cos(azimuth), math.sin(azimuth))
    return np.array(flat(blade_loads(p, tables, moving, turning, (0.0, 0.0, 1.0), place, carried)))


def test_hovering_blade_without_inflow() -> None:
    """Lift 1/6 rho a c theta Omega^2 R^3, flap moment 1/8 ... R^4, drag torque 1/8 rho cd c Omega^2 R^4 [C]; Gauss is exact: 1e-12."""
    f2, f3, m1, m2, m3, thrust, x, y = loads(blade())
    assert f3 == pytest.approx(RHO * SLOPE * CHORD * PITCH * SPEED**2 * RADIUS**3 / 6.0, rel=1e-12)
    assert m2 == pytest.approx(-RHO * SLOPE * CHORD * PITCH * SPEED**2 * RADIUS**4 / 8.0, rel=1e-12)
    assert f2 == pytest.approx(-RHO * DRAG * CHORD * SPEED**2 * RADIUS**3 / 6.0, rel=1e-12)
    assert m3 == pytest.approx(-RHO * DRAG * CHORD * SPEED**2 * RADIUS**4 / 8.0, rel=1e-12)
    assert m1 == pytest.approx(0.0, abs=1e-15)
    assert (thrust, x, y) == pytest.approx((f3, m2, 0.0), rel=1e-12)  # over the tail: its lift stands R behind


def test_inflow_takes_lift_off() -> None:
    """-1/4 rho a c v0 Omega R^2 for a mean inflow, -1/6 rho a c (v/R) Omega R^3 for a slope of it, first order in v: 1e-4."""
    without = loads(blade())[1]
    v = 1e-3
    down = (loads(blade(), inflow=(v, 0, 0))[1] - without) / v
    assert down == pytest.approx(-RHO * SLOPE * CHORD * SPEED * RADIUS**2 / 4.0, rel=0.01)
    for azimuth, inflow, sense in (
        (0.0, (0, v, 0), -1.0),
        (math.pi, (0, v, 0), 1.0),
        (0.5 * math.pi, (0, 0, v), 1.0),
        (0.0, (0, 0, v), 0.0),
    ):
        slope = (loads(blade(), azimuth=azimuth, inflow=inflow)[1] - without) / v
        assert slope == pytest.approx(-sense * RHO * SLOPE * CHORD * SPEED * RADIUS**2 / 6.0, rel=0.01, abs=1e-6)


def test_flapping_blade_is_damped() -> None:
    """-1/8 rho a c Omega R^4 a radian of flapping rate [C]: what makes the Lock number. First order: 1 % (angles of 0.1 deg)."""
    rate = 0.05
    free = straight_tables(SLOPE)
    change = loads(blade(el_pitch=np.zeros(12)), w=(0, rate, SPEED), tables=free)[3]
    assert change / rate == pytest.approx(-RHO * SLOPE * CHORD * SPEED * RADIUS**4 / 8.0, rel=1e-3)


def test_twisting_blade_is_damped_and_lifts_at_its_three_quarter_chord() -> None:
    """Thin aerofoil turning nose-up at w about its quarter chord [C]: moment -pi rho c^3 w Omega R^2/32, lift of incidence c w/2V:
    rho a c^2 w Omega R^2/8. First order in w: 1e-3."""
    w = 0.02
    free = straight_tables(SLOPE)
    _, f3, m1, *_ = loads(
        blade(el_pitch=np.zeros(12), el_cos=np.ones(12), el_sin=np.zeros(12)), w=(w, 0, SPEED), tables=free
    )
    assert m1 / w == pytest.approx(-math.pi * RHO * CHORD**3 * SPEED * RADIUS**2 / 32.0, rel=1e-3)
    assert f3 / w == pytest.approx(RHO * SLOPE * CHORD**2 * SPEED * RADIUS**2 / 8.0, rel=1e-3)


def test_suction_pays_for_the_damping() -> None:
    """Curved flow in potential theory takes no power: leading-edge suction pi rho c^3 w^2/16 a length times V is the moment's -w M [C]."""
    w = 7.0
    nothing = straight_tables(0.0)
    f2, f3, m1, _, m3, *_ = loads(blade(), w=(w, 0, SPEED), tables=nothing)
    assert f2 == pytest.approx(math.pi * RHO * CHORD**3 * w**2 * RADIUS / 16.0, rel=1e-9)
    assert f3 == 0.0
    assert m1 * w + m3 * SPEED == pytest.approx(0.0, abs=1e-9 * abs(m1 * w))


def test_lift_turns_about_the_feathering_axis() -> None:
    """Axis a tenth of a chord behind the quarter chord: nose-up moment of the force normal to the chord, 0.1 c each strip."""
    free = straight_tables(SLOPE)
    p = blade(el_y_quarter=np.full(12, 0.1 * CHORD))
    f2, f3, m1, *_ = loads(p, tables=free)
    assert m1 == pytest.approx(0.1 * CHORD * (math.cos(PITCH) * f3 - math.sin(PITCH) * f2), rel=1e-9)


def test_clockwise_blade_is_the_mirror_image() -> None:
    """Axes left-handed, all turning reversed: every component the same."""
    v, w = (1.0, 2.0, -0.4), (3.0, -5.0, 44.0)
    first = loads(blade(), v, w, 1.0, 0.7, (0.5, 0.1, -0.2))
    other = loads(blade(), v, tuple(-x for x in w), -1.0, 0.7, (0.5, 0.1, -0.2))
    assert other == pytest.approx(first, rel=1e-12)


def test_drag_alone_always_takes_energy() -> None:
    """No lift, no moment: power of the whole load against any motion of the blade is negative."""
    rng = np.random.default_rng(2)
    tables = straight_tables(0.0, DRAG)
    p = blade(el_damping=np.zeros(12))
    for v, w in zip(rng.normal(size=(100, 3)), rng.normal(size=(100, 3)) * [0.0, 5.0, 40.0], strict=True):
        f2, f3, m1, m2, m3, *_ = loads(p, tuple(v), tuple(w), tables=tables)
        assert f2 * v[1] + f3 * v[2] + m1 * w[0] + m2 * w[1] + m3 * w[2] < 0.0


def test_more_elements_change_nothing_on_a_smooth_blade() -> None:
    few, many = (loads(blade(n, 0.02), (0.0, 1.0, 0.2), inflow=(0.5, 0.1, 0.0)) for n in (8, 40))
    assert few == pytest.approx(many, rel=1e-5, abs=1e-9)


@pytest.mark.parametrize("hand", [1.0, -1.0])
def test_loads_are_those_of_strips_as_vectors(hand: float) -> None:
    """A strip at (x, arm, 0) moves at v + w x r; its load is summed as force and r x force, r to the quarter chord of the turned chord.

    Cambered sections with moments, taper, twist, stall delay, coned axis, every inflow: nothing of blade_loads is left at nought. Incidence of
    the curved flow w c/2V (V^2 with the 1e-8 m^2/s^2 of still air), held at half a radian; damping and suction as the data sheet has them. Rounding.
    """
    rng = np.random.default_rng(8)
    tables = np.stack([section_table(name) for name in ("cambered plate", "flat plate", "thin aerofoil")])
    n = 5
    x, dr = gauss(0.02, RADIUS, n)
    chord, pitch = rng.uniform(0.02, 0.04, n), rng.uniform(0.0, 0.3, n)
    p = record(
        elements=n, el_x=x, el_chord=chord, el_pitch=pitch, el_cos=np.cos(pitch), el_sin=np.sin(pitch), el_half_area=0.5 * RHO * chord * dr,
        el_log_chord=np.log(chord / 1.5e-5), el_damping=math.pi * RHO * chord**3 * dr / 16.0, el_shape=rng.uniform(0.5, 1.5, n),
        el_chord_over_r=chord / x, el_y_quarter=rng.uniform(-2e-3, 5e-3, n), radius=RADIUS, hinge_offset=0.015, rotor_alpha_zero=-0.05, hand=hand,
    )  # fmt: skip
    for case in range(20):
        v = rng.normal(size=3) * 2.0
        w = rng.normal(size=3) * np.array([20.0, 10.0, 3.0]) + np.array([0.0, 0.0, hand * SPEED])
        if case == 0:  # turns about its span and hardly moves: the bound of half a radian
            v, w = np.zeros(3), np.array([70.0, 0.0, 1.0])
        up = np.array([0.1, 0.05, 0.0])
        up[2] = math.sqrt(1.0 - up @ up)
        azimuth, v0, vx, vy = rng.uniform(0.0, 6.0), *rng.uniform(-0.6, 0.9, 3)
        force, moment, along = np.zeros(3), np.zeros(3), np.zeros(3)
        for k in range(n):
            out = x[k] + p.hinge_offset
            down = v0 * p.el_shape[k] + (vy * math.sin(azimuth) - vx * math.cos(azimuth)) * out / RADIUS
            moving = v + hand * np.cross(w, [x[k], p.el_y_quarter[k], 0.0]) + down * up
            ut, flow = moving[1], -moving[2]
            curve = np.clip(0.5 * hand * w[0] * chord[k] * ut / (ut**2 + flow**2 + 1e-8), -0.5, 0.5)
            strip = (float(pitch[k] + curve), p.el_log_chord[k], p.el_half_area[k], p.el_chord_over_r[k])
            normal, forward, couple, speed = element_load(tables, (OF_BLADE, -0.05, 1.0), strip, float(ut), float(flow))
            forward += (p.el_damping[k] * w[0] ** 2 * ut - normal * descent_excess(v0, v @ up) * p.el_shape[k]) / speed
            push = np.array([0.0, forward, normal])
            arm = np.array([x[k], p.el_y_quarter[k] * math.cos(pitch[k]), p.el_y_quarter[k] * math.sin(pitch[k])])
            force += push
            moment += np.cross(arm, push)
            moment[0] += couple * chord[k] - p.el_damping[k] * speed * hand * w[0]
            lift = push @ up
            along += lift * np.array([1.0, -out * math.cos(azimuth), out * math.sin(azimuth)])
        moving, turning, axis = (tuple(map(float, each)) for each in (v, w, up))
        place = (math.cos(azimuth), math.sin(azimuth))
        found = flat(blade_loads(p, tables, moving, turning, axis, place, (v0, vx, vy)))
        want = np.array([*force[1:], *moment, *along])
        size = np.array([np.abs(force).max()] * 2 + [np.abs(moment).max()] * 3 + list(np.abs(along)))
        assert (np.abs(np.array(found) - want) <= 1e-11 * size).all()


def test_curved_flow_turns_no_further_than_half_a_radian() -> None:
    """A blade that hardly moves and turns fast about its span, either way: incidence as of a pitch of half a radian, by hand."""
    tables = straight_tables(SLOPE)
    for w in (900.0, -900.0):
        p = blade(1, 0.1, el_pitch=np.zeros(1), el_cos=np.ones(1), el_sin=np.zeros(1), el_damping=np.zeros(1))
        _, f3, *_ = loads(p, (0.0, 3.0, 0.0), (w, 0.0, 0.0), tables=tables)
        area = 0.5 * RHO * CHORD * (RADIUS - 0.1)
        assert f3 == pytest.approx(area * 9.0 * SLOPE * math.copysign(0.5, w), rel=1e-9)


def test_stall_delay_and_moment_reach_the_strip() -> None:
    """At 20 deg, c/r 0.3, zero-lift angle -0.05: lift of stall_delay on the section's own, moment coefficient of the table."""
    tables = np.stack([section_table("cambered plate")] * 3)
    alpha = math.radians(20.0)
    cl, cd, cm = coefficients(tables, OF_BLADE, alpha, math.log(8.0) + LOG_CHORD)
    more, same = stall_delay(cl, cd, alpha, -0.05, 0.3)
    assert more > 1.05 * cl
    assert cm != 0.0
    normal, forward, couple, _ = element_load(tables, (OF_BLADE, -0.05, 1.0), (alpha, LOG_CHORD, HALF, 0.3), 8.0, 0.0)
    assert (normal, forward, couple) == pytest.approx(
        (HALF * 64.0 * more, -HALF * 64.0 * same, HALF * 64.0 * cm), rel=1e-12
    )


@pytest.mark.parametrize("plain", [False, True])
def test_a_blade_at_rest_in_still_air_is_left_alone(plain: bool) -> None:
    """No speed to divide by: every load is nought, and none is not a number; compiled or not."""
    p = blade(3, 0.1, el_damping=np.full(3, 1e-6))
    load = getattr(blade_loads, "py_func", blade_loads) if plain else blade_loads
    found = load(p, TABLES, ZERO, ZERO, (0.0, 0.0, 1.0), (1.0, 0.0), ZERO)
    assert np.array(flat(found)) == pytest.approx(np.zeros(8), abs=1e-20)
