"""Turns, torque and energy of a skein at shares of its breaking turns: the table that a builder winds by."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from paddlebar.craft.motors import motor_of
from paddlebar.files.craft import Skein
from paddlebar.units import to_si

SHARES: Final = (0.5, 0.6, 0.7, 0.8, 0.9)


@dataclass(frozen=True)
class Winding:
    """A skein wound to a share of its breaking turns.

    share            : of breaking turns [1];  turns : [turns]
    torque_winding_nm: that the winder must give there [N m]
    torque_nm        : that the skein gives once it unwinds [N m]
    energy_j         : let out from there to no turns, all of it unwinding [J]
    beyond_measured  : True where a measured torque curve does not reach: torque and energy are nan
    """

    share: float
    turns: float
    torque_winding_nm: float
    torque_nm: float
    energy_j: float
    beyond_measured: bool


def winding_table(skein: Skein, shares: Iterable[float] = SHARES, temperature_c: float | None = None) -> list[Winding]:
    """A row a share.

    skein         : as in the craft file
    shares        : of breaking turns, 0 to 1
    temperature_c : of the rubber [deg C]; None: its reference temperature
    Returns       : Winding each, torque and energy from the relations that a flight uses (physics/motor.py)
    """
    motor = motor_of(skein, None if temperature_c is None else to_si("temperature_C", temperature_c))
    rows = []
    for share in shares:
        turns = share * motor.breaking
        beyond = turns > motor.known
        found = (motor.torque(turns, 1.0), motor.torque(turns, -1.0), motor.let_out(turns))
        rows.append(Winding(share, turns, *((math.nan,) * 3 if beyond else found), beyond))
    return rows
