"""The air on the tail rotor: blade elements at four azimuths, its own inflow."""

from __future__ import annotations

from paddlebar.physics.blade import element_load
from paddlebar.physics.compiled import jitted
from paddlebar.physics.inflow import descent_excess
from paddlebar.physics.section import OF_TAIL

_COSINES, _SINES = (1.0, 0.0, -1.0, 0.0), (0.0, 1.0, 0.0, -1.0)  # of the four azimuths


@jitted
def tail_loads(p, tables, v, w, speed, inflow, turned=0.0):
    """Mean load on the tail rotor over a turn, in its axes: the third along its thrust, the others in its plane (right-handed).

    p, tables : parameters (tail_*), section tables
    v         : velocity of the tail hub through the air [m/s];  w : angular rate of the fuselage [rad/s]
    speed     : of the tail rotor relative to the fuselage, in its sense of rotation [rad/s]
    inflow    : induced velocity, against the thrust positive [m/s]
    turned    : of the blades against what is built in, by an actuator that has no mass and does no work [rad]
    Returns   : force (3) [N]; moment about the tail hub (3) [N m]; torque that the air takes [N m]
    Holds for : a tail rotor that turns several times as fast as the main one: its own 2-per-turn ripple is averaged over four
        azimuths, everything else (yaw, pitch and roll rates, wind from any side, wash) is resolved
    Source    : element_load; mean over four azimuths, exact for loads up to the third harmonic; common practice, no source
    Checked   : tests/reference/test_tail.py (yaw balance, power, damping, the mean over four azimuths)
    """
    v1, v2, v3 = v
    w1, w2, w3 = w
    section = (OF_TAIL, p.tail_alpha_zero, 1.0)
    f1 = 0.0
    f2 = 0.0
    f3 = 0.0
    m1 = 0.0
    m2 = 0.0
    m3 = 0.0
    torque = 0.0
    hand = p.tail_hand
    share = 0.25 * p.tail_blades
    excess = descent_excess(inflow, v3)
    for j in range(4):
        c = _COSINES[j]
        s = _SINES[j]
        # in-plane velocity of the air over the blade, along the blade's own motion t = hand * (-s, c)
        past = hand * (c * v2 - s * v1)
        rate_out = s * w1 - c * w2  # flapping-like rate of the plane at this azimuth, along the thrust, per radius
        for k in range(p.tail_elements):
            r = p.tail_x[k]
            ut = (speed + hand * w3) * r + past
            up = -(v3 + rate_out * r) - inflow * p.tail_shape[k]
            strip = (p.tail_pitch[k] + turned, p.tail_log_chord[k], p.tail_half_area[k], p.tail_chord_over_r[k])
            normal, forward, _, met = element_load(tables, section, strip, ut, up)
            if met > 0.0:
                forward -= normal * excess * p.tail_shape[k] / met
            normal *= share
            forward *= share
            f1 -= hand * s * forward
            f2 += hand * c * forward
            f3 += normal
            m1 += r * s * normal
            m2 -= r * c * normal
            m3 += hand * r * forward
            torque -= r * forward
    return (f1, f2, f3), (m1, m2, m3), torque
