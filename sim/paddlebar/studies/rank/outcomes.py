"""What `rank` looks at: figures of one build, from its flight and from its steady motion. Another figure is another row of OUTPUTS."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import build
from paddlebar.craft.strength.factors import stick_strength
from paddlebar.ensemble.many import Brief, fly_brief
from paddlebar.errors import BadInput
from paddlebar.files.scenario import Scenario
from paddlebar.flight import endings
from paddlebar.flight.aloft import LONGEST_S
from paddlebar.flight.derive import HEADING, derived
from paddlebar.stability.nearby import Seed, near_design
from paddlebar.studies.axes import Axis, changed
from paddlebar.studies.rundown import lasting

Array = NDArray[np.float64]
Wish = Literal["more", "less", "nearer to nothing"]

FAILED: Final = endings.Outcome.FAILED.value  # numerically, whatever the reason
NOT_BUILT: Final = "not built"  # the file would not allow it, or it could not be launched
ENDINGS: Final = (*(outcome.value for outcome in endings.Outcome), NOT_BUILT)  # code -> what became of a build
WELL: Final = tuple(outcome.value for outcome in endings.Outcome if outcome in endings.WELL)
SPARE: Final = (
    1.2  # over what the turns of the craft as built can last: those of another build may last longer; own choice
)
EVERY: Final = 2  # steps between samples of the heading


@dataclass(frozen=True, eq=False)
class Seen:
    """One build: its scenario, what its flight came to, the growth of its fastest growing disturbance [1/s]."""

    scenario: Scenario
    brief: Brief
    growth: float


@dataclass(frozen=True)
class Output:
    """One figure.

    name : for scripts, unit at its end;  words, unit : for people;  form : how it is written;  wish : what a builder wants of it
    read : from Seen, nan where there is none
    """

    name: str
    words: str
    unit: str
    form: str
    wish: Wish
    read: Callable[[Seen], float]

    def better(self, values: Array) -> Array:
        """The same values, larger where they are better."""
        if self.wish == "nearer to nothing":
            return -np.abs(values)
        return np.asarray(values) if self.wish == "more" else -np.asarray(values)


def mean_spin(seen: Seen) -> float:
    """Turns of the nose over the ground, right positive, over the whole flight [deg/s]."""
    return 360.0 * seen.brief.body_turns / seen.brief.duration_s if seen.brief.duration_s > 0.0 else math.nan


def drift(seen: Seen) -> float:
    """Turned to the left or to the right, both counted, over the whole flight [deg/s]."""
    samples = seen.brief.samples
    if samples is None or len(samples) < 2:
        return math.nan
    rows = derived(samples[:, 0], np.ascontiguousarray(samples[:, 1:]), build(seen.scenario))
    heading = np.unwrap(rows[:, HEADING])
    return math.degrees(float(np.abs(np.diff(heading)).sum())) / float(samples[-1, 0] - samples[0, 0])


def stick_margin(seen: Seen) -> float:
    """Least safety factor of the stick at the turns wound, material as in the handbook [1]; nan where it is not known, see craft/strength/factors.py."""
    scenario = seen.scenario
    found = stick_strength(scenario.craft, scenario.skein.turns, scenario.air.temperature_C).stick_margin
    return found if math.isfinite(found) else math.nan  # no turns, no load


OUTPUTS: Final = (
    Output("duration_s", "time in the air", "s", ".1f", "more", lambda seen: seen.brief.duration_s),
    Output("peak_height_m", "peak height", "m", ".2f", "more", lambda seen: seen.brief.peak_height_m),
    Output("spin_deg_s", "mean spin, right positive", "deg/s", "+.1f", "nearer to nothing", mean_spin),
    Output("drift_deg_s", "spin, left or right", "deg/s", ".1f", "less", drift),
    Output("growth_per_s", "growth at mid-run", "1/s", "+.3f", "less", lambda seen: seen.growth),
    Output("stick_margin", "stick bears", "times", ".2f", "more", stick_margin),
)
NAMES: Final = tuple(output.name for output in OUTPUTS)


def whole(scenario: Scenario) -> Scenario:
    """The scenario's own flight, computed until it ends: its time limit raised to what the turns can last, not beyond tipping over."""
    longest = min(max(scenario.run.duration_s, SPARE * lasting(scenario)), LONGEST_S)
    run = scenario.run.model_copy(update={"duration_s": longest, "after_tipping": "stop"})
    return scenario.model_copy(update={"run": run})


def build_of(text: str, parameters: Sequence[Axis], inputs: Array) -> Scenario:
    """The scenario of a row of the study. Raises BadInput."""
    changes: dict[str, Any] = {}
    for each, value in zip(parameters, inputs, strict=True):
        changes |= each.change(float(value))
    return changed(text, changes)


def evaluate(
    index: int, inputs: Array, *, text: str, parameters: tuple[Axis, ...], seeds: list[Seed], others: list[Seed]
) -> tuple[Array, int]:
    """Worker of the study: builds, flies and judges one row.

    text, parameters : effective TOML, and what the inputs are;  seeds, others : steady motions of the design and near by, see stability/nearby.py
    Returns          : outputs in the order of OUTPUTS, nan where there are none or the flight failed numerically, and the code, a place in ENDINGS
    """
    nothing = np.full(len(OUTPUTS), math.nan), ENDINGS.index(NOT_BUILT)
    try:
        scenario = build_of(text, parameters, inputs)
    except BadInput:
        return nothing
    brief = fly_brief(scenario, every=EVERY)
    if not math.isfinite(brief.duration_s):
        return nothing
    if brief.broke_off:
        return nothing[0], ENDINGS.index(FAILED)
    seen = Seen(scenario, brief, near_design(scenario, seeds, others))
    return np.array([output.read(seen) for output in OUTPUTS]), ENDINGS.index(brief.outcome)
