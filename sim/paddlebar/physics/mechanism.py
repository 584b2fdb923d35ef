"""Where hub, blades, bar and tail are, how they move, and what they add to the equations of motion.

Right-hand rule throughout, body axes (forward, right, down). A rotor of either hand is described by the same vectors: `hand`
is +1 for counter-clockwise seen from above, and every triad (out, forward, up) is right-handed only for that one.

Source  : kinematics of rigid bodies in relative motion, any dynamics textbook; common practice, no source.
Checked : tests/reference/test_multibody_sympy.py, test_multibody_mujoco.py, tests/invariants/test_mechanics.py.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from paddlebar.physics.bar import arm_loads
from paddlebar.physics.blade import blade_loads
from paddlebar.physics.bodies import BAR, FLAP, SHAFT, TAIL, add_body, axial_inertia, set_screw, turn_inertia
from paddlebar.physics.linkage import feathering
from paddlebar.physics.tail import tail_loads
from paddlebar.physics.vectors import cross


@njit(cache=True, error_model="numpy")
def point_acceleration(ax, ay, az, bx, by, bz, wx, wy, wz, rx, ry, rz):
    """Acceleration of a point of a body, a + b x r + w x (w x r), from that of another point r away [m/s^2]."""
    px, py, pz = cross(bx, by, bz, rx, ry, rz)
    qx, qy, qz = cross(wx, wy, wz, rx, ry, rz)
    ux, uy, uz = cross(wx, wy, wz, qx, qy, qz)
    return ax + px + ux, ay + py + uy, az + pz + uz


@njit(cache=True, error_model="numpy")
def hub_axes(p, chi):
    """Cosine and sine of an angle chi [rad] about the shaft, from aft towards the right, and the hub's unit vectors there [1].

    Returns : cos, sin, out along the radius (3), across it towards rising chi (3)
    """
    c = math.cos(chi)
    s = math.sin(chi)
    return (
        c,
        s,
        p.aft[0] * c + p.right[0] * s,
        p.aft[1] * c + p.right[1] * s,
        p.aft[2] * c + p.right[2] * s,
        p.right[0] * c - p.aft[0] * s,
        p.right[1] * c - p.aft[1] * s,
        p.right[2] * c - p.aft[2] * s,
    )


@njit(cache=True, error_model="numpy")
def add_hub(p, work, w, g, speed):
    """Add the hub, a disc on the shaft; leaves nothing on it from the air.

    w : body rate (3) [rad/s];  g : gravity in body axes (3) [m/s^2];  speed : of the shaft [rad/s]
    """
    ax = p.shaft_axis[0]
    ay = p.shaft_axis[1]
    az = p.shaft_axis[2]
    px = p.hub_place[0]
    py = p.hub_place[1]
    pz = p.hub_place[2]
    rate = p.hand * speed
    bx, by, bz = cross(w[0], w[1], w[2], ax * rate, ay * rate, az * rate)
    cx, cy, cz = point_acceleration(-g[0], -g[1], -g[2], 0.0, 0.0, 0.0, w[0], w[1], w[2], px, py, pz)
    jxx, jyy, jzz, jxy, jxz, jyz = axial_inertia(p.hub_polar, p.hub_diametral, ax, ay, az)
    set_screw(work, 0, p.hand * ax, p.hand * ay, p.hand * az, px, py, pz)
    add_body(
        work, np.int64(1), np.int64(SHAFT), np.int64(0), np.int64(0), p.hub_mass, px, py, pz, jxx, jyy, jzz, jxy, jxz, jyz,
        w[0] + ax * rate, w[1] + ay * rate, w[2] + az * rate, cx, cy, cz, bx, by, bz, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0,
    )  # fmt: skip


@njit(cache=True, error_model="numpy")
def add_blade(p, tables, work, i, v, w, air, g, azimuth, speed, flap, flap_rate, bar_angle, bar_rate, inflow):
    """Add blade i: its motion, the air on it, its place in the equations.

    v, w, air, g   : datum velocity over ground, body rate, wind, gravity, body axes (3 each) [m/s], [rad/s], [m/s], [m/s^2]
    azimuth, speed : of blade 1 [rad], of the shaft [rad/s]
    flap, flap_rate, bar_angle, bar_rate : of this blade and of the bar [rad], [rad/s]
    inflow         : uniform (ground effect included), forward, right [m/s]
    Returns        : (thrust [N], its moments x forward and y right [N m], torque that the air takes [N m], power given to the air [W])
    """
    hand = p.hand
    sx = hand * p.shaft_axis[0]
    sy = hand * p.shaft_axis[1]
    sz = hand * p.shaft_axis[2]
    chi = hand * (azimuth + 2.0 * math.pi * i / p.blades)
    c, s, ox, oy, oz, nx, ny, nz = hub_axes(p, chi)
    # hinge
    e = p.hinge_offset
    px = p.hub_place[0] + e * ox
    py = p.hub_place[1] + e * oy
    pz = p.hub_place[2] + e * oz
    # blade axes: up by coning and flapping, then nose up by feathering
    beta = p.precone + flap
    cb = math.cos(beta)
    sb = math.sin(beta)
    ax = p.shaft_axis[0]
    ay = p.shaft_axis[1]
    az = p.shaft_axis[2]
    f1x = cb * ox + sb * ax
    f1y = cb * oy + sb * ay
    f1z = cb * oz + sb * az
    ux = cb * ax - sb * ox
    uy = cb * ay - sb * oy
    uz = cb * az - sb * oz
    theta = feathering(p.feather_share[i], bar_angle, p.flap_coupling, flap)
    theta_rate = feathering(p.feather_share[i], bar_rate, p.flap_coupling, flap_rate)
    ct = math.cos(theta)
    st = math.sin(theta)
    f2x = ct * hand * nx + st * ux
    f2y = ct * hand * ny + st * uy
    f2z = ct * hand * nz + st * uz
    f3x = ct * ux - st * hand * nx
    f3y = ct * uy - st * hand * ny
    f3z = ct * uz - st * hand * nz
    # motion: shaft, flap (about -n), feather (about hand * f1)
    w1x = w[0] + sx * speed
    w1y = w[1] + sy * speed
    w1z = w[2] + sz * speed
    b1x, b1y, b1z = cross(w[0], w[1], w[2], sx * speed, sy * speed, sz * speed)
    qx, qy, qz = cross(w1x, w1y, w1z, -nx * flap_rate, -ny * flap_rate, -nz * flap_rate)
    w2x = w1x - nx * flap_rate
    w2y = w1y - ny * flap_rate
    w2z = w1z - nz * flap_rate
    k = hand * theta_rate
    rx, ry, rz = cross(w2x, w2y, w2z, k * f1x, k * f1y, k * f1z)
    w3x = w2x + k * f1x
    w3y = w2y + k * f1y
    w3z = w2z + k * f1z
    b3x = b1x + qx + rx
    b3y = b1y + qy + ry
    b3z = b1z + qz + rz
    hx = p.hub_place[0]
    hy = p.hub_place[1]
    hz = p.hub_place[2]
    aax, aay, aaz = point_acceleration(-g[0], -g[1], -g[2], 0.0, 0.0, 0.0, w[0], w[1], w[2], hx, hy, hz)
    aax, aay, aaz = point_acceleration(aax, aay, aaz, b1x, b1y, b1z, w1x, w1y, w1z, e * ox, e * oy, e * oz)
    rcx = p.blade_centre[0] * f1x + p.blade_centre[1] * f2x + p.blade_centre[2] * f3x
    rcy = p.blade_centre[0] * f1y + p.blade_centre[1] * f2y + p.blade_centre[2] * f3y
    rcz = p.blade_centre[0] * f1z + p.blade_centre[1] * f2z + p.blade_centre[2] * f3z
    aax, aay, aaz = point_acceleration(aax, aay, aaz, b3x, b3y, b3z, w3x, w3y, w3z, rcx, rcy, rcz)
    # velocity of the hinge
    vx, vy, vz = cross(w[0], w[1], w[2], hx, hy, hz)
    qx, qy, qz = cross(w1x, w1y, w1z, e * ox, e * oy, e * oz)
    vx += v[0] + qx
    vy += v[1] + qy
    vz += v[2] + qz
    lx = vx - air[0]
    ly = vy - air[1]
    lz = vz - air[2]
    omega1 = w3x * f1x + w3y * f1y + w3z * f1z
    omega2 = w3x * f2x + w3y * f2y + w3z * f2z
    omega3 = w3x * f3x + w3y * f3y + w3z * f3z
    f2, f3, m1, m2, m3, thrust, first_x, first_y = blade_loads(
        p, tables,
        lx * f1x + ly * f1y + lz * f1z, lx * f2x + ly * f2y + lz * f2z, lx * f3x + ly * f3y + lz * f3z,
        omega1, omega2, omega3, hand,
        ax * f2x + ay * f2y + az * f2z, ax * f3x + ay * f3y + az * f3z,
        c, s, inflow[0], inflow[1], inflow[2],
    )  # fmt: skip
    fx = f2 * f2x + f3 * f3x
    fy = f2 * f2y + f3 * f3y
    fz = f2 * f2z + f3 * f3z
    mx = hand * (m1 * f1x + m2 * f2x + m3 * f3x)
    my = hand * (m1 * f1y + m2 * f2y + m3 * f3y)
    mz = hand * (m1 * f1z + m2 * f2z + m3 * f3z)
    power = -(fx * vx + fy * vy + fz * vz + mx * w3x + my * w3y + mz * w3z)
    qx, qy, qz = cross(px, py, pz, fx, fy, fz)
    mx += qx
    my += qy
    mz += qz
    qx, qy, qz = cross(hx, hy, hz, fx, fy, fz)
    torque = -(sx * (mx - qx) + sy * (my - qy) + sz * (mz - qz))
    jxx, jyy, jzz, jxy, jxz, jyz = turn_inertia(p.blade_inertia, f1x, f1y, f1z, f2x, f2y, f2z, f3x, f3y, f3z)
    set_screw(work, 0, sx, sy, sz, hx, hy, hz)
    share = hand * p.feather_share[i]
    set_screw(work, 1, share * f1x, share * f1y, share * f1z, px, py, pz)
    joints = 2
    which = p.flap_of_blade[i]
    if which >= 0:
        joints = 3
        sense = p.flap_sign[i]
        couple = hand * p.flap_coupling
        set_screw(
            work,
            2,
            sense * (-nx - couple * f1x),
            sense * (-ny - couple * f1y),
            sense * (-nz - couple * f1z),
            px,
            py,
            pz,
        )
    add_body(
        work, joints, np.int64(SHAFT), np.int64(BAR), FLAP + which, p.blade_mass,
        hx + e * ox + rcx, hy + e * oy + rcy, hz + e * oz + rcz, jxx, jyy, jzz, jxy, jxz, jyz,
        w3x, w3y, w3z, aax, aay, aaz, b3x, b3y, b3z, fx, fy, fz, mx, my, mz,
    )  # fmt: skip
    return thrust, first_x, first_y, torque, power


@njit(cache=True, error_model="numpy")
def add_bar(p, tables, work, v, w, air, g, azimuth, speed, angle, rate, v0):
    """Add the bar: a seesaw on the hub, the air on its two arms.

    Arguments as add_blade; angle, rate : tilt of the bar, arm 1 up [rad], [rad/s]
    Returns   : (torque that the air takes [N m], power given to the air [W])
    """
    hand = p.hand
    ax = p.shaft_axis[0]
    ay = p.shaft_axis[1]
    az = p.shaft_axis[2]
    chi = hand * (azimuth + p.bar_lead)
    _, _, ox, oy, oz, nx, ny, nz = hub_axes(p, chi)
    hx = p.hub_place[0]
    hy = p.hub_place[1]
    hz = p.hub_place[2]
    px = hx + p.bar_height * ax
    py = hy + p.bar_height * ay
    pz = hz + p.bar_height * az
    cb = math.cos(angle)
    sb = math.sin(angle)
    f1x = cb * ox + sb * ax
    f1y = cb * oy + sb * ay
    f1z = cb * oz + sb * az
    f2x = hand * nx
    f2y = hand * ny
    f2z = hand * nz
    f3x = cb * ax - sb * ox
    f3y = cb * ay - sb * oy
    f3z = cb * az - sb * oz
    turn = hand * speed
    w1x = w[0] + ax * turn
    w1y = w[1] + ay * turn
    w1z = w[2] + az * turn
    b1x, b1y, b1z = cross(w[0], w[1], w[2], ax * turn, ay * turn, az * turn)
    qx, qy, qz = cross(w1x, w1y, w1z, -nx * rate, -ny * rate, -nz * rate)
    w2x = w1x - nx * rate
    w2y = w1y - ny * rate
    w2z = w1z - nz * rate
    b2x = b1x + qx
    b2y = b1y + qy
    b2z = b1z + qz
    rcx = p.bar_centre[0] * f1x + p.bar_centre[1] * f2x + p.bar_centre[2] * f3x
    rcy = p.bar_centre[0] * f1y + p.bar_centre[1] * f2y + p.bar_centre[2] * f3y
    rcz = p.bar_centre[0] * f1z + p.bar_centre[1] * f2z + p.bar_centre[2] * f3z
    aax, aay, aaz = point_acceleration(-g[0], -g[1], -g[2], 0.0, 0.0, 0.0, w[0], w[1], w[2], px, py, pz)
    aax, aay, aaz = point_acceleration(aax, aay, aaz, b2x, b2y, b2z, w2x, w2y, w2z, rcx, rcy, rcz)
    vx, vy, vz = cross(w[0], w[1], w[2], px, py, pz)
    vx += v[0]
    vy += v[1]
    vz += v[2]
    lx = vx - air[0]
    ly = vy - air[1]
    lz = vz - air[2]
    fx = 0.0
    fy = 0.0
    fz = 0.0
    mx = 0.0
    my = 0.0
    mz = 0.0
    for arm in range(2):
        d = 1.0 - 2.0 * arm
        f2, f3, m1, m2, m3 = arm_loads(
            p, tables, arm, d * (lx * f2x + ly * f2y + lz * f2z), lx * f3x + ly * f3y + lz * f3z,
            d * (w2x * f1x + w2y * f1y + w2z * f1z), d * (w2x * f2x + w2y * f2y + w2z * f2z), w2x * f3x + w2y * f3y + w2z * f3z,
            hand, 0.0, cb, v0,
        )  # fmt: skip
        fx += d * f2 * f2x + f3 * f3x
        fy += d * f2 * f2y + f3 * f3y
        fz += d * f2 * f2z + f3 * f3z
        mx += hand * (d * m1 * f1x + d * m2 * f2x + m3 * f3x)
        my += hand * (d * m1 * f1y + d * m2 * f2y + m3 * f3y)
        mz += hand * (d * m1 * f1z + d * m2 * f2z + m3 * f3z)
    power = -(fx * vx + fy * vy + fz * vz + mx * w2x + my * w2y + mz * w2z)
    torque = -hand * (ax * mx + ay * my + az * mz)
    qx, qy, qz = cross(px, py, pz, fx, fy, fz)
    mx += qx
    my += qy
    mz += qz
    jxx, jyy, jzz, jxy, jxz, jyz = turn_inertia(p.bar_inertia, f1x, f1y, f1z, f2x, f2y, f2z, f3x, f3y, f3z)
    set_screw(work, 0, hand * ax, hand * ay, hand * az, hx, hy, hz)
    set_screw(work, 1, -nx, -ny, -nz, px, py, pz)
    add_body(
        work, np.int64(2), np.int64(SHAFT), np.int64(BAR), np.int64(0), p.bar_mass, px + rcx, py + rcy, pz + rcz, jxx, jyy, jzz, jxy, jxz, jyz,
        w2x, w2y, w2z, aax, aay, aaz, b2x, b2y, b2z, fx, fy, fz, mx, my, mz,
    )  # fmt: skip
    return torque, power


@njit(cache=True, error_model="numpy")
def tail_air(p, tables, v, w, air, speed, inflow):
    """What the air does to the tail rotor, in body axes.

    Arguments as add_tail
    Returns : (force (3) [N], moment about the tail hub (3) [N m], velocity of the tail hub over ground (3) [m/s], thrust [N], torque that
        the air takes [N m], climb, edgewise speed [m/s])
    """
    px = p.tail_place[0]
    py = p.tail_place[1]
    pz = p.tail_place[2]
    ax = p.tail_axis[0]
    ay = p.tail_axis[1]
    az = p.tail_axis[2]
    ex = p.tail_one[0]
    ey = p.tail_one[1]
    ez = p.tail_one[2]
    nx = p.tail_two[0]
    ny = p.tail_two[1]
    nz = p.tail_two[2]
    vx, vy, vz = cross(w[0], w[1], w[2], px, py, pz)
    vx += v[0]
    vy += v[1]
    vz += v[2]
    lx = vx - air[0]
    ly = vy - air[1]
    lz = vz - air[2]
    v1 = lx * ex + ly * ey + lz * ez
    v2 = lx * nx + ly * ny + lz * nz
    v3 = lx * ax + ly * ay + lz * az
    f1, f2, f3, m1, m2, m3, thrust, torque = tail_loads(
        p, tables, v1, v2, v3,
        w[0] * ex + w[1] * ey + w[2] * ez, w[0] * nx + w[1] * ny + w[2] * nz, w[0] * ax + w[1] * ay + w[2] * az, speed, inflow,
    )  # fmt: skip
    fx = f1 * ex + f2 * nx + f3 * ax
    fy = f1 * ey + f2 * ny + f3 * ay
    fz = f1 * ez + f2 * nz + f3 * az
    mx = m1 * ex + m2 * nx + m3 * ax
    my = m1 * ey + m2 * ny + m3 * ay
    mz = m1 * ez + m2 * nz + m3 * az
    return fx, fy, fz, mx, my, mz, vx, vy, vz, thrust, torque, v3, math.sqrt(v1 * v1 + v2 * v2)


@njit(cache=True, error_model="numpy")
def add_tail(p, tables, work, v, w, air, g, speed, inflow):
    """Add the tail rotor; on the shaft's coordinate while the cord grips, else on its own.

    v, w, air, g : as add_blade, but air holds the wind and the main rotor's wash at the tail
    speed        : of the tail rotor [rad/s];  inflow : its induced velocity [m/s]
    Returns      : (thrust [N], torque that the air takes [N m], power given to the air [W], climb, edgewise speed [m/s])
    """
    px = p.tail_place[0]
    py = p.tail_place[1]
    pz = p.tail_place[2]
    ax = p.tail_axis[0]
    ay = p.tail_axis[1]
    az = p.tail_axis[2]
    fx, fy, fz, mx, my, mz, vx, vy, vz, thrust, torque, climb, edgewise = tail_air(p, tables, v, w, air, speed, inflow)
    turn = p.tail_hand * speed
    wx = w[0] + turn * ax
    wy = w[1] + turn * ay
    wz = w[2] + turn * az
    power = -(fx * vx + fy * vy + fz * vz + mx * wx + my * wy + mz * wz)
    bx, by, bz = cross(w[0], w[1], w[2], turn * ax, turn * ay, turn * az)
    aax, aay, aaz = point_acceleration(-g[0], -g[1], -g[2], 0.0, 0.0, 0.0, w[0], w[1], w[2], px, py, pz)
    qx, qy, qz = cross(px, py, pz, fx, fy, fz)
    jxx, jyy, jzz, jxy, jxz, jyz = axial_inertia(p.tail_polar, p.tail_diametral, ax, ay, az)
    if p.cord_mode == 1:
        which = SHAFT
        k = p.tail_hand * p.cord_ratio
    else:
        which = TAIL
        k = p.tail_hand
    set_screw(work, 0, k * ax, k * ay, k * az, px, py, pz)
    add_body(
        work, np.int64(1), which, np.int64(0), np.int64(0), p.tail_mass, px, py, pz, jxx, jyy, jzz, jxy, jxz, jyz,
        wx, wy, wz, aax, aay, aaz, bx, by, bz, fx, fy, fz, mx + qx, my + qy, mz + qz,
    )  # fmt: skip
    return thrust, torque, power, climb, edgewise
