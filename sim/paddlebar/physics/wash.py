"""The main rotor's wash where something else stands in it."""

from __future__ import annotations

import math

from paddlebar.physics.compiled import inner, jitted

_SENSE = 0.3  # [m/s] flow over which the wash changes sides; own choice, keeps the equations smooth
_EDGE = 0.08  # share of a radius over which the edge of the wake is smeared; own choice, keeps the equations smooth


@inner
def developed(distance):
    """Speed in the wake over that at the disc, 1 + z/sqrt(1 + z^2), on the axis of a vortex cylinder.

    distance : along the flow from the disc, in radii; negative is upstream [1]
    Returns  : factor, 0 far upstream, 1 at the disc, 2 far downstream [1]
    Source   : semi-infinite vortex cylinder; momentum theory text-books, from memory
    Checked  : tests/physics/test_wash.py
    """
    return 1.0 + distance / math.sqrt(1.0 + distance * distance)


@jitted
def flow_sense(flow):
    """Sense of the flow through the disc, +1 down ... -1 up, by flow / (flow^2 + 0.3^2)^0.5.

    flow    : climb speed and induced velocity together [m/s]
    Returns : [1]
    Source  : own choice, no source: which side of the disc the wake lies on must change smoothly
    Checked : tests/physics/test_wash.py
    """
    return flow / math.sqrt(flow * flow + _SENSE * _SENSE)


@jitted
def wash_met(v0, through, down, up):
    """Wash that a body meets, from its shares of the inflow with the flow down and with the flow up through the disc.

    v0       : uniform inflow [m/s];  through : flow_sense [1];  down, up : wash_share for +1 and for -1 [1]
    Returns  : along the shaft, downwards [m/s]
    Source   : linear between the two; own choice, no source
    Checked  : tests/physics/test_wash.py
    """
    return 0.5 * v0 * ((1.0 + through) * down + (1.0 - through) * up)


@inner
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
