"""Turns, torque and energy of a skein at shares of its breaking turns: the table that a builder winds by."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from paddlebar.craft import rubber
from paddlebar.files.craft import Skein

SHARES: Final = (0.5, 0.6, 0.7, 0.8, 0.9)
KELVIN: Final = 273.15


@dataclass(frozen=True)
class Winding:
    """A skein wound to a share of its breaking turns.

    share            : of breaking turns [1];  turns : [turns]
    torque_winding_nm: that the winder must give there [N m]
    torque_nm        : that the skein gives once it unwinds [N m]
    energy_j         : let out from there to no turns, all of it unwinding [J]
    beyond_measured  : True where a measured torque curve does not reach and its last value is held
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
    Returns       : Winding each, torque and energy from the relations that a flight uses (physics/skein.py)
    """
    curve = rubber.torque_curve(skein, KELVIN + (skein.reference_C if temperature_c is None else temperature_c))
    rows = []
    for share in shares:
        turns = share * curve.breaking
        beyond = curve.table is not None and turns > curve.table_last
        winding, unwinding = rubber.torque_at(curve, turns, 1.0), rubber.torque_at(curve, turns, -1.0)
        rows.append(Winding(share, turns, winding, unwinding, rubber.let_out(curve, turns), beyond))
    return rows
