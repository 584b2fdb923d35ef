"""The main rotor's wash where something else stands in it."""

from __future__ import annotations

import math

from numba import njit

_EDGE = 0.08  # share of a radius over which the edge of the wake is smeared; own choice, keeps the equations smooth


@njit(cache=True, error_model="numpy")
def developed(distance):
    """Speed in the wake over that at the disc, 1 + z/sqrt(1 + z^2), on the axis of a vortex cylinder.

    distance : along the flow from the disc, in radii; negative is upstream [1]
    Returns  : factor, 0 far upstream, 1 at the disc, 2 far downstream [1]
    Source   : semi-infinite vortex cylinder; momentum theory text-books, from memory
    Checked  : tests/physics/test_wash.py
    """
    return 1.0 + distance / math.sqrt(1.0 + distance * distance)


@njit(cache=True, error_model="numpy")
def wash_share(below, off_axis, through):
    """Share of the disc's uniform induced velocity that a body meets.

    below    : distance under the disc along the shaft, in radii [1];  off_axis : distance from the shaft, in radii [1]
    through  : sense of the flow through the disc, +1 down ... -1 up (smooth in between) [1]
    Returns  : factor on v0 [1]
    Holds for: straight wake along the shaft, contracting as continuity asks (radius^2 times speed constant)
    Source   : vortex cylinder with continuity; wake skew and swirl left out, edge upstream held at one radius (own simplifications)
    Checked  : tests/physics/test_wash.py
    """
    factor = developed(below * through)
    if factor < 1e-3:
        return 0.0
    edge = 1.0 / math.sqrt(factor) if factor > 1.0 else 1.0
    inside = 0.5 - 0.5 * math.tanh((off_axis - edge) / _EDGE)
    return factor * inside
