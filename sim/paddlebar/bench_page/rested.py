"""What is computed when the hand rests: balance and tail at once, then what the bar does along the run-down, or a plane of two sliders."""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np

from paddlebar.bench_page.bench import Bench, Moved
from paddlebar.checks.check import check
from paddlebar.ensemble.many import fly_brief
from paddlebar.ensemble.whole import SHORT_S, Dropped, Wanted
from paddlebar.errors import BadInput
from paddlebar.stability.analysis import margins

POINTS: Final = 5  # along the run-down: at each a light
SOON_S: Final = 2.0  # a disturbance that doubles later than that can be seen coming; own choice
GRID: Final = 9  # of the map, each way


class Watched:
    """Progress that breaks the work off when nobody waits for it any more."""

    def __init__(self, wanted: Wanted) -> None:
        self._wanted = wanted

    def start(self, steps: int) -> None:
        """Nothing."""

    def step(self, what: str) -> None:
        """Raises Dropped."""
        if not self._wanted():
            raise Dropped

    def close(self) -> None:
        """Nothing."""


def looked_over(bench: Bench, taken: int, moved: Moved) -> dict[str, Any]:
    """Weights, centre of gravity against where it should be, the tail's push against the rotor's turn; and what `check` would stop for."""
    scenario = bench.scenario(taken, moved)
    found = check(scenario.craft, scenario.skein.turns)
    return {
        "total_g": found.balance.total_g,
        "weights": [{"name": each.name, "mass_g": each.mass_g, "share": each.share} for each in found.weights],
        "off_shaft_mm": found.balance.off_shaft_mm,
        "wanted_mm": found.balance.wanted_mm,
        "below_hub_mm": found.balance.below_hub_mm,
        "tail": {"sense": found.tail.sense, "hover": found.tail.hover, "full": found.tail.full},
        "stops": [f"{each.sentence}; {each.advice}" for each in found.findings if each.severity == "stop"],
    }


def lights(bench: Bench, taken: int, moved: Moved, progress: Watched) -> dict[str, Any]:
    """The bar as a traffic light at some turns left, from the launch to none."""
    found = margins(bench.scenario(taken, moved), progress=progress, points=POINTS, with_edges=False)
    return {
        "verdict": found.verdict,
        "sentence": found.sentence,
        "caution": found.caution,
        "lights": [
            {"turns_left": p.turns_left, "light": light(p.worst_growth_per_s), "says": told(p.worst_growth_per_s)}
            for p in found.along_rundown
        ],
    }


def light(growth: float) -> str:
    """ "go", "slow", "stop" or "unknown" for the growth of the fastest growing disturbance [1/s]."""
    if math.isnan(growth):
        return "unknown"
    return "go" if growth < 0.0 else "slow" if growth < math.log(2.0) / SOON_S else "stop"


def told(growth: float) -> str:
    """The same in words."""
    if math.isnan(growth):
        return "no steady flight was found"
    if growth < 0.0:
        return f"a disturbance halves in {math.log(2.0) / -growth:.2g} s"
    return f"a disturbance doubles in {math.log(2.0) / max(growth, 1e-3):.2g} s"


def plane(bench: Bench, taken: int, moved: Moved, x: int, y: int, wanted: Wanted) -> dict[str, Any]:
    """Time in control over flights of SHORT_S at most, over the reach of two sliders; nan where the file or the launch allows none.

    Raises: Unknown for a control that is none, Dropped
    """
    bench.changes(taken, [*moved, (x, 0.0), (y, 0.0)])
    ends = [np.linspace(bench.controls[k].low, bench.controls[k].high, GRID) for k in (x, y)]
    rows = []
    for up in ends[1]:
        row = []
        for along in ends[0]:
            if not wanted():
                raise Dropped
            row.append(_controlled(bench, taken, [*moved, (x, float(along)), (y, float(up))]))
        rows.append(row)
    return {"x": ends[0], "y": ends[1], "controlled_s": rows, "most_s": SHORT_S}


def _controlled(bench: Bench, taken: int, moved: Moved) -> float:
    rounded = [(k, float(f"{value:.4g}")) for k, value in moved]
    try:
        scenario = bench.scenario(taken, [(k, round(v) if bench.controls[k].whole else v) for k, v in rounded])
    except BadInput:
        return math.nan
    run = scenario.run.model_copy(update={"duration_s": min(SHORT_S, scenario.run.duration_s)})
    return fly_brief(scenario.model_copy(update={"run": run})).controlled_s
