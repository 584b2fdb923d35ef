"""Equations of motion of the craft derived by sympy.physics.mechanics: Kane's method from frames and points, nothing of ours.

For one body of each kind (fuselage, hub, blade, bar, tail) frames are chained by single rotations, the place of its centre of mass
is written down as a vector, and sympy differentiates: angular velocity from the chain of frames, velocity as the time derivative of
the place in the inertial frame, acceleration as that of the velocity, partial velocities by the generalised speeds. What is left to
numpy is Kane's sum over the bodies, sum V.(m a - F) + W.(J alpha + omega x J omega - M) = 0, and one linear solution.

The frames are all right-handed. A rotor of the other hand turns its frame by minus the azimuth; the tables of a blade (out, forward,
up) are then read into the right-handed frame (out, -forward, up).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np
import sympy as sm
import sympy.physics.mechanics as me
from numpy.typing import NDArray

from paddlebar.flight import layout
from reference.still_craft import to_earth

Array = NDArray[np.float64]

SPEEDS = 10  # velocity of the datum (3), body rate (3), shaft, bar, tail, flap of the blade at hand
SHAFT, BAR, TAIL, FLAP = 6, 7, 8, 9


# Compiled kinematics of one kind of body, from angles, speeds and CONSTANTS: partial velocities and partial rates (3, SPEEDS),
# acceleration and angular acceleration at rest speeds (3, 1), matrix from the fuselage's frame to its own (3, 3); along its own frame.
Kinematics = Callable[..., tuple[Array, Array, Array, Array, Array]]

_t = me.dynamicsymbols._t
_q = me.dynamicsymbols("psi eta phi beta")  # shaft, bar, tail, flap
_u = me.dynamicsymbols("v1:4 w1:4 Omega p tau b")
_q_to_u = {_q[0].diff(_t): _u[6], _q[1].diff(_t): _u[7], _q[2].diff(_t): _u[8], _q[3].diff(_t): _u[9]}
_hub = sm.symbols("h1:4")
_axes = sm.symbols("a1:10")  # shaft frame (aft, right, axis) in the fuselage, rows
_hand, _lead, _offset, _precone, _share, _coupling, _height, _phase = sm.symbols("hand lead e beta0 k tan3 z chi")
_centre = sm.symbols("c1:4")
CONSTANTS = (*_hub, *_axes, _hand, _lead, _offset, _precone, _share, _coupling, _height, _phase, *_centre)


def _start() -> tuple[me.ReferenceFrame, me.ReferenceFrame, me.Point, me.Vector]:
    """Inertial frame, fuselage frame with its rate, datum with its velocity, and nothing yet on top."""
    n = me.ReferenceFrame("N")
    f = me.ReferenceFrame("F")
    f.set_ang_vel(n, _u[3] * f.x + _u[4] * f.y + _u[5] * f.z)
    datum = me.Point("D")
    datum.set_vel(n, _u[0] * f.x + _u[1] * f.y + _u[2] * f.z)
    return n, f, datum, _hub[0] * f.x + _hub[1] * f.y + _hub[2] * f.z


def _shaft(f: me.ReferenceFrame, phase: sm.Expr) -> me.ReferenceFrame:
    """Frame that turns with the shaft, x out over azimuth + phase (from over the tail, in the sense of rotation), z up."""
    still = me.ReferenceFrame("A")
    still.orient_dcm(f, sm.Matrix(3, 3, _axes))
    return still.orientnew("S", "Axis", [_hand * (_q[0] + phase), still.z])


def _compile(frame: me.ReferenceFrame, f: me.ReferenceFrame, n: me.ReferenceFrame, velocity: me.Vector) -> Kinematics:
    """Kinematics of a body with its frame, the fuselage's, the inertial one and the velocity of its centre of mass."""
    omega = frame.ang_vel_in(n).xreplace(_q_to_u).express(frame)
    velocity = velocity.express(frame).xreplace(_q_to_u)
    u = sm.Matrix(_u)
    steady = {speed.diff(_t): 0 for speed in _u}
    acceleration = velocity.dt(frame) + omega.cross(velocity)
    rest = [each.to_matrix(frame).xreplace(_q_to_u).xreplace(steady) for each in (acceleration, omega.dt(frame))]
    partial = [each.to_matrix(frame).jacobian(u) for each in (velocity, omega)]
    plain = dict(zip([*_q, *_u], sm.symbols("q0:4 s0:10"), strict=True))
    wanted = [each.xreplace(plain) for each in (*partial, *rest, frame.dcm(f))]
    compiled: Kinematics = sm.lambdify([*plain.values(), *CONSTANTS], wanted, "numpy", cse=True)
    return compiled


def _velocity(n: me.ReferenceFrame, datum: me.Point, place: me.Vector) -> me.Vector:
    """Velocity in N of the point that stands off the datum by `place`: the datum's own and the time derivative of the place."""
    return datum.vel(n) + place.dt(n)


@cache
def fixed() -> Kinematics:
    """A body fixed to the fuselage, its centre of mass anywhere."""
    n, f, datum, _ = _start()
    return _compile(f, f, n, _velocity(n, datum, _centre[0] * f.x + _centre[1] * f.y + _centre[2] * f.z))


@cache
def turning(name: str) -> Kinematics:
    """Hub ("hub", on the shaft at the hub) or tail rotor ("tail": place in c, its axis the third of the axes)."""
    n, f, datum, hub = _start()
    if name == "hub":
        return _compile(_shaft(f, _phase), f, n, _velocity(n, datum, hub))
    still = me.ReferenceFrame("A")
    still.orient_dcm(f, sm.Matrix(3, 3, _axes))
    spin = still.orientnew("T", "Axis", [_hand * _q[2], still.z])
    return _compile(spin, f, n, _velocity(n, datum, _centre[0] * f.x + _centre[1] * f.y + _centre[2] * f.z))


@cache
def blade() -> Kinematics:
    """A blade: shaft, hinge at e, up by precone and flap, nose up by k eta - tan(delta3) beta."""
    n, f, datum, hub = _start()
    s = _shaft(f, _phase)
    up = s.orientnew("U", "Axis", [-(_precone + _q[3]), s.y])  # z towards -x: the blade's out axis x goes up
    b = up.orientnew("B", "Axis", [_hand * (_share * _q[1] - _coupling * _q[3]), up.x])
    place = hub + _offset * s.x + _centre[0] * b.x + _hand * _centre[1] * b.y + _centre[2] * b.z
    return _compile(b, f, n, _velocity(n, datum, place))


@cache
def bar() -> Kinematics:
    """The bar: shaft, hinge up the shaft by z, arm 1 up by eta."""
    n, f, datum, hub = _start()
    s = _shaft(f, _lead)
    b = s.orientnew("B", "Axis", [-_q[1], s.y])
    place = hub + _height * s.z + _centre[0] * b.x + _hand * _centre[1] * b.y + _centre[2] * b.z
    return _compile(b, f, n, _velocity(n, datum, place))


def _handed(inertia: Array, hand: float) -> Array:
    """Inertia along (out, forward, up) read along the right-handed (out, hand forward, up)."""
    flip = np.diag([1.0, hand, 1.0])
    return np.asarray(flip @ inertia @ flip)


def accelerations(p: np.void, y: Array) -> Array:
    """Unknown accelerations at a state, from sympy's kinematics: datum velocity rate in body axes (3), body rate (3), shaft, bar,
    tail, flaps. Hinge springs and dampers are applied; no air, no friction, no motor."""
    nf = int(p["flaps"])
    size = 9 + nf
    at = layout.slices(nf)
    mass_matrix, force = np.zeros((size, size)), np.zeros(size)
    earth = to_earth(y)
    gravity = earth.T @ np.array([0.0, 0.0, p["gravity"]])
    speeds = [
        *y[at["velocity_body"]],
        *y[at["rate_body"]],
        y[layout.ROTOR_SPEED],
        y[layout.BAR_RATE],
        y[layout.TAIL_SPEED],
    ]
    angles = [y[layout.ROTOR_AZIMUTH], y[layout.BAR_ANGLE], y[layout.TAIL_ANGLE]]
    shaft = np.array([p["aft"], p["right"], p["shaft_axis"]]).ravel()
    tail = np.array([p["tail_one"], p["tail_two"], p["tail_axis"]]).ravel()

    def add(body: Kinematics, mass: float, inertia: Array, flap: tuple[int, float] = (-1, 0.0), **given: Any) -> None:
        which, sense = flap
        beta, beta_rate = (
            (sense * y[layout.FLAP + which], sense * y[layout.FLAP + nf + which]) if which >= 0 else (0.0, 0.0)
        )
        values: dict[str, Any] = {
            "hand": p["hand"],
            "lead": 0.0,
            "e": 0.0,
            "k": 0.0,
            "axes": shaft,
            "phase": 0.0,
            "height": 0.0,
            "centre": np.zeros(3),
            **given,
        }
        args = [
            *p["hub_place"],
            *values["axes"],
            values["hand"],
            values["lead"],
            values["e"],
            p["precone"],
            values["k"],
        ]
        args += [p["flap_coupling"], values["height"], values["phase"], *values["centre"]]
        pv, pw, a, alpha, turn = body(*angles, beta, *speeds, beta_rate, *args)
        own = np.zeros((SPEEDS, size))  # speeds of this body from the speeds of the craft
        own[:FLAP, :FLAP] = np.eye(FLAP)
        if which >= 0:
            own[FLAP, FLAP + which] = sense
        pv, pw = pv @ own, pw @ own
        omega = pw @ np.array([*speeds, *y[at["flap_rate"]]])
        mass_matrix[:] += mass * pv.T @ pv + pw.T @ inertia @ pw
        force[:] += pv.T @ (mass * (turn @ gravity - a.ravel())) - pw.T @ (
            inertia @ alpha.ravel() + np.cross(omega, inertia @ omega)
        )

    c = p["body_moment"] / p["body_mass"]
    add(fixed(), p["body_mass"], p["body_inertia"] - p["body_mass"] * (c @ c * np.eye(3) - np.outer(c, c)), centre=c)
    add(turning("hub"), p["hub_mass"], np.diag([p["hub_diametral"], p["hub_diametral"], p["hub_polar"]]))
    for i in range(int(p["blades"])):
        add(
            blade(), p["blade_mass"], _handed(p["blade_inertia"], p["hand"]), (int(p["flap_of_blade"][i]), float(p["flap_sign"][i])),
            phase=2.0 * math.pi * i / p["blades"], e=p["hinge_offset"], k=p["feather_share"][i], centre=p["blade_centre"],
        )  # fmt: skip
    add(
        bar(),
        p["bar_mass"],
        _handed(p["bar_inertia"], p["hand"]),
        lead=p["bar_lead"],
        height=p["bar_height"],
        centre=p["bar_centre"],
    )
    wheel = np.diag([p["tail_diametral"], p["tail_diametral"], p["tail_polar"]])
    add(turning("tail"), p["tail_mass"], wheel, hand=p["tail_hand"], axes=tail, centre=p["tail_place"])

    force[BAR] -= p["bar_spring"] * y[layout.BAR_ANGLE] + p["bar_damper"] * y[layout.BAR_RATE]
    force[FLAP:] -= p["flap_spring"] * y[at["flap"]] + p["flap_damper"] * y[at["flap_rate"]]
    free = np.eye(size)  # columns: independent speeds
    if p["cord_mode"] == 1:
        free[TAIL, SHAFT] = p["cord_ratio"]
        free = np.delete(free, TAIL, axis=1)
    if p["locked"][BAR]:
        free = np.delete(free, BAR, axis=1)
    return np.asarray(free @ np.linalg.solve(free.T @ mass_matrix @ free, free.T @ force))
