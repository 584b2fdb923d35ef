"""Follow a steady motion while a parameter changes, round folds too."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import lu_factor, lu_solve

from paddlebar.stability.return_map import ReturnMap

Array = NDArray[np.float64]

_FIRST, _LONGEST, _SHORTEST = 0.1, 0.6, 1e-3  # steps along a branch, in scales; own choice
_BACK = 0.3  # of the way to the goal: a smaller loop back is followed
_STRAIGHT = 0.85  # cosine of the largest turn of a branch within a step


def walk(
    map_: ReturnMap, x: Array, put: Callable[[float], None], direction: float = 1.0, stop_at: float | None = None
) -> Iterator[Array]:
    """Steady motions along a branch, by pseudo-arclength continuation.

    x         : (n,) fixed point where the parameter is put(0)
    put       : sets the parameter
    direction : in which the parameter changes first, 1 or -1
    stop_at   : value of the parameter to land on exactly when it would be passed (None: go on)
    Yields    : (n + 1,): fixed point, parameter. Ends where the branch can be followed no further
    Source    : H. B. Keller, in Applications of Bifurcation Theory (1977) 359-384, from memory
    """
    n = x.size

    def miss(z: Array) -> Array:
        put(z[n])
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
        return
    t = tangent(j, np.append(np.zeros(n), direction))
    ds = _FIRST
    while True:
        there = z + ds * t
        if (
            stop_at is not None and (there[n] - stop_at) * direction > 0.0
        ):  # back too, where the correction went past it
            there = z + t * (stop_at - z[n]) / t[n]
        new, j = _corrected(there, t, miss, slopes)
        turned = tangent(j, t) if new is not None else t
        if new is None or turned @ t < _STRAIGHT:
            ds *= 0.4
            if ds < _SHORTEST:
                return
            continue
        z, t = new, turned
        yield z.copy()
        ds = min(1.6 * ds, _LONGEST)


def _corrected(
    there: Array, t: Array, miss: Callable[[Array], Array], slopes: Callable[[Array], tuple[Array, Array]]
) -> tuple[Array | None, Array]:
    """The branch across a prediction; None if that is too far away. Newton with the slopes of the prediction kept: a step that needs more is too long."""
    new = there.copy()
    f, j = slopes(new)
    if not np.isfinite(j).all():
        return None, j
    solve = lu_factor(np.vstack([j, t]))
    for _ in range(8):
        move = lu_solve(solve, -np.append(f, t @ (new - there)))
        new = new + move
        largest = float(np.abs(move).max())
        if largest < 1e-6:
            return new, j
        if not largest < 1.0:
            break
        f = miss(new)
        if not np.isfinite(f).all():
            break
    return None, j


def follow(
    map_: ReturnMap, x: Array, put: Callable[[float], None], start: float, goal: float, most: int = 60
) -> Array | None:
    """Follow a fixed point while a parameter goes from `start` to `goal`.

    put     : sets the parameter;  most : largest number of steps along the branch
    Returns : (n,) fixed point at the goal, None if the branch does not reach it: it ended, or it turned back for good, which is
        taken for granted after _BACK of the way
    """
    span = goal - start
    farthest = 0.0
    for count, z in enumerate(walk(map_, x, lambda u: put(start + span * u), stop_at=1.0)):
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
) -> Iterator[Array]:
    """Where the branch through a fixed point comes back to the parameter's value there: other fixed points at one and the same parameter.

    put(0)  : is that value;  reach : how far the parameter may go either way
    wanted  : of a fixed point (n,): False where to go on is of no use;  most : steps either way
    Yields  : (n,) guesses, by a straight line between the steps on either side
    """
    for direction in (1.0, -1.0):
        before = np.append(x, 0.0)
        for count, z in enumerate(walk(map_, x, put, direction)):
            if count and before[-1] * z[-1] < 0.0:
                share = before[-1] / (before[-1] - z[-1])
                yield before[:-1] + share * (z[:-1] - before[:-1])
            if abs(z[-1]) > reach or count >= most or not wanted(z[:-1]):
                break
            before = z
    put(0.0)
