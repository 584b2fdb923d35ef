"""Torque of a wound rubber skein, with the loss between winding and unwinding."""

from __future__ import annotations

import math

from paddlebar.physics.compiled import jitted

RISE_POWER = 8.0  # the steep climb in the last tenth before breaking; shape from memory, settable height (spike)


@jitted
def middle_torque(turns, breaking, plateau, knee, spike):
    """Torque half-way between the winding and the unwinding curve, odd in the turns.

    Q = plateau [1 - exp(-x/knee) + (spike - 1) x^8],  x = |turns| / breaking turns

    turns    : turns in the skein, either sign [turns]
    breaking : turns at which it breaks [turns]
    plateau  : [N m];  knee : share of breaking turns over which torque comes up [1];  spike : torque at breaking over plateau [1]
    Returns  : torque in the sense of the turns [N m]
    Holds for: 0 <= x <= 1
    Source   : shape (knee in the last 10-15 %, slowly rising plateau, steep rise near full turns) from memory, as in references
        section 6.4; the level comes from energy and breaking turns, see craft/rubber.py
    Checked  : tests/physics/test_skein.py (energy integral, odd symmetry), tests/reference/test_rubber.py (level, scaling; a published table)
    """
    side = 1.0 if turns >= 0.0 else -1.0
    x = side * turns / breaking
    x2 = x * x
    x4 = x2 * x2
    return side * plateau * (1.0 - math.exp(-x / knee) + (spike - 1.0) * x4 * x4)


@jitted
def middle_energy(turns, breaking, plateau, knee, spike):
    """Energy under the middle curve [J]; even in the turns, zero at none. Source : integral of middle_torque over 2 pi turns."""
    x = abs(turns) / breaking
    area = x - knee * (1.0 - math.exp(-x / knee)) + (spike - 1.0) * x ** (RISE_POWER + 1.0) / (RISE_POWER + 1.0)
    return 2.0 * math.pi * breaking * plateau * area


@jitted
def table_torque(turns, table, last):
    """Torque from equally spaced values by straight lines, odd in the turns; held beyond the last.

    turns   : [turns];  table : (n,) torque at 0 ... last turns [N m];  last : turns of the last value [turns]
    Returns : torque in the sense of the turns [N m]
    Source  : linear interpolation; common practice, no source
    Checked : tests/physics/test_skein.py, tests/reference/test_rubber.py (measured table)
    """
    side = 1.0 if turns >= 0.0 else -1.0
    n = table.size - 1
    x = side * turns / last * n
    if x >= n:
        return side * table[n]
    i = int(x)
    return side * (table[i] + (x - i) * (table[i + 1] - table[i]))


@jitted
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


@jitted
def hysteresis_factor(set_, half_width):
    """Torque over the middle curve, 1 + h z, z the set of the rubber (+1 freshly wound, -1 unwinding) [1]. Source : see set_rate."""
    return 1.0 + half_width * set_


@jitted
def set_rate(set_, turns_rate, settle):
    """Rate of the set z: it runs towards the sense of turning over `settle` turns, dz/dt = (n' - z |n'|) / settle.

    set_       : z in [-1, 1] [1];  turns_rate : n', winding positive [turns/s];  settle : [turns]
    Returns    : dz/dt [1/s]
    Holds for  : rate-independent loss; no creep, no recovery at rest
    Source     : Duhem-type hysteresis as in P. Dahl's solid friction model (1968), from memory
    Checked    : tests/physics/test_skein.py (closed form, loss of a closed loop), tests/reference/test_rubber.py
    """
    return (turns_rate - set_ * abs(turns_rate)) / settle


@jitted
def pull(torque, section):
    """Pull along a wound skein from its torque: strands at 45 degrees on a bundle of that section, F = 1.5 Q / a.

    torque   : [N m];  section : of all strands, unstretched [m^2]
    Returns  : axial pull on the hooks [N]
    Holds for: a wound skein between its knots; order of size only
    Source   : own estimate from the geometry of a twisted bundle (Q = 2/3 a F tan 45 deg, a^2 = section/pi), no source
    Checked  : tests/physics/test_skein.py (own geometry, sign and scaling; no measured pull)
    """
    return 1.5 * abs(torque) / math.sqrt(section / math.pi)
