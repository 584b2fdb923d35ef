"""What kinds of motor there are: a row each, which answers whatever the rest of the program wants to know of a skein's torque.

Nobody else asks whether a skein is measured. A new motor is its torque and energy in physics/motor.py and a row here, and keys of its own
if it needs them in `Skein` of files/craft.py. The main skein and the tail's own are the same to all of it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.rubber import allowed_turns, half_loss, section_of, warmth
from paddlebar.files.craft import Skein, skein_mass_g
from paddlebar.physics import motor as equations
from paddlebar.physics.compiled import source_of
from paddlebar.physics.skein import hysteresis_factor
from paddlebar.units import to_si

FULL_WIND: Final = 0.85  # of breaking turns; sensible winding stops at 80 to 85 %: references section 6.1 [A]

Values = dict[str, Any]


@dataclass(frozen=True)
class Kind:
    """A kind of motor.

    drives   : is it the motor of this skein? Rows are asked in their order, the first that says yes is it
    numbers  : its entries of the record (physics/motor.py), of a skein at an air temperature [K]
    breaks   : turns at which the skein breaks;  known : turns up to which its torque is known [turns]
    too_many : why no more than `known` may be wound, for a message
    source   : where its torque comes from, in two words;  settings : the same with its figures, for a sheet of paper
    relation : function of physics whose data sheet says so, "" for none
    as_rubber : its torque follows strands, length, energy and warmth of the rubber
    idle     : keys of [skein] that do nothing with it
    """

    drives: Callable[[Skein | None], bool]
    numbers: Callable[[Skein, float], Values]
    breaks: Callable[[Skein], float]
    known: Callable[[Skein], float]
    too_many: Callable[[Skein], str]
    source: str
    settings: Callable[[Skein], str]
    relation: str
    as_rubber: bool
    idle: tuple[str, ...]


def _by_formula(skein: Skein, temperature: float) -> Values:
    """The plateau is set so that unwinding from breaking turns gives the stated energy a kilogram:

    (1 - h) plateau 2 pi N [1 - knee (1 - exp(-1/knee)) + (spike - 1)/9] = e m
    (energy and loss: references section 6.4, weakest figures of all, hence inputs; temperature: references 6.4).
    """
    breaking, knee = allowed_turns(skein), skein.knee_percent / 100.0
    h = half_loss(skein.loss_percent / 100.0)
    held = to_si("energy_kJ_kg", skein.energy_kJ_kg) * to_si("mass_g", skein_mass_g(skein)) / (1.0 - h)
    area = equations.middle_area(1.0, knee, skein.spike)
    return {
        "kind": equations.FORMULA,
        "breaking": breaking,
        "plateau": warmth(skein, temperature) * held / (2.0 * math.pi * breaking * area),
        "knee": knee,
        "spike": skein.spike,
        "fade": knee * breaking,
    }


def _rows(skein: Skein) -> tuple[tuple[float, float], ...]:
    """Turns and torque [mN m] as measured, from no turns on: below the first row the torque falls to none in proportion to the turns."""
    rows = skein.measured or ()
    return rows if rows and rows[0][0] == 0.0 else ((0.0, 0.0), *rows)


def _by_table(skein: Skein, temperature: float) -> Values:
    """Unwinding torque as measured, raised to the middle of the loop, at equally spaced turns."""
    turns, torque = np.array(_rows(skein), dtype=np.float64).T
    at = np.linspace(0.0, turns[-1], equations.NODES)
    h = half_loss(skein.loss_percent / 100.0)
    return {
        "kind": equations.TABLE,
        "table": np.interp(at, turns, 1e-3 * torque) / (1.0 - h),
        "table_last": turns[-1],
    }


def _wound_so_far(skein: Skein) -> float:
    """Breaking turns of a skein that was wound to the last row of its curve, and held [turns]."""
    return max(allowed_turns(skein), _rows(skein)[-1][0])


MOTORS: Final[dict[str, Kind]] = {
    "none": Kind(
        drives=lambda skein: skein is None,
        numbers=lambda skein, temperature: {"kind": equations.NONE},
        breaks=lambda skein: 0.0,
        known=lambda skein: 0.0,
        too_many=lambda skein: "there is no skein to wind",
        source="none",
        settings=lambda skein: "no skein",
        relation="",
        as_rubber=False,
        idle=(),
    ),
    "measured torque": Kind(
        drives=lambda skein: skein is not None and skein.measured is not None,
        numbers=_by_table,
        breaks=_wound_so_far,
        known=lambda skein: _rows(skein)[-1][0],
        too_many=lambda skein: (
            f"the skein's torque was measured up to {_rows(skein)[-1][0]:.0f} turns; wind less, or measure further"
        ),
        source="measured curve",
        settings=lambda skein: "torque from the measured curve of the file",
        relation="physics.motor.table_torque",
        as_rubber=False,
        idle=("energy_kJ_kg", "knee_percent", "spike", "percent_per_K", "reference_C"),
    ),
    "torque": Kind(
        drives=lambda skein: True,
        numbers=_by_formula,
        breaks=allowed_turns,
        known=allowed_turns,
        too_many=lambda skein: (
            f"the skein breaks at {allowed_turns(skein):.0f} turns (breaking_constant {skein.breaking_constant:g})"
        ),
        source="settings",
        settings=lambda skein: f"energy {skein.energy_kJ_kg:g} kJ/kg",
        relation="physics.motor.middle_torque",
        as_rubber=True,
        idle=(),
    ),
}


@dataclass(frozen=True)
class Motor:
    """A skein as a motor, at one temperature.

    name        : row of MOTORS, and what a report calls it;  kind : that row
    temperature : of the air [K]
    """

    name: str
    kind: Kind
    skein: Skein
    temperature: float

    @cached_property
    def record(self) -> NDArray[np.void]:
        """Its numbers (1,), see physics/motor.py; turns are those of `wound`."""
        skein, found = self.skein, np.zeros(1, dtype=equations.DTYPE)
        common = {
            "runs_back": int(skein.run_out == "rewinds"),
            "locks": int(skein.run_out == "locked"),
            "half_loss": half_loss(skein.loss_percent / 100.0),
            "settle": skein.settle_percent / 100.0 * allowed_turns(skein),
            "section": section_of(skein),
        }
        for name, value in (common | self.kind.numbers(skein, self.temperature)).items():
            found[name][0] = value
        return found

    @property
    def _one(self) -> Any:
        """The record by attribute, compiled or not."""
        return self.record.view(np.recarray)[0]

    def wound(self, turns: float) -> NDArray[np.void]:
        """Its numbers (1,) with so many turns at angle zero of its shaft."""
        found = self.record.copy()
        found["turns"] = turns
        return found

    @property
    def breaking(self) -> float:
        """Turns at which it breaks [turns]."""
        return self.kind.breaks(self.skein)

    @property
    def known(self) -> float:
        """Turns up to which its torque is known; more are not wound [turns]."""
        return self.kind.known(self.skein)

    @property
    def safe(self) -> float:
        """Turns to wind at most: 85 % of breaking, and no more than is known [turns]."""
        return min(FULL_WIND * self.breaking, self.known)

    @property
    def section(self) -> float:
        """Of all strands, unstretched [m^2]."""
        return float(self.record["section"][0])

    def torque(self, turns: float, state: float) -> float:
        """Torque at so many turns [N m]; state: set of the rubber, +1 freshly wound, 0 middle of the loop, -1 unwinding."""
        one = self._one
        return float(source_of(equations.motor_torque)(one, turns) * hysteresis_factor(state, one.half_loss))

    def greatest(self, turns: float) -> float:
        """Greatest torque of the winding up to so many turns [N m]; a measured curve need not rise all the way."""
        return max(self.torque(float(each), 1.0) for each in np.linspace(0.0, turns, equations.NODES))

    def energy(self, turns: float) -> float:
        """Energy that so many turns hold, under the middle of the loop as in the ledger of a flight [J]."""
        return float(source_of(equations.motor_energy)(self._one, turns))

    def let_out(self, turns: float) -> float:
        """Energy that so many turns give on their way to none, all of it unwinding [J]."""
        return float(hysteresis_factor(-1.0, self._one.half_loss)) * self.energy(turns)


def kind_of(skein: Skein | None) -> tuple[str, Kind]:
    """Name and row of a skein's motor."""
    return next((name, kind) for name, kind in MOTORS.items() if kind.drives(skein))


def motor_of(skein: Skein, temperature: float | None = None) -> Motor:
    """The motor that a skein is.

    skein       : as in the craft file
    temperature : of the air [K]; None: the rubber's own reference
    """
    if temperature is None:
        temperature = to_si("reference_C", skein.reference_C)
    return Motor(*kind_of(skein), skein, temperature)


def facts(skein: Skein) -> dict[str, Any]:
    """What a report says of its rubber, the weakest figures of all: keys with their units.

    energy_kJ_kg : from breaking turns; of a motor that does not follow its rubber what it lets out over its mass, from all that is known
    torque_from  : where the torque comes from, in two words;  measured : it was measured
    Source       : as entered; breaking turns physics/skein_limits.py
    """
    motor, mass = motor_of(skein), skein_mass_g(skein)
    energy = skein.energy_kJ_kg if motor.kind.as_rubber else motor.let_out(motor.known) / mass  # J/g = kJ/kg
    return {
        "mass_g": mass,
        "section_mm2": 1e6 * motor.section,
        "breaking_turns": motor.breaking,
        "breaking_constant": skein.breaking_constant,
        "energy_kJ_kg": energy,
        "loss_percent": skein.loss_percent,
        "torque_from": motor.kind.source,
        "measured": skein.measured is not None,
    }
