"""Induced velocity ring by ring in axial flight: blade elements against the momentum of each annulus."""

from __future__ import annotations

import math

from numba import njit

from paddlebar.physics.blade import element_load
from paddlebar.physics.inflow import axial_flow
from paddlebar.physics.tip_loss import tip_loss

_HALVINGS = 60


@njit(cache=True, error_model="numpy")
def ring_excess(
    v,
    tables,
    which,
    blades,
    share,
    r,
    dr,
    rho,
    half_area,
    pitch,
    log_chord,
    chord_over_r,
    alpha_zero,
    speed,
    climb,
    tip,
):
    """Thrust of the blades in one ring less the momentum that the induced velocity v there gives to the air.

    nb N(v) cos-component - 4 pi r dr rho F v V_eff(v)

    v       : induced velocity in the ring [m/s];  share : r/R [1];  r, dr : [m];  tip : 1 with Prandtl's factor
    others  : as element_load;  speed [rad/s], climb [m/s]
    Returns : [N]
    Source  : annular blade-element/momentum theory, any rotor textbook; F in the momentum term as Glauert has it, from memory
    Checked : tests/physics/test_annular.py, tests/reference/test_hover_closed_forms.py
    """
    ut = speed * r
    up = -(climb + v)
    normal, _, _, _ = element_load(tables, which, ut, up, pitch, log_chord, half_area, chord_over_r, alpha_zero, 1.0)
    loss = 1.0
    if tip == 1:
        loss = tip_loss(blades, share, up / math.sqrt(ut * ut + up * up))
    return blades * normal - 4.0 * math.pi * r * dr * rho * loss * v * axial_flow(v, climb, 0.0)


@njit(cache=True, error_model="numpy")
def annular(
    tables,
    which,
    blades,
    radius,
    rho,
    x,
    chord,
    half_area,
    pitch,
    log_chord,
    chord_over_r,
    alpha_zero,
    speed,
    climb,
    tip,
    induced,
):
    """Solve every ring for its induced velocity.

    tables, which  : section tables and which of them;  blades : number;  radius : [m];  rho : [kg/m^3]
    x ... pitch    : (n,) elements as in craft/parameters.py;  alpha_zero : [rad]
    speed, climb   : [rad/s], [m/s];  tip : 1 with Prandtl's factor
    induced        : (n,) written [m/s]
    Returns        : (thrust [N], torque [N m])
    Holds for      : axial flight, any rate of climb or descent; root found by halving, one root between no and full inflow
    Source         : ring_excess
    Checked        : tests/physics/test_annular.py, tests/reference/test_hover_closed_forms.py, test_castles_gray.py, test_small_rotor.py
    """
    thrust = 0.0
    torque = 0.0
    for k in range(x.size):
        r = x[k]
        dr = 2.0 * half_area[k] / (rho * chord[k])
        share = r / radius
        first = ring_excess(
            0.0,
            tables,
            which,
            blades,
            share,
            r,
            dr,
            rho,
            half_area[k],
            pitch[k],
            log_chord[k],
            chord_over_r[k],
            alpha_zero,
            speed,
            climb,
            tip,
        )
        sign = 1.0 if first >= 0.0 else -1.0
        low = 0.0
        high = 2.0 * (abs(speed) * r + abs(climb))
        for _ in range(_HALVINGS):
            middle = 0.5 * (low + high)
            excess = sign * ring_excess(
                sign * middle,
                tables,
                which,
                blades,
                share,
                r,
                dr,
                rho,
                half_area[k],
                pitch[k],
                log_chord[k],
                chord_over_r[k],
                alpha_zero,
                speed,
                climb,
                tip,
            )
            if excess > 0.0:
                low = middle
            else:
                high = middle
        v = sign * 0.5 * (low + high)
        induced[k] = v
        normal, forward, _, _ = element_load(
            tables,
            which,
            speed * r,
            -(climb + v),
            pitch[k],
            log_chord[k],
            half_area[k],
            chord_over_r[k],
            alpha_zero,
            1.0,
        )
        thrust += blades * normal
        torque -= blades * forward * r
    return thrust, torque
