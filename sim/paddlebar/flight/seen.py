"""What a force of one's own sees of a craft in flight: the state by name, for compiled and for plain functions alike."""

from __future__ import annotations

from typing import NamedTuple

from paddlebar.craft.parameters import MAX_BLADES
from paddlebar.flight.layout import (
    ATTITUDE,
    BAR_ANGLE,
    BAR_RATE,
    FLAP,
    INFLOW,
    POSITION,
    RATE_BODY,
    ROTOR_AZIMUTH,
    ROTOR_SPEED,
    TAIL_ANGLE,
    TAIL_INFLOW,
    TAIL_SPEED,
    VELOCITY_BODY,
)
from paddlebar.physics.attitude import rotation
from paddlebar.physics.compiled import jitted, outermost
from paddlebar.physics.motor import TURN
from paddlebar.physics.vectors import Z, along, four, three
from paddlebar.physics.wind import wind

Vector = tuple[float, float, float]
Six = tuple[float, float, float, float, float, float]
assert MAX_BLADES == 6


class Seen(NamedTuple):
    """The motion at one moment, SI; *earth* is north-east-down, *body* is forward-right-down.

    position       : of the builder's datum, earth [m];  height : of it above the floor [m]
    velocity       : of the datum over the ground, earth;  velocity_body : the same, body [m/s];  rate_body : of the fuselage, body [rad/s]
    north, east, down : the earth's axes as the body sees them [1]: down[0] is the sine of the nose's dip, down[1] of the lean to the right
    wind           : at the datum, earth [m/s]
    rotor_azimuth, rotor_speed : of blade 1 from over the tail, and of the shaft, relative to the body [rad], [rad/s]
    bar_angle, bar_rate, tail_angle, tail_speed : [rad], [rad/s];  turns_left : in the skein
    inflow         : of the rotor: mean, slope forward, slope right;  tail_inflow : of the tail rotor [m/s]
    flap, flap_rate : of each hinge, nought for those that there are not, (6,) [rad], [rad/s]
    """

    position: Vector
    height: float
    velocity: Vector
    velocity_body: Vector
    rate_body: Vector
    north: Vector
    east: Vector
    down: Vector
    wind: Vector
    rotor_azimuth: float
    rotor_speed: float
    bar_angle: float
    bar_rate: float
    tail_angle: float
    tail_speed: float
    turns_left: float
    inflow: Vector
    tail_inflow: float
    flap: Six
    flap_rate: Six


@jitted
def hinge(y, start, k, flaps):
    """Entry k of a row that has one for each flap hinge, nought beyond them [unit of the row]."""
    return y[start + k] if k < flaps else 0.0


@jitted
def hinges(y, start, flaps):
    """All six of them."""
    return (
        hinge(y, start, 0, flaps),
        hinge(y, start, 1, flaps),
        hinge(y, start, 2, flaps),
        hinge(y, start, 3, flaps),
        hinge(y, start, 4, flaps),
        hinge(y, start, 5, flaps),
    )


@outermost
def seen_of(t, y, params, gusts):
    """The view of a state; arguments as flight/rhs.py has them."""
    p = params[0]
    north, east, down = rotation(four(y, ATTITUDE))
    velocity = three(y, VELOCITY_BODY)
    height = -y[POSITION + Z]
    return Seen(
        three(y, POSITION),
        height,
        along(velocity, (north, east, down)),
        velocity,
        three(y, RATE_BODY),
        north,
        east,
        down,
        wind(t, height, p, gusts),
        y[ROTOR_AZIMUTH],
        y[ROTOR_SPEED],
        y[BAR_ANGLE],
        y[BAR_RATE],
        y[TAIL_ANGLE],
        y[TAIL_SPEED],
        p.skein.turns - y[ROTOR_AZIMUTH] / TURN,
        three(y, INFLOW),
        y[TAIL_INFLOW],
        hinges(y, FLAP, p.flaps),
        hinges(y, FLAP + p.flaps, p.flaps),
    )
