"""Rotation delays the stall of a blade section: published correction of two-dimensional coefficients."""

from __future__ import annotations

import math

from paddlebar.physics.compiled import jitted

FACTOR = 3.0
FADE_FROM = math.radians(30.0)
FADE_TO = math.radians(50.0)

_TWO_PI = 2.0 * math.pi
_PER_FADE = 1.0 / (FADE_TO - FADE_FROM)


@jitted
def stall_delay(cl: float, cd: float, alpha: float, alpha_zero: float, chord_over_radius: float) -> tuple[float, float]:
    """Lift and drag coefficients of a section on a turning blade from those in two-dimensional flow.

        cl_3D = cl_2D + k g(alpha) (2 pi (alpha - alpha_zero) - cl_2D),   k = min(3 (c/r)^2, 1),   cd_3D = cd_2D

    cl, cd            : two-dimensional coefficients at this angle and Reynolds number [1]
    alpha             : angle of attack in [-pi, pi] [rad]
    alpha_zero        : zero-lift angle in attached flow [rad]
    chord_over_radius : local chord over distance from the axis, c/r, >= 0; where the flow is not all due to rotation,
                        c/r times Omega r/V (the same as c Omega/V) [1]
    Returns           : (cl, cd) [1]
    Holds for : small twist and flow mainly due to rotation (hover, slow climb and descent). g = 1 up to 30 deg either
        way, falls to 0 at 50 deg by a cubic of zero end slopes (the published line from 30 to 50 deg has corners, the
        integrator wants none); k is capped at 1, since rotation cannot give more than potential flow (c/r > 0.577).
    Source    : H. Snel, R. Houwink, J. Bosschers, "Sectional prediction of lift coefficients on rotating wind turbine
        blades in stall", ECN-C--93-052 (1994), and H. Snel et al., European Community Wind Energy Conference 1993.
        Formula and factor 3 [T] (read in two public implementations, not in the report); limits of 30 and 50 deg [M].
    Choice    : it comes from the boundary-layer equations in the turning frame, ordered in (c/r), which do not
        ask whether the layer is laminar or turbulent; only the factor is fitted, and it has one. Du and Selig
        (AIAA 98-0021) start from the same equations and have three constants, set to 1, and two powers an
        element: at c/r 0.24 in hover their factor is 0.20 against 0.17 here. Chaviaropoulos and Hansen (J. Fluids
        Eng. 122, 2000) fit computations of turbulent layers and give 2.2 c/r cos^4(twist) = 0.4 to 0.5 there. Corrigan
        and Schillings (AHS Aeromechanics Conference 1994) shift the curve by an angle and need its maximum, which
        tables at these Reynolds numbers often do not have. Those three from memory [M]. Comparisons on one measured
        turbine (Breton, Coton, Moe, Wind Energy 11, 2008 [A]) favour none throughout, so the simplest is kept.
    Never less: where a section lifts more than potential flow of its own zero-lift angle, its lift stays as it is: rotation
        takes none away. Lift of the other sense than potential flow's, as of a plate that has parted from its hollow side, counts as
        none, so that nothing jumps at the zero-lift angle. Own choice; the source is silent.
    Drag      : the source corrects lift only; drag is the two-dimensional one. Sources disagree even on the sign.
    Not known : its constant rests on wind-turbine blades at Re 1e5 to 1e6; below that it is an extrapolation.
    Checked   : closed form and limits, tests/physics/test_stall_delay.py
    """
    k = min(FACTOR * chord_over_radius * chord_over_radius, 1.0)
    size = abs(alpha)
    if size > FADE_FROM:
        if size >= FADE_TO:
            return cl, cd
        u = (FADE_TO - size) * _PER_FADE
        k *= u * u * (3.0 - 2.0 * u)
    potential = _TWO_PI * (alpha - alpha_zero)
    # what lift of the potential flow's own sense lacks of it
    lacking = max(potential - max(cl, 0.0), 0.0) if potential > 0.0 else min(potential - min(cl, 0.0), 0.0)
    return cl + k * lacking, cd
