"""Moments in a hinge: spring, damper, dry friction, end stops."""

from __future__ import annotations

import math

from paddlebar.physics.compiled import jitted

SLIDE = 0.3  # [rad/s] rate over which dry friction reverses; small beside the 1 to 10 rad/s of a working hinge


@jitted
def dry_friction(limit, rate, slide):
    """Friction moment against the motion, -limit tanh(rate / slide): Coulomb's law with a rounded corner.

    limit   : moment of sliding friction [N m], >= 0
    rate    : joint rate [rad/s]
    slide   : rate over which the moment reverses [rad/s]
    Returns : moment on the joint, in the sense of positive rate [N m]
    Source  : Coulomb friction; the rounding is common practice, no source
    Checked : tests/physics/test_hinge.py
    """
    return -limit * math.tanh(rate / slide)


@jitted
def stop_moment(angle, rate, stop, stiffness, damping):
    """Moment of the end stops at +-stop, k d^1.5 (1 + c d'), d the depth into the stop (Hertz with Hunt and Crossley's damping).

    angle, rate : joint angle and rate [rad], [rad/s]
    stop        : angle at which the stop is touched [rad]
    stiffness   : k [N m/rad^1.5]
    damping     : c [s/rad]
    Returns     : (moment on the joint [N m], energy in the stop [J], power lost [W] >= 0)
    Source      : K. H. Hunt, F. R. E. Crossley, J. Appl. Mech. 42 (1975) 440-445, from memory
    Checked     : tests/physics/test_hinge.py (bounce loses energy, never gains)
    """
    side = 1.0 if angle >= 0.0 else -1.0
    depth = side * angle - stop
    if depth <= 0.0:
        return 0.0, 0.0, 0.0
    root = math.sqrt(depth)
    elastic = stiffness * depth * root
    push = elastic * (1.0 + damping * side * rate)
    if push < 0.0:  # a stop cannot pull
        push = 0.0
    return -side * push, 0.4 * elastic * depth, (push - elastic) * side * rate


@jitted
def hinge_moment(angle, rate, spring, damper, friction, stop, stop_stiffness, stop_damping):
    """All moments that a hinge puts on its joint.

    angle, rate    : joint angle and rate [rad], [rad/s]
    spring         : [N m/rad];  damper : [N m s/rad];  friction : [N m]
    stop           : [rad];  stop_stiffness : [N m/rad^1.5];  stop_damping : [s/rad]
    Returns        : (moment on the joint [N m], energy stored [J], power lost [W] >= 0)
    Source         : sum of linear spring and damper (common practice, no source), dry_friction, stop_moment
    Checked        : tests/physics/test_hinge.py
    """
    stop_push, stop_energy, stop_loss = stop_moment(angle, rate, stop, stop_stiffness, stop_damping)
    rub = dry_friction(friction, rate, SLIDE)
    moment = -spring * angle - damper * rate + rub + stop_push
    return moment, 0.5 * spring * angle * angle + stop_energy, damper * rate * rate - rub * rate + stop_loss
