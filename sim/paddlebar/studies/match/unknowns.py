"""What a record is to find: numbers of craft or scenario, each with what is believed beforehand (prior) and the range of the file."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from paddlebar.craft import knobs
from paddlebar.errors import BadInput
from paddlebar.files.keys import number_at
from paddlebar.files.scenario import Scenario

OPTION = "unknowns"
MOST = 12
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

    wanted  : dotted key -> standard deviation of the prior, None: that of the register (craft/knobs.py). None: the usual ones that the craft has: rubber's
        energy, real pitch, section drag, drag area, hinge friction, what a builder can hardly measure
    Raises  : BadInput, one line, for a key that does not exist or holds no number, a spread that is not positive, too many of them
    """
    if wanted is None:
        wanted = {knob.key: None for knob in knobs.usual(scenario, "match")}
    if not 1 <= len(wanted) <= MOST:
        raise BadInput(f"{OPTION}: give 1 to {MOST} of them, found {len(wanted)}")
    return [_unknown(scenario, key, sd) for key, sd in wanted.items()]


def _unknown(scenario: Scenario, key: str, sd: float | None) -> Unknown:
    number = number_at(scenario, key, OPTION)
    if math.isnan(number.value):
        raise BadInput(
            f"{OPTION}: {key}: is left open by the description; give it a value first, in the file or by overrides"
        )
    if sd is None:
        knob = knobs.knob_at(scenario, key)
        sd = knob.sd(number.value) if knob is not None else 0.0
        if sd <= 0.0:
            rule = "no build tolerance is known for it; write KEY=SPREAD, one standard deviation in its unit"
            raise BadInput(f"{OPTION}: {key}: {rule}")
    if not (math.isfinite(sd) and sd > 0.0):
        raise BadInput(f"{OPTION}: {key}: its spread should be greater than 0, found {sd:g}")
    low, high = max(number.low, number.value - WIDEST * sd), min(number.high, number.value + WIDEST * sd)
    return Unknown(key, number.value, sd, low, high)
