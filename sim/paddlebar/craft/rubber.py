"""Strands, section, length and energy -> the torque curve of a skein."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.parameters import TORQUE_NODES
from paddlebar.files.craft import Skein, skein_mass_g
from paddlebar.physics import skein as equations
from paddlebar.physics.skein import RISE_POWER
from paddlebar.physics.skein_limits import breaking_turns


@dataclass(frozen=True)
class TorqueCurve:
    """Constants of physics/skein.py: turns in turns, torque in N m, section in m^2."""

    breaking: float
    plateau: float
    knee: float
    spike: float
    half_loss: float
    settle: float
    section: float
    table: NDArray[np.float64] | None
    table_last: float


def half_loss(loss: float) -> float:
    """Half width h of the loss loop: winding takes 1 + h, unwinding gives 1 - h, so loss = 2h/(1+h) of what was put in [1]."""
    return loss / (2.0 - loss)


def torque_curve(skein: Skein, temperature: float) -> TorqueCurve:
    """Torque curve of a skein at an air temperature [K].

    The plateau is set so that unwinding from breaking turns gives the stated energy a kilogram:
    (1 - h) plateau 2 pi N [1 - knee (1 - exp(-1/knee)) + (spike - 1)/9] = e m
    (energy and loss: references section 6.4, weakest figures of all, hence inputs; temperature: references 6.4).
    """
    mass = 1e-3 * skein_mass_g(skein)
    length = 1e-3 * skein.length_mm
    section = mass / (skein.density_kg_m3 * length)
    breaking = breaking_turns(length, section, skein.breaking_constant)
    knee = skein.knee_percent / 100.0
    h = half_loss(skein.loss_percent / 100.0)
    warm = 1.0 + skein.percent_per_K / 100.0 * (temperature - 273.15 - skein.reference_C)
    area = 1.0 - knee * (1.0 - math.exp(-1.0 / knee)) + (skein.spike - 1.0) / (RISE_POWER + 1.0)
    plateau = warm * skein.energy_kJ_kg * 1e3 * mass / ((1.0 - h) * 2.0 * math.pi * breaking * area)
    table, last = None, 1.0
    if skein.measured is not None:
        rows = np.array(skein.measured, dtype=float)
        last = float(rows[-1, 0])
        table = np.interp(np.linspace(0.0, last, TORQUE_NODES), rows[:, 0], rows[:, 1] * 1e-3) / (1.0 - h)
    return TorqueCurve(
        breaking, plateau, knee, skein.spike, h, skein.settle_percent / 100.0 * breaking, section, table, last
    )


def torque_at(curve: TorqueCurve, turns: float, state: float) -> float:
    """Torque at so many turns [N m]; state: set of the rubber, +1 freshly wound, 0 middle of the loop, -1 unwinding."""
    if curve.table is not None:
        middle = equations.table_torque(turns, curve.table, curve.table_last)
    else:
        middle = equations.middle_torque(turns, curve.breaking, curve.plateau, curve.knee, curve.spike)
    return float(middle * equations.hysteresis_factor(state, curve.half_loss))


def energy_at(curve: TorqueCurve, turns: float) -> float:
    """Energy that so many turns hold, under the middle of the loop as in the ledger of a flight [J]."""
    if curve.table is not None:
        return float(equations.table_energy(turns, curve.table, curve.table_last))
    return float(equations.middle_energy(turns, curve.breaking, curve.plateau, curve.knee, curve.spike))


def let_out(curve: TorqueCurve, turns: float) -> float:
    """Energy that so many turns give on their way to none, all of it unwinding [J]."""
    return float(equations.hysteresis_factor(-1.0, curve.half_loss)) * energy_at(curve, turns)


def facts(skein: Skein) -> dict[str, float | bool]:
    """What a report says of its rubber, the weakest figures of all: keys with their units.

    energy_kJ_kg : from breaking turns; of a measured curve its own area over the mass, to its last row
    Source       : as entered; breaking turns physics/skein_limits.py
    """
    mass = skein_mass_g(skein)
    curve = torque_curve(skein, 273.15 + skein.reference_C)
    energy = skein.energy_kJ_kg
    if curve.table is not None:
        energy = let_out(curve, curve.table_last) / mass  # J/g = kJ/kg
    return {
        "mass_g": mass,
        "section_mm2": 1e6 * curve.section,
        "breaking_turns": curve.breaking,
        "breaking_constant": skein.breaking_constant,
        "energy_kJ_kg": energy,
        "loss_percent": skein.loss_percent,
        "measured": skein.measured is not None,
    }


def set_after_backing_off(backed_off: float, settle: float) -> float:
    """Set of the rubber after letting back so many turns from full winding, -1 + 2 exp(-turns/settle) (solution of set_rate) [1]."""
    return -1.0 + 2.0 * math.exp(-backed_off / settle)
