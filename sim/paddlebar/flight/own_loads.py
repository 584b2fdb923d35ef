"""How what a function of one's own gives enters the equations: a load on a body with its work, or the setting of an actuator."""

from __future__ import annotations

import math

from paddlebar.flight import layout
from paddlebar.flight.derive import velocities_into
from paddlebar.flight.joints import SHAFT_SLIDE
from paddlebar.flight.layout import ATTITUDE, BAR_ANGLE, FLAP, ROTOR_AZIMUTH, ROTOR_SPEED
from paddlebar.physics import bodies
from paddlebar.physics.attitude import rotation
from paddlebar.physics.compiled import inner, jitted
from paddlebar.physics.cord import GRIPS
from paddlebar.physics.hinge import dry_friction
from paddlebar.physics.mechanism import bar_frame, blade_frame, hub_axes, join_bar, join_blade, join_tail
from paddlebar.physics.vectors import ZERO, add, cross, four, out_of, scale, vec

FUSELAGE, HUB, BLADE, BAR, TAIL = range(5)  # bodies
OF_FUSELAGE, OF_EARTH, OF_BODY = range(3)  # frames
EARTH_FIXED = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
NO_INERTIA = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


has_own = inner(layout.has_own)  # for compiled code


@jitted
def begin(y, out):
    """Nothing given yet; its work, where there is a state for it, has no rate [W]."""
    if has_own(y.size):
        out[y.size - 1] = 0.0


@jitted
def spoil(work):
    """What stays if the function is left by an error: no number, so that no flight goes on without its force. Returns what was there."""
    kept = work[bodies.BIAS, bodies.BASE], work[bodies.BIAS, bodies.SHAFT]
    work[bodies.BIAS, bodies.BASE] = math.nan
    work[bodies.BIAS, bodies.SHAFT] = math.nan
    return kept


@jitted
def restore(work, kept):
    """Undo spoil() after the function came back."""
    work[bodies.BIAS, bodies.BASE], work[bodies.BIAS, bodies.SHAFT] = kept


@jitted
def put_load(y, params, work, out, body, number, frame, at, central, load):
    """Put a force and a moment on a body into the equations, and their work on the last state.

    y, params, work, out : as flight/rhs.py has them
    body, number : FUSELAGE ... TAIL; of a blade which one, from 0
    frame        : of the load: OF_FUSELAGE forward-right-down, OF_EARTH north-east-down, OF_BODY: of that body, out-forward-up where it turns
    at, central  : place where it acts from datum, hub, or hinge, in the body's own axes [m]; 1: the body's centre of mass instead, else 0
    load         : force [N], moment about that place [N m]
    Source       : virtual work on the joints that carry the body, physics/bodies.py
    """
    p = params[0]
    axes = EARTH_FIXED
    origin = ZERO
    centre = ZERO
    shaft = scale(p.hand, vec(p.shaft_axis))
    if body == FUSELAGE:
        centre = scale(1.0 / p.body_mass, vec(p.body_moment))
    elif body == HUB:
        _, out_, across = hub_axes(p, p.hand * y[ROTOR_AZIMUTH])
        axes = (out_, scale(p.hand, across), vec(p.shaft_axis))
        origin = vec(p.hub_place)
        bodies.add_joint(work, bodies.SHAFT, shaft, origin)
    elif body == BLADE:
        which = p.flap_of_blade[number]
        flap = p.flap_sign[number] * y[FLAP + which] if which >= 0 else 0.0
        _, (_, across), origin, axes = blade_frame(p, number, y[ROTOR_AZIMUTH], y[BAR_ANGLE], flap)
        one, _, _ = axes
        centre = vec(p.blade_centre)
        join_blade(p, work, number, across, one, origin)
    elif body == BAR:
        across, origin, axes = bar_frame(p, y[ROTOR_AZIMUTH], y[BAR_ANGLE])
        centre = vec(p.bar_centre)
        join_bar(p, work, across, origin)
    else:
        axes = (vec(p.tail_one), vec(p.tail_two), vec(p.tail_axis))
        origin = vec(p.tail_place)
        join_tail(p, work)
    place = add(origin, out_of(centre if central == 1 else at, axes))
    force, moment = load
    if frame == OF_EARTH:
        earth = rotation(four(y, ATTITUDE))
        force, moment = out_of(force, earth), out_of(moment, earth)
    elif frame == OF_BODY:
        force, moment = out_of(force, axes), out_of(moment, axes)
    n = bodies.FLAP + p.flaps
    for k in range(n):  # two rows that the solution fills only afterwards
        work[bodies.PIVOT, k] = work[bodies.BIAS, k]
    velocities_into(y, p.flaps, p.cord_mode == GRIPS, work[bodies.RIGHT])
    push = (force, add(moment, cross(place, force)))
    bodies.add_body(work, (0.0, place, NO_INERTIA), (ZERO, ZERO, ZERO), push)
    if has_own(y.size):
        for k in range(n):
            if p.locked[k] == 0 and not (p.base_locked == 1 and k < bodies.SHAFT):
                out[y.size - 1] += (work[bodies.BIAS, k] - work[bodies.PIVOT, k]) * work[bodies.RIGHT, k]


@jitted
def put_brake(y, params, work, out, torque):
    """Put a brake on the shaft, dry friction of so much torque [N m], and what it takes on the last state; less than none is none."""
    rub = dry_friction(max(torque, 0.0), y[ROTOR_SPEED], SHAFT_SLIDE)
    work[bodies.BIAS, bodies.SHAFT] -= rub
    if has_own(y.size):
        out[y.size - 1] -= rub * y[ROTOR_SPEED]


@jitted
def put_setting(work, column, value):
    """Set one actuator [rad], besides what it is set to already; column : of the settings in physics/bodies.py."""
    work[bodies.SETTING, column] += value


@jitted
def put_cyclic(work, value):
    """Set the cyclic pitch: over the tail, and on the right [rad]."""
    aft, right = value
    work[bodies.SETTING, bodies.CYCLIC_AFT] += aft
    work[bodies.SETTING, bodies.CYCLIC_RIGHT] += right


@jitted
def arm_tilt(p, azimuth, value):
    """Tilt of arm 1 at an azimuth of blade 1 [rad] of a plane that leans forward and to the right [rad], each a small angle."""
    forward, right = value
    chi = p.hand * (azimuth + p.bar_lead)
    return forward * math.cos(chi) - right * math.sin(chi)


@jitted
def put_bar_tilt(y, params, work, value):
    """Set the tilt that the linkage passes on besides the bar's own: of its plane, forward and to the right as the body sees it [rad]."""
    work[bodies.SETTING, bodies.BAR_TILT] += arm_tilt(params[0], y[ROTOR_AZIMUTH], value)
