"""What a search may vary: keys with limits, and sensible ones where none are named."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft import knobs
from paddlebar.errors import BadInput
from paddlebar.files.scenario import Scenario
from paddlebar.studies.axes import axis, nearest_allowed

Array = NDArray[np.float64]
Vary = tuple[str, float, float]  # key, lowest, highest

FINEST: Final = 200  # a range has some so many steps: finer than a builder sets anything
MOST: Final = 24  # keys
OPTION: Final = "vary"


@dataclass(frozen=True)
class Variable:
    """key : dotted, the craft's under craft.;  low, high : in the unit of the key;  whole : counts;  own : the start's value, maybe outside;  step : of its values."""

    key: str
    low: float
    high: float
    whole: bool
    own: float
    step: float

    def tidy(self, value: float) -> float:
        """The nearest value of the step's grid, within the limits."""
        return min(max(round(round(value / self.step) * self.step, 9), self.low), self.high)

    def change(self, value: float) -> Any:
        """As a file has it."""
        return round(value) if self.whole else float(value)


def variables(scenario: Scenario, text: str, asked: Sequence[Vary] | None) -> tuple[Variable, ...]:
    """Checked variables.

    text   : effective TOML, all defaults filled in;  asked : None: the usual ones that the craft has
    Raises : BadInput, one line, for a key that does not exist, holds no number or is named twice, for limits that a file would refuse
    """
    wanted = _defaults(scenario, text) if asked is None else list(asked)
    if not 1 <= len(wanted) <= MOST:
        raise BadInput(f"{OPTION}: 1 to {MOST} keys may vary, found {len(wanted)}")
    found: list[Variable] = []
    for key, low, high in wanted:
        if any(other.key == key for other in found):
            raise BadInput(f"{OPTION}: {key}: named twice")
        each = axis(OPTION, text, (key, low, high, 2), 2, may_break=True)
        if not math.isfinite(each.own):
            raise BadInput(f"{OPTION}: {key}: the start has no value there, so there is nothing to improve; set one")
        step = 1.0 if each.whole else 10.0 ** math.floor(math.log10((high - low) / FINEST))
        found.append(Variable(key, float(each.values[0]), float(each.values[-1]), each.whole, each.own, step))
    return tuple(found)


def start(of: Sequence[Variable]) -> tuple[float, ...]:
    """The design's own values."""
    return tuple(each.own for each in of)


def changes(of: Sequence[Variable], row: Iterable[float]) -> dict[str, Any]:
    """Overrides of a row; where it has the start's own value nothing is changed."""
    return {each.key: each.change(value) for each, value in zip(of, row, strict=True) if value != each.own}


def _defaults(scenario: Scenario, text: str) -> list[Vary]:
    """The usual ones of the register (craft/knobs.py) with their ranges, narrowed where the file would not allow an end."""
    found: list[Vary] = []
    for knob in knobs.usual(scenario, "improve"):
        own, whole = knob.own(scenario), knob.whole(scenario)
        low, high = (
            nearest_allowed(text, knob.key, own, end, whole=whole, may_break=True) for end in knob.range(scenario)
        )
        if low < high:
            found.append((knob.key, low, high))
    return found
