"""What a search may vary: keys with limits, and sensible ones where none are named."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.motors import motor_of
from paddlebar.errors import BadInput
from paddlebar.files.checks import sum_g
from paddlebar.files.kinds import BARS
from paddlebar.files.scenario import Scenario
from paddlebar.studies.axes import axis

Array = NDArray[np.float64]
Vary = tuple[str, float, float]  # key, lowest, highest

FINEST: Final = 200  # a range has some so many steps: finer than a builder sets anything
MOST: Final = 24  # keys
OPTION: Final = "--vary"


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


def variables(scenario: Scenario, text: str, asked: Sequence[Vary] | None, share: float) -> tuple[Variable, ...]:
    """Checked variables.

    text   : effective TOML, all defaults filled in;  asked : None: those of DEFAULTS that the craft has;  share : of breaking turns at most
    Raises : BadInput, one line, for a key that does not exist, holds no number or is named twice, for limits that a file would refuse
    """
    wanted = _defaults(scenario, share) if asked is None else list(asked)
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


# ---- what is varied where nothing is named: rows of (key, has the craft it?, lowest and highest) ----------------------------------
# Limits are round figures that hold what is flown at this size (common practice, no source), widened to hold the start's own value.


def _lead(s: Scenario, share: float) -> tuple[float, float]:
    return 30.0, 150.0


def _gain(s: Scenario, share: float) -> tuple[float, float]:
    return (-1.0, -0.2) if s.craft.bar.gain < 0.0 else (0.2, 1.0)


def _tip(s: Scenario, share: float) -> tuple[float, float]:
    weight = sum_g(s.craft)
    return 0.01 * weight, 0.1 * weight


def _collective(s: Scenario, share: float) -> tuple[float, float]:
    own = s.craft.rotor.collective_deg
    return (own - 4.0, own + 6.0) if s.craft.rotor.station else (4.0, 16.0)


def _turns(s: Scenario, share: float) -> tuple[float, float]:
    most = share * motor_of(s.craft.skein).breaking
    # no mishap on cue may come before the launch
    least = max((cue.at_turns for cue in s.mishap if cue.at_turns is not None), default=1.0) + s.skein.backed_off
    return max(0.4 * most, math.ceil(least)), 1.2 * most


def _strands(s: Scenario, share: float) -> tuple[float, float]:
    own = s.craft.skein.strands or 0
    return max(1, own - 2), own + 2


def _mass(s: Scenario, share: float) -> tuple[float, float]:
    own = s.craft.skein.mass_g or 0.0
    return 0.6 * own, 1.6 * own


def _pulley(s: Scenario, share: float) -> tuple[float, float]:
    assert s.craft.tail is not None
    return 2.0 * s.craft.tail.tail_pulley_mm, 7.0 * s.craft.tail.tail_pulley_mm


def _tail_pitch(s: Scenario, share: float) -> tuple[float, float]:
    return 4.0, 18.0


def _rubber(s: Scenario) -> bool:
    return motor_of(s.craft.skein).kind.as_rubber


def _seesaw(s: Scenario) -> bool:
    return BARS[s.craft.bar.kind].tilts


def _cord(s: Scenario) -> bool:
    return s.craft.tail is not None and s.craft.tail.drive == "cord"


Row = tuple[str, Callable[[Scenario], bool], Callable[[Scenario, float], tuple[float, float]]]
DEFAULTS: Final[tuple[Row, ...]] = (
    ("craft.bar.lead_deg", _seesaw, _lead),
    ("craft.bar.gain", _seesaw, _gain),
    ("craft.bar.tip_mass_g", _seesaw, _tip),
    ("craft.rotor.collective_deg", lambda s: True, _collective),
    ("skein.turns", _rubber, _turns),
    ("craft.skein.strands", lambda s: s.craft.skein.strands is not None and _rubber(s), _strands),
    ("craft.skein.mass_g", lambda s: s.craft.skein.mass_g is not None and _rubber(s), _mass),
    ("craft.tail.drive_pulley_mm", _cord, _pulley),
    ("craft.tail.pitch_deg", lambda s: s.craft.tail is not None, _tail_pitch),
)


def _defaults(scenario: Scenario, share: float) -> list[Vary]:
    found: list[Vary] = []
    for key, has, limits in DEFAULTS:
        if has(scenario):
            low, high = (float(f"{value:.3g}") for value in limits(scenario, share))
            own = _own(scenario, key)
            found.append((key, min(low, own), max(high, own)))
    return found


def _own(scenario: Scenario, key: str) -> float:
    value: Any = scenario
    for word in key.split("."):
        value = getattr(value, word)
    return float(value)
