"""One design worked out: cheap figures first, then a flight, then the growth of disturbances along its run-down."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers, build
from paddlebar.craft.following_masses import followed
from paddlebar.craft.limits import allowed_turns
from paddlebar.craft.strength.factors import stick_strength
from paddlebar.ensemble.many import Brief, fly_brief
from paddlebar.errors import BadInput
from paddlebar.files.checks import sum_g
from paddlebar.files.scenario import Scenario
from paddlebar.flight import layout
from paddlebar.flight.endings import WELL as WELL_ENDS
from paddlebar.flight.endings import Outcome
from paddlebar.stability.growth import growths
from paddlebar.studies.improve.demands import CLOSED_FORM, FAILED, FLOWN, NOT_BUILT, SHORT, WELL, broken
from paddlebar.studies.improve.variables import Variable, changes

Array = NDArray[np.float64]

CLOSED: Final = ("weight_g", "turns_share", "stick_margin")
FLIGHT: Final = (
    "duration_s", "powered_s", "peak_height_m", "drift_m", "max_tilt_deg", "turns_left", "unfinished", "mean_spin_deg_s",
)  # fmt: skip
GOOD_ENDS: Final = tuple(outcome.value for outcome in Outcome if outcome in WELL_ENDS)
LONGEST_S: Final = 600.0  # as in the scenario file: the goal is not cut off by how long a scenario wants to see
EVERY: Final = 2  # steps between the samples that are kept, some six a revolution
WINDOW_S: Final = (
    1.0  # heading gained over this long counts as spin, whatever the body shakes within a turn of the rotor
)


@dataclass(frozen=True)
class Plan:
    """All that a worker needs.

    text : effective TOML to change keys in (axes.open_text);  variables : of a row
    limits : name of a demand -> limit;  shares : of the turns at launch, largest first, at which growth is looked at
    thorough : work everything out, whatever demand is broken before
    """

    text: str
    variables: tuple[Variable, ...]
    limits: Mapping[str, float]
    shares: tuple[float, ...]
    thorough: bool = False


def columns(shares: Sequence[float]) -> tuple[str, ...]:
    """Names of the outputs, units in them."""
    return (*CLOSED, *FLIGHT, *(f"growth_at_{share:g}_per_s" for share in shares), "worst_growth_per_s")


def design(plan: Plan, row: Sequence[float]) -> Scenario:
    """The scenario of a row, masses following its measures. Raises BadInput."""
    return followed(plan.text, changes(plan.variables, row))[0]


def evaluate(index: int, inputs: Array, *, plan: Plan) -> tuple[Array, int]:
    """Columns of a design, nan for what was not worked out, and its code (demands.py)."""
    names = columns(plan.shares)
    found = dict.fromkeys(names, math.nan)

    def done(code: int) -> tuple[Array, int]:
        return np.array([found[name] for name in names]), code

    def stop(step: int) -> bool:
        return not plan.thorough and bool(broken(found, plan.limits, step))

    try:
        scenario = design(plan, inputs.tolist())
        found |= closed_form(scenario)
        if stop(CLOSED_FORM):
            return done(SHORT)
        if found["turns_share"] > 1.0:  # the skein would not live to see the launch
            return done(SHORT)
        numbers = build(scenario)
    except BadInput:
        return done(NOT_BUILT)
    brief = own_flight(scenario)
    found |= flown(scenario, numbers, brief)
    if stop(FLOWN):
        return done(FAILED if brief.broke_off else SHORT)
    rates = growths(numbers, plan.shares, brief.samples)
    found |= dict(zip((f"growth_at_{share:g}_per_s" for share in plan.shares), rates, strict=True))
    found["worst_growth_per_s"] = float(np.max(rates))  # nan stays nan
    return done(FAILED if brief.broke_off else WELL)


def closed_form(scenario: Scenario) -> dict[str, float]:
    """Columns CLOSED."""
    craft = scenario.craft
    turns = allowed_turns(craft.skein)
    if craft.skein.measured is not None:  # wound so far, and it held
        turns = max(turns, craft.skein.measured[-1][0])
    return {
        "weight_g": craft.all_up_g if craft.all_up_g is not None else sum_g(craft),
        "turns_share": scenario.skein.turns / turns,
        "stick_margin": stick_strength(craft, scenario.skein.turns, scenario.air.temperature_C).stick_margin,
    }


def own_flight(scenario: Scenario) -> Brief:
    """The scenario's own flight in compiled steps to its end, room, wind and mishaps included."""
    run = scenario.run.model_copy(update={"duration_s": LONGEST_S, "after_tipping": "stop"})
    return fly_brief(scenario.model_copy(update={"run": run}), EVERY)


def flown(scenario: Scenario, numbers: Numbers, brief: Brief) -> dict[str, float]:
    """Columns FLIGHT of a flight, nan for one that failed."""
    if brief.outcome == "failed":
        return dict.fromkeys(FLIGHT, math.nan)
    turns = max(float(numbers.params[0]["skein_turns"]), 1e-9)
    found = {name: float(getattr(brief, name)) for name in FLIGHT[:6]}
    found["unfinished"] = 0.0 if brief.outcome in GOOD_ENDS else max(brief.turns_left / turns, 0.01)
    held = scenario.launch.hold_s if scenario.launch.release == "held" else 0.0
    found["mean_spin_deg_s"] = mean_spin(brief, held, turns, _knee(numbers))
    return found


def _knee(numbers: Numbers) -> float:
    """Turns left at which the torque begins to die; none for a measured curve."""
    p = numbers.params[0]
    return 0.0 if p["skein_measured"] else float(p["skein_knee"] * p["skein_breaking"])


def mean_spin(brief: Brief, released_s: float, turns: float, knee: float) -> float:
    """Mean size of the body's spin over the ground, left and right alike, from the release to the knee of the rubber [deg/s].

    turns, knee : at the launch, and where the dying turns begin, below which a craft sinks whatever its tail does (studies/yaw/study.py)
    """
    samples = brief.samples
    if samples is None or len(samples) < 2:
        return math.nan
    time, azimuth = samples[:, 0], samples[:, 1 + layout.ROTOR_AZIMUTH]
    left = turns - (azimuth - azimuth[0]) / (2.0 * math.pi)
    use = (time >= released_s) & (left >= knee)
    if use.sum() < 2:
        return math.nan
    w, x, y, z = samples[use, 1 + layout.ATTITUDE : 5 + layout.ATTITUDE].T
    heading = np.unwrap(np.arctan2(2.0 * (x * y + w * z), w * w + x * x - y * y - z * z))
    time = time[use]
    span = float(time[-1] - time[0])
    if span <= 0.0:
        return math.nan
    even = np.interp(np.linspace(time[0], time[-1], max(2, round(span / WINDOW_S) + 1)), time, heading)
    return math.degrees(float(np.abs(np.diff(even)).sum())) / span
