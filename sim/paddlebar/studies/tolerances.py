"""How far a build may be from its drawing: keys and by how much each is missed, named by a user or the usual ones of the register
(craft/knobs.py), and builds drawn from within.

Source : for the draw: scrambled Sobol sequence (scipy.stats.qmc.Sobol), whose first n points are the same however many follow.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc

from paddlebar.craft import knobs
from paddlebar.craft.knob import Verb
from paddlebar.errors import BadInput
from paddlebar.files.scenario import Scenario
from paddlebar.studies.axes import Axis, changed, nearest_allowed, number

Array = NDArray[np.float64]

OPTION: Final = "keys"
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
        raise BadInput(
            f"{OPTION}: {key}: has no value here; give it one in the file or by overrides, then its tolerance"
        )
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


def usual(scenario: Scenario, *verbs: Verb) -> dict[str, float]:
    """Parameters that the craft has and these verbs vary, key -> tolerance; narrowed where the file would not allow an end, left out where it
    allows none."""
    text = scenario.effective_toml()
    found: dict[str, float] = {}
    for knob in knobs.usual(scenario, *verbs):
        if knob.tolerance is None:
            continue
        own = knob.own(scenario)
        size = knob.tolerance.of(own)
        least = min(abs(nearest_allowed(text, knob.key, own, own + way * size) - own) for way in (-1.0, 1.0))
        if least > 0.0:
            found[knob.key] = float(f"{least:.12g}")
    return found


def drawn(parameters: Sequence[Axis], count: int, seed: int) -> tuple[Array, Array]:
    """Two independent draws of `count` builds (a power of two): values (count, d) each, in the units of the keys.

    Evenly spread over the tolerances, whole numbers over whole numbers.
    """
    d = len(parameters)
    unit = qmc.Sobol(2 * d, rng=np.random.default_rng(seed), bits=64).random(count)
    spread = np.column_stack([_spread(p, unit[:, [k, d + k]]) for k, p in enumerate(parameters)])
    return spread[:, 0::2], spread[:, 1::2]


def _spread(parameter: Axis, unit: Array) -> Array:
    if parameter.whole:
        last = parameter.values.size - 1
        return np.asarray(parameter.values[np.minimum((unit * (last + 1)).astype(int), last)])
    return np.asarray(parameter.values[0] + unit * (parameter.values[-1] - parameter.values[0]))


def build_of(text: str, parameters: Sequence[Axis], inputs: Sequence[float] | Array) -> Scenario:
    """The scenario of one build. Raises BadInput."""
    changes: dict[str, Any] = {}
    for each, value in zip(parameters, inputs, strict=True):
        changes |= each.change(float(value))
    return changed(text, changes)
