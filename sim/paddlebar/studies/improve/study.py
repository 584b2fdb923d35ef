"""Improve: search of named parameters of a craft and its flight within limits, under demands, and what each change is worth by itself."""

from __future__ import annotations

import math
import time as clock
from collections.abc import Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import partial
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import build
from paddlebar.craft.following_masses import followed, mass
from paddlebar.craft.limits import check_limits
from paddlebar.craft.strength.factors import stick_strength
from paddlebar.errors import BadInput
from paddlebar.files.scenario import Scenario
from paddlebar.flight.endings import WELL
from paddlebar.flight.fly import fly_scenario
from paddlebar.progress import SILENT, Progress, Silent, closes_progress
from paddlebar.stability.growth import growths
from paddlebar.studies.axes import open_text
from paddlebar.studies.figures import Judged, Seen, Step
from paddlebar.studies.improve.demands import BY_NAME, DEMANDS, FAILED, GOALS, Limits, broken, goal, violation
from paddlebar.studies.improve.design import Plan, columns, evaluate, own_flight, read
from paddlebar.studies.improve.search import Evaluations, Row, Verdict, search
from paddlebar.studies.improve.variables import Variable, Vary, changes, start, variables
from paddlebar.studies.session import Asked, identity, session

Array = NDArray[np.float64]

BUDGET: Final = 500  # designs
LEAST_BUDGET, MOST_BUDGET = 10, 1_000_000
SHARES: Final = (1.0, 0.75, 0.5, 0.25)  # of the turns at launch, at which growth is demanded
CONFIRMED_AT: Final = tuple(1.0 - k / 8.0 for k in range(8))  # ... at which start and result are looked at in the end
HEAVIER: Final = 1.25  # times the start's weight is the heaviest where none is given; own choice
IN_CONTROL_S: Final = 10.0  # a craft that is in control for less does not fly: without this the search likes those that sink at once; own choice
UNDOING: Final = "undoing one change after the other"
SAME_SHARE: Final = 0.05  # by which a flight by scipy may last longer or shorter than the compiled one of the search: dying turns are touchy
Figures = Mapping[str, float]


@dataclass(frozen=True)
class Difference:
    """A changed key: what it was, what it is, and the result's figures with this one change undone, nan where it then cannot be flown.

    breaks : demands that the result would break without this change, by name;  note : why there are no figures, or ""
    """

    key: str
    was: float
    now: float
    undone: Figures
    breaks: tuple[str, ...]
    note: str


@dataclass(frozen=True)
class Confirmed:
    """A design looked at again: flown once by scipy, and its steady motions at CONFIRMED_AT shares of the turns.

    summary : of the flight, as `fly` prints it;  growth : share -> [1/s], nan where no steady motion was found
    """

    outcome: str
    summary: Mapping[str, Any]
    growth: Mapping[float, float]


@dataclass(frozen=True, eq=False)
class Improved:
    """What `improve` found.

    goal        : name of what it was for;  limits : name of a demand -> limit;  shares : of the turns, where growth is demanded
    variables   : what was varied, with limits and the start's own values
    feasible    : does the result keep all demands, and did its flight by scipy end well
    obstacles   : sentences about the demands that the result breaks, worst first
    values      : of the result, in the order of `variables`
    before, after : all figures of start and result, nan for what could not be worked out (columns: design.columns)
    differences : changed keys, with what each does alone
    masses      : key -> (was, now) [g], masses that followed the measures; all_up_g among them where the craft was weighed
    confirmed_before, confirmed_after : start and result looked at again; None for a design that cannot be flown at all
    names, rows (n, variables), figures (n, names), violation (n) : every design in the order in which the search asked for it
    scenario    : the result, ready to fly;  seed, budget : of the search;  wall_s : that it took
    failed      : designs whose flight failed numerically
    """

    goal: str
    limits: Mapping[str, float]
    shares: tuple[float, ...]
    variables: tuple[Variable, ...]
    feasible: bool
    obstacles: tuple[str, ...]
    values: tuple[float, ...]
    before: Figures
    after: Figures
    differences: tuple[Difference, ...]
    masses: Mapping[str, tuple[float, float]]
    confirmed_before: Confirmed | None
    confirmed_after: Confirmed | None
    names: tuple[str, ...]
    rows: Array
    figures: Array
    violation: Array
    scenario: Scenario
    seed: int
    budget: int
    wall_s: float
    failed: int = 0

    def to_json(self) -> dict[str, Any]:
        """Plain lists and numbers; nan stays nan, whoever prints it decides. Every design is in the table that the command writes."""

        def confirmed(of: Confirmed | None) -> dict[str, Any] | None:
            if of is None:
                return None
            growth = [{"share_of_turns": share, "worst_growth_per_s": rate} for share, rate in of.growth.items()]
            return {"outcome": of.outcome, "duration_s": of.summary["duration_s"], "growth": growth}

        return {
            "goal": self.goal,
            "limits": dict(self.limits),
            "shares": list(self.shares),
            "feasible": self.feasible,
            "obstacles": list(self.obstacles),
            "varied": [
                {"key": v.key, "low": v.low, "high": v.high, "start": v.own, "result": value}
                for v, value in zip(self.variables, self.values, strict=True)
            ],
            "before": dict(self.before),
            "after": dict(self.after),
            "differences": [{**vars(d), "breaks": list(d.breaks), "undone": dict(d.undone)} for d in self.differences],
            "masses": {key: list(pair) for key, pair in self.masses.items()},
            "confirmed_before": confirmed(self.confirmed_before),
            "confirmed_after": confirmed(self.confirmed_after),
            "designs": len(self.rows),
            "failed": self.failed,
            "feasible_designs": int((self.violation == 0.0).sum()),
            "seed": self.seed,
            "budget": self.budget,
            "wall_s": self.wall_s,
        }


@closes_progress
def improve(
    scenario: Scenario,
    vary: Sequence[Vary] | None = None,
    wanted: str = "duration",
    *,
    limits: Mapping[str, float] | None = None,
    shares: Sequence[float] | None = None,
    budget: int | None = None,
    seed: int = 1,
    workers: int | None = None,
    executor: Executor | None = None,
    progress: Progress = SILENT,
    file: Asked = None,
) -> Improved:
    """Look for a better craft: keys varied within limits, demands kept, masses following measures, each change explained.

    scenario : from load_scenario; the start, flown as it says, room, wind and mishaps included, until it lands
    vary     : (key, lowest, highest) each, the craft's under "craft.", values in the unit of the key; None: the usual ones of the
        register (craft/knobs.py) that the craft has
    wanted   : "duration", "control" (time in control), "height", "stability" (growth of disturbances) or "stillness" (spin of the body)
    limits   : {"share": turns over breaking turns, "heaviest": g, "control": s at least, "spin": deg/s, "stick": safety factor,
        "margin": growth at most, /s};
        those that are not given are in improve/demands.py
    shares   : of the turns, where growth is demanded [1]; None: SHARES;  budget : designs; None: BUDGET
    seed     : another one searches another way
    workers  : processes; None: one a processor, 1: none but this one
    executor : any concurrent.futures.Executor to use instead; it is not shut down
    progress : told start(steps), step(what), close()
    file     : study file, gone on with if it is there; None: nothing is kept
    Returns  : Improved: result as a scenario, figures before and after, what each change does alone, every design
    Raises   : BadInput for keys that do not exist or hold no number, limits that a file would not allow, a study file of something else
    Note     : with several workers a program needs `if __name__ == "__main__":` about its own start. The result is the same for any number of
        them, and after any interruption
    Source   : see studies/improve/search.py
    """
    begun = clock.perf_counter()
    aim = goal(wanted)
    kept, points = _limits(scenario, limits or {}), _shares(SHARES if shares is None else shares)
    budget = BUDGET if budget is None else budget
    if not LEAST_BUDGET <= budget <= MOST_BUDGET:
        raise BadInput(f"budget: should lie in {LEAST_BUDGET}..{MOST_BUDGET}, found {budget}")
    if scenario.skein.turns - scenario.skein.backed_off <= 0.0:
        raise scenario.bad("skein.turns", "improve needs turns to run down, found none")
    of = variables(scenario, scenario.effective_toml(), vary)
    text = open_text(scenario)
    plan = Plan(text, of, kept, points)
    names = columns(points)
    varied = repr([(v.key, v.low, v.high, v.step) for v in of])
    about = identity(text, what_is_varied=varied, demands=repr(sorted(kept.items())), points=repr(points))

    def judge(outputs: Array, code: int) -> Verdict:
        found = dict(zip(names, outputs.tolist(), strict=True))
        return Verdict(violation(found, code, kept), aim.cost(found[aim.name]))

    progress.start(budget + len(of) + 2)
    progress.step("working out the start")
    evaluate(0, np.array(start(of)), plan=plan)  # compiled here, once, before any other process asks for it
    with session(
        about, [v.key for v in of], names, file=file, workers=workers, executor=executor, progress=progress, few=1
    ) as here:
        todo = Evaluations(here, partial(evaluate, plan=plan), judge)
        todo.progress = _BestSoFar(progress, aim, todo)
        best = search(todo, of, budget, seed)
        whole = partial(evaluate, plan=replace(plan, thorough=True))
        full = Evaluations(here, whole, judge, progress, "thorough", UNDOING)
        own = start(of)
        if full.ask([own])[0].rank <= todo.ask([best])[0].rank:  # nothing better was found
            best = own
        undone = [
            (v, tuple(v.own if v is w else x for w, x in zip(of, best, strict=True)))
            for v, x in zip(of, best, strict=True)
            if x != v.own
        ]
        full.ask([best, *(row for _, row in undone)])
    progress.step("looking at start and result again")
    answer = _answer(scenario, plan, names, best, todo, full, undone)
    return Improved(
        goal=wanted, limits=kept, shares=points, variables=of, seed=seed, budget=budget, names=names,
        wall_s=clock.perf_counter() - begun, **answer,
    )  # fmt: skip


def _limits(scenario: Scenario, asked: Mapping[str, float]) -> dict[str, float]:
    """All limits, checked; none for a stick of which nothing is known. Raises BadInput."""
    known = read(Seen(scenario), Step.BUILT)
    kept = {demand.name: demand.limit for demand in DEMANDS if demand.limit is not None}
    kept["heaviest"] = round(HEAVIER * known["weight_g"], 2)
    kept["control"] = min(IN_CONTROL_S, 0.5 * scenario.run.duration_s)
    if math.isnan(known["stick_margin"]):
        del kept["stick"]
        if "stick" in asked:
            raise BadInput(f"limits.stick: strength is not known: {stick_strength(scenario.craft).unknown}")
    for name, limit in asked.items():
        if name not in BY_NAME:
            raise BadInput(f"limits: should be of {', '.join(BY_NAME)}, found {name!r}")
        if not math.isfinite(limit):
            raise BadInput(f"limits.{name}: input should be a finite number, found {limit:g}")
        kept[name] = float(limit)
    if not 0.0 < kept["share"] <= 1.0:
        raise BadInput(
            f"limits.share: should be more than 0 and at most 1 of the breaking turns, found {kept['share']:g}"
        )
    return {demand.name: kept[demand.name] for demand in DEMANDS if demand.name in kept}


def _shares(shares: Sequence[float]) -> tuple[float, ...]:
    points = tuple(sorted({float(share) for share in shares}, reverse=True))
    if not points or not all(0.0 < share <= 1.0 for share in points) or len(points) > 20:
        raise BadInput(f"shares: 1 to 20 shares of the turns, each more than 0 and at most 1, found {list(shares)}")
    return points


class _BestSoFar(Silent):
    """Tells, at each step of a search, how well it stands."""

    def __init__(self, progress: Progress, aim: Judged, todo: Evaluations) -> None:
        self._progress, self._aim, self._todo = progress, aim, todo

    def step(self, what: str) -> None:
        """The best design so far, in place of ``what``."""
        best = self._todo.best
        verdict = self._todo.verdict(best) if best is not None else None
        if verdict is None or verdict.violation > 0.0:
            self._progress.step("looking for a design that keeps all demands")
        else:
            worth = verdict.cost if self._aim.better == "less" else -verdict.cost
            self._progress.step(f"best so far {worth:.3g} {self._aim.unit}")


def _answer(
    scenario: Scenario, plan: Plan, names: tuple[str, ...], best: Row, todo: Evaluations, full: Evaluations,
    undone: Sequence[tuple[Variable, Row]],
) -> dict[str, Any]:  # fmt: skip
    of, kept = plan.variables, plan.limits

    def figures(row: Row) -> dict[str, float]:
        return dict(zip(names, full.found[row][0].tolist(), strict=True))

    after = figures(best)
    result, moved = followed(plan.text, changes(of, best))
    if after["duration_s"] > result.run.duration_s:  # the flight must be seen to its end
        longer = min(600.0, 10.0 * math.ceil(0.125 * after["duration_s"]))
        result = result.model_copy(update={"run": result.run.model_copy(update={"duration_s": longer})})
    masses = {key: (mass(scenario.craft, key.removeprefix("craft.")), now) for key, now in moved.items()}
    if scenario.craft.all_up_g is not None and result.craft.all_up_g not in (None, scenario.craft.all_up_g):
        masses["craft.all_up_g"] = (scenario.craft.all_up_g, result.craft.all_up_g or math.nan)
    again = _confirmed(result)
    obstacles = [
        BY_NAME[name].sentence(after[BY_NAME[name].figure.name], kept[name])
        for name, _ in sorted(broken(after, kept).items(), key=lambda item: -item[1])
    ]
    if again is None:
        obstacles.append("the design cannot be flown")
    elif again.outcome not in WELL:
        obstacles.append(f"flown by scipy it {again.outcome} ({again.summary['sentence']})")
    elif not math.isclose(again.summary["duration_s"], after["duration_s"], rel_tol=SAME_SHARE):
        obstacles.append(
            f"flown by scipy it lasts {again.summary['duration_s']:.1f} s, in compiled steps {after['duration_s']:.1f} s: chance decides"
        )
    rows = todo.asked
    return {
        "feasible": not obstacles,
        "obstacles": tuple(obstacles),
        "values": best,
        "before": figures(start(of)),
        "after": after,
        "differences": tuple(_difference(v, x, figures(row), full.found[row][1], kept) for (v, row), x in
                             zip(undone, [x for x, v in zip(best, of, strict=True) if x != v.own], strict=True)),
        "masses": masses,
        "confirmed_before": _confirmed(scenario),
        "confirmed_after": again,
        "rows": np.array(rows).reshape(len(rows), len(of)),
        "figures": np.array([todo.found[row][0] for row in rows]).reshape(len(rows), len(names)),
        "violation": np.array([todo.verdict(row).violation for row in rows]),
        "scenario": result,
        "failed": sum(todo.found[row][1] == FAILED for row in rows),
    }  # fmt: skip


def _difference(variable: Variable, now: float, found: Figures, code: int, kept: Limits) -> Difference:
    note = ""
    if not math.isfinite(found["duration_s"]):
        share = found["turns_share"]
        note = (
            f"wound to {share:.2f} of breaking: the skein breaks" if share > 1.0 else f"cannot be built (code {code})"
        )
    return Difference(variable.key, variable.own, now, found, () if note else tuple(broken(found, kept)), note)


def _confirmed(scenario: Scenario) -> Confirmed | None:
    """Fly a design by scipy, and its growth along the run-down; None if it cannot be flown."""
    try:
        check_limits(scenario)
        flight = fly_scenario(scenario)
        rates = growths(build(scenario), CONFIRMED_AT, own_flight(scenario).samples)
    except BadInput:
        return None
    summary = {**flight.summary, "sentence": flight.sentence}
    return Confirmed(flight.outcome, summary, dict(zip(CONFIRMED_AT, rates, strict=True)))


__all__ = ["BUDGET", "GOALS", "SHARES", "Difference", "Improved", "improve"]
