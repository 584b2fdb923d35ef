"""Wound rubber: the loss between winding and unwinding, and its pull. Its torque: physics/motor.py."""

from __future__ import annotations

import math

from paddlebar.physics.compiled import inner, jitted


@inner
def hysteresis_factor(set_, half_width):
    """Torque over the middle curve, 1 + h z, z the set of the rubber (+1 freshly wound, -1 unwinding) [1]. Source : see set_rate."""
    return 1.0 + half_width * set_


@jitted
def set_rate(set_, turns_rate, settle):
    """Rate of the set z: it runs towards the sense of turning over `settle` turns, dz/dt = (n' - z |n'|) / settle.

    set_       : z in [-1, 1] [1];  turns_rate : n', winding positive [turns/s];  settle : [turns]
    Returns    : dz/dt [1/s]
    Holds for  : rate-independent loss; no creep, no recovery at rest
    Source     : Duhem-type hysteresis as in P. Dahl's solid friction model (1968), from memory
    Checked    : tests/physics/test_skein.py (closed form, loss of a closed loop), tests/reference/test_rubber.py
    """
    return (turns_rate - set_ * abs(turns_rate)) / settle


@inner
def pull(torque, section):
    """Pull along a wound skein from its torque: strands at 45 degrees on a bundle of that section, F = 1.5 Q / a.

    torque   : [N m];  section : of all strands, unstretched [m^2]
    Returns  : axial pull on the hooks [N]
    Holds for: a wound skein between its knots; order of size only
    Source   : own estimate from the geometry of a twisted bundle (Q = 2/3 a F tan 45 deg, a^2 = section/pi), no source
    Checked  : tests/physics/test_skein.py (own geometry, sign and scaling; no measured pull)
    """
    return 1.5 * abs(torque) / math.sqrt(section / math.pi)
