"""Where hub, blades, bar and tail are, how they move, and what they add to the equations of motion.

Right-hand rule throughout, body axes (forward, right, down). A rotor of either hand is described by the same vectors: `hand`
is +1 for counter-clockwise seen from above, and every triad (out, forward, up) is right-handed only for that one.

What is common to all bodies comes as one tuple, `motion`: velocity of the datum over the ground [m/s], body rate [rad/s], wind [m/s],
gravity [m/s^2], each a vector in body axes. A joint that turns is a tuple: angle [rad], rate [rad/s].

Source  : kinematics of rigid bodies in relative motion, any dynamics textbook; common practice, no source.
Checked : tests/reference/test_multibody_sympy.py, test_multibody_mujoco.py, tests/invariants/test_mechanics.py.
"""

from __future__ import annotations

import math

from paddlebar.physics import bodies
from paddlebar.physics.bar import arm_loads
from paddlebar.physics.blade import blade_loads
from paddlebar.physics.bodies import add_body, add_joint, axial_inertia, central_inertia, multiple, turn_inertia
from paddlebar.physics.compiled import inner, jitted
from paddlebar.physics.cord import GRIPS
from paddlebar.physics.linkage import feathering
from paddlebar.physics.tail import tail_loads
from paddlebar.physics.vectors import ZERO, add, along, cross, dot, out_of, scale, sub, tilted, vec


@jitted
def point_acceleration(a, b, w, r):
    """Acceleration of a point of a body, a + b x r + w x (w x r), from that of another point r away [m/s^2]."""
    return add(add(a, cross(b, r)), cross(w, cross(w, r)))


@inner
def jointed(w, b, turn):
    """Rate [rad/s] and angular acceleration [rad/s^2] of a body that turns steadily at `turn` against one of rate w and acceleration b."""
    return add(w, turn), add(b, cross(w, turn))


@jitted
def hub_axes(p, chi):
    """The hub's unit vectors at an angle chi [rad] about the shaft, from aft towards the right.

    Returns : cosine and sine of chi; out along the radius; across it towards rising chi [1]
    """
    c = math.cos(chi)
    s = math.sin(chi)
    aft = vec(p.aft)
    right = vec(p.right)
    return (c, s), add(scale(c, aft), scale(s, right)), sub(scale(c, right), scale(s, aft))


@inner
def add_fuselage(p, work, motion, force, moment):
    """Add the fuselage with the force [N] and moment about the datum [N m] that the air puts on it."""
    _, w, _, g = motion
    c = scale(1.0 / p.body_mass, vec(p.body_moment))
    body = (p.body_mass, c, central_inertia(p.body_inertia, p.body_mass, c))
    acceleration = point_acceleration(scale(-1.0, g), ZERO, w, c)
    add_body(work, body, (w, acceleration, ZERO), (force, moment))


@jitted
def add_hub(p, work, motion, speed):
    """Add the hub, a disc on the shaft; leaves nothing on it from the air.

    speed : of the shaft [rad/s]
    """
    _, w, _, g = motion
    place = vec(p.hub_place)
    axis = scale(p.hand, vec(p.shaft_axis))
    turning, b = jointed(w, ZERO, scale(speed, axis))
    acceleration = point_acceleration(scale(-1.0, g), ZERO, w, place)
    add_joint(work, bodies.SHAFT, axis, place)
    body = (p.hub_mass, place, axial_inertia(p.hub_polar, p.hub_diametral, axis))
    add_body(work, body, (turning, acceleration, b), (ZERO, ZERO))


@inner
def blade_pitch(p, i, bar_angle, flap_angle):
    """Pitch of blade i [rad]: built in, and from the bar's angle and its own flapping [rad]; that of actuators comes besides."""
    return p.blade_pitch[i] + feathering(p.feather_share[i], bar_angle, p.flap_coupling, flap_angle)


@inner
def set_pitch(p, work, i, place):
    """Pitch that the actuators give the strips of blade i [rad]; place : cosine and sine of its azimuth from aft towards the right [1]."""
    aft, right = place
    cyclic = aft * work[bodies.SETTING, bodies.CYCLIC_AFT] + right * work[bodies.SETTING, bodies.CYCLIC_RIGHT]
    return work[bodies.SETTING, bodies.COLLECTIVE] + cyclic + p.feather_share[i] * work[bodies.SETTING, bodies.BAR_TILT]


@inner
def blade_frame(p, i, azimuth, bar_angle, flap_angle):
    """Where blade i is: its azimuth, its hinge, its axes.

    azimuth : of blade 1 [rad];  bar_angle, flap_angle : of the bar, of this blade [rad]
    Returns : cosine and sine of its azimuth; out and across of hub_axes; hinge from the datum [m]; out along the span, forward, up [1]
    """
    place, out, across = hub_axes(p, p.hand * (azimuth + 2.0 * math.pi * i / p.blades))
    hinge = add(vec(p.hub_place), scale(p.hinge_offset, out))
    # up by coning and flapping, then nose up by feathering
    one, level = tilted(out, vec(p.shaft_axis), p.precone + flap_angle)
    two, three = tilted(scale(p.hand, across), level, blade_pitch(p, i, bar_angle, flap_angle))
    return place, (out, across), hinge, (one, two, three)


@inner
def join_blade(p, work, i, across, one, hinge):
    """The joints that carry blade i: shaft, bar through the linkage, flapping; across, one [1] and hinge [m] of blade_frame()."""
    add_joint(work, bodies.SHAFT, scale(p.hand, vec(p.shaft_axis)), vec(p.hub_place))
    add_joint(work, bodies.BAR, scale(p.hand * p.feather_share[i], one), hinge)
    which = p.flap_of_blade[i]
    if which >= 0:
        lifted = add(across, scale(p.hand * p.flap_coupling, one))
        add_joint(work, bodies.FLAP + which, scale(-p.flap_sign[i], lifted), hinge)


@jitted
def add_blade(p, tables, work, i, motion, shaft, flap, bar, inflow):
    """Add blade i: its motion, the air on it, its place in the equations.

    shaft   : azimuth of blade 1 [rad], speed [rad/s];  flap : of this blade, angle and rate;  bar : its angle and rate
    inflow  : uniform (ground effect included), forward, right [m/s]
    Returns : thrust [N], its moments x forward and y right [N m]; torque that the air takes [N m]; power given to the air [W]
    """
    v, w, air, g = motion
    azimuth, speed = shaft
    flap_angle, flap_rate = flap
    bar_angle, bar_rate = bar
    axis = vec(p.shaft_axis)
    hub = vec(p.hub_place)
    spin = scale(p.hand, axis)
    place, (out, across), hinge, axes = blade_frame(p, i, azimuth, bar_angle, flap_angle)
    one, two, three = axes
    offset = scale(p.hinge_offset, out)
    theta_rate = feathering(p.feather_share[i], bar_rate, p.flap_coupling, flap_rate)
    # its motion: shaft, flap (about -across), feather (about hand * one)
    w1, b1 = jointed(w, ZERO, scale(speed, spin))
    w2, b2 = jointed(w1, b1, scale(-flap_rate, across))
    w3, b3 = jointed(w2, b2, scale(p.hand * theta_rate, one))
    centre = out_of(vec(p.blade_centre), axes)
    acceleration = point_acceleration(scale(-1.0, g), ZERO, w, hub)
    acceleration = point_acceleration(acceleration, b1, w1, offset)
    acceleration = point_acceleration(acceleration, b3, w3, centre)
    # the air on it
    ground = add(add(v, cross(w, hub)), cross(w1, offset))
    past = sub(ground, air)
    turned = set_pitch(p, work, i, place)
    (forward, up), turning, lift = blade_loads(
        p, tables, along(past, axes), along(w3, axes), along(axis, axes), place, inflow, turned
    )
    force = add(scale(forward, two), scale(up, three))
    moment = scale(p.hand, out_of(turning, axes))
    power = -(dot(force, ground) + dot(moment, w3))
    torque = -dot(spin, add(moment, cross(offset, force)))
    # its place in the equations
    join_blade(p, work, i, across, one, hinge)
    share = p.blade_share[i]  # of one planform: the mass lies alike in all, so that inertia goes with it
    body = (share * p.blade_mass, add(hinge, centre), multiple(share, turn_inertia(p.blade_inertia, axes)))
    add_body(work, body, (w3, acceleration, b3), (force, add(moment, cross(hinge, force))))
    return lift, torque, power


@inner
def bar_frame(p, azimuth, angle):
    """Where the bar is at an azimuth of blade 1 and a tilt [rad]: across of hub_axes; its hinge from the datum [m]; out along arm 1, forward, up [1]."""
    axis = vec(p.shaft_axis)
    _, out, across = hub_axes(p, p.hand * (azimuth + p.bar_lead))
    one, three = tilted(out, axis, angle)
    return across, add(vec(p.hub_place), scale(p.bar_height, axis)), (one, scale(p.hand, across), three)


@inner
def join_bar(p, work, across, hinge):
    """The joints that carry the bar: shaft, its own hinge; across [1] and hinge [m] of bar_frame()."""
    add_joint(work, bodies.SHAFT, scale(p.hand, vec(p.shaft_axis)), vec(p.hub_place))
    add_joint(work, bodies.BAR, scale(-1.0, across), hinge)


@jitted
def add_bar(p, tables, work, motion, shaft, bar, v0):
    """Add the bar: a seesaw on the hub, the air on its two arms.

    shaft   : azimuth of blade 1 [rad], speed [rad/s];  bar : tilt, arm 1 up, and its rate;  v0 : uniform inflow [m/s]
    Returns : torque that the air takes [N m]; power given to the air [W]
    """
    v, w, air, g = motion
    azimuth, speed = shaft
    angle, rate = bar
    axis = vec(p.shaft_axis)
    spin = scale(p.hand, axis)
    across, hinge, axes = bar_frame(p, azimuth, angle)
    one, two, three = axes
    w1, b1 = jointed(w, ZERO, scale(speed, spin))
    w2, b2 = jointed(w1, b1, scale(-rate, across))
    centre = out_of(vec(p.bar_centre), axes)
    acceleration = point_acceleration(scale(-1.0, g), ZERO, w, hinge)
    acceleration = point_acceleration(acceleration, b2, w2, centre)
    ground = add(v, cross(w, hinge))
    past = sub(ground, air)
    force = ZERO
    moment = ZERO
    for arm in range(2):
        side = 1.0 - 2.0 * arm  # the second arm looks the other way: out and forward turned by half a turn
        own = (scale(side, one), scale(side, two), three)
        (forward, up), turning = arm_loads(p, tables, arm, along(past, own), along(w2, own), along(axis, own), v0)
        force = add(force, add(scale(side * forward, two), scale(up, three)))
        moment = add(moment, scale(p.hand, out_of(turning, own)))
    power = -(dot(force, ground) + dot(moment, w2))
    torque = -dot(spin, moment)
    join_bar(p, work, across, hinge)
    body = (p.bar_mass, add(hinge, centre), turn_inertia(p.bar_inertia, axes))
    add_body(work, body, (w2, acceleration, b2), (force, add(moment, cross(hinge, force))))
    return torque, power


@inner
def join_tail(p, work):
    """The joint that carries the tail rotor: the shaft's coordinate [rad] while the cord grips, else its own."""
    axis = scale(p.tail_hand, vec(p.tail_axis))
    if p.cord_mode == GRIPS:
        add_joint(work, bodies.SHAFT, scale(p.cord_ratio, axis), vec(p.tail_place))
    else:
        add_joint(work, bodies.TAIL, axis, vec(p.tail_place))


@jitted
def tail_air(p, tables, motion, speed, inflow, turned=0.0):
    """What the air does to the tail rotor, in body axes.

    motion, speed, inflow : as add_tail;  turned : as physics/tail.py has it [rad]
    Returns : force [N]; moment about the tail hub [N m]; velocity of the tail hub over ground [m/s]; thrust [N], torque that the air
        takes [N m]; climb, edgewise speed [m/s]
    """
    v, w, air, _ = motion
    axes = (vec(p.tail_one), vec(p.tail_two), vec(p.tail_axis))
    ground = add(v, cross(w, vec(p.tail_place)))
    past = along(sub(ground, air), axes)
    push, turning, torque = tail_loads(p, tables, past, along(w, axes), speed, inflow, turned)
    _, _, thrust = push
    ahead, aside, climb = past
    edgewise = math.sqrt(ahead * ahead + aside * aside)
    return out_of(push, axes), out_of(turning, axes), ground, (thrust, torque), (climb, edgewise)


@jitted
def add_tail(p, tables, work, motion, speed, inflow):
    """Add the tail rotor; on the shaft's coordinate while the cord grips, else on its own.

    motion  : its wind holds the main rotor's wash at the tail too
    speed   : of the tail rotor [rad/s];  inflow : its induced velocity [m/s]
    Returns : thrust [N], torque that the air takes [N m]; climb, edgewise speed [m/s]; power given to the air [W]
    """
    _, w, _, g = motion
    place = vec(p.tail_place)
    axis = scale(p.tail_hand, vec(p.tail_axis))
    force, moment, ground, load, flow = tail_air(
        p, tables, motion, speed, inflow, work[bodies.SETTING, bodies.TAIL_PITCH]
    )
    turning, b = jointed(w, ZERO, scale(speed, axis))
    power = -(dot(force, ground) + dot(moment, turning))
    acceleration = point_acceleration(scale(-1.0, g), ZERO, w, place)
    join_tail(p, work)
    body = (p.tail_mass, place, axial_inertia(p.tail_polar, p.tail_diametral, axis))
    add_body(work, body, (turning, acceleration, b), (force, add(moment, cross(place, force))))
    return load, flow, power
