"""The right-hand side: one function that serves flights, margins and ensembles.

Kane's equations for the tree fuselage - shaft - (blades, bar) - tail, with the air, the rubber, the hinges and the cord as applied
forces; see physics/bodies.py for their form and physics/mechanism.py for the motion.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

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
    LOST_HINGES,
    LOST_HYSTERESIS,
    LOST_SHAFT,
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
from paddlebar.physics import bodies, skein
from paddlebar.physics.airframe import airframe_loads
from paddlebar.physics.attitude import quaternion_rate, rotation
from paddlebar.physics.cord import drive_loss
from paddlebar.physics.ground import induced_share
from paddlebar.physics.hinge import dry_friction, hinge_moment
from paddlebar.physics.inflow import inflow_rates, uniform_rate
from paddlebar.physics.mechanism import add_bar, add_blade, add_hub, add_tail
from paddlebar.physics.motor import NONE, motor_drive
from paddlebar.physics.vectors import cross
from paddlebar.physics.wash import flow_sense, wash_met
from paddlebar.physics.wind import wind

# columns of the diagnostic row of the work array: loads at the state last asked for
THRUST, TORQUE, BAR_TORQUE, TAIL_THRUST, TAIL_TORQUE, SKEIN_TORQUE, TURNS_LEFT, CORD_DEMAND, SUPPORT, SPRING_ENERGY = (
    range(10)
)
ROTOR_CLIMB, TAIL_CLIMB, TAIL_SKEIN_TORQUE, CG_HEIGHT, POTENTIAL, CG_NORTH, CG_EAST, EDGEWISE = range(10, 18)

_TURN = 2.0 * math.pi
_SHAFT_SLIDE = 0.5  # [rad/s] rate over which the shaft bearing's dry friction reverses


def work_array() -> np.ndarray:
    """Scratch space for one caller of the right-hand side."""
    return np.zeros((bodies.WORK_ROWS, bodies.WORK_COLUMNS))


@njit(cache=True, error_model="numpy")
def fuselage(p, work, w, g, fx, fy, fz, mx, my, mz):
    """Add the fuselage with the force and moment (about the datum) that the air puts on it."""
    m = p.body_mass
    cx = p.body_moment[0] / m
    cy = p.body_moment[1] / m
    cz = p.body_moment[2] / m
    j = p.body_inertia
    qx, qy, qz = cross(w[0], w[1], w[2], cx, cy, cz)
    ax, ay, az = cross(w[0], w[1], w[2], qx, qy, qz)
    bodies.add_body(
        work, np.int64(0), np.int64(0), np.int64(0), np.int64(0), m, cx, cy, cz,
        j[0, 0] - m * (cy * cy + cz * cz), j[1, 1] - m * (cx * cx + cz * cz), j[2, 2] - m * (cx * cx + cy * cy),
        j[0, 1] + m * cx * cy, j[0, 2] + m * cx * cz, j[1, 2] + m * cy * cz,
        w[0], w[1], w[2], ax - g[0], ay - g[1], az - g[2], 0.0, 0.0, 0.0, fx, fy, fz, mx, my, mz,
    )  # fmt: skip


@njit(cache=True, error_model="numpy")
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
    flaps = p.flaps
    n = bodies.FLAP + flaps
    diag = work[bodies.DIAGNOSTIC]
    r00, r01, r02, r10, r11, r12, r20, r21, r22 = rotation(
        y[ATTITUDE], y[ATTITUDE + 1], y[ATTITUDE + 2], y[ATTITUDE + 3]
    )
    v = (y[VELOCITY_BODY], y[VELOCITY_BODY + 1], y[VELOCITY_BODY + 2])
    w = (y[RATE_BODY], y[RATE_BODY + 1], y[RATE_BODY + 2])
    g = (p.gravity * r20, p.gravity * r21, p.gravity * r22)
    azimuth = y[ROTOR_AZIMUTH]
    speed = y[ROTOR_SPEED]
    bar_angle = y[BAR_ANGLE]
    bar_rate = y[BAR_RATE]
    tail_speed = y[TAIL_SPEED]
    v0 = y[INFLOW]
    ax = p.shaft_axis[0]
    ay = p.shaft_axis[1]
    az = p.shaft_axis[2]
    hx = p.hub_place[0]
    hy = p.hub_place[1]
    hz = p.hub_place[2]
    hub_height = -(y[POSITION + 2] + r20 * hx + r21 * hy + r22 * hz)
    north, east, down = wind(t, hub_height, p, gusts)
    air = (
        r00 * north + r10 * east + r20 * down,
        r01 * north + r11 * east + r21 * down,
        r02 * north + r12 * east + r22 * down,
    )
    # flow at the hub, along the shaft and across it
    qx, qy, qz = cross(w[0], w[1], w[2], hx, hy, hz)
    qx += v[0] - air[0]
    qy += v[1] - air[1]
    qz += v[2] - air[2]
    climb = qx * ax + qy * ay + qz * az
    forward = -(qx * p.aft[0] + qy * p.aft[1] + qz * p.aft[2])
    sideways = qx * p.right[0] + qy * p.right[1] + qz * p.right[2]
    through = flow_sense(climb + v0)
    near = induced_share(hub_height / p.radius) if p.ground_effect == 1 else 1.0
    felt = near * v0

    bodies.clear(work, n)
    fx, fy, fz, mx, my, mz = airframe_loads(
        p, v[0] - air[0], v[1] - air[1], v[2] - air[2], w[0], w[1], w[2], felt, through
    )
    fuselage(p, work, w, g, fx, fy, fz, mx, my, mz)
    out[AIR_AIRFRAME] = -(fx * v[0] + fy * v[1] + fz * v[2] + mx * w[0] + my * w[1] + mz * w[2])
    add_hub(p, work, w, g, speed)

    thrust = 0.0
    torque = 0.0
    first_x = 0.0
    first_y = 0.0
    power = 0.0
    for i in range(p.blades):
        which = p.flap_of_blade[i]
        flap = 0.0
        flap_rate = 0.0
        if which >= 0:
            flap = p.flap_sign[i] * y[FLAP + which]
            flap_rate = p.flap_sign[i] * y[FLAP + flaps + which]
        inflow = (felt, near * y[INFLOW + 1], near * y[INFLOW + 2])
        one, two, three, four, five = add_blade(
            p, tables, work, i, v, w, air, g, azimuth, speed, flap, flap_rate, bar_angle, bar_rate, inflow
        )
        thrust += one
        first_x += two
        first_y += three
        torque += four
        power += five
    out[AIR_ROTOR] = power
    bar_torque = 0.0
    out[AIR_BAR] = 0.0
    if p.bar_mass > 0.0:
        bar_torque, power = add_bar(p, tables, work, v, w, air, g, azimuth, speed, bar_angle, bar_rate, felt)
        out[AIR_BAR] = power
    tail_thrust = 0.0
    tail_torque = 0.0
    tail_climb = 0.0
    edgewise = 0.0
    out[AIR_TAIL] = 0.0
    if p.tail_mass > 0.0:
        wash = wash_met(felt, through, p.tail_wash_down, p.tail_wash_up)
        tail_air = (air[0] - wash * ax, air[1] - wash * ay, air[2] - wash * az)
        tail_thrust, tail_torque, power, tail_climb, edgewise = add_tail(
            p, tables, work, v, w, tail_air, g, tail_speed, y[TAIL_INFLOW]
        )
        out[AIR_TAIL] = power
    bodies.close_base(work)

    # what acts in the joints
    turns = p.skein.turns - azimuth / _TURN
    drive, loss = motor_drive(p.skein, turns, y[SKEIN_SET])
    rub = dry_friction(p.shaft_friction, speed, _SHAFT_SLIDE)
    work[bodies.BIAS, bodies.SHAFT] -= drive + rub
    out[LOST_HYSTERESIS] = loss * speed
    out[LOST_SHAFT] = -rub * speed
    moment, energy, lost = hinge_moment(
        bar_angle,
        bar_rate,
        p.bar_spring,
        p.bar_damper,
        p.bar_friction,
        p.bar_stop,
        p.bar_stop_stiffness,
        p.stop_damping,
    )
    work[bodies.BIAS, bodies.BAR] -= moment
    springs = energy
    hinge_loss = lost
    for i in range(flaps):
        moment, energy, lost = hinge_moment(
            y[FLAP + i],
            y[FLAP + flaps + i],
            p.flap_spring,
            p.flap_damper,
            p.flap_friction,
            p.flap_stop,
            p.flap_stop_stiffness,
            p.stop_damping,
        )
        work[bodies.BIAS, bodies.FLAP + i] -= moment
        springs += energy
        hinge_loss += lost
    out[LOST_HINGES] = hinge_loss
    tail_drive = 0.0
    tail_loss = 0.0
    tail_rub = 0.0
    if p.tail_mass > 0.0:
        tail_turns = p.tail_skein.turns - y[TAIL_ANGLE] / _TURN
        tail_drive, tail_loss = motor_drive(p.tail_skein, tail_turns, y[TAIL_SKEIN_SET])
        tail_rub = drive_loss(tail_torque if p.cord_mode != 0 else 0.0, p.cord_loss, p.tail_friction, tail_speed)
        out[LOST_HYSTERESIS] += tail_loss * tail_speed
        out[LOST_SHAFT] -= tail_rub * tail_speed
        if p.cord_mode == 1:
            work[bodies.BIAS, bodies.SHAFT] -= p.cord_ratio * (tail_drive + tail_rub)
        else:
            work[bodies.BIAS, bodies.TAIL] -= tail_drive + tail_rub
            if p.cord_mode == 2:
                drag = p.cord_sense * p.cord_limit
                work[bodies.BIAS, bodies.TAIL] -= drag
                work[bodies.BIAS, bodies.SHAFT] += p.cord_ratio * drag
                out[LOST_SHAFT] += drag * (p.cord_ratio * speed - tail_speed)

    bodies.solve(work, n, p.base_locked, p.locked)
    x = work[bodies.SOLUTION]

    # rates of the state
    out[POSITION] = r00 * v[0] + r01 * v[1] + r02 * v[2]
    out[POSITION + 1] = r10 * v[0] + r11 * v[1] + r12 * v[2]
    out[POSITION + 2] = r20 * v[0] + r21 * v[1] + r22 * v[2]
    out[ATTITUDE], out[ATTITUDE + 1], out[ATTITUDE + 2], out[ATTITUDE + 3] = quaternion_rate(
        y[ATTITUDE], y[ATTITUDE + 1], y[ATTITUDE + 2], y[ATTITUDE + 3], w[0], w[1], w[2]
    )
    qx, qy, qz = cross(w[0], w[1], w[2], v[0], v[1], v[2])
    out[VELOCITY_BODY] = x[0] - qx
    out[VELOCITY_BODY + 1] = x[1] - qy
    out[VELOCITY_BODY + 2] = x[2] - qz
    out[RATE_BODY] = x[3]
    out[RATE_BODY + 1] = x[4]
    out[RATE_BODY + 2] = x[5]
    out[ROTOR_AZIMUTH] = speed
    out[ROTOR_SPEED] = x[bodies.SHAFT]
    out[BAR_ANGLE] = bar_rate
    out[BAR_RATE] = x[bodies.BAR]
    out[TAIL_ANGLE] = tail_speed
    out[TAIL_SPEED] = p.cord_ratio * x[bodies.SHAFT] if p.cord_mode == 1 else x[bodies.TAIL]
    for i in range(flaps):
        out[FLAP + i] = y[FLAP + flaps + i]
        out[FLAP + flaps + i] = x[bodies.FLAP + i]
    out[SKEIN_SET] = 0.0
    if p.skein.kind != NONE:
        out[SKEIN_SET] = skein.set_rate(y[SKEIN_SET], -speed / _TURN, p.skein.settle)
    out[TAIL_SKEIN_SET] = 0.0
    if p.tail_skein.kind != NONE:
        out[TAIL_SKEIN_SET] = skein.set_rate(y[TAIL_SKEIN_SET], -tail_speed / _TURN, p.tail_skein.settle)
    out[INFLOW] = 0.0
    out[INFLOW + 1] = 0.0
    out[INFLOW + 2] = 0.0
    out[TAIL_INFLOW] = 0.0
    if p.inflow_mode == 2:
        turning = -(w[0] * ax + w[1] * ay + w[2] * az)
        out[INFLOW], out[INFLOW + 1], out[INFLOW + 2] = inflow_rates(
            v0,
            y[INFLOW + 1],
            y[INFLOW + 2],
            climb,
            forward,
            sideways,
            thrust,
            first_x,
            first_y,
            p.rho,
            p.radius,
            turning,
        )
        if p.tail_mass > 0.0:
            out[TAIL_INFLOW] = uniform_rate(y[TAIL_INFLOW], tail_climb, edgewise, tail_thrust, p.rho, p.tail_radius)

    # loads for whoever asks
    diag[THRUST] = thrust
    diag[TORQUE] = torque
    diag[BAR_TORQUE] = bar_torque
    diag[TAIL_THRUST] = tail_thrust
    diag[TAIL_TORQUE] = tail_torque
    diag[SKEIN_TORQUE] = drive
    diag[TURNS_LEFT] = turns
    diag[SPRING_ENERGY] = springs
    diag[ROTOR_CLIMB] = climb
    diag[TAIL_CLIMB] = tail_climb
    diag[EDGEWISE] = edgewise
    diag[TAIL_SKEIN_TORQUE] = tail_drive
    spin = p.tail_hand * (p.tail_axis[0] * x[3] + p.tail_axis[1] * x[4] + p.tail_axis[2] * x[5])
    diag[CORD_DEMAND] = p.tail_polar * (spin + out[TAIL_SPEED]) + tail_torque - tail_drive - tail_rub
    m = work[bodies.TOTAL, 0]
    cx = work[bodies.TOTAL, 1] / m
    cy = work[bodies.TOTAL, 2] / m
    cz = work[bodies.TOTAL, 3] / m
    diag[CG_NORTH] = y[POSITION] + r00 * cx + r01 * cy + r02 * cz
    diag[CG_EAST] = y[POSITION + 1] + r10 * cx + r11 * cy + r12 * cz
    diag[CG_HEIGHT] = -(y[POSITION + 2] + r20 * cx + r21 * cy + r22 * cz)
    diag[POTENTIAL] = m * p.gravity * diag[CG_HEIGHT]
    up = 0.0
    if p.base_locked == 1:  # force that the hand or the floor must give
        bx = work[bodies.BIAS, 0]
        by = work[bodies.BIAS, 1]
        bz = work[bodies.BIAS, 2]
        for j in range(6, n):
            bx += work[j, 0] * x[j]
            by += work[j, 1] * x[j]
            bz += work[j, 2] * x[j]
        up = -(r20 * bx + r21 * by + r22 * bz)
    diag[SUPPORT] = up


@njit(cache=True, error_model="numpy")
def rhs(t, y, params, tables, gusts, work):
    """dy/dt as a new array; arguments as rhs_into."""
    out = np.empty_like(y)
    rhs_into(t, y, params, tables, gusts, work, out)
    return out
