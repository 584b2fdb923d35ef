"""What a design must keep and what it is wanted for: named rows, each on a figure of the register (studies/figures.py).

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
from paddlebar.studies.figures import FIGURES, NAMED, Judged, Step

# codes of an evaluation: worked out to the end; broke a demand before; no file may say this; its flight failed numerically
WELL, SHORT, NOT_BUILT, FAILED = 0, 1, 2, 3
NOWHERE: Final = 10.0  # scales by which a design misses a figure that does not exist, such as the growth about no steady motion; own choice


@dataclass(frozen=True)
class Demand:
    """A row: a figure of the register that is kept at or below a limit, or above it where more of it is better.

    name   : of its option;  figure : see studies/figures.py;  limit : where none is given, None: it goes with the start. Own choice
    scale  : excess that weighs as much as one scale of another row, own choice
    missing: words where there is no figure
    """

    name: str
    figure: Judged
    limit: float | None
    scale: float
    missing: str = "not known"

    @property
    def words(self) -> str:
        """Of its figure."""
        return self.figure.words

    @property
    def unit(self) -> str:
        """As it stands behind a number, with its blank."""
        return f" {self.figure.unit}" if self.figure.unit else ""

    @property
    def most(self) -> bool:
        """True: at most the limit, False: at least."""
        return self.figure.better == "less"

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
    Demand("share", NAMED["turns_share"], 0.9, 0.1),
    Demand("heaviest", NAMED["weight_g"], None, 1.0),
    Demand("stick", NAMED["stick_margin"], 1.5, 0.5),
    Demand("ending", NAMED["unfinished"], 0.0, 0.2),
    Demand("control", NAMED["controlled_s"], None, 5.0),
    Demand("spin", NAMED["mean_spin_deg_s"], 30.0, 30.0),
    Demand("margin", NAMED["worst_growth_per_s"], -0.05, 0.2, "about no steady motion, none was found"),
)
BY_NAME: Final = {demand.name: demand for demand in DEMANDS}
GOALS: Final = {figure.goal: figure for figure in FIGURES if figure.goal}

Limits = Mapping[str, float]  # name of a demand -> limit; a demand that is not in it is not made


def goal(name: str) -> Judged:
    """By name. Raises BadInput."""
    if name not in GOALS:
        raise BadInput(f"wanted: should be {', '.join(GOALS)}, found {name!r}")
    return GOALS[name]


def broken(found: Mapping[str, float], limits: Limits, step: Step | None = None) -> dict[str, float]:
    """Demands that an evaluation breaks, of one step or of all: name -> excess in scales."""
    out: dict[str, float] = {}
    for demand in DEMANDS:
        if demand.name in limits and (step is None or demand.figure.step == step):
            excess = demand.excess(found[demand.figure.name], limits[demand.name])
            if excess > 0.0:
                out[demand.name] = excess
    return out


def violation(found: Mapping[str, float], code: int, limits: Limits) -> float:
    """How far a design is from feasible: 0 if it is, below 1 if it breaks demands of the last step alone, and one more for each step before.

    found : column -> figure, nan for what was not worked out;  code : of the evaluation
    """
    if code == NOT_BUILT:
        return len(Step) + 1.0
    for step in Step:
        excess = sum(broken(found, limits, step).values())
        if excess > 0.0:
            return (len(Step) - 1 - step) + excess / (1.0 + excess)
    return 0.0
