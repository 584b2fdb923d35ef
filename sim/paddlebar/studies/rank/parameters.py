"""The parameters of a rank: keys and by how much each is built wrong, named by a user or the usual ones of the register (craft/knobs.py)."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

import numpy as np

from paddlebar.craft import knobs
from paddlebar.errors import BadInput
from paddlebar.files.scenario import Scenario
from paddlebar.studies.axes import Axis, changed, nearest_allowed, number

OPTION: Final = "--key"
MOST: Final = 60  # parameters


def tolerance(text: str, key: str, size: float) -> Axis:
    """One parameter: its key, its own value and both ends; values (2,), for whole numbers all from end to end.

    text     : effective TOML of the scenario
    Raises   : BadInput, one line: no such key, no number there, a tolerance that is none, ends that the file would not allow
    """
    own, whole = number(OPTION, text, key)
    if not (math.isfinite(size) and size > 0.0):
        raise BadInput(f"{OPTION}: {key}: a tolerance should be a number above 0, found {size:g}")
    if math.isnan(own):
        changed(text, {key: size}, OPTION)  # an unknown key has its own, better sentence
        raise BadInput(f"{OPTION}: {key}: has no value here; give it one in the file or by --set, then its tolerance")
    if whole and size != round(size):
        raise BadInput(f"{OPTION}: {key}: counts in whole numbers, and its tolerance should too, found {size:g}")
    ends = np.array([own - size, own + size])
    found = Axis(key, np.arange(ends[0], ends[1] + 0.5) if whole else ends, whole, own)
    for end in ends:
        changed(text, found.change(float(end)), OPTION)
    return found


def chosen(text: str, keys: Mapping[str, float]) -> tuple[Axis, ...]:
    """Parameters that a user named, key -> tolerance. Raises BadInput."""
    if len(keys) > MOST:
        raise BadInput(f"{OPTION}: at most {MOST} parameters, found {len(keys)}")
    return tuple(tolerance(text, key, float(size)) for key, size in keys.items())


def usual(scenario: Scenario) -> dict[str, float]:
    """Parameters that the craft has, key -> tolerance; narrowed where the file would not allow an end, left out where it allows none."""
    text = scenario.effective_toml()
    found: dict[str, float] = {}
    for knob in knobs.usual(scenario, "rank"):
        if knob.tolerance is None:
            continue
        own = knob.own(scenario)
        size = knob.tolerance.of(own)
        least = min(abs(nearest_allowed(text, knob.key, own, own + way * size) - own) for way in (-1.0, 1.0))
        if least > 0.0:
            found[knob.key] = float(f"{least:.12g}")
    return found
