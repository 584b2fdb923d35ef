"""What hub, blades, bar and tail add to the equations, against chains of rotations differentiated by the product rule.

A body's place and attitude are products of turns about axes that stand still in the body before, each at a steady rate; value, first and
second derivative of such a product are exact, no step of differences and no formula of relative motion in it. Velocities for unit rates give
the mass matrix and the generalised forces, second derivatives the bias (Kane). The air's load of one blade, arm or tail is asked of the
function that is tried elsewhere, at the motion that the chain gives.

Both are sums of products of numbers of one size, so 1e-11 of the sum of the sizes is rounding (1e-16) times a thousand terms, with room for
what cancels. Tried on code broken by chance, one place at a time: .ci/mutation.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from paddlebar.craft.build import Numbers
from paddlebar.flight.rhs import work_array
from paddlebar.physics import bodies, mechanism
from paddlebar.physics.bar import arm_loads
from paddlebar.physics.blade import blade_loads
from paddlebar.physics.tail import tail_loads
from reference.still_craft import NO_AIR, numbers_of, random_craft

Array = NDArray[np.float64]
Jet = tuple[Array, Array, Array]  # value, first and second derivative in time

ROUNDING = 1e-11
PADDLES = {
    "craft.bar.paddle_span_mm": 30,
    "craft.bar.paddle_chord_mm": 20,
    "craft.bar.paddle_centre_mm": 60,
    "craft.bar.paddle_mass_g": 0.1,
}
KINDS = [(head, blades, hand, cord) for head, blades in (("teetering", 2), ("flapping", 3), ("rigid", 2)) for hand, cord in ((1.0, True), (-1.0, False))]  # fmt: skip
UNKNOWN = [*"xyz", "roll", "pitch", "yaw", "shaft", "bar", "tail", "flap"]


def skew(r: Array) -> Array:
    return np.array([[0.0, -r[2], r[1]], [r[2], 0.0, -r[0]], [-r[1], r[0], 0.0]])


def axial(s: Array) -> Array:
    return np.array([s[2, 1], s[0, 2], s[1, 0]])


def turn(axis: Array, angle: float, rate: float) -> Jet:
    k, r = rate * skew(axis), Rotation.from_rotvec(angle * axis).as_matrix()
    return r, k @ r, k @ k @ r


def chain(*jets: Jet) -> Jet:
    a, da, dda = jets[0]
    for b, db, ddb in jets[1:]:
        a, da, dda = a @ b, da @ b + a @ db, dda @ b + 2.0 * da @ db + a @ ddb
    return a, da, dda


@dataclass
class Pose:
    """A body: attitude, places of its centre and of its hinge."""

    attitude: Jet
    centre: Jet
    hinge: Jet

    def rate(self) -> Array:
        r, dr, _ = self.attitude
        return axial(dr @ r.T)

    def acceleration(self) -> Array:
        r, dr, ddr = self.attitude
        return axial(ddr @ r.T + dr @ dr.T)


@dataclass
class Motion:
    """Where the joints stand and how fast all moves; `rates` as the unknowns: datum (3), body (3), shaft, bar, tail, flap of this blade."""

    azimuth: float
    bar: float
    flap: float
    rates: Array


def base(w: Array) -> Jet:
    return np.eye(3), skew(w), skew(w) @ skew(w)


def sum_of(*jets: Jet) -> Jet:
    return tuple(sum(each) for each in zip(*jets, strict=True))  # type: ignore[return-value]


def on(jet: Jet, point: Array) -> Jet:
    return jet[0] @ point, jet[1] @ point, jet[2] @ point


def axes(p: Any) -> Array:
    """Out, forward, up of a blade over the tail, in columns."""
    return np.column_stack([p.aft, p.hand * p.right, p.shaft_axis])


def hub_pose(p: Any, m: Motion) -> Pose:
    body = base(m.rates[3:6])
    place = on(body, p.hub_place)
    return Pose(chain(body, turn(p.shaft_axis, p.hand * m.azimuth, p.hand * m.rates[6])), place, place)


def blade_pose(p: Any, m: Motion, i: int) -> Pose:
    share, coupling = p.feather_share[i], p.flap_coupling
    body = base(m.rates[3:6])
    shaft = chain(body, turn(p.shaft_axis, p.hand * (m.azimuth + 2.0 * math.pi * i / p.blades), p.hand * m.rates[6]))
    flap = turn(-p.right, p.precone + m.flap, m.rates[9])
    pitch = turn(
        p.aft, p.hand * (share * m.bar - coupling * m.flap), p.hand * (share * m.rates[7] - coupling * m.rates[9])
    )
    whole = chain(shaft, flap, pitch)
    hinge = sum_of(on(body, p.hub_place), on(shaft, p.hinge_offset * p.aft))
    return Pose(whole, sum_of(hinge, on(whole, axes(p) @ p.blade_centre)), hinge)


def bar_pose(p: Any, m: Motion) -> Pose:
    body = base(m.rates[3:6])
    whole = chain(
        body,
        turn(p.shaft_axis, p.hand * (m.azimuth + p.bar_lead), p.hand * m.rates[6]),
        turn(-p.right, m.bar, m.rates[7]),
    )
    hinge = on(body, p.hub_place + p.bar_height * p.shaft_axis)
    return Pose(whole, sum_of(hinge, on(whole, axes(p) @ p.bar_centre)), hinge)


def tail_pose(p: Any, m: Motion) -> Pose:
    body = base(m.rates[3:6])
    place = on(body, p.tail_place)
    return Pose(chain(body, turn(p.tail_axis, 0.0, p.tail_hand * m.rates[8])), place, place)


@functools.cache
def made(head: str, blades: int, hand: float, cord: bool, seed: int) -> Numbers:
    """A craft without any symmetry, in air; to be copied."""
    numbers = random_craft(np.random.default_rng([21, blades, seed]), head, blades, hand, cord)
    flying = numbers_of(PADDLES)
    for name in NO_AIR:
        numbers.params[0][name] = flying.params[0][name]
    numbers.tables = flying.tables
    return numbers


def given(head: str, blades: int, hand: float, cord: bool, seed: int) -> tuple[Any, Array, Motion, np.random.Generator]:
    """Its record by attribute, its section tables, a motion of a craft that tumbles."""
    rng = np.random.default_rng([22, blades, seed])
    numbers = made(head, blades, hand, cord, seed).copy()
    p = numbers.params.view(np.recarray)[0]
    p.hinge_offset = 0.02
    p.el_y_quarter[: p.elements] = 2e-3
    spread = np.array([2.0, 2.0, 2.0, 5.0, 5.0, 5.0, 30.0, 20.0, 200.0, 20.0])
    rates = rng.normal(size=10) * spread + np.array([0, 0, 0, 0, 0, 0, 80.0, 0, 250.0, 0])
    return p, numbers.tables, Motion(rng.uniform(0.0, 6.0), rng.uniform(-0.4, 0.4), rng.uniform(-0.3, 0.3), rates), rng


def columns(p: Any, i: int | None) -> tuple[list[tuple[int, Array]], int]:
    """Column in the equations and the rates of a unit of each unknown; number of unknowns. i: the blade at hand."""
    of = [(k, np.eye(10)[k]) for k in range(9)]
    if p.cord_mode == 1:
        of[6] = (6, np.eye(10)[6] + p.cord_ratio * np.eye(10)[8])
        del of[8]
    if i is not None and p.flap_of_blade[i] >= 0:
        of.append((bodies.FLAP + int(p.flap_of_blade[i]), p.flap_sign[i] * np.eye(10)[9]))
    return of, bodies.FLAP + int(p.flaps)


def compare(work: Array, p: Any, m: Motion, g: Array, pose: Any, mass: float, inertia: Array, load: tuple[Array, Array], i: int | None = None) -> None:  # fmt: skip
    """Mass matrix and bias of one body alone; load: force at the hinge, moment about it; pose: Motion -> Pose; inertia in axes of today."""
    of, n = columns(p, i)
    v, w, h = np.zeros((3, n)), np.zeros((3, n)), np.zeros((3, n))
    for column, unit in of:
        one = pose(Motion(m.azimuth, m.bar, m.flap, unit))
        v[:, column], w[:, column] = one.centre[1] + unit[:3], one.rate()
        h[:, column] = one.hinge[1] + unit[:3]
    now = pose(m)
    omega = now.rate()
    bodies.close_base(work)
    want = mass * v.T @ v + w.T @ inertia @ w
    size = np.sqrt(np.outer(np.diag(want), np.diag(want)))
    error = np.abs(np.tril(work[bodies.MASS : bodies.MASS + n, :n]) - np.tril(want))
    assert (error <= ROUNDING * size).all(), f"mass matrix of {UNKNOWN}: {np.argwhere(error > ROUNDING * size)}"
    push = mass * (now.centre[2] - g)
    twist = inertia @ now.acceleration() + np.cross(omega, inertia @ omega)
    force, moment = load
    want_bias = v.T @ push + w.T @ twist - h.T @ force - w.T @ moment
    scale = np.abs(v.T) @ np.abs(push) + np.abs(w.T) @ np.abs(inertia) @ (np.abs(now.acceleration()) + omega @ omega)
    scale += np.abs(h.T) @ np.abs(force) + np.abs(w.T) @ np.abs(moment)
    error = np.abs(work[bodies.BIAS, :n] - want_bias)
    assert (error <= ROUNDING * scale).all(), f"bias of {UNKNOWN}: {np.argwhere(error > ROUNDING * scale)}"


AIR, GRAVITY = np.array([0.3, -0.2, 0.1]), np.array([1.0, -2.0, 9.0])


def vector(each: Array) -> tuple[float, ...]:
    return tuple(float(x) for x in each)


def vectors(m: Motion) -> tuple[tuple[float, ...], ...]:
    """Velocity, rate, wind and gravity as the equations take them."""
    return tuple(vector(each) for each in (m.rates[:3], m.rates[3:6], AIR, GRAVITY))


def joints(m: Motion) -> tuple[tuple[float, float], ...]:
    """Shaft, flap and bar as the equations take them: angle and rate of each."""
    return (m.azimuth, float(m.rates[6])), (m.flap, float(m.rates[9])), (m.bar, float(m.rates[7]))


@pytest.mark.parametrize(("head", "blades", "hand", "cord"), KINDS)
def test_hub(head: str, blades: int, hand: float, cord: bool) -> None:
    """A disc: about the shaft its polar inertia, across it the diametral one."""
    p, _, m, _ = given(head, blades, hand, cord, 1)
    work = work_array()
    mechanism.add_hub(p, work, vectors(m), float(m.rates[6]))
    up = np.outer(p.shaft_axis, p.shaft_axis)
    inertia = p.hub_polar * up + p.hub_diametral * (np.eye(3) - up)
    compare(work, p, m, GRAVITY, lambda x: hub_pose(p, x), p.hub_mass, inertia, (np.zeros(3), np.zeros(3)))


@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize(("head", "blades", "hand", "cord"), KINDS)
def test_blade(head: str, blades: int, hand: float, cord: bool, seed: int) -> None:
    """Every blade alone, with the air on it, and what it returns: thrust and its moments as the strips give them, torque about the shaft, power."""
    p, tables, m, rng = given(head, blades, hand, cord, seed)
    shaft, flap, bar = joints(m)
    inflow = vector(rng.uniform(-0.5, 0.9, 3))
    up = p.shaft_axis
    for i in range(blades):
        work = work_array()
        lift, *taken = mechanism.add_blade(p, tables, work, i, vectors(m), shaft, flap, bar, inflow)
        now = blade_pose(p, m, i)
        triad = now.attitude[0] @ axes(p)
        out, forward, over = triad.T
        ground = m.rates[:3] + now.hinge[1]
        chi = hand * (m.azimuth + 2.0 * math.pi * i / blades)
        past, rate, axis = (vector(triad.T @ each) for each in (ground - AIR, now.rate(), up))
        (f2, f3), (m1, m2, m3), thrust = blade_loads(
            p, tables, past, rate, axis, (math.cos(chi), math.sin(chi)), inflow
        )
        force = f2 * forward + f3 * over
        moment = hand * (m1 * out + m2 * forward + m3 * over)
        torque = -hand * up @ (moment + np.cross(now.hinge[0] - p.hub_place, force))
        power = -(force @ ground + moment @ now.rate())
        assert lift == pytest.approx(thrust, rel=1e-9)
        assert taken == pytest.approx([torque, power], rel=1e-9)
        inertia = triad @ p.blade_inertia @ triad.T
        compare(work, p, m, GRAVITY, lambda x, i=i: blade_pose(p, x, i), p.blade_mass, inertia, (force, moment), i)


@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize(("head", "blades", "hand", "cord"), KINDS)
def test_bar(head: str, blades: int, hand: float, cord: bool, seed: int) -> None:
    """The seesaw with the air on both arms; the second looks the other way, out and forward turned by half a turn."""
    p, tables, m, _ = given(head, blades, hand, cord, seed)
    shaft, _, bar = joints(m)
    work = work_array()
    found = mechanism.add_bar(p, tables, work, vectors(m), shaft, bar, 0.9)
    now = bar_pose(p, m)
    triad = now.attitude[0] @ axes(p)
    ground = m.rates[:3] + now.hinge[1]
    force, moment = np.zeros(3), np.zeros(3)
    for arm in (0, 1):
        own = triad * np.array([1.0, 1.0, 1.0] if arm == 0 else [-1.0, -1.0, 1.0])
        past, rate, axis = (vector(own.T @ each) for each in (ground - AIR, now.rate(), p.shaft_axis))
        (f2, f3), turning = arm_loads(p, tables, arm, past, rate, axis, 0.9)
        force += f2 * own[:, 1] + f3 * own[:, 2]
        moment += hand * own @ np.array(turning)
    torque = -hand * p.shaft_axis @ moment
    power = -(force @ ground + moment @ now.rate())
    assert found == pytest.approx((torque, power), rel=1e-9)
    inertia = triad @ p.bar_inertia @ triad.T
    compare(work, p, m, GRAVITY, lambda x: bar_pose(p, x), p.bar_mass, inertia, (force, moment))


@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize(("head", "blades", "hand", "cord"), KINDS)
def test_tail(head: str, blades: int, hand: float, cord: bool, seed: int) -> None:
    """The disc at the tail; while the cord grips it turns with the shaft, so the motion asked for does."""
    p, tables, m, _ = given(head, blades, hand, cord, seed)
    if cord:
        m.rates[8] = p.cord_ratio * m.rates[6]
    work = work_array()
    load, flow, given_away = mechanism.add_tail(p, tables, work, vectors(m), float(m.rates[8]), 0.4)
    now = tail_pose(p, m)
    triad = np.column_stack([p.tail_one, p.tail_two, p.tail_axis])
    ground = m.rates[:3] + now.hinge[1]
    past = triad.T @ (ground - AIR)
    pushed, turned, torque = tail_loads(p, tables, vector(past), vector(triad.T @ m.rates[3:6]), float(m.rates[8]), 0.4)
    force, moment = triad @ np.array(pushed), triad @ np.array(turned)
    power = -(force @ ground + moment @ now.rate())
    assert load == pytest.approx((pushed[2], torque), rel=1e-9)
    assert flow == pytest.approx((past[2], math.hypot(past[0], past[1])), rel=1e-9)
    assert given_away == pytest.approx(power, rel=1e-9)
    along = np.outer(p.tail_axis, p.tail_axis)
    inertia = p.tail_polar * along + p.tail_diametral * (np.eye(3) - along)
    compare(work, p, m, GRAVITY, lambda x: tail_pose(p, x), p.tail_mass, inertia, (force, moment))
