"""Follow a steady motion while a parameter changes."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import lu_factor, lu_solve

from paddlebar.margins.return_map import ReturnMap

Array = NDArray[np.float64]


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
