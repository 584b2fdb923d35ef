"""What acts in the joints: rubber, bearings, hinges and their stops, the cord; each with what it costs on a row of the ledger."""

from __future__ import annotations

from paddlebar.flight.layout import (
    BAR_ANGLE,
    BAR_RATE,
    FLAP,
    LOST_HINGES,
    LOST_HYSTERESIS,
    LOST_SHAFT,
    ROTOR_AZIMUTH,
    ROTOR_SPEED,
    SKEIN_SET,
    TAIL_ANGLE,
    TAIL_SKEIN_SET,
    TAIL_SPEED,
)
from paddlebar.physics.bodies import BAR as BAR_UNKNOWN
from paddlebar.physics.bodies import BIAS, SHAFT
from paddlebar.physics.bodies import FLAP as FLAP_UNKNOWN
from paddlebar.physics.bodies import TAIL as TAIL_UNKNOWN
from paddlebar.physics.compiled import part
from paddlebar.physics.cord import GRIPS, NO_CORD, SLIPS, drive_loss
from paddlebar.physics.hinge import dry_friction, hinge_moment
from paddlebar.physics.motor import TURN, motor_drive

SHAFT_SLIDE = 0.5  # [rad/s] rate over which the shaft bearing's dry friction reverses


@part
def put_joints(y, p, work, tail_torque, out):
    """Take what acts in the joints off the bias, write the losses.

    y       : state;  p : parameters;  work : see physics/bodies.py;  tail_torque : of the air on the tail rotor [N m]
    out     : dy/dt; its rows of losses are written
    Returns : torque of the skein on the shaft [N m]; energy in the springs and stops of the hinges [J]; torques on the tail's shaft by
              its own skein and by the losses of its drive [N m]
    """
    drive = put_shaft(y, p, work, out)
    springs = put_hinges(y, p, work, out)
    tail_drive = 0.0
    tail_rub = 0.0
    if p.tail_mass > 0.0:
        tail_drive, tail_rub = put_tail(y, p, work, tail_torque, out)
    return drive, springs, tail_drive, tail_rub


@part
def put_shaft(y, p, work, out):
    """Main skein and shaft bearing; the torque of the skein [N m]."""
    speed = y[ROTOR_SPEED]
    drive, loss = motor_drive(p.skein, p.skein.turns - y[ROTOR_AZIMUTH] / TURN, y[SKEIN_SET])
    rub = dry_friction(p.shaft_friction, speed, SHAFT_SLIDE)
    work[BIAS, SHAFT] -= drive + rub
    out[LOST_HYSTERESIS] = loss * speed
    out[LOST_SHAFT] = -rub * speed
    return drive


@part
def put_hinges(y, p, work, out):
    """Bearing of the bar and flap hinges; energy in their springs and stops [J]."""
    moment, springs, lost = hinge_moment(
        y[BAR_ANGLE],
        y[BAR_RATE],
        p.bar_spring,
        p.bar_damper,
        p.bar_friction,
        p.bar_stop,
        p.bar_stop_stiffness,
        p.stop_damping,
    )
    work[BIAS, BAR_UNKNOWN] -= moment
    for i in range(p.flaps):
        moment, energy, loss = hinge_moment(
            y[FLAP + i],
            y[FLAP + p.flaps + i],
            p.flap_spring,
            p.flap_damper,
            p.flap_friction,
            p.flap_stop,
            p.flap_stop_stiffness,
            p.stop_damping,
        )
        work[BIAS, FLAP_UNKNOWN + i] -= moment
        springs += energy
        lost += loss
    out[LOST_HINGES] = lost
    return springs


@part
def put_tail(y, p, work, air_torque, out):
    """The tail's own skein, its bearings and the cord; torques on the tail's shaft by skein and losses [N m]."""
    speed = y[TAIL_SPEED]
    drive, loss = motor_drive(p.tail_skein, p.tail_skein.turns - y[TAIL_ANGLE] / TURN, y[TAIL_SKEIN_SET])
    rub = drive_loss(air_torque if p.cord_mode != NO_CORD else 0.0, p.cord_loss, p.tail_friction, speed)
    out[LOST_HYSTERESIS] += loss * speed
    out[LOST_SHAFT] -= rub * speed
    if p.cord_mode == GRIPS:
        work[BIAS, SHAFT] -= p.cord_ratio * (drive + rub)
    else:
        work[BIAS, TAIL_UNKNOWN] -= drive + rub
        if p.cord_mode == SLIPS:
            drag = p.cord_sense * p.cord_limit
            work[BIAS, TAIL_UNKNOWN] -= drag
            work[BIAS, SHAFT] += p.cord_ratio * drag
            out[LOST_SHAFT] += drag * (p.cord_ratio * y[ROTOR_SPEED] - speed)
    return drive, rub
