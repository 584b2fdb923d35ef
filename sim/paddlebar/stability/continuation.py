"""Follow a steady motion while a parameter changes, round folds too."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from paddlebar.stability.return_map import ReturnMap

Array = NDArray[np.float64]

_FIRST, _LONGEST, _SHORTEST = 0.1, 0.6, 1e-3  # steps along a branch, in scales; own choice
_BACK = 0.3  # of the way to the goal: a smaller loop back is followed
_STRAIGHT = 0.85  # cosine of the largest turn of a branch within a step
_STEP = 1e-6  # of the differences, in scales
_AHEAD = 1e-3  # shortest difference along a branch that slopes learn from: what its start misses, _CLOSE at most, does not count in it
_LONGER, _EASY = 0.95, 5  # a longer step follows one that turned by less (cosine) and took so many moves at most
_CLOSE = 1e-5  # last move of a correction, in scales


def walk(
    map_: ReturnMap,
    x: Array,
    put: Callable[[float], None],
    direction: float = 1.0,
    stop_at: float | None = None,
    slope: Array | None = None,
) -> Iterator[Array]:
    """Steady motions along a branch, by pseudo-arclength continuation.

    x         : (n,) fixed point where the parameter is put(0)
    put       : sets the parameter
    direction : in which the parameter changes first, 1 or -1
    stop_at   : value of the parameter to land on when it would be passed, and to end at (None: go on)
    slope     : (n, n) Jacobian of the map at x, None if it is not known
    Yields    : (n + 1,): fixed point, parameter. Ends where the branch can be followed no further
    Source    : H. B. Keller, in Applications of Bifurcation Theory (1977) 359-384, from memory; C. G. Broyden (1965): slopes are carried
        along the branch and learn from every evaluation, differences are taken anew only where they lead no further
    """
    n = x.size

    def miss(z: Array) -> Array:
        put(z[n])
        return map_.residual(z[:n])

    def differences(z: Array, first: int = 0) -> Array:
        f = miss(z)
        j = np.empty((n, n + 1))
        for i in range(first, n + 1):
            moved = z.copy()
            moved[i] += _STEP
            j[:, i] = (miss(moved) - f) / _STEP
        return j

    z = np.append(x, 0.0)
    if slope is None:
        j = differences(z)
    else:
        j = differences(z, n)
        j[:, :n] = slope - np.eye(n)
    if not np.isfinite(j).all():
        return
    t = _across(j, np.append(np.zeros(n), direction))
    ds, fresh = _FIRST, True
    goal = direction * math.inf if stop_at is None else stop_at
    while True:
        there, across = z + ds * t, t
        landing = (there[n] - goal) * direction > 0.0
        if landing:  # and only to where the parameter is that
            there, across = z + t * (goal - z[n]) / t[n], np.eye(n + 1)[n]
        new, learnt, tries = _corrected(z, there, across, miss, j)
        turned = _turned(new, t, miss, learnt) if new is not None else t
        if new is None or turned @ t < _STRAIGHT:
            if not fresh:  # the slopes may be at fault
                j, fresh = differences(z), True
                if not np.isfinite(j).all():
                    return
                t = _across(j, t)
                continue
            ds *= 0.4
            if ds < _SHORTEST:
                return
            continue
        straight = turned @ t > _LONGER
        z, t, j, fresh = new, turned, learnt, False
        yield z.copy()
        if landing:
            return
        # what took long, or turned much, nearly failed
        ds = min((1.6 if straight else 1.0) * ds if tries <= _EASY else 0.7 * ds, _LONGEST)


def _across(j: Array, along: Array) -> Array:
    """The direction (n + 1,) in which nothing changes, on the side of another one."""
    t = np.asarray(np.linalg.svd(j)[2][-1])
    return t if t @ along >= 0.0 else -t


def _learn(j: Array, move: Array, change: Array) -> None:
    """Broyden's update in place: the slopes that are nearest to the old ones and right for a move that was made."""
    j += np.outer(change - j @ move, move) / (move @ move)


def _corrected(
    z: Array, there: Array, across: Array, miss: Callable[[Array], Array], slopes: Array
) -> tuple[Array | None, Array, int]:
    """The branch in the plane across a direction through a prediction, and the slopes learnt on the way; None if that is too far away: a step that needs more is too long."""
    j = slopes.copy()
    new = there
    f = miss(new)
    if not np.isfinite(f).all():
        return None, j, 0
    if np.abs(there - z).max() > _AHEAD:
        _learn(j, there - z, f)  # at z it misses by nothing, next to this
    latest = math.inf
    for tries in range(1, 9):
        move: Array = np.asarray(
            np.linalg.solve(np.vstack([j, across]), -np.append(f, across @ (new - there))), dtype=np.float64
        )
        new = new + move
        largest = float(np.abs(move).max())
        if largest < _CLOSE:
            return new, j, tries
        if not largest < min(1.0, latest):
            break
        latest = largest
        before, f = f, miss(new)
        if not np.isfinite(f).all():
            break
        _learn(j, move, f - before)
    return None, j, 0


def _turned(z: Array, t: Array, miss: Callable[[Array], Array], j: Array) -> Array:
    """Where the branch leads at a fixed point; the slopes learn the derivative along their own guess of it, in place."""
    guess = _across(j, t)
    ahead = miss(z + _AHEAD * guess)
    if np.isfinite(ahead).all():
        _learn(j, guess, ahead / _AHEAD)
    return _across(j, t)


def follow(
    map_: ReturnMap,
    x: Array,
    put: Callable[[float], None],
    start: float,
    goal: float,
    most: int = 60,
    slope: Array | None = None,
) -> Array | None:
    """Follow a fixed point while a parameter goes from `start` to `goal`.

    put     : sets the parameter;  most : largest number of steps along the branch;  slope : (n, n) of the map at x, if it is known
    Returns : (n,) fixed point at the goal, None if the branch does not reach it: it ended, or it turned back for good, which is
        taken for granted after _BACK of the way
    """
    span = goal - start
    farthest = 0.0
    for count, z in enumerate(walk(map_, x, lambda u: put(start + span * u), stop_at=1.0, slope=slope)):
        if abs(z[-1] - 1.0) < 1e-6:
            put(goal)
            return z[:-1]
        farthest = max(farthest, z[-1])
        if z[-1] < farthest - _BACK or count >= most:
            break
    return None


def returns(
    map_: ReturnMap,
    x: Array,
    put: Callable[[float], None],
    reach: float,
    wanted: Callable[[Array], bool],
    most: int = 60,
    slope: Array | None = None,
) -> Iterator[Array]:
    """Where the branch through a fixed point comes back to the parameter's value there: other fixed points at one and the same parameter.

    put(0)  : is that value;  reach : how far the parameter may go either way
    wanted  : of a fixed point (n,): False where to go on is of no use;  most : steps either way;  slope : (n, n) of the map at x, if it is known
    Yields  : (n,) guesses, by a straight line between the steps on either side
    """
    for direction in (1.0, -1.0):
        before = np.append(x, 0.0)
        for count, z in enumerate(walk(map_, x, put, direction, slope=slope)):
            if count and before[-1] * z[-1] < 0.0:
                share = before[-1] / (before[-1] - z[-1])
                yield before[:-1] + share * (z[:-1] - before[:-1])
            if abs(z[-1]) > reach or count >= most or not wanted(z[:-1]):
                break
            before = z
    put(0.0)
