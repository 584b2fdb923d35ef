"""Turns, torque and energy of a skein at shares of its breaking turns: the table that a builder winds by."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Final

from paddlebar.craft.rubber import torque_curve
from paddlebar.files.craft import Skein
from paddlebar.physics import skein as rubber

SHARES: Final = (0.5, 0.6, 0.7, 0.8, 0.9)
KELVIN: Final = 273.15
# plain Python: one call a row is not worth compiling
_middle_torque: Callable[..., float] = getattr(rubber.middle_torque, "py_func", rubber.middle_torque)
_middle_energy: Callable[..., float] = getattr(rubber.middle_energy, "py_func", rubber.middle_energy)
_table_torque: Callable[..., float] = getattr(rubber.table_torque, "py_func", rubber.table_torque)
_table_energy: Callable[..., float] = getattr(rubber.table_energy, "py_func", rubber.table_energy)
_factor: Callable[..., float] = getattr(rubber.hysteresis_factor, "py_func", rubber.hysteresis_factor)


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
    curve = torque_curve(skein, KELVIN + (skein.reference_C if temperature_c is None else temperature_c))
    rows = []
    for share in shares:
        turns = share * curve.breaking
        if curve.table is not None:
            torque = _table_torque(turns, curve.table, curve.table_last)
            energy = _table_energy(turns, curve.table, curve.table_last)
        else:
            constants = (curve.breaking, curve.plateau, curve.knee, curve.spike)
            torque, energy = _middle_torque(turns, *constants), _middle_energy(turns, *constants)
        winding, unwinding = _factor(1.0, curve.half_loss), _factor(-1.0, curve.half_loss)
        beyond = curve.table is not None and turns > curve.table_last
        rows.append(Winding(share, turns, winding * torque, unwinding * torque, unwinding * energy, beyond))
    return rows
