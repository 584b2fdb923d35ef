"""The air on what does not turn: plates, rods and lumps of the fuselage, in the rotor's wash where they stand in it."""

from __future__ import annotations

import math

from numba import njit

PLATE = 0
ROD = 1
LUMP = 2


@njit(cache=True, error_model="numpy")
def station_load(kind, half_drag, nx, ny, nz, ux, uy, uz):
    """Force of the air on one station of the airframe.

    plate:  F = -rho A cd/2 |u| (u.n) n     normal force, proportional to the sine of the incidence
    rod:    F = -rho d l cd/2 |u_n| u_n     u_n the part of u across the rod (cross-flow principle)
    lump:   F = -rho S cd/2 |u| u

    kind        : PLATE, ROD or LUMP;  half_drag : rho times drag area over two [kg/m]
    nx, ny, nz  : normal of the plate, or axis of the rod [1];  ux, uy, uz : velocity of the station through the air [m/s]
    Returns     : force [N], in the frame of u
    Source      : normal-force plate as in J. R. Usherwood, C. P. Ellington, J. Exp. Biol. 205 (2002) 1547 [A]; cross-flow principle
        (S. F. Hoerner, Fluid-Dynamic Drag, from memory)
    Checked     : tests/physics/test_airframe.py
    """
    if kind == LUMP:
        k = -half_drag * math.sqrt(ux * ux + uy * uy + uz * uz)
        return k * ux, k * uy, k * uz
    along = ux * nx + uy * ny + uz * nz
    if kind == PLATE:
        k = -half_drag * math.sqrt(ux * ux + uy * uy + uz * uz) * along
        return k * nx, k * ny, k * nz
    cx = ux - along * nx
    cy = uy - along * ny
    cz = uz - along * nz
    k = -half_drag * math.sqrt(cx * cx + cy * cy + cz * cz)
    return k * cx, k * cy, k * cz


@njit(cache=True, error_model="numpy")
def airframe_loads(p, ux, uy, uz, wx, wy, wz, v0, through):
    """Sum of station_load over the fuselage, in body axes about the datum.

    p           : parameters (st_*)
    ux, uy, uz  : velocity of the datum through the undisturbed air [m/s];  wx, wy, wz : body rate [rad/s]
    v0, through : uniform inflow of the main rotor [m/s], sense of its flow (+1 down ... -1 up)
    Returns     : (Fx, Fy, Fz [N], Mx, My, Mz [N m])
    Source      : station_load; wash from physics/wash.py
    Checked     : tests/physics/test_airframe.py
    """
    fx = 0.0
    fy = 0.0
    fz = 0.0
    mx = 0.0
    my = 0.0
    mz = 0.0
    down = 0.5 * (1.0 + through) * v0
    up = 0.5 * (1.0 - through) * v0
    for k in range(p.stations):
        px = p.st_place[k, 0]
        py = p.st_place[k, 1]
        pz = p.st_place[k, 2]
        wash = down * p.st_wash_down[k] + up * p.st_wash_up[k]
        sx = ux + wy * pz - wz * py + wash * p.shaft_axis[0]
        sy = uy + wz * px - wx * pz + wash * p.shaft_axis[1]
        sz = uz + wx * py - wy * px + wash * p.shaft_axis[2]
        ax, ay, az = station_load(
            p.st_kind[k], p.st_half_drag[k], p.st_axis[k, 0], p.st_axis[k, 1], p.st_axis[k, 2], sx, sy, sz
        )
        fx += ax
        fy += ay
        fz += az
        mx += py * az - pz * ay
        my += pz * ax - px * az
        mz += px * ay - py * ax
    return fx, fy, fz, mx, my, mz
