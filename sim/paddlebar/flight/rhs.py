"""The right-hand side: one function that serves flights, margins and ensembles.

Kane's equations for the tree fuselage - shaft - (blades, bar) - tail, with the air, the rubber, the hinges and the cord as applied
forces; see physics/bodies.py for their form and physics/mechanism.py for the motion. Five parts: what is met, the bodies with the air on
them, what acts in the joints (joints.py), rates, loads.
"""

from __future__ import annotations

import numpy as np

from paddlebar.flight.joints import put_joints
from paddlebar.flight.layout import (
    AIR_AIRFRAME,
    AIR_BAR,
    AIR_ROTOR,
    AIR_TAIL,
    ATTITUDE,
    BAR_ANGLE,
    BAR_RATE,
    FLAP,
    INFLOW,
    POSITION,
    RATE_BODY,
    ROTOR_AZIMUTH,
    ROTOR_SPEED,
    SKEIN_SET,
    TAIL_ANGLE,
    TAIL_INFLOW,
    TAIL_SKEIN_SET,
    TAIL_SPEED,
    VELOCITY_BODY,
)
from paddlebar.physics import bodies
from paddlebar.physics.airframe import airframe_loads
from paddlebar.physics.attitude import quaternion_rate, rotation
from paddlebar.physics.compiled import outermost, part
from paddlebar.physics.cord import GRIPS
from paddlebar.physics.ground import induced_share
from paddlebar.physics.inflow import DYNAMIC, inflow_rates, uniform_rate
from paddlebar.physics.mechanism import add_bar, add_blade, add_fuselage, add_hub, add_tail
from paddlebar.physics.motor import TURN, motor_set_rate
from paddlebar.physics.outside import call_at
from paddlebar.physics.vectors import (
    ZERO,
    Z,
    add,
    along,
    cross,
    dot,
    four,
    out_of,
    put,
    put_four,
    scale,
    sub,
    three,
    vec,
)
from paddlebar.physics.wash import flow_sense, wash_met
from paddlebar.physics.wind import wind

# columns of the diagnostic row of the work array: loads at the state last asked for
THRUST, TORQUE, BAR_TORQUE, TAIL_THRUST, TAIL_TORQUE, SKEIN_TORQUE, TURNS_LEFT, CORD_DEMAND, SUPPORT, SPRING_ENERGY = (
    range(10)
)
ROTOR_CLIMB, TAIL_CLIMB, TAIL_SKEIN_TORQUE, CG_HEIGHT, POTENTIAL, CG_NORTH, CG_EAST, EDGEWISE = range(10, 18)
LOADS = 18


def work_array() -> np.ndarray:
    """Scratch space for one caller of the right-hand side."""
    return np.zeros((bodies.WORK_ROWS, bodies.WORK_COLUMNS))


@outermost
def rhs_into(t, y, params, tables, gusts, work, out):
    """Write dy/dt of the whole craft into `out`.

    t       : time [s]
    y       : (state_size(nf),) state, see flight/layout.py (SI)
    params  : (1,) record, see craft/parameters.py
    tables  : (3, N_RE, N_ALPHA, 3) section tables of blade, paddle, tail
    gusts   : (n, 3) turbulence in time [m/s]
    work    : work_array(); its diagnostic row holds loads afterwards, its mass matrix the one of this state
    out     : (state_size(nf),) written
    """
    p = params[0]
    unknowns = bodies.FLAP + p.flaps
    met = what_is_met(t, y, p, gusts)
    bodies.clear(work, unknowns)
    for k in range(bodies.SETTINGS):
        work[bodies.SETTING, k] = p.settings[k]
    if p.own_force != 0:
        call_at(p.own_force, t, y, params, gusts, work, out)
    of_air = put_bodies(y, p, tables, work, met, out)
    _, _, _, (_, tail_torque), _ = of_air
    of_joints = put_joints(y, p, work, tail_torque, out)
    bodies.solve(work, unknowns, p.base_locked, p.locked)
    put_rates(y, p, work, met, of_air, out)
    put_loads(y, p, work, met, of_air, of_joints, out)


@part
def what_is_met(t, y, p, gusts):
    """Attitude, motion, and the air where the rotor is.

    Returns : attitude: north, east, down in body axes [1]; motion as mechanism.py takes it; flow at the hub: climb along the shaft,
              forward, right [m/s]; sense of the flow through the disc [1]; inflow felt near the floor: mean, slopes [m/s]
    """
    attitude = rotation(four(y, ATTITUDE))
    _, _, down = attitude
    v = three(y, VELOCITY_BODY)
    w = three(y, RATE_BODY)
    hub = vec(p.hub_place)
    height = -(y[POSITION + Z] + dot(down, hub))
    air = out_of(wind(t, height, p, gusts), attitude)
    past = sub(add(v, cross(w, hub)), air)
    climb = dot(past, vec(p.shaft_axis))
    flow = (climb, -dot(past, vec(p.aft)), dot(past, vec(p.right)))
    near = induced_share(height / p.radius) if p.ground_effect == 1 else 1.0
    motion = (v, w, air, scale(p.gravity, down))
    return attitude, motion, flow, flow_sense(climb + y[INFLOW]), scale(near, three(y, INFLOW))


@part
def put_bodies(y, p, tables, work, met, out):
    """Put every body with the air on it into the equations; its work on the air into the ledger.

    met     : see what_is_met()
    Returns : thrust [N] and its moments forward and right [N m]; torque on the rotor, on the bar [N m]; thrust and torque of the tail
              [N], [N m]; its climb and edgewise speed [m/s]
    """
    _, motion, _, through, inflow = met
    v, w, air, g = motion
    v0, _, _ = inflow
    force, moment = airframe_loads(p, sub(v, air), w, v0, through)
    out[AIR_AIRFRAME] = -(dot(force, v) + dot(moment, w))
    add_fuselage(p, work, motion, force, moment)
    add_hub(p, work, motion, y[ROTOR_SPEED])
    lift, torque, out[AIR_ROTOR] = put_blades(y, p, tables, work, motion, inflow)
    shaft = (y[ROTOR_AZIMUTH], y[ROTOR_SPEED])
    bar = (y[BAR_ANGLE], y[BAR_RATE])
    bar_torque = 0.0
    out[AIR_BAR] = 0.0
    if p.bar_mass > 0.0:
        bar_torque, out[AIR_BAR] = add_bar(p, tables, work, motion, shaft, bar, v0)
    tail = (0.0, 0.0)
    tail_flow = (0.0, 0.0)
    out[AIR_TAIL] = 0.0
    if p.tail_mass > 0.0:
        wash = wash_met(v0, through, p.tail_wash_down, p.tail_wash_up)
        washed = (v, w, sub(air, scale(wash, vec(p.shaft_axis))), g)
        tail, tail_flow, out[AIR_TAIL] = add_tail(p, tables, work, washed, y[TAIL_SPEED], y[TAIL_INFLOW])
    bodies.close_base(work)
    return lift, torque, bar_torque, tail, tail_flow


@part
def put_blades(y, p, tables, work, motion, inflow):
    """Put all blades into the equations; thrust [N] with its moments [N m], torque [N m], power given to the air [W]."""
    shaft = (y[ROTOR_AZIMUTH], y[ROTOR_SPEED])
    bar = (y[BAR_ANGLE], y[BAR_RATE])
    lift = ZERO
    torque = 0.0
    power = 0.0
    for i in range(p.blades):
        which = p.flap_of_blade[i]
        flap = (0.0, 0.0)
        if which >= 0:
            sign = p.flap_sign[i]
            flap = (sign * y[FLAP + which], sign * y[FLAP + p.flaps + which])
        lifted, taken, given = add_blade(p, tables, work, i, motion, shaft, flap, bar, inflow)
        lift = add(lift, lifted)
        torque += taken
        power += given
    return lift, torque, power


@part
def put_rates(y, p, work, met, of_air, out):
    """Write the rates of all that is no work and no loss; met, of_air : see what_is_met(), put_bodies()."""
    attitude, (v, w, _, _), flow, _, _ = met
    lift, _, _, (tail_thrust, _), (tail_climb, edgewise) = of_air
    x = work[bodies.SOLUTION]
    put(out, POSITION, along(v, attitude))
    put_four(out, ATTITUDE, quaternion_rate(four(y, ATTITUDE), w))
    put(out, VELOCITY_BODY, sub(bodies.take(work, bodies.SOLUTION, bodies.BASE), cross(w, v)))
    put(out, RATE_BODY, bodies.take(work, bodies.SOLUTION, bodies.BASE_RATE))
    out[ROTOR_AZIMUTH] = y[ROTOR_SPEED]
    out[ROTOR_SPEED] = x[bodies.SHAFT]
    out[BAR_ANGLE] = y[BAR_RATE]
    out[BAR_RATE] = x[bodies.BAR]
    out[TAIL_ANGLE] = y[TAIL_SPEED]
    out[TAIL_SPEED] = p.cord_ratio * x[bodies.SHAFT] if p.cord_mode == GRIPS else x[bodies.TAIL]
    for i in range(p.flaps):
        out[FLAP + i] = y[FLAP + p.flaps + i]
        out[FLAP + p.flaps + i] = x[bodies.FLAP + i]
    out[SKEIN_SET] = motor_set_rate(p.skein, y[SKEIN_SET], y[ROTOR_SPEED])
    out[TAIL_SKEIN_SET] = motor_set_rate(p.tail_skein, y[TAIL_SKEIN_SET], y[TAIL_SPEED])
    put(out, INFLOW, ZERO)
    out[TAIL_INFLOW] = 0.0
    if p.inflow_mode == DYNAMIC:
        turning = -dot(w, vec(p.shaft_axis))
        put(out, INFLOW, inflow_rates(three(y, INFLOW), flow, lift, p.rho, p.radius, turning))
        if p.tail_mass > 0.0:
            out[TAIL_INFLOW] = uniform_rate(y[TAIL_INFLOW], tail_climb, edgewise, tail_thrust, p.rho, p.tail_radius)


@part
def put_loads(y, p, work, met, of_air, of_joints, out):
    """Write the loads into the diagnostic row, for whoever asks; arguments as the other parts return them."""
    attitude, _, (climb, _, _), _, _ = met
    _, _, down = attitude
    (thrust, _, _), torque, bar_torque, (tail_thrust, tail_torque), (tail_climb, edgewise) = of_air
    drive, springs, tail_drive, tail_rub = of_joints
    x = work[bodies.SOLUTION]
    diag = work[bodies.DIAGNOSTIC]
    diag[THRUST] = thrust
    diag[TORQUE] = torque
    diag[BAR_TORQUE] = bar_torque
    diag[TAIL_THRUST] = tail_thrust
    diag[TAIL_TORQUE] = tail_torque
    diag[SKEIN_TORQUE] = drive
    diag[TURNS_LEFT] = p.skein.turns - y[ROTOR_AZIMUTH] / TURN
    diag[SPRING_ENERGY] = springs
    diag[ROTOR_CLIMB] = climb
    diag[TAIL_CLIMB] = tail_climb
    diag[EDGEWISE] = edgewise
    diag[TAIL_SKEIN_TORQUE] = tail_drive
    spin = p.tail_hand * dot(vec(p.tail_axis), bodies.take(work, bodies.SOLUTION, bodies.BASE_RATE))
    diag[CORD_DEMAND] = p.tail_polar * (spin + out[TAIL_SPEED]) + tail_torque - tail_drive - tail_rub
    north, east, below = add(three(y, POSITION), along(bodies.centre(work), attitude))
    diag[CG_NORTH] = north
    diag[CG_EAST] = east
    diag[CG_HEIGHT] = -below
    diag[POTENTIAL] = work[bodies.TOTAL, bodies.TOTAL_MASS] * p.gravity * diag[CG_HEIGHT]
    diag[SUPPORT] = 0.0
    if p.base_locked == 1:  # force that the hand or the floor must give
        push = bodies.take(work, bodies.BIAS, bodies.BASE)
        for j in range(bodies.SHAFT, bodies.FLAP + p.flaps):
            push = add(push, scale(x[j], bodies.take(work, bodies.MASS + j, bodies.BASE)))
        diag[SUPPORT] = -dot(down, push)


def rhs(t, y, params, tables, gusts, work):
    """dy/dt as a new array; arguments as rhs_into. Plain Python: compiled, it would hold all of rhs_into once more."""
    out = np.empty_like(y)
    rhs_into(t, y, params, tables, gusts, work, out)
    return out
