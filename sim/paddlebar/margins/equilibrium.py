"""The steady motion of a craft at a torque: climb, hover or descent, with its spin, its circling, its bar and blades in step with the rotor.

A periodic orbit modulo heading and place, the fixed point of the return map. Found by Powell's hybrid of Newton and steepest descent
(scipy.optimize.root, "hybr") from a march with the body held level; where that fails, from the steady motion at a larger torque,
followed back along its branch. Nothing is integrated until it settles, so it does not matter whether the motion is stable.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import lu_factor, lu_solve
from scipy.optimize import root

from paddlebar.craft.build import all_up_mass
from paddlebar.errors import CannotTrim
from paddlebar.flight import layout
from paddlebar.margins.return_map import ReturnMap
from paddlebar.physics.attitude import rotation

Array = NDArray[np.float64]

CLOSED = 1e-8  # residual of a steady motion in scales; a flight's own error over a revolution is larger
_REVOLUTIONS = 60  # of the level march; rotor speed and inflow settle in some twenty
_MORE = (1.1, 1.25, 1.5, 2.0)  # times the torque wanted, where a climb is looked for when the torque itself gives none
_CT = 0.012  # a light rotor's thrust coefficient in hover, for a first speed; from memory


@dataclass(frozen=True, eq=False)
class Equilibrium:
    """A steady motion.

    map        : the return map that it is a fixed point of (its parameters included)
    x          : (n,) free coordinates at azimuth zero, over their scales
    slope      : (n, n) Jacobian of the map that the search ended with, approximate
    residual   : by how much it misses after a revolution, in scales
    period     : of the rotor's turn relative to the body [s]
    climb_m_s  : mean, up positive;  body_rate_deg_s : mean turn of the nose to the right;  rotor_rpm : relative to the body
    drift_m_s  : mean speed over the ground while it circles, of the datum
    tilt_deg   : lean of the body's up axis at azimuth zero
    """

    map: ReturnMap
    x: Array
    slope: Array
    residual: float
    period: float
    climb_m_s: float
    body_rate_deg_s: float
    rotor_rpm: float
    drift_m_s: float
    tilt_deg: float

    @property
    def state(self) -> Array:
        """State vector at azimuth zero (state_size,), SI."""
        return self.map.full(self.x)

    def values(self) -> dict[str, float]:
        """Free coordinates by name, SI."""
        return {c.label: float(v) for c, v in zip(self.map.coordinates, self.x * self.map.scale, strict=True)}


def describe(map_: ReturnMap, x: Array, slope: Array) -> Equilibrium:
    """Figures of a steady motion from its coordinates."""
    y = map_.full(x)
    period = map_.advance(y, map_.steps)
    after = map_.reduced(y)
    start = map_.full(x)
    heading = rotation.py_func(*y[layout.ATTITUDE : layout.ATTITUDE + 4])
    turn = math.atan2(heading[3], heading[0])
    # the tail's turn is known to a revolution only modulo a full one: the body rate says which
    spin = start[layout.RATE_BODY + 2] * period
    turn += 2.0 * math.pi * round((spin - turn) / (2.0 * math.pi))
    moved = y[layout.POSITION : layout.POSITION + 3] - start[layout.POSITION : layout.POSITION + 3]
    up = rotation.py_func(*start[layout.ATTITUDE : layout.ATTITUDE + 4])[8]
    return Equilibrium(
        map=map_,
        x=x,
        slope=slope,
        residual=float(np.linalg.norm(after - x)),
        period=period,
        climb_m_s=float(-moved[2] / period),
        body_rate_deg_s=math.degrees(turn / period),
        rotor_rpm=60.0 / period,
        drift_m_s=float(np.hypot(moved[0], moved[1]) / period),
        tilt_deg=math.degrees(math.acos(min(1.0, up))),
    )


def level_march(map_: ReturnMap, revolutions: int = _REVOLUTIONS) -> Array:
    """Free coordinates (n,) after some revolutions with the body held level and over one place: spin, climb, speeds and inflow settle."""
    p = map_.numbers.params[0]
    weight, area = all_up_mass(map_.numbers.params) * float(p["gravity"]), math.pi * float(p["radius"]) ** 2
    y = map_.base.copy()
    if p["rho"] > 0.0 and weight > 0.0:
        y[layout.ROTOR_SPEED] = math.sqrt(weight / (_CT * p["rho"] * area)) / float(p["radius"])
        if p["inflow_mode"] == 2:
            y[layout.INFLOW] = math.sqrt(weight / (2.0 * p["rho"] * area))
            y[layout.TAIL_INFLOW] = 0.5 * y[layout.INFLOW]
    if p["cord_mode"] == 1:
        y[layout.TAIL_SPEED] = p["cord_ratio"] * y[layout.ROTOR_SPEED]
    elif p["tail_mass"] > 0.0 and p["tail_skein_on"] == 1:
        y[layout.TAIL_SPEED] = 8.0 / p["tail_radius"]
    locked = p["locked"].copy()
    p["locked"][[0, 1, 3, 4]] = 1
    for _ in range(revolutions):
        y[layout.ROTOR_AZIMUTH] = 0.0
        before = y.copy()
        if map_.advance(y, map_.steps) < 0.0 or not np.isfinite(y).all():
            y = before  # the rotor stands still: the last revolution that there was is as good a start as any
            break
    p["locked"] = locked
    return map_.reduced(y)


def _search(map_: ReturnMap, start: Array, slope: Array | None = None, most: int = 10) -> tuple[Array, Array, float]:
    """Best fixed point from a start: x, the slope of the map there, the residual."""
    eye = np.eye(map_.size)
    latest = slope

    def jacobian(x: Array) -> Array:
        nonlocal latest, slope
        if slope is not None:  # a neighbour's will do for the first steps
            slope = None
        else:
            latest = map_.slope(x, map_(x))
        assert latest is not None
        return np.where(np.isfinite(latest), latest, 0.0) - eye

    def miss(x: Array) -> Array:
        return np.where(np.isfinite(f := map_.residual(x)), f, 1e3)

    found = root(miss, start, jac=jacobian, method="hybr", options={"xtol": 1e-10, "maxfev": most * map_.size})
    residual = float(np.linalg.norm(map_.residual(found.x)))
    if latest is None or not math.isfinite(residual):
        return found.x, eye, math.inf
    return found.x, latest, residual


def follow(
    map_: ReturnMap, x: Array, put: Callable[[float], None], start: float, goal: float, most: int = 60
) -> Array | None:
    """Follow a fixed point while a parameter goes from `start` to `goal`, round folds too (pseudo-arclength continuation).

    put     : sets the parameter;  most : largest number of steps along the branch
    Returns : fixed point at the goal, None if the branch does not reach it
    Source  : H. B. Keller, in Applications of Bifurcation Theory (1977) 359-384, from memory
    """
    n = x.size
    span = goal - start

    def miss(z: Array) -> Array:
        put(start + span * z[n])
        return map_.residual(z[:n])

    def slopes(z: Array) -> tuple[Array, Array]:
        f = miss(z)
        j = np.empty((n, n + 1))
        for i in range(n + 1):
            moved = z.copy()
            moved[i] += 1e-6
            j[:, i] = (miss(moved) - f) / 1e-6
        return f, j

    def tangent(j: Array, along: Array) -> Array:
        t = np.asarray(np.linalg.svd(j)[2][-1])
        return t if t @ along >= 0.0 else -t

    z = np.append(x, 0.0)
    _, j = slopes(z)
    if not np.isfinite(j).all():
        return None
    t = tangent(j, np.append(np.zeros(n), 1.0))
    ds = 0.1
    for _ in range(most):
        there = z + ds * t
        if there[n] > 1.0:
            there = z + t * (1.0 - z[n]) / t[n]
        new = there.copy()
        closed = False
        f, j = slopes(new)
        if np.isfinite(j).all():  # Newton with the slopes of the prediction kept: a step that needs more is too long
            solve = lu_factor(np.vstack([j, t]))
            for _ in range(8):
                move = lu_solve(solve, -np.append(f, t @ (new - there)))
                new = new + move
                largest = float(np.abs(move).max())
                if not largest < 1.0:
                    break
                if largest < 1e-6:
                    closed = True
                    break
                f = miss(new)
                if not np.isfinite(f).all():
                    break
        turned = tangent(j, t) if closed else t
        if not closed or turned @ t < 0.85:
            ds *= 0.4
            if ds < 1e-3:
                return None
            continue
        z, t = new, turned
        if abs(z[n] - 1.0) < 1e-6:
            put(goal)
            return z[:n]
        if z[n] < -1.0:
            return None
        ds = min(1.6 * ds, 0.6)
    return None


def equilibrium(map_: ReturnMap, near: Equilibrium | None = None, patient: bool = True) -> Equilibrium:
    """The steady motion of a frozen craft.

    map_    : of numbers from return_map.freeze()
    near    : a steady motion at neighbouring parameters to start from
    patient : where the start from `near` fails, look for it from the level march and along branches too
    Raises  : CannotTrim with the residual of the best miss
    """
    best = math.inf
    starts: list[Callable[[], tuple[Array, Array | None]]] = []
    if near is not None and near.x.size == map_.size:
        starts.append(lambda: (near.x, near.slope))
    if patient or not starts:
        starts.append(lambda: (level_march(map_), None))
    for start in starts:
        x, slope, residual = _search(map_, *start(), most=10 if patient else 5)
        if residual < CLOSED:
            return describe(map_, x, slope)
        best = min(best, residual)
    torque = float(map_.numbers.params[0]["skein_plateau"])
    if patient:
        led = _along_branches(map_, near, torque)
        if led is not None:
            x, slope, residual = _search(map_, led)
            if residual < CLOSED:
                return describe(map_, x, slope)
            best = min(best, residual)
    raise _nothing(torque, best)


def _along_branches(map_: ReturnMap, near: Equilibrium | None, torque: float) -> Array | None:
    """A fixed point followed from another torque: that of `near`, or a larger one that gives a climb; None if none leads here."""
    p = map_.numbers.params[0]

    def put(value: float) -> None:
        p["skein_plateau"] = value

    try:
        if near is not None and near.x.size == map_.size:
            x = follow(map_, near.x, put, float(near.map.numbers.params[0]["skein_plateau"]), torque, most=25)
            if x is not None:
                return x
        for factor in _MORE:
            more = factor * max(torque, 1e-6)
            put(more)
            x, _, residual = _search(map_, level_march(map_))
            if residual < CLOSED:
                return follow(map_, x, put, more, torque)
        return None
    finally:
        put(torque)


def _nothing(torque: float, best: float) -> CannotTrim:
    return CannotTrim(
        f"no steady motion found at {1e3 * torque:.2f} mN m: the nearest misses its start by {best:.2g} after a revolution",
        best,
    )
