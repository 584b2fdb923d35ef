"""Ground effect: the floor takes part of the induced velocity away."""

from __future__ import annotations

import math

from paddlebar.physics.compiled import jitted

_NEAREST = 0.35  # of a radius; nearer than that the image model is not meant


@jitted
def induced_share(height_over_radius):
    """Induced velocity near the floor over that of the same thrust far from it, (1 - (R / 4z)^2)^1.5.

    Cheeseman and Bennett's factor 1 - (R/4z)^2 compares at equal power, where the thrust differs too: T v = T_oge v_oge with
    v = v_oge (1 - (R/4z)^2) gives T/T_oge = 1/(1 - (R/4z)^2); the inflow state is that of the actual thrust, v_state = (T/2 rho A)^0.5
    = v_oge (T/T_oge)^0.5, hence the power 1.5.

    height_over_radius : of the disc above the floor, z/R [1]; held below 0.35
    Returns   : factor on the induced velocity [1]
    Holds for : z/R >= 0.5, hover or slow flight, disc nearly level
    Source    : I. C. Cheeseman, W. E. Bennett, ARC R&M 3021 (1955); references section 1.7 [M]
    Checked   : tests/physics/test_ground.py, tests/reference/test_ground_effect.py
    """
    z = height_over_radius
    if z < _NEAREST:
        z = _NEAREST
    share = 1.0 - 1.0 / (16.0 * z * z)
    return share * math.sqrt(share)
