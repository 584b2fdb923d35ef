"""Moments about the CG along a flight that the flight itself does not keep: of the airframe and of the tail rotor.

From the one equation of each, in still air far from the floor; compiled, because a flight has thousands of samples.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from paddlebar.flight.layout import INFLOW, RATE_BODY, TAIL_INFLOW, TAIL_SPEED, VELOCITY_BODY
from paddlebar.flight.rhs import _SENSE
from paddlebar.physics.airframe import airframe_loads
from paddlebar.physics.tail import tail_loads


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
    a, e, m, s = p.tail_axis, p.tail_one, p.tail_two, p.shaft_axis
    px, py, pz = p.tail_place[0], p.tail_place[1], p.tail_place[2]
    for k in range(states.shape[0]):
        y = states[k]
        vx, vy, vz = y[VELOCITY_BODY], y[VELOCITY_BODY + 1], y[VELOCITY_BODY + 2]
        wx, wy, wz = y[RATE_BODY], y[RATE_BODY + 1], y[RATE_BODY + 2]
        flow = climb[k] + y[INFLOW]
        through = flow / math.sqrt(flow * flow + _SENSE * _SENSE)
        fx, fy, _, _, _, mz = airframe_loads(p, vx, vy, vz, wx, wy, wz, y[INFLOW], through)
        out[k, 0] = mz - (cg[0] * fy - cg[1] * fx)
        if p.tail_mass == 0.0:
            continue
        wash = 0.5 * y[INFLOW] * ((1.0 + through) * p.tail_wash_down + (1.0 - through) * p.tail_wash_up)
        lx = vx + wy * pz - wz * py + wash * s[0]
        ly = vy + wz * px - wx * pz + wash * s[1]
        lz = vz + wx * py - wy * px + wash * s[2]
        f1, f2, f3, m1, m2, m3, _, _ = tail_loads(
            p, tables, lx * e[0] + ly * e[1] + lz * e[2], lx * m[0] + ly * m[1] + lz * m[2], lx * a[0] + ly * a[1] + lz * a[2],
            wx * e[0] + wy * e[1] + wz * e[2], wx * m[0] + wy * m[1] + wz * m[2], wx * a[0] + wy * a[1] + wz * a[2],
            y[TAIL_SPEED], y[TAIL_INFLOW],
        )  # fmt: skip
        fx = f1 * e[0] + f2 * m[0] + f3 * a[0]
        fy = f1 * e[1] + f2 * m[1] + f3 * a[1]
        out[k, 1] = m1 * e[2] + m2 * m[2] + m3 * a[2] + (px - cg[0]) * fy - (py - cg[1]) * fx
    return out
