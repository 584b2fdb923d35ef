"""The air on the tail rotor: blade elements at four azimuths, its own inflow."""

from __future__ import annotations

import numpy as np
from numba import njit

from paddlebar.physics.blade import element_load


@njit(cache=True, error_model="numpy")
def tail_loads(p, tables, v1, v2, v3, w1, w2, w3, speed, inflow):
    """Mean load on the tail rotor over a turn, in its axes: 3 along its thrust, 1 and 2 in its plane (right-handed).

    p, tables   : parameters (tail_*), section tables
    v1, v2, v3  : velocity of the tail hub through the air [m/s];  w1, w2, w3 : angular rate of the fuselage [rad/s]
    speed       : of the tail rotor relative to the fuselage, in its sense of rotation [rad/s]
    inflow      : induced velocity, against the thrust positive [m/s]
    Returns     : (F1, F2, F3 [N]; M1, M2, M3 about the tail hub [N m]; thrust [N]; torque that the air takes [N m])
    Holds for   : a tail rotor that turns several times as fast as the main one: its own 2-per-turn ripple is averaged over four
        azimuths, everything else (yaw, pitch and roll rates, wind from any side, wash) is resolved
    Source      : element_load; mean over four azimuths, exact for loads up to the third harmonic; common practice, no source
    Checked     : tests/reference/test_tail.py (yaw balance, power, damping, the mean over four azimuths)
    """
    f1 = 0.0
    f2 = 0.0
    f3 = 0.0
    m1 = 0.0
    m2 = 0.0
    m3 = 0.0
    torque = 0.0
    hand = p.tail_hand
    share = 0.25 * p.tail_blades
    for j in range(4):
        c = 1.0 if j == 0 else (-1.0 if j == 2 else 0.0)
        s = 1.0 if j == 1 else (-1.0 if j == 3 else 0.0)
        # in-plane velocity of the air over the blade, along the blade's own motion t = hand * (-s, c)
        along = hand * (c * v2 - s * v1)
        rate_out = s * w1 - c * w2  # flapping-like rate of the plane at this azimuth, along 3, per radius
        for k in range(p.tail_elements):
            r = p.tail_x[k]
            ut = (speed + hand * w3) * r + along
            up = -(v3 + rate_out * r) - inflow * p.tail_shape[k]
            normal, forward, couple, _ = element_load(
                tables,
                np.int64(2),
                ut,
                up,
                p.tail_pitch[k],
                p.tail_log_chord[k],
                p.tail_half_area[k],
                p.tail_chord_over_r[k],
                p.tail_alpha_zero,
                1.0,
            )
            normal *= share
            forward *= share
            f1 -= hand * s * forward
            f2 += hand * c * forward
            f3 += normal
            m1 += r * s * normal
            m2 -= r * c * normal
            m3 += hand * r * forward
            torque -= r * forward
    return f1, f2, f3, m1, m2, m3, f3, torque
