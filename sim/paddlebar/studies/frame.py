"""The airframe's moment about the CG along a flight, from the one equation of the airframe; compiled, because a flight has thousands of samples."""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from paddlebar.flight.layout import INFLOW, RATE_BODY, VELOCITY_BODY
from paddlebar.flight.rhs import _SENSE
from paddlebar.physics.airframe import airframe_loads


@njit(cache=True, error_model="numpy")
def down_moments(states, climb, params, cg_x, cg_y):
    """Moment of the air on the airframe about the body's down axis through the CG, still air, far from the floor.

    states  : (n, state_size);  climb : (n,) of the hub along the shaft [m/s];  params : record, see craft/parameters.py
    cg_x, cg_y : centre of gravity forward and right of the datum [m]
    Returns : (n,) nose to the right positive [N m]
    """
    p = params[0]
    out = np.empty(states.shape[0])
    for k in range(states.shape[0]):
        y = states[k]
        flow = climb[k] + y[INFLOW]
        through = flow / math.sqrt(flow * flow + _SENSE * _SENSE)
        fx, fy, _, _, _, mz = airframe_loads(
            p,
            y[VELOCITY_BODY],
            y[VELOCITY_BODY + 1],
            y[VELOCITY_BODY + 2],
            y[RATE_BODY],
            y[RATE_BODY + 1],
            y[RATE_BODY + 2],
            y[INFLOW],
            through,
        )
        out[k] = mz - (cg_x * fy - cg_y * fx)
    return out
