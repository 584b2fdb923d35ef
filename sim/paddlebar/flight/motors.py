"""The motors as the equations of motion see them: torque, loss, stored energy and state of the main skein and of the tail's own."""

from __future__ import annotations

import math

from paddlebar.physics import skein
from paddlebar.physics.compiled import inner, jitted

TURN = 2.0 * math.pi


@jitted
def skein_state(p, turns, set_):
    """Torque on the shaft and loss power per rad/s of unwinding, of the main skein [N m], [N m]."""
    if p.skein_on == 0 or (turns <= 0.0 and p.skein_runs_back == 0):
        return 0.0, 0.0
    if p.skein_measured == 1:
        middle = skein.table_torque(turns, p.skein_table, p.skein_table_last)
    else:
        middle = skein.middle_torque(turns, p.skein_breaking, p.skein_plateau, p.skein_knee, p.skein_spike)
    side = 1.0 if turns >= 0.0 else -1.0
    factor = skein.hysteresis_factor(side * set_, p.skein_half_loss)
    return middle * factor, middle * (1.0 - factor)


@inner
def tail_skein_state(p, turns, set_):
    """Torque on the tail shaft and loss power per rad/s of unwinding, of the tail's own skein [N m], [N m]."""
    if p.tail_skein_on == 0 or turns <= 0.0:
        return 0.0, 0.0
    middle = skein.middle_torque(
        turns, p.tail_skein_breaking, p.tail_skein_plateau, p.tail_skein_knee, p.tail_skein_spike
    )
    factor = skein.hysteresis_factor(set_, p.tail_skein_half_loss)
    return middle * factor, middle * (1.0 - factor)


@inner
def set_rates(p, set_, tail_set, speed, tail_speed):
    """Rates of the hysteresis states of main and tail skein [1/s] at the speeds of their shafts [rad/s]."""
    rate = skein.set_rate(set_, -speed / TURN, p.skein_settle) if p.skein_on == 1 else 0.0
    tail_rate = skein.set_rate(tail_set, -tail_speed / TURN, p.tail_skein_settle) if p.tail_skein_on == 1 else 0.0
    return rate, tail_rate


@inner
def stored_energy(p, azimuth, tail_angle):
    """Energy in both skeins, under their middle curves [J]."""
    total = 0.0
    turns = p.skein_turns - azimuth / TURN
    if p.skein_on == 1 and (turns > 0.0 or p.skein_runs_back == 1):
        if p.skein_measured == 1:
            total += skein.table_energy(turns, p.skein_table, p.skein_table_last)
        else:
            total += skein.middle_energy(turns, p.skein_breaking, p.skein_plateau, p.skein_knee, p.skein_spike)
    turns = p.tail_skein_turns - tail_angle / TURN
    if p.tail_skein_on == 1 and turns > 0.0:
        total += skein.middle_energy(
            turns, p.tail_skein_breaking, p.tail_skein_plateau, p.tail_skein_knee, p.tail_skein_spike
        )
    return total
