"""Moments about the CG along a flight that the flight itself does not keep: of the airframe and of the tail rotor.

From the one equation of each, in still air far from the floor; compiled, because a flight has thousands of samples.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from paddlebar.flight.layout import INFLOW, RATE_BODY, TAIL_INFLOW, TAIL_SPEED, VELOCITY_BODY
from paddlebar.physics.airframe import airframe_loads
from paddlebar.physics.mechanism import tail_air
from paddlebar.physics.wash import flow_sense, wash_met


@njit(cache=True, error_model="numpy")
def down_moments(states, climb, params, tables, cg):
    """Moments of the air about the body's down axis through the CG, nose to the right positive.

    states  : (n, state_size);  climb : (n,) of the hub along the shaft [m/s];  params, tables : as the right-hand side takes them
    cg      : (3,) centre of gravity from the datum, body axes [m]
    Returns : (n, 2) airframe, tail rotor [N m]; the tail's is that of its thrust, of the forces in its plane, and of its hub: air
        across its disc lifts the blade that meets it more than the other
    """
    p = params[0]
    out = np.zeros((states.shape[0], 2))
    s, place = p.shaft_axis, p.tail_place
    for k in range(states.shape[0]):
        y = states[k]
        vx, vy, vz = y[VELOCITY_BODY], y[VELOCITY_BODY + 1], y[VELOCITY_BODY + 2]
        wx, wy, wz = y[RATE_BODY], y[RATE_BODY + 1], y[RATE_BODY + 2]
        through = flow_sense(climb[k] + y[INFLOW])
        fx, fy, _, _, _, mz = airframe_loads(p, vx, vy, vz, wx, wy, wz, y[INFLOW], through)
        out[k, 0] = mz - (cg[0] * fy - cg[1] * fx)
        if p.tail_mass == 0.0:
            continue
        wash = wash_met(y[INFLOW], through, p.tail_wash_down, p.tail_wash_up)
        air = (-wash * s[0], -wash * s[1], -wash * s[2])
        fx, fy, _, _, _, mz, _, _, _, _, _, _, _ = tail_air(
            p, tables, (vx, vy, vz), (wx, wy, wz), air, y[TAIL_SPEED], y[TAIL_INFLOW]
        )
        out[k, 1] = mz + (place[0] - cg[0]) * fy - (place[1] - cg[1]) * fx
    return out
