"""Ground effect: the floor takes part of the induced velocity away."""

from __future__ import annotations

import math

from paddlebar.physics.compiled import jitted

_NEAREST = 0.117  # of a radius: the lowest point that was measured
_CURVE = (
    0.500,
    0.548,
    -0.206,
)  # of 1, z/R, (z/R)^2: parabola through the six measured points below z/R 1, 0.002 off at most
_MEASURED_TO, _LAW_FROM = 0.5, 0.75  # of a radius; between them one passes into the other, own choice


@jitted
def induced_share(height_over_radius):
    """Induced velocity near the floor over that of the same thrust far from it: (1 - (R / 4z)^2)^1.5, and a measured curve below z/R 0.5.

    Cheeseman and Bennett's factor 1 - (R/4z)^2 compares at equal power, where the thrust differs too: T v = T_oge v_oge with
    v = v_oge (1 - (R/4z)^2) gives T/T_oge = 1/(1 - (R/4z)^2); the inflow state is that of the actual thrust, v_state = (T/2 rho A)^0.5
    = v_oge (T/T_oge)^0.5, hence the power 1.5. That law runs to nought at z/R 0.25; measured rotors keep more than half there.

    height_over_radius : of the disc above the floor, z/R [1]; held below 0.117
    Returns   : factor on the induced velocity [1]
    Holds for : hover or slow flight, disc nearly level. Not for a ceiling, which is left out: near one a rotor lifts more
    Source    : I. C. Cheeseman, W. E. Bennett, ARC R&M 3021 (1955); references section 1.7 [M]. Below z/R 0.5 the curve in R. W. Prouty,
        Helicopter Performance, Stability and Control, as digitised in a public code; references section 1.7a [T]
    Checked   : tests/physics/test_ground.py, tests/reference/test_ground_effect.py
    """
    z = height_over_radius
    if z < _NEAREST:
        z = _NEAREST
    measured = _CURVE[0] + z * (_CURVE[1] + z * _CURVE[2])
    if z <= _MEASURED_TO:
        return measured
    law = 1.0 - 1.0 / (16.0 * z * z)
    law *= math.sqrt(law)
    if z >= _LAW_FROM:
        return law
    u = (z - _MEASURED_TO) / (_LAW_FROM - _MEASURED_TO)
    u *= u * (3.0 - 2.0 * u)
    return measured + u * (law - measured)
