"""The register of what a flight or a build is judged by in studies: rank's figures, improve's goals and demands, their tables and pictures.

Another figure is another row of FIGURES: every verb then works it out, shows it and takes it as a goal if it is given that name. What a
flight's own summary tells already has its words there (flight/figures.py).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, fields
from enum import IntEnum
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers
from paddlebar.craft.motors import motor_of
from paddlebar.craft.strength.factors import stick_strength
from paddlebar.ensemble.many import Brief
from paddlebar.files.checks import sum_g
from paddlebar.files.scenario import Scenario
from paddlebar.flight import layout
from paddlebar.flight.endings import WELL
from paddlebar.flight.figures import BY_NAME, Figure
from paddlebar.studies.rundown import knee_turns

Array = NDArray[np.float64]
Verb = Literal["rank", "improve"]

EVERY: Final = 2  # steps between the samples that are kept, some six a revolution: what `spin` and growths need
WINDOW_S: Final = (
    1.0  # heading gained over this long counts as spin, whatever the body shakes within a turn of the rotor
)


class Step(IntEnum):
    """What must have been worked out before a figure can be read, cheap ones first."""

    BUILT, FLOWN, GROWTH = range(3)


@dataclass(frozen=True, eq=False)
class Seen:
    """One build and what became of it, as far as it was looked at.

    numbers, brief : from FLOWN on, samples kept at each EVERY-th step
    growth  : of a disturbance at half the turns [1/s];  growths : at points along the run-down [1/s]; nan where no steady motion was found
    """

    scenario: Scenario
    numbers: Numbers | None = None
    brief: Brief | None = None
    growth: float = math.nan
    growths: tuple[float, ...] = ()


@dataclass(frozen=True)
class Judged(Figure):
    """A figure that builds are compared by.

    step : see Step;  read : from what was seen, nan where there is none
    goal : what `improve --for` calls it, "" for no goal;  verbs : that work it out and show it
    """

    step: Step = Step.FLOWN
    read: Callable[[Seen], float] = lambda seen: math.nan
    goal: str = ""
    verbs: tuple[Verb, ...] = ("rank", "improve")

    def worth(self, values: Array) -> Array:
        """The same values, larger where they are better."""
        if self.better == "nearer to nothing":
            return -np.abs(values)
        return -np.asarray(values) if self.better == "less" else np.asarray(values)

    def cost(self, value: float) -> float:
        """To be made small; infinite without a figure."""
        return -float(self.worth(np.array(value))) if math.isfinite(value) else math.inf


def weight(seen: Seen) -> float:
    """As weighed, or the sum of the parts [g]."""
    craft = seen.scenario.craft
    return craft.all_up_g if craft.all_up_g is not None else sum_g(craft)


def turns_share(seen: Seen) -> float:
    """Turns over those at which the skein breaks [1]; a measured curve that goes further is believed: wound so far it held."""
    return seen.scenario.skein.turns / motor_of(seen.scenario.craft.skein).breaking


def stick_margin(seen: Seen) -> float:
    """Least safety factor of the stick at the turns wound, material as in the handbook [1]; nan where it is not known, see craft/strength/factors.py."""
    scenario = seen.scenario
    found = stick_strength(scenario.craft, scenario.skein.turns, scenario.air.temperature_C).stick_margin
    return found if math.isfinite(found) else math.nan  # no turns, no load


def unfinished(seen: Seen) -> float:
    """Share of the turns that were left when it tipped over or struck something, 0.01 at least; 0 for a flight that ended well [1]."""
    assert seen.brief is not None
    return 0.0 if seen.brief.outcome in WELL else max(seen.brief.turns_left / _wound(seen), 0.01)


def spin(seen: Seen) -> float:
    """Mean spin of the body over the ground, nose to the right positive, see headings() [deg/s]."""
    time, heading = headings(seen)
    return math.degrees(float(heading[-1] - heading[0])) / float(time[-1] - time[0]) if time.size else math.nan


def mean_spin(seen: Seen) -> float:
    """Mean size of the body's spin over the ground, left and right alike, see headings() [deg/s]."""
    time, heading = headings(seen)
    return math.degrees(float(np.abs(np.diff(heading)).sum())) / float(time[-1] - time[0]) if time.size else math.nan


def headings(seen: Seen) -> tuple[Array, Array]:
    """Time [s] and heading [rad] every WINDOW_S or so, from letting go to the knee of the rubber: below it a craft sinks whatever its tail does.

    Returns : (n), (n); both empty for a flight that was not seen so far
    """
    none = np.empty(0), np.empty(0)
    brief, numbers = seen.brief, seen.numbers
    if brief is None or numbers is None or brief.samples is None or len(brief.samples) < 2:
        return none
    launch, turns = seen.scenario.launch, _wound(seen)
    released = launch.hold_s if launch.release == "held" else 0.0
    time, azimuth = brief.samples[:, 0], brief.samples[:, 1 + layout.ROTOR_AZIMUTH]
    left = turns - (azimuth - azimuth[0]) / (2.0 * math.pi)
    use = (time >= released) & (left >= knee_turns(numbers, turns))
    if use.sum() < 2:
        return none
    w, x, y, z = brief.samples[use, 1 + layout.ATTITUDE : 5 + layout.ATTITUDE].T
    heading = np.unwrap(np.arctan2(2.0 * (x * y + w * z), w * w + x * x - y * y - z * z))
    time = time[use]
    even = np.linspace(time[0], time[-1], max(2, round(float(time[-1] - time[0]) / WINDOW_S) + 1))
    return even, np.interp(even, time, heading)


def worst_growth(seen: Seen) -> float:
    """Fastest growth along the run-down [1/s]; nan if a point has none."""
    return float(np.max(seen.growths)) if seen.growths else math.nan


def _wound(seen: Seen) -> float:
    assert seen.numbers is not None
    return max(float(seen.numbers.params[0]["skein_turns"]), 1e-9)


def _told(name: str, *verbs: Verb, goal: str = "") -> Judged:
    """A figure of a flight's summary."""
    known = {field.name: getattr(BY_NAME[name], field.name) for field in fields(Figure)}
    return Judged(**known, read=lambda seen: float(getattr(seen.brief, name)), goal=goal, verbs=verbs)


BUILT, FLOWN, GROWTH = Step
FIGURES: Final = (
    _told("duration_s", "rank", "improve", goal="duration"),
    _told("controlled_s", "rank", "improve", goal="control"),
    _told("peak_height_m", "rank", "improve", goal="height"),
    _told("powered_s", "improve"),
    _told("drift_m", "improve"),
    _told("max_tilt_deg", "improve"),
    _told("turns_left", "improve"),
    Judged("unfinished", "share of turns left when it crashed, tipped over or struck something", "", ".2f", "less",
           brief="turns left at a bad end", read=unfinished, verbs=("improve",)),
    Judged("spin_deg_s", "mean spin, right positive", "deg/s", "+.1f", "nearer to nothing", read=spin, verbs=("rank",)),
    Judged("mean_spin_deg_s", "mean spin, left or right", "deg/s", ".1f", "less", read=mean_spin, goal="stillness"),
    Judged("growth_per_s", "growth at mid-run", "/s", "+.3f", "less", step=GROWTH, read=lambda seen: seen.growth, verbs=("rank",)),
    Judged("worst_growth_per_s", "fastest growth along the run-down", "/s", "+.2f", "less", step=GROWTH, read=worst_growth,
           goal="stability", verbs=("improve",)),
    Judged("weight_g", "all-up weight", "g", ".2f", "less", step=BUILT, read=weight, verbs=("improve",)),
    Judged("turns_share", "turns over breaking turns", "", ".2f", "less", step=BUILT, read=turns_share, verbs=("improve",)),
    Judged("stick_margin", "stick bears", "times", ".2f", "more", step=BUILT, read=stick_margin),
)  # fmt: skip
NAMED: Final = {figure.name: figure for figure in FIGURES}


def figures_of(verb: Verb, *steps: Step) -> tuple[Judged, ...]:
    """Those that a verb works out, in the register's order; of some steps, or all."""
    return tuple(each for each in FIGURES if verb in each.verbs and (not steps or each.step in steps))
