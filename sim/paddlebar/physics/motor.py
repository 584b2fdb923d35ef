"""A motor that is wound: torque and stored energy from its turns, every kind behind one entry, for any shaft.

A motor is one record (DTYPE). A new kind is a number below, what it needs in FIELDS, a torque and the energy under it, and a branch in
`motor_torque` and in `motor_energy`; what a description says of it is a row in craft/motors.py. The ledger needs the pair: the energy is
the integral of the torque.
"""

from __future__ import annotations

import math

import numpy as np

from paddlebar.physics.compiled import inner, jitted
from paddlebar.physics.skein import hysteresis_factor, set_rate

TURN = 2.0 * math.pi  # [rad]

NONE, FORMULA, TABLE, STEADY = range(4)
NODES = 129  # of a table

F = np.float64
I = np.int64  # noqa: E741

# name, type, shape, unit, meaning
FIELDS: tuple[tuple[str, type, tuple[int, ...], str, str], ...] = (
    ("kind", I, (), "1", "NONE, FORMULA, TABLE or STEADY"),
    ("turns", F, (), "turn", "turns at angle zero of its shaft"),
    ("runs_back", I, (), "1", "1 if it pulls the other way after run-out"),
    ("locks", I, (), "1", "1 if it holds its shaft fast after run-out"),
    ("fade", F, (), "turn", "turns left below which the torque dies away, 0 if that is not known"),
    ("half_loss", F, (), "1", "half width of the loss loop"),
    ("settle", F, (), "turn", "turns over which the set changes"),
    ("section", F, (), "m^2", "section of all strands"),
    # FORMULA
    ("breaking", F, (), "turn", "breaking turns"),
    ("plateau", F, (), "N m", "plateau of the middle curve"),
    ("knee", F, (), "1", "share of breaking turns over which torque comes up"),
    ("spike", F, (), "1", "torque at breaking over plateau"),
    # TABLE
    ("table", F, (NODES,), "N m", "middle torque at equally spaced turns"),
    ("table_last", F, (), "turn", "turns of the last entry"),
    # STEADY
    ("steady", F, (), "N m", "torque at any number of turns: a motor held at one point of its run"),
)

DTYPE = np.dtype([(name, kind, shape) for name, kind, shape, _, _ in FIELDS], align=True)

_RISE_POWER = 8.0  # the steep climb in the last tenth before breaking; shape from memory, settable height (spike)


@jitted
def motor_torque(motor, turns):
    """Torque half-way between the winding and the unwinding curve, odd in the turns.

    motor   : record (DTYPE);  turns : in it, either sign [turns]
    Returns : torque in the sense of the turns [N m], run out or not
    Source  : that of its kind, below
    Checked : tests/physics/test_motor.py
    """
    if motor.kind == FORMULA:
        return middle_torque(turns, motor.breaking, motor.plateau, motor.knee, motor.spike)
    if motor.kind == TABLE:
        return table_torque(turns, motor.table, motor.table_last)
    if motor.kind == STEADY:
        return motor.steady if turns >= 0.0 else -motor.steady
    return 0.0


@jitted
def motor_energy(motor, turns):
    """Energy that so many turns hold, under the middle curve, even in the turns [J].

    motor, turns : as motor_torque
    Source  : integral of motor_torque over 2 pi turns
    Checked : tests/physics/test_motor.py
    """
    if motor.kind == FORMULA:
        return middle_energy(turns, motor.breaking, motor.plateau, motor.knee, motor.spike)
    if motor.kind == TABLE:
        return table_energy(turns, motor.table, motor.table_last)
    if motor.kind == STEADY:
        return 2.0 * math.pi * abs(turns) * motor.steady
    return 0.0


@jitted
def pulls(motor, turns):
    """True while a motor turns its shaft with so many turns left [turns]: not run out, or one that winds itself up the other way.

    Source : what running out means: a skein without turns has no torque
    """
    return motor.kind != NONE and (turns > 0.0 or motor.runs_back == 1)


@jitted
def motor_drive(motor, turns, set_):
    """What a motor does on its shaft.

    motor   : record (DTYPE);  turns : left [turns];  set_ : of its rubber, see skein.set_rate [1]
    Returns : torque on the shaft [N m], power lost to the loop per rad/s of unwinding [N m]
    Source  : middle curve times the factor of the loop (skein.hysteresis_factor)
    Checked : tests/physics/test_motor.py, tests/reference/test_rubber.py (motor_drive)
    """
    if not pulls(motor, turns):
        return 0.0, 0.0
    middle = motor_torque(motor, turns)
    side = 1.0 if turns >= 0.0 else -1.0
    factor = hysteresis_factor(side * set_, motor.half_loss)
    return middle * factor, middle * (1.0 - factor)


@jitted
def motor_set_rate(motor, set_, speed):
    """Rate of the set of a motor's rubber [1/s] while its shaft turns at a speed [rad/s]; none where there is no rubber.

    Source : skein.set_rate
    """
    return set_rate(set_, -speed / TURN, motor.settle) if motor.kind != NONE else 0.0


@jitted
def motor_stored(motor, turns):
    """Energy that can still come out of a motor with so many turns left [J]: motor_energy, none once it has run out.

    Source : see motor_energy and pulls
    Checked : tests/physics/test_motor.py
    """
    return motor_energy(motor, turns) if pulls(motor, turns) else 0.0


# ---- kinds: a torque and the energy under it ----------------------------------------------------------------------------------------


@inner
def middle_torque(turns, breaking, plateau, knee, spike):
    """Rubber by formula: torque half-way between the winding and the unwinding curve, odd in the turns.

    Q = plateau [1 - exp(-x/knee) + (spike - 1) x^8],  x = |turns| / breaking turns

    turns    : turns in the skein, either sign [turns]
    breaking : turns at which it breaks [turns]
    plateau  : [N m];  knee : share of breaking turns over which torque comes up [1];  spike : torque at breaking over plateau [1]
    Returns  : torque in the sense of the turns [N m]
    Holds for: 0 <= x <= 1
    Source   : shape (knee in the last 10-15 %, slowly rising plateau, steep rise near full turns) from memory, as in references
        section 6.4: with the default knee of 8 % the torque is 71, 78, 85 % of the plateau at the last 10, 12, 15 %. The level comes from energy and breaking turns, see craft/motors.py
    Checked  : tests/physics/test_motor.py (energy integral, odd symmetry), tests/reference/test_rubber.py (level, scaling; a published table)
    """
    side = 1.0 if turns >= 0.0 else -1.0
    x = side * turns / breaking
    x2 = x * x
    x4 = x2 * x2
    return side * plateau * (1.0 - math.exp(-x / knee) + (spike - 1.0) * x4 * x4)


@inner
def middle_energy(turns, breaking, plateau, knee, spike):
    """Energy under middle_torque [J]; even in the turns, zero at none. Source : its integral over 2 pi turns."""
    x = abs(turns) / breaking
    return 2.0 * math.pi * breaking * plateau * middle_area(x, knee, spike)


@inner
def middle_area(x, knee, spike):
    """Area under middle_torque over its plateau, from none to a share x of breaking turns [1]. Source : its integral."""
    return x - knee * (1.0 - math.exp(-x / knee)) + (spike - 1.0) * x ** (_RISE_POWER + 1.0) / (_RISE_POWER + 1.0)


@inner
def table_torque(turns, table, last):
    """Torque from equally spaced values by straight lines, odd in the turns.

    turns    : [turns];  table : (n,) torque at 0 ... last turns [N m];  last : turns of the last value [turns]
    Returns  : torque in the sense of the turns [N m]
    Holds for: |turns| <= last; beyond, the last value is held, for nothing is known there and no skein is wound so far (craft/limits.py)
    Source   : linear interpolation; common practice, no source
    Checked  : tests/physics/test_motor.py, tests/reference/test_rubber.py (measured table)
    """
    side = 1.0 if turns >= 0.0 else -1.0
    n = table.size - 1
    x = side * turns / last * n
    if x >= n:
        return side * table[n]
    i = int(x)
    return side * (table[i] + (x - i) * (table[i + 1] - table[i]))


@inner
def table_energy(turns, table, last):
    """Energy under table_torque [J], even in the turns. Source : trapezium rule, exact for its straight lines."""
    n = table.size - 1
    step = last / n
    x = abs(turns) / step
    i = int(x) if x < n else n
    total = 0.0
    for k in range(i):
        total += 0.5 * (table[k] + table[k + 1]) * step
    if i < n:
        f = x - i
        total += f * step * (table[i] + 0.5 * f * (table[i + 1] - table[i]))
    else:
        total += (x - n) * step * table[n]
    return 2.0 * math.pi * total
