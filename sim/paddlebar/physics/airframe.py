"""The air on what does not turn: plates, rods and lumps of the fuselage, in the rotor's wash where they stand in it."""

from __future__ import annotations

from paddlebar.physics.compiled import jitted
from paddlebar.physics.vectors import ZERO, add, cross, dot, row, scale, size, sub, vec

PLATE = 0
ROD = 1
LUMP = 2


@jitted
def station_load(kind, half_drag, n, u):
    """Force of the air on one station of the airframe.

    plate:  F = -rho A cd/2 |u| (u.n) n     normal force, proportional to the sine of the incidence
    rod:    F = -rho d l cd/2 |u_n| u_n     u_n the part of u across the rod (cross-flow principle)
    lump:   F = -rho S cd/2 |u| u

    kind        : PLATE, ROD or LUMP;  half_drag : rho times drag area over two [kg/m]
    n           : normal of the plate, or axis of the rod [1];  u : velocity of the station through the air [m/s]
    Returns     : force [N], in the frame of u
    Source      : normal-force plate as in J. R. Usherwood, C. P. Ellington, J. Exp. Biol. 205 (2002) 1547 [A]; cross-flow principle
        (S. F. Hoerner, Fluid-Dynamic Drag, from memory)
    Checked     : tests/physics/test_airframe.py
    """
    if kind == LUMP:
        return scale(-half_drag * size(u), u)
    if kind == PLATE:
        return scale(-half_drag * size(u) * dot(u, n), n)
    across = sub(u, scale(dot(u, n), n))
    return scale(-half_drag * size(across), across)


@jitted
def airframe_loads(p, u, w, v0, through):
    """Sum of station_load over the fuselage, in body axes about the datum.

    p           : parameters (st_*)
    u           : velocity of the datum through the undisturbed air [m/s];  w : body rate [rad/s]
    v0, through : uniform inflow of the main rotor [m/s], sense of its flow (+1 down ... -1 up)
    Returns     : force [N], moment [N m]
    Source      : station_load; wash from physics/wash.py
    Checked     : tests/physics/test_airframe.py
    """
    force = ZERO
    moment = ZERO
    axis = vec(p.shaft_axis)
    down = 0.5 * (1.0 + through) * v0
    up = 0.5 * (1.0 - through) * v0
    for k in range(p.stations):
        place = row(p.st_place, k)
        wash = down * p.st_wash_down[k] + up * p.st_wash_up[k]
        met = add(add(u, cross(w, place)), scale(wash, axis))
        push = station_load(p.st_kind[k], p.st_half_drag[k], row(p.st_axis, k), met)
        force = add(force, push)
        moment = add(moment, cross(place, push))
    return force, moment
