"""What a design must keep and what it is wanted for: named rows, each on one column of an evaluation.

Feasible comes first: a design that breaks a demand is ranked by how early and by how much it does, never by its goal. Demands stand in
three steps, cheap ones first, and a design that breaks one of an earlier step is not worked out further. Between feasible and not,
and among the infeasible, that is the rule of K. Deb, Comput. Methods Appl. Mech. Eng. 186 (2000) 311 [M], which scipy's differential
evolution follows (J. Lampinen, Proc. CEC 2002, 1468 [M]) when it is given one figure to keep at or below nothing.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from paddlebar.errors import BadInput

CLOSED_FORM, FLOWN, GROWTH = 0, 1, 2  # steps, cheap ones first
STEPS: Final = 3
# codes of an evaluation: worked out to the end; broke a demand before; no file may say this; its flight failed numerically
WELL, SHORT, NOT_BUILT, FAILED = 0, 1, 2, 3
NOWHERE: Final = 10.0  # scales by which a design misses a figure that does not exist, such as the growth about no steady motion; own choice


@dataclass(frozen=True)
class Demand:
    """A row.

    name   : of its option and in tables;  words, unit : for a reader;  column : of an evaluation
    most   : True: at most the limit, False: at least;  step : CLOSED_FORM, FLOWN or GROWTH
    scale  : excess that weighs as much as one scale of another row, own choice
    missing: words where the column holds no figure
    """

    name: str
    words: str
    unit: str
    column: str
    most: bool
    step: int
    scale: float
    missing: str = "not known"

    def excess(self, value: float, limit: float) -> float:
        """By how much the limit is broken, in scales; 0 where it is kept, NOWHERE without a figure."""
        if math.isnan(value):
            return NOWHERE
        return max(0.0, (value - limit if self.most else limit - value) / self.scale)

    def sentence(self, value: float, limit: float) -> str:
        """What was found and what is allowed."""
        sign = "at most" if self.most else "at least"
        found = self.missing if math.isnan(value) else f"{value:.3g}{self.unit}"
        return f"{self.words} {found}, {sign} {limit:.3g}{self.unit} wanted"


DEMANDS: Final = (
    Demand("share", "turns over breaking turns", "", "turns_share", True, CLOSED_FORM, 0.1),
    Demand("heaviest", "all-up weight", " g", "weight_g", True, CLOSED_FORM, 1.0),
    Demand("stick", "least safety factor of the stick", "", "stick_margin", False, CLOSED_FORM, 0.5),
    Demand("ending", "share of turns left when it crashed, tipped over or struck something", "", "unfinished", True, FLOWN, 0.2),
    Demand("spin", "mean spin of the body", " deg/s", "mean_spin_deg_s", True, FLOWN, 30.0),
    Demand("margin", "fastest growth along the run-down", " /s", "worst_growth_per_s", True, GROWTH, 0.2,
           "about no steady motion, none was found"),
)  # fmt: skip
BY_NAME: Final = {demand.name: demand for demand in DEMANDS}

Limits = Mapping[str, float]  # name of a demand -> limit; a demand that is not in it is not made


@dataclass(frozen=True)
class Goal:
    """What is wanted: a column of an evaluation, the larger (or with `least` the smaller) the better."""

    words: str
    unit: str
    column: str
    least: bool = False

    def cost(self, value: float) -> float:
        """To be made small; infinite without a figure."""
        if not math.isfinite(value):
            return math.inf
        return value if self.least else -value


GOALS: Final = {
    "duration": Goal("time in the air", "s", "duration_s"),
    "height": Goal("peak height", "m", "peak_height_m"),
    "stability": Goal("fastest growth along the run-down", "/s", "worst_growth_per_s", least=True),
    "stillness": Goal("mean spin of the body", "deg/s", "mean_spin_deg_s", least=True),
}


def goal(name: str) -> Goal:
    """By name. Raises BadInput."""
    if name not in GOALS:
        raise BadInput(f"--for: should be {', '.join(GOALS)}, found {name!r}")
    return GOALS[name]


def broken(found: Mapping[str, float], limits: Limits, step: int | None = None) -> dict[str, float]:
    """Demands that an evaluation breaks, of one step or of all: name -> excess in scales."""
    out: dict[str, float] = {}
    for demand in DEMANDS:
        if demand.name in limits and (step is None or demand.step == step):
            excess = demand.excess(found[demand.column], limits[demand.name])
            if excess > 0.0:
                out[demand.name] = excess
    return out


def violation(found: Mapping[str, float], code: int, limits: Limits) -> float:
    """How far a design is from feasible: 0 if it is, below 1 if it breaks demands of the last step alone, and one more for each step before.

    found : column -> figure, nan for what was not worked out;  code : of the evaluation
    """
    if code == NOT_BUILT:
        return STEPS + 1.0
    for step in range(STEPS):
        excess = sum(broken(found, limits, step).values())
        if excess > 0.0:
            return (STEPS - 1 - step) + excess / (1.0 + excess)
    return 0.0
