"""The steady motion of a craft at a torque: climb, hover or descent, with its spin, its circling, its bar and blades in step with the rotor.

A periodic orbit modulo heading and place, the fixed point of the return map. Found by Powell's hybrid of Newton and steepest descent
(scipy.optimize.root, "hybr") from moments of a free flight and from a march with the body held level; where that fails, from the
steady motion at another torque, followed along its branch. Nothing is integrated until it settles, so it does not matter whether the motion is stable.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from paddlebar.errors import CannotTrim
from paddlebar.flight import layout
from paddlebar.physics.attitude import plain_rotation
from paddlebar.physics.vectors import X, Z
from paddlebar.stability.continuation import follow
from paddlebar.stability.floquet import exponents
from paddlebar.stability.return_map import ReturnMap
from paddlebar.stability.search import fixed_point
from paddlebar.stability.starts import flown, hover_inflow, level_march

Array = NDArray[np.float64]

SAME = 1e-3  # of scales: nearer than that two are one
UPRIGHT_DEG = 60.0  # lean beyond which a steady motion is none that a builder means
_MORE = (1.1, 1.25, 1.5, 2.0)  # times the torque wanted, where a climb is looked for when the torque itself gives none


@dataclass(frozen=True, eq=False)
class Equilibrium:
    """A steady motion.

    map        : the return map that it is a fixed point of (its parameters included)
    x          : (n,) free coordinates at azimuth zero, over their scales
    residual   : by how much it misses after a revolution, in scales
    period     : of the rotor's turn relative to the body [s]
    climb_m_s  : mean, up positive;  body_rate_deg_s : mean turn of the nose to the right;  rotor_rpm : relative to the body
    drift_m_s  : mean speed over the ground while it circles, of the datum
    tilt_deg   : lean of the body's up axis at azimuth zero
    in_own_wake : True if it sinks faster than the hover's inflow: not what a flight from rest comes to, if it comes to hover at all
    """

    map: ReturnMap
    x: Array
    residual: float
    period: float
    climb_m_s: float
    body_rate_deg_s: float
    rotor_rpm: float
    drift_m_s: float
    tilt_deg: float
    in_own_wake: bool

    @property
    def state(self) -> Array:
        """State vector at azimuth zero (state_size,), SI."""
        return self.map.full(self.x)

    @cached_property
    def slope(self) -> Array:
        """(n, n) Jacobian of the map here, over one of its parts: what growth follows from, and where the search for a neighbour begins."""
        return self.map.slope(self.x, self.map(self.x))

    @cached_property
    def growth(self) -> float:
        """Of the fastest growing small disturbance [1/s].

        By one-sided differences, half the work of floquet(); apart from it by 1e-4 /s or less (tests/stability/test_margins.py).
        """
        return float(exponents(self.slope, self.period / self.map.parts)[0].real)

    @property
    def guess(self) -> Guess:
        """Where the search for a neighbour begins."""
        return Guess(self.x, self.slope, self.map.parts)

    def values(self) -> dict[str, float]:
        """Free coordinates by name, SI."""
        return {c.label: float(v) for c, v in zip(self.map.coordinates, self.x * self.map.scale, strict=True)}


@dataclass(frozen=True, eq=False)
class Guess:
    """A place to begin: free coordinates (n,) in scales and the Jacobian of the map there (n, n), None if it is not known; parts of that map's revolution."""

    x: Array
    slope: Array | None = None
    parts: int = 1

    def slope_of(self, map_: ReturnMap) -> Array | None:
        """The Jacobian for another craft's map, None where it says nothing of that: the half of a turn does not follow from the whole."""
        if self.slope is None or self.parts < map_.parts:
            return None
        return self.slope if self.parts == map_.parts else self.slope @ self.slope


def describe(map_: ReturnMap, x: Array) -> Equilibrium:
    """Figures of a steady motion from its coordinates."""
    y = map_.full(x)
    period = map_.advance(y, map_.steps)
    after = map_.reduced(y)
    start = map_.full(x)
    north, east, _ = plain_rotation(y[layout.ATTITUDE : layout.ATTITUDE + 4])
    turn = math.atan2(east[X], north[X])
    # the tail's turn is known to a revolution only modulo a full one: the body rate says which
    spin = start[layout.RATE_BODY + 2] * period
    turn += 2.0 * math.pi * round((spin - turn) / (2.0 * math.pi))
    moved = y[layout.POSITION : layout.POSITION + 3] - start[layout.POSITION : layout.POSITION + 3]
    _, _, down = plain_rotation(start[layout.ATTITUDE : layout.ATTITUDE + 4])
    return Equilibrium(
        map=map_,
        x=x,
        residual=float(np.linalg.norm(after - x)),
        period=period,
        climb_m_s=float(-moved[2] / period),
        body_rate_deg_s=math.degrees(turn / period),
        rotor_rpm=60.0 / period,
        drift_m_s=float(np.hypot(moved[0], moved[1]) / period),
        tilt_deg=math.degrees(math.acos(min(1.0, down[Z]))),
        in_own_wake=bool(moved[2] / period > hover_inflow(map_)),
    )


def equilibrium(map_: ReturnMap, near: Equilibrium | Guess | None = None) -> Equilibrium:
    """The steady motion of a frozen craft.

    map_   : of numbers from return_map.freeze()
    near   : a steady motion at neighbouring parameters: the one that a few steps from there find is meant, and no other is looked for.
        None: from rest, and where that finds none, along branches from larger torques
    Raises : CannotTrim with the residual of the best miss
    """
    best = math.inf
    torque = float(map_.numbers.params[0]["skein"]["steady"])
    if near is not None:
        if near.x.size == map_.size:
            guess = near.guess if isinstance(near, Equilibrium) else near
            closest = fixed_point(map_, guess.x, guess.slope_of(map_), most=5)
            if closest.closed:
                return describe(map_, closest.x)
            best = closest.residual
        raise _nothing(torque, best)
    several, best = from_rest(map_)
    return steadiest(several) or from_more_torque(map_, best)


def from_more_torque(map_: ReturnMap, best: float) -> Equilibrium:
    """The steady motion that a branch from a larger torque leads to, where a search from rest has found none.

    best   : by how much that search missed [scales]
    Raises : CannotTrim with the residual of the best miss
    """
    torque = float(map_.numbers.params[0]["skein"]["steady"])
    led = _along_branches(map_, torque)
    if led is not None:
        e, residual = attempt(map_, led, most=10)
        if e is not None:
            return e
        best = min(best, residual)
    raise _nothing(torque, best)


def distinct(found: Iterable[Equilibrium]) -> list[Equilibrium]:
    """Each once, and only those that a builder would call flying: upright ones."""
    out: list[Equilibrium] = []
    for e in found:
        if e.tilt_deg < UPRIGHT_DEG and not any(np.abs(e.x - other.x).max() < SAME for other in out):
            out.append(e)
    return out


def steadiest(found: Iterable[Equilibrium]) -> Equilibrium | None:
    """Of several steady motions at one torque the one that a craft can best stay on.

    That of least growth among those not sinking faster than the hover's inflow, which a craft let go from rest does not come to; if all
    do, the one that sinks least. None of none.
    """
    all_ = list(found)
    hovering = [e for e in all_ if not e.in_own_wake]
    if hovering:
        return min(hovering, key=lambda e: e.growth)
    return max(all_, key=lambda e: e.climb_m_s, default=None)


def attempt(map_: ReturnMap, start: Array, most: int = 6) -> tuple[Equilibrium | None, float]:
    """The steady motion next to a guess (n,), None if the search does not close; and by how much it misses [scales]."""
    closest = fixed_point(map_, start, most=most)
    return (describe(map_, closest.x) if closest.closed else None), closest.residual


def from_rest(map_: ReturnMap) -> tuple[list[Equilibrium], float]:
    """Steady motions found from moments of a free flight, the last first, and from the level march; and the least miss.

    There may be several at one torque: turning one way or the other, circling wider or closer, carried by the same torque in hover or
    sinking in its own wake. No more are looked for once one is stable that a flight can come to.
    """
    found: list[Equilibrium] = []
    best = math.inf
    for start in (*flown(map_), level_march(map_)):
        e, residual = attempt(map_, start)
        best = min(best, residual)
        if e is not None:
            found = distinct([*found, e])
            if any(not each.in_own_wake and each.growth < 0.0 for each in found):
                break
    return found, best


def _along_branches(map_: ReturnMap, torque: float) -> Array | None:
    """A fixed point followed from a larger torque that gives a climb; None if none leads here."""
    p = map_.numbers.params[0]

    def put(value: float) -> None:
        p["skein"]["steady"] = value

    try:
        for factor in _MORE if torque > 0.0 else ():
            more = factor * torque
            put(more)
            closest = fixed_point(map_, level_march(map_), most=10)
            if closest.closed:
                return follow(map_, closest.x, put, more, torque)
        return None
    finally:
        put(torque)


def _nothing(torque: float, best: float) -> CannotTrim:
    return CannotTrim(
        f"no steady motion found at {1e3 * torque:.2f} mN m: the nearest misses its start by {best:.2g} after a revolution",
        best,
    )
