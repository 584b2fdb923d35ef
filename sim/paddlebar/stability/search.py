"""The search for a fixed point of the return map from a guess: Powell's hybrid of Newton and steepest descent, stopped as soon as it is known how it ends."""

from __future__ import annotations

import math
from contextlib import suppress
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import root

from paddlebar.stability.return_map import ReturnMap

Array = NDArray[np.float64]

CLOSED = 1e-8  # residual of a steady motion in scales; a flight's own error over a revolution is larger
_ENOUGH = 1e-2 * CLOSED  # where the search stops: a step further it would be at what rounding leaves
# Residual from which on the exact Jacobian is taken where a first was not enough: two branches may be near each other, I - J nearly singular
_NEAR = 1e-3
# Most Jacobians, with a neighbour's to begin with and without. Of 348 searches that closed (two crafts) all but three took no more, those that closed
# nowhere took up to 20
_SLOPES = {True: 3, False: 6}


class Closest(NamedTuple):
    """Where a search came closest: x (n,) and by how much it misses after a revolution [scales]."""

    x: Array
    residual: float

    @property
    def closed(self) -> bool:
        """Is it a fixed point?"""
        return self.residual < CLOSED


class _Stop(Exception):
    """Raised within scipy's loop, which has no other way to end it."""


def fixed_point(map_: ReturnMap, start: Array, slope: Array | None = None, most: int = 6) -> Closest:
    """The fixed point next to a guess.

    start  : (n,);  slope : (n, n) Jacobian of the map near by, None if none is known
    most   : evaluations of the map, times its size, Jacobians not counted
    Source : M. J. D. Powell (1970) through scipy.optimize.root, "hybr"
    """
    eye = np.eye(map_.size)
    best = Closest(start, math.inf)
    last: tuple[Array, Array] | None = None
    latest, asked, taken, most_slopes = slope, 0, 0, _SLOPES[slope is not None]

    def miss(x: Array) -> Array:
        nonlocal best, last
        if last is None or not np.array_equal(last[0], x):  # scipy asks for the first point twice
            last = x.copy(), map_.residual(x)
            size = float(np.linalg.norm(last[1]))
            if size < best.residual:
                best = Closest(last[0], size)
            if size < _ENOUGH:
                raise _Stop
        return np.where(np.isfinite(last[1]), last[1], 1e3)

    def jacobian(x: Array) -> Array:
        nonlocal latest, asked, taken
        asked += 1
        if latest is None or asked > 2:  # and for the first Jacobian
            if taken == most_slopes:
                raise _Stop
            taken += 1
            near_a_fold = taken > 1 and best.residual < _NEAR
            led_by = map_ if near_a_fold else map_.rough()
            latest = led_by.slope(x, led_by(x))
        return np.where(np.isfinite(latest), latest, 0.0) - eye

    with suppress(_Stop):
        root(miss, start, jac=jacobian, method="hybr", options={"xtol": 1e-10, "maxfev": most * map_.size})
    return best
