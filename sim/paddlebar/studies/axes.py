"""An axis of a study: a key of scenario or craft, its values, and what the design has there."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.clear import check_clear
from paddlebar.craft.limits import check_limits
from paddlebar.errors import BadInput
from paddlebar.files.load import parse_scenario
from paddlebar.files.override import GIVEN
from paddlebar.files.scenario import Scenario

Array = NDArray[np.float64]
Range = tuple[str, float, float, int]  # key, lowest, highest, how many

HALVINGS: Final = 3  # of a usual range whose end no file may say; own choice

# key -> the one that it follows where no file gives it (defaults of files/craft.py and files/scenario.py)
LEFT_OPEN: Final = {
    "craft.rotor.tip_chord_mm": "craft.rotor.chord_mm",
    "craft.bar.paddle_centre_mm": "craft.bar.arm_mm",
    "air.gust_from_deg": "air.wind_from_deg",
}


@dataclass(frozen=True, eq=False)
class Axis:
    """key : dotted, the craft's under craft.;  values : (n) in the unit of the key;  whole : counts;  own : the design's value, nan if open."""

    key: str
    values: Array
    whole: bool
    own: float

    def __str__(self) -> str:
        return f"{self.key} {self.values.tolist()}"

    def change(self, value: float) -> dict[str, Any]:
        """The override that puts a value in."""
        return {self.key: round(value) if self.whole else float(value)}


def open_text(scenario: Scenario) -> str:
    """Effective TOML of a scenario to change keys in: those of LEFT_OPEN that no file gives are left out, so that they go on following."""
    return scenario.effective_toml(key for key in LEFT_OPEN if not _given(scenario, key))


def followers(scenario: Scenario, key: str) -> list[str]:
    """Keys that no file gives and that are as large as this one."""
    return [each for each, leader in LEFT_OPEN.items() if leader == key and not _given(scenario, each)]


def _given(scenario: Scenario, key: str) -> bool:
    *path, last = key.split(".")
    table: Any = scenario
    for word in path:
        table = getattr(table, word)
    return bool(table.given(last))


def axis(option: str, text: str, wanted: Range, most: int, *, may_break: bool = False) -> Axis:
    """A checked axis.

    option  : what the errors call it;  text : effective TOML of the scenario;  wanted : key, lowest, highest, how many;  most : of them
    may_break : turns beyond breaking are let through
    Raises  : BadInput, one line, for an unknown or not numeric key, an empty range, or ends that the file would not allow
    """
    key, low, high, count = wanted
    if not (math.isfinite(low) and math.isfinite(high)) or low >= high:
        raise BadInput(f"{option}: {key}: lowest should be less than highest, found {low:g}:{high:g}")
    if not 2 <= count <= most:
        raise BadInput(f"{option}: {key}: how many should be a whole number from 2 to {most}, found {count}")
    own, whole = number(option, text, key)
    values = np.linspace(low, high, count)
    if whole:
        values = np.unique(np.round(values))
        if values.size < count:
            raise BadInput(
                f"{option}: {key}: counts in whole numbers, and there are not {count} from {low:g} to {high:g}"
            )
    found = Axis(key, values, whole, own)
    for end in (values[0], values[-1]):
        changed(text, found.change(end), option, may_break=may_break)
    return found


def number(option: str, text: str, key: str) -> tuple[float, bool]:
    """What the description has under a key (nan if it leaves it open), and whether it counts in whole numbers. Raises BadInput unless a number can stand there."""
    value = _value(tomllib.loads(text), key)
    if isinstance(value, (dict, list, str, bool)):
        kind = "a table" if isinstance(value, dict) else "a list" if isinstance(value, list) else repr(value)
        raise BadInput(
            f"{option}: {key}: only a number can be varied, found {kind if not isinstance(value, bool) else str(value).lower()}"
        )
    return float(value) if value is not None else math.nan, isinstance(value, int)


def both(x: Axis, y: Axis) -> None:
    """Raises BadInput if two axes are one."""
    if x.key == y.key:
        raise BadInput(f"y: {y.key}: is the key of the other axis; choose two")


def changed(text: str, changes: dict[str, Any], option: str = GIVEN, *, may_break: bool = False) -> Scenario:
    """The scenario of an effective text with changes made; with `may_break` turns beyond breaking are let through. Raises BadInput."""
    try:
        scenario = parse_scenario(text, "scenario", overrides=changes)
        if may_break:
            check_clear(scenario.craft)
        else:
            check_limits(scenario)
    except BadInput as error:
        raise type(error)(str(error).replace(f"{GIVEN}:", f"{option}:", 1)) from None
    return scenario


def nearest_allowed(
    text: str, key: str, own: float, end: float, *, whole: bool = False, may_break: bool = False
) -> float:
    """`end`, or where the file does not allow it the half, quarter or eighth of the way to it from `own`; `own` if none of them."""
    for halving in range(HALVINGS + 1):
        value = own + (end - own) * 0.5**halving if halving else end
        try:
            changed(text, {key: round(value) if whole else value}, may_break=may_break)
        except BadInput:
            continue
        return value
    return own


def _value(table: Any, key: str) -> Any:
    """What stands under a dotted key, None if nothing does; entries of a list by name or by number from 1."""
    for word in key.split("."):
        if isinstance(table, dict):
            table = table.get(word)
        elif isinstance(table, list):
            named = [e for e in table if isinstance(e, dict) and e.get("name") == word]
            numbered = table[int(word) - 1 : int(word)] if word.isdigit() and int(word) > 0 else []
            table = next(iter(named or numbered), None)
        else:
            return None
    return table
