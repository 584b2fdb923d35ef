"""Moments about the CG along a flight that the flight itself does not keep: of the airframe and of the tail rotor.

From the one equation of each, in still air far from the floor; compiled, because a flight has thousands of samples.
"""

from __future__ import annotations

import numpy as np

from paddlebar.flight.layout import INFLOW, RATE_BODY, TAIL_INFLOW, TAIL_SPEED, VELOCITY_BODY
from paddlebar.physics.airframe import airframe_loads
from paddlebar.physics.compiled import outermost
from paddlebar.physics.mechanism import tail_air
from paddlebar.physics.vectors import ZERO, Z, add, cross, scale, sub, three, vec
from paddlebar.physics.wash import flow_sense, wash_met

AIRFRAME, TAIL = 0, 1  # columns of the answer
COLUMNS = 2


@outermost
def down_moments(states, climb, params, tables, cg):
    """Moments of the air about the body's down axis through the CG, nose to the right positive.

    states  : (n, state_size);  climb : (n,) of the hub along the shaft [m/s];  params, tables : as the right-hand side takes them
    cg      : (3,) centre of gravity from the datum, body axes [m]
    Returns : (n, COLUMNS) airframe, tail rotor [N m]; the tail's is that of its thrust, of the forces in its plane, and of its hub: air
        across its disc lifts the blade that meets it more than the other
    """
    p = params[0]
    out = np.zeros((states.shape[0], COLUMNS))
    shaft, centre = vec(p.shaft_axis), vec(cg)
    arm = sub(vec(p.tail_place), centre)
    for k in range(states.shape[0]):
        y = states[k]
        v = three(y, VELOCITY_BODY)
        w = three(y, RATE_BODY)
        through = flow_sense(climb[k] + y[INFLOW])
        force, moment = airframe_loads(p, v, w, y[INFLOW], through)
        out[k, AIRFRAME] = sub(moment, cross(centre, force))[Z]
        if p.tail_mass == 0.0:
            continue
        wash = wash_met(y[INFLOW], through, p.tail_wash_down, p.tail_wash_up)
        motion = (v, w, scale(-wash, shaft), ZERO)
        force, moment, _, _, _ = tail_air(p, tables, motion, y[TAIL_SPEED], y[TAIL_INFLOW])
        out[k, TAIL] = add(moment, cross(arm, force))[Z]
    return out
