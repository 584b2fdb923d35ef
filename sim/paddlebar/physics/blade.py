"""Blade elements: the air's load on a strip, and on a whole blade."""

from __future__ import annotations

import math

from paddlebar.physics.compiled import jitted
from paddlebar.physics.inflow import descent_excess
from paddlebar.physics.section import OF_BLADE, coefficients
from paddlebar.physics.stall_delay import stall_delay
from paddlebar.physics.vectors import dot, scale

_MOST_CURVE = 0.5  # [rad] bound on the incidence from curved flow: nothing but a blade that hardly moves reaches it
_STILL = 1e-8  # [m^2/s^2] below this the air is still and the angle of attack has no meaning


@jitted
def element_load(tables, section, strip, ut, up):
    """Load of the air on one strip of a blade.

    N = rho V c dr/2 (cl ut + cd up),   T = rho V c dr/2 (cl up - cd ut),   M = rho V^2 c dr/2 cm

    tables  : section tables
    section : which of them; its zero-lift angle [rad]; lift slope over the two-dimensional one, for a short paddle; 1 for a blade [1]
    strip   : pitch of the chord against the plane of reference, nose up [rad]; log(chord / kinematic viscosity) [log s/m];
              rho c dr / 2 [kg/m]; c/r for the stall delay of a turning blade, 0 switches it off [1]
    ut, up  : air towards the leading edge in the plane of reference, and up through it [m/s]
    Returns           : (N along the up axis [N], T forward [N], M over the chord, nose up about the quarter chord [N], speed [m/s])
    Holds for         : any angle; radial flow left out
    Source            : blade-element theory, any rotor textbook; short-wing slope by the induced angle (1 - slope) sin a cos^3 a,
        which is lifting-line theory at small angles and an own fade-out beyond
    Checked           : tests/physics/test_blade.py
    """
    which, alpha_zero, slope = section
    pitch, log_chord, half_rho_area, chord_over_radius = strip
    v2 = ut * ut + up * up
    if v2 < _STILL:
        return 0.0, 0.0, 0.0, 0.0
    speed = math.sqrt(v2)
    alpha = pitch + math.atan2(up, ut)
    if alpha > math.pi:
        alpha -= 2.0 * math.pi
    elif alpha < -math.pi:
        alpha += 2.0 * math.pi
    log_re = 0.5 * math.log(v2) + log_chord
    if slope < 1.0:
        c = math.cos(alpha)
        downwash = (1.0 - slope) * math.sin(alpha) * c * c * c
        cl0, cd0, cm = coefficients(tables, which, alpha - downwash, log_re)
        s = math.sin(downwash)
        c = math.cos(downwash)
        cl = cl0 * c - cd0 * s
        cd = cd0 * c + cl0 * s
    else:
        cl, cd, cm = coefficients(tables, which, alpha, log_re)
        if chord_over_radius > 0.0:
            cl, cd = stall_delay(cl, cd, alpha, alpha_zero, chord_over_radius)
    k = half_rho_area * speed
    return k * (cl * ut + cd * up), k * (cl * up - cd * ut), k * speed * cm, speed


@jitted
def blade_loads(p, tables, v, w, shaft, azimuth, inflow, turned=0.0):
    """Load of the air on one blade, in the blade's axes: out along the span, forward, up (right-handed for a counter-clockwise rotor).

    p, tables : parameters (el_*: elements), section tables
    v         : velocity of the hinge through the undisturbed air [m/s];  w : angular rate of the blade [rad/s]
    shaft     : the shaft axis [1]
    azimuth   : cosine and sine of the blade's about the shaft axis, from aft towards the right [1]
    inflow    : uniform part, slope forward, slope right [m/s]
    turned    : of the strips against what is built in, by an actuator that has no mass and does no work [rad]
    Returns   : force forward and up [N]; moment about the hinge, components of the right-hand rule times hand (3) [N m];
                thrust along the shaft [N], its moments x forward and y right [N m]
    Source    : element_load summed over Gauss-Legendre strips. A strip that turns about its span at w meets a curved flow
        (quasi-steady thin-aerofoil theory, from memory): incidence as at the three-quarter chord, w c/2V more than at the quarter
        chord; lift stands on the flow at the quarter chord; moment -pi rho V c^3 w dr/16 about the quarter chord, and suction
        pi rho c^3 w^2 dr/16 at the leading edge, whose power is just that of the moment, so that a coned blade gets nothing free.
        In descent the thrust also pays for descent_excess, spread like the inflow
    Checked   : tests/physics/test_blade.py, tests/reference/test_flapping.py (coned blades make no power)
    """
    _, v2, v3 = v
    w1, w2, w3 = scale(p.hand, w)
    _, a2, a3 = shaft
    climb = dot(v, shaft)
    cos_azimuth, sin_azimuth = azimuth
    v0, vx, vy = inflow
    section = (OF_BLADE, p.rotor_alpha_zero, 1.0)
    f2 = 0.0
    f3 = 0.0
    m1 = 0.0
    m2 = 0.0
    m3 = 0.0
    thrust = 0.0
    first = 0.0
    excess = descent_excess(v0, climb)
    slope_inflow = (vy * sin_azimuth - vx * cos_azimuth) / p.radius
    for k in range(p.elements):
        x = p.el_x[k]
        r = x + p.hinge_offset
        vi = v0 * p.el_shape[k] + slope_inflow * r
        ut = v2 + w3 * x + vi * a2
        arm = p.el_y_quarter[k]
        up = w2 * x - v3 - w1 * arm - vi * a3
        curve = 0.5 * w1 * p.el_chord[k] * ut / (ut * ut + up * up + _STILL)
        curve = min(max(curve, -_MOST_CURVE), _MOST_CURVE)
        strip = (p.el_pitch[k] + curve + turned, p.el_log_chord[k], p.el_half_area[k], p.el_chord_over_r[k])
        normal, forward, couple, speed = element_load(tables, section, strip, ut, up)
        if speed > 0.0:
            forward += (p.el_damping[k] * w1 * w1 * ut - normal * excess * p.el_shape[k]) / speed
        f2 += forward
        f3 += normal
        m2 -= x * normal
        m3 += x * forward
        m1 += arm * (p.el_cos[k] * normal - p.el_sin[k] * forward)
        m1 += couple * p.el_chord[k] - p.el_damping[k] * speed * w1
        lift = forward * a2 + normal * a3
        thrust += lift
        first += lift * r
    return (f2, f3), (m1, m2, m3), (thrust, -first * cos_azimuth, first * sin_azimuth)
