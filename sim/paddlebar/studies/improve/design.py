"""One design worked out: cheap figures first, then a flight, then the growth of disturbances along its run-down."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import build
from paddlebar.craft.following_masses import followed
from paddlebar.craft.motors import motor_of
from paddlebar.ensemble.many import Brief, fly_brief
from paddlebar.errors import BadInput
from paddlebar.files.scenario import Scenario
from paddlebar.stability.growth import growths
from paddlebar.studies.figures import EVERY, Seen, Step, figures_of
from paddlebar.studies.improve.demands import FAILED, NOT_BUILT, SHORT, WELL, broken
from paddlebar.studies.improve.variables import Variable, changes

Array = NDArray[np.float64]

LONGEST_S: Final = 600.0  # as in the scenario file: the goal is not cut off by how long a scenario wants to see


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
    before, after = figures_of("improve", Step.BUILT, Step.FLOWN), figures_of("improve", Step.GROWTH)
    return (*(f.name for f in before), *(f"growth_at_{share:g}_per_s" for share in shares), *(f.name for f in after))


def design(plan: Plan, row: Sequence[float]) -> Scenario:
    """The scenario of a row, masses following its measures. Raises BadInput."""
    return followed(plan.text, changes(plan.variables, row))[0]


def evaluate(index: int, inputs: Array, *, plan: Plan) -> tuple[Array, int]:
    """Columns of a design, nan for what was not worked out, and its code (demands.py)."""
    names = columns(plan.shares)
    found = dict.fromkeys(names, math.nan)

    def done(code: int) -> tuple[Array, int]:
        return np.array([found[name] for name in names]), code

    def stop(step: Step) -> bool:
        return not plan.thorough and bool(broken(found, plan.limits, step))

    try:
        scenario = design(plan, inputs.tolist())
        found |= read(Seen(scenario), Step.BUILT)
        if stop(Step.BUILT):
            return done(SHORT)
        if scenario.skein.turns > motor_of(scenario.craft.skein).known:  # the skein would not live to see the launch
            return done(SHORT)
        numbers = build(scenario)
    except BadInput:
        return done(NOT_BUILT)
    brief = own_flight(scenario)
    if brief.outcome != "failed":
        found |= read(Seen(scenario, numbers, brief), Step.FLOWN)
    if stop(Step.FLOWN):
        return done(FAILED if brief.broke_off else SHORT)
    rates = growths(numbers, plan.shares, brief.samples)
    found |= dict(zip((f"growth_at_{share:g}_per_s" for share in plan.shares), rates, strict=True))
    found |= read(Seen(scenario, numbers, brief, growths=tuple(rates)), Step.GROWTH)
    return done(FAILED if brief.broke_off else WELL)


def read(seen: Seen, step: Step) -> dict[str, float]:
    """Figures of one step."""
    return {figure.name: figure.read(seen) for figure in figures_of("improve", step)}


def own_flight(scenario: Scenario) -> Brief:
    """The scenario's own flight in compiled steps to its end, room, wind and mishaps included."""
    run = scenario.run.model_copy(update={"duration_s": LONGEST_S, "after_tipping": "stop"})
    return fly_brief(scenario.model_copy(update={"run": run}), EVERY)
