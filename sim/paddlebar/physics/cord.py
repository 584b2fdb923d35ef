"""Cord drive to the tail: grip and losses."""

from __future__ import annotations

import math

from paddlebar.physics.compiled import inner, jitted

# what `cord_mode` of the parameters says
NO_CORD, GRIPS, SLIPS = 0, 1, 2


@inner
def cord_grip(tension_in, wrap, mu):
    """Largest tension that a cord carries over a pulley before it slips, T2 = T1 exp(mu wrap).

    tension_in : slack-side tension [N], >= 0
    wrap       : angle of contact [rad]
    mu         : friction of cord on pulley [1]
    Returns    : tight-side tension at the limit of grip [N]
    Holds for  : thin cord, no bending stiffness, no centrifugal lift-off
    Source     : belt (capstan) friction, Euler-Eytelwein; references section 7 [C]
    Checked    : tests/reference/test_belt.py against the figures there, tests/physics/test_cord.py
    """
    return tension_in * math.exp(mu * wrap)


@inner
def grip_torque(pretension, wrap, mu, pulley_radius):
    """Largest torque on a pulley before the cord slips, when the sum of both tensions stays twice the pretension.

    With T2 = T1 exp(mu wrap) and T1 + T2 = 2 T0:  Q = 2 T0 r (e - 1)/(e + 1), e = exp(mu wrap)

    pretension    : T0, tension of either run at rest [N]
    wrap          : [rad];  mu : [1];  pulley_radius : r [m]
    Returns       : [N m]
    Holds for     : an elastic cord on fixed centres
    Source        : as cord_grip, with the textbook's constant-sum assumption; common practice, no source
    Checked       : tests/physics/test_cord.py, tests/reference/test_belt.py (through the files and the right-hand side)
    """
    e = cord_grip(1.0, wrap, mu)
    return 2.0 * pretension * pulley_radius * (e - 1.0) / (e + 1.0)


@jitted
def drive_loss(load, share, friction, speed):
    """Loss torque in the tail drive: bearing friction and a share of the torque carried, against the motion.

    load     : torque carried, either sign [N m];  share : of it lost [1];  friction : of the bearings [N m];  speed : [rad/s]
    Returns  : torque on the tail shaft, in the sense of positive speed [N m]
    Source   : common practice, no source
    Checked  : tests/physics/test_cord.py
    """
    return -(friction + share * abs(load)) * math.tanh(speed / 2.0)
