"""What a record is to find: numbers of craft or scenario, each with what is believed beforehand (prior) and the range of the file."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from paddlebar.craft.motors import motor_of
from paddlebar.errors import BadInput
from paddlebar.files.keys import number_at
from paddlebar.files.kinds import BARS
from paddlebar.files.scenario import Scenario

OPTION = "--unknown"
DEFAULT = (
    "craft.skein.energy_kJ_kg",
    "craft.rotor.collective_deg",
    "craft.rotor.drag_factor",
    "craft.airframe_drag_factor",
    "craft.bar.friction_mN_m",
)
"""Rubber, real pitch, section drag, drag area, hinge friction: what a builder can hardly measure."""
MOST = 12

# Deviations of a normal prior, for any key; rank has ends of its own for keys of its own (tolerances.py).
# End of a key -> one standard deviation of what was built against what was meant: absolute, share of the value. Common practice, no
# source, but where a row says otherwise.
TOLERANCES: tuple[tuple[str, float, float], ...] = (
    ("energy_kJ_kg", 1.25, 0.0),  # references 6.4: 6, range 4 to 9
    ("breaking_constant", 1.25, 0.0),  # references 6.1: 10, range 8 to 13
    ("loss_percent", 8.0, 0.0),  # references 6.4: 30 +- 8
    ("airframe_drag_factor", 0.3, 0.0),
    ("drag_factor", 0.15, 0.0),
    ("drag_coefficient", 0.1, 0.2),
    ("drag_area_mm2", 5.0, 0.3),
    ("friction_mN_m", 0.01, 0.5),
    ("damping_mN_m_s", 0.005, 0.5),
    ("lead_deg", 3.0, 0.0),
    ("tilt_deg", 2.0, 0.0),
    ("_deg", 1.0, 0.0),
    ("gain", 0.0, 0.1),
    ("_g", 0.02, 0.02),
    ("_mm", 0.3, 0.01),
    ("density_kg_m3", 0.0, 0.01),
)
WIDEST = 4.0  # standard deviations to either side that are looked at


@dataclass(frozen=True)
class Unknown:
    """A number that is to be found: prior mean and standard deviation, and how far it may go, in the unit of its key."""

    key: str
    mean: float
    sd: float
    low: float
    high: float


def unknowns(scenario: Scenario, wanted: Mapping[str, float | None] | None = None) -> list[Unknown]:
    """The unknowns of a match.

    wanted  : dotted key -> standard deviation of the prior, None: the tolerance of TOLERANCES. None: those of DEFAULT that the craft has
    Raises  : BadInput, one line, for a key that does not exist or holds no number, a spread that is not positive, too many of them
    """
    if wanted is None:
        wanted = {key: None for key in DEFAULT if _has(scenario, key)}
    if not 1 <= len(wanted) <= MOST:
        raise BadInput(f"{OPTION}: give 1 to {MOST} of them, found {len(wanted)}")
    return [_unknown(scenario, key, sd) for key, sd in wanted.items()]


def _has(scenario: Scenario, key: str) -> bool:
    if key.removeprefix("craft.skein.") in motor_of(scenario.craft.skein).kind.idle:
        return False  # as energy_kJ_kg beside a measured curve
    return BARS[scenario.craft.bar.kind].tilts or not key.startswith("craft.bar.")


def _unknown(scenario: Scenario, key: str, sd: float | None) -> Unknown:
    number = number_at(scenario, key, OPTION)
    if math.isnan(number.value):
        raise BadInput(
            f"{OPTION}: {key}: is left open by the description; give it a value first, in the file or with --set"
        )
    if sd is None:
        row: Any = next((each for each in TOLERANCES if key.endswith(each[0])), None)
        sd = math.hypot(row[1], row[2] * number.value) if row is not None else 0.0
        if sd <= 0.0:
            rule = "no build tolerance is known for it; write KEY=SPREAD, one standard deviation in its unit"
            raise BadInput(f"{OPTION}: {key}: {rule}")
    if not (math.isfinite(sd) and sd > 0.0):
        raise BadInput(f"{OPTION}: {key}: its spread should be greater than 0, found {sd:g}")
    low, high = max(number.low, number.value - WIDEST * sd), min(number.high, number.value + WIDEST * sd)
    return Unknown(key, number.value, sd, low, high)
