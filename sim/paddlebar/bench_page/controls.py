"""What can be moved on the bench: rows of the register of knobs that a description has, as the page needs them."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from paddlebar.craft.knob import Knob, unit
from paddlebar.craft.knobs import KNOBS, SWITCHES, idle, knobs
from paddlebar.errors import BadInput
from paddlebar.files.keys import number_at, value_at
from paddlebar.files.scenario import Scenario

# in the order of the page; own choice
GROUPS: Final = ("blades", "bar", "rubber", "tail", "balance", "launch", "air")
# of launch and air, which no study varies unasked: what a hand does with a model
FOREMOST: Final = frozenset(
    {"launch.tilt_deg", "launch.height_m", "launch.bar_deg", "air.temperature_C", "air.wind_m_s"}
)
# numbers whose sense may be turned round: their sliders reach as far to the other side
TURNED: Final = frozenset(switch.key for switch in SWITCHES) & frozenset(row.key for row in KNOBS)
TICKS: Final = 10.0  # tolerances that a slider reaches to either side where no search says how far; own choice
SHARE: Final = 0.6  # of the value, where that is more
STEPS: Final = 200.0  # of a slider; an arrow key moves it by one

Allowed = Callable[[str, Any], bool]


@dataclass(frozen=True)
class Control:
    """A slider, or a choice.

    key, group, noun, unit : of the register;  low, high, step : of the slider, nothing for a choice
    tolerance : of a builder, in the unit of the key, 0 none;  whole : it counts;  foremost : not behind "more"
    choices   : of a choice, its own value first;  says : what a hand does for more, and for less
    """

    key: str
    group: str
    noun: str
    unit: str
    low: float
    high: float
    step: float
    tolerance: float
    whole: bool
    foremost: bool
    choices: tuple[Any, ...] = ()
    says: tuple[str, ...] = ()

    def to_json(self, index: int) -> dict[str, Any]:
        """As the page takes it: by number; the key is there to be read."""
        return {"index": index, **vars(self)}

    def value(self, sent: float) -> Any:
        """What a number from the page stands for: a choice is sent by its place. Raises IndexError for a choice that is none."""
        if self.choices:
            if sent not in range(len(self.choices)):
                raise IndexError(sent)
            return self.choices[int(sent)]
        return int(sent) if self.whole and float(sent).is_integer() else sent

    def sent(self, value: Any) -> float | None:
        """The other way round; None where the description has nothing there."""
        if self.choices:
            return float(self.choices.index(value)) if value in self.choices else None
        return None if value is None else float(value)


def controls(scenario: Scenario, allowed: Allowed) -> tuple[Control, ...]:
    """Every control of a description, in the register's order.

    allowed : whether a key may have a value; the ends of a slider are moved in until they may
    """
    works = {knob.key: knob for knob in knobs(scenario)}
    sleeping = [row for row in KNOBS if row.key in idle(scenario)]
    rows = [*works.values(), *sleeping]
    found = [_slider(knob, scenario, allowed, knob.key in works) for knob in rows]
    for switch in SWITCHES:
        if not switch.has(scenario) or switch.key in works:  # a gain has a slider, to both sides
            continue
        own = value_at(scenario, switch.key)
        choices = (own, switch.other(scenario))
        found.append(
            Control(switch.key, switch.group, switch.noun, "", 0.0, 1.0, 1.0, 0.0, False, True, choices, (switch.words(scenario),))
        )  # fmt: skip
    return tuple(sorted(found, key=lambda control: GROUPS.index(control.group)))


def _slider(knob: Knob, scenario: Scenario, allowed: Allowed, works: bool) -> Control:
    own, whole = knob.own(scenario), knob.whole(scenario)
    low, high = knob.range(scenario)
    tolerance = knob.tolerance.of(own) if knob.tolerance is not None else 0.0
    if math.isnan(low):
        reach = max(TICKS * tolerance, SHARE * abs(own), 1.0 if whole else 0.0) or 1.0
        low, high = own - reach, own + reach
    try:
        least, most = number_at(scenario, knob.key, "bench")[1:]
        low, high = max(low, least), min(high, most)
    except BadInput:
        pass  # what counts is tried like all others
    if knob.key in TURNED:
        high = max(abs(low), abs(high))
        low = -high
    low, high = (_nearer(knob.key, own, end, whole, allowed if works else _any) for end in (low, high))
    step = 1.0 if whole else 10.0 ** math.floor(math.log10(max(high - low, 1e-9) / STEPS * 2.0))
    return Control(
        knob.key, knob.group, knob.noun, unit(knob.key), low, high, step, tolerance, whole,
        bool(set(knob.usual) - {"match"}) or knob.key in FOREMOST, (), (knob.more, knob.less),
    )  # fmt: skip


def _any(key: str, value: Any) -> bool:
    return True


def _nearer(key: str, own: float, end: float, whole: bool, allowed: Allowed) -> float:
    """The end of a slider, or as near to it as the file allows."""
    for _ in range(6):
        value: float = round(end) if whole else float(f"{end:.3g}")
        if value == own or allowed(key, value):
            return float(value)
        end = own + 0.7 * (end - own)
    return own
