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
# Steps of a Jacobian: it only leads the search, the residual is of the full map. By half the steps a step of Newton's leaves 1 to 3 % of
# the way, of seven crafts with and without bar, where the exact one leaves nothing; and it costs half
_ROUGH = 18
# Most Jacobians, with a neighbour's to begin with and without. Of 348 searches that closed all but one took no more, those that closed
# nowhere took up to 20; that one began far away, and what it found was found from elsewhere too
_SLOPES = {True: 5, False: 8}


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
    left = _SLOPES[slope is not None]
    best = Closest(start, math.inf)
    last: tuple[Array, Array] | None = None
    latest: tuple[Array, Array] | None = None
    given = 2  # scipy asks for the first Jacobian twice

    def miss(x: Array) -> Array:
        nonlocal best, last
        if last is None or not np.array_equal(last[0], x):  # and for the first point
            last = x.copy(), map_.residual(x)
            size = float(np.linalg.norm(last[1]))
            if size < best.residual:
                best = Closest(last[0], size)
            if size < _ENOUGH:
                raise _Stop
        return np.where(np.isfinite(last[1]), last[1], 1e3)

    def jacobian(x: Array) -> Array:
        nonlocal latest, left, given
        if slope is not None and given:
            given -= 1
            return slope - eye
        if latest is None or not np.array_equal(latest[0], x):
            if not left:
                raise _Stop
            left -= 1
            rough = map_.with_steps(min(_ROUGH, map_.steps))
            latest = x.copy(), rough.slope(x, rough(x))
        return np.where(np.isfinite(latest[1]), latest[1], 0.0) - eye

    with suppress(_Stop):
        root(miss, start, jac=jacobian, method="hybr", options={"xtol": 1e-10, "maxfev": most * map_.size})
    return best
