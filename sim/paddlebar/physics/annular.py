"""Induced velocity ring by ring in axial flight: blade elements against the momentum of each annulus."""

from __future__ import annotations

import math

from paddlebar.physics.blade import element_load
from paddlebar.physics.compiled import jitted
from paddlebar.physics.inflow import axial_flow, descent_excess
from paddlebar.physics.tip_loss import tip_loss

_HALVINGS = 60


@jitted
def ring_excess(v, tables, section, rotor, ring, speed, climb, tip):
    """Thrust of the blades in one ring less the momentum that the induced velocity v there gives to the air.

    nb N(v) cos-component - 4 pi r dr rho F v V_eff(v)

    v       : induced velocity in the ring [m/s]
    tables, section : as element_load;  rotor : number of blades, radius [m], rho [kg/m^3]
    ring    : r, dr [m], and the strip of a blade in it as element_load has it
    speed, climb : [rad/s], [m/s];  tip : 1 with Prandtl's factor
    Returns : [N]
    Source  : annular blade-element/momentum theory, any rotor textbook; F in the momentum term as Glauert has it, from memory
    Checked : tests/physics/test_annular.py, tests/reference/test_hover_closed_forms.py
    """
    blades, radius, rho = rotor
    r, dr, strip = ring
    ut = speed * r
    up = -(climb + v)
    normal, _, _, _ = element_load(tables, section, strip, ut, up)
    loss = 1.0
    if tip == 1:
        loss = tip_loss(blades, r / radius, up / math.sqrt(ut * ut + up * up))
    return blades * normal - 4.0 * math.pi * r * dr * rho * loss * v * axial_flow(v, climb, 0.0)


@jitted
def annular(tables, section, rotor, elements, speed, climb, tip, induced):
    """Solve every ring for its induced velocity.

    tables, section : as element_load;  rotor : number of blades, radius [m], rho [kg/m^3]
    elements : arrays (n,) as in craft/parameters.py: place x and chord [m], pitch [rad], log of chord over viscosity [log s/m],
               rho c dr/2 [kg/m], c/r for the stall delay [1]
    speed, climb   : [rad/s], [m/s];  tip : 1 with Prandtl's factor
    induced        : (n,) written [m/s]
    Returns        : (thrust [N], torque [N m])
    Holds for      : axial flight, any rate of climb or descent; root found by halving, one root between no and full inflow
    Source         : ring_excess
    Checked        : tests/physics/test_annular.py, tests/reference/test_hover_closed_forms.py, test_castles_gray.py, test_small_rotor.py
    """
    blades, _, rho = rotor
    x, chord, pitch, log_chord, half_area, chord_over_r = elements
    thrust = 0.0
    torque = 0.0
    for k in range(x.size):
        r = x[k]
        strip = (pitch[k], log_chord[k], half_area[k], chord_over_r[k])
        ring = (r, 2.0 * half_area[k] / (rho * chord[k]), strip)
        sign = 1.0 if ring_excess(0.0, tables, section, rotor, ring, speed, climb, tip) >= 0.0 else -1.0
        low = 0.0
        high = 2.0 * (abs(speed) * r + abs(climb))
        for _ in range(_HALVINGS):
            middle = 0.5 * (low + high)
            if sign * ring_excess(sign * middle, tables, section, rotor, ring, speed, climb, tip) > 0.0:
                low = middle
            else:
                high = middle
        v = sign * 0.5 * (low + high)
        induced[k] = v
        normal, forward, _, met = element_load(tables, section, strip, speed * r, -(climb + v))
        if met > 0.0:
            forward -= normal * descent_excess(v, climb) / met
        thrust += blades * normal
        torque -= blades * forward * r
    return thrust, torque
