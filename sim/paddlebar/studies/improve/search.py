"""A search that can be broken off: scipy's differential evolution, then its Nelder and Mead from the best, every evaluation kept.

Both are told nothing but figures of designs, and the first one's chance comes from a seed. So a search that goes on after an interruption
asks for the same designs in the same order, and finds in the study's file those that are done: the resumed result is the uninterrupted one.
A design's number in the file is a digest of its values, so that whoever asks for it, and when, finds it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import NonlinearConstraint, differential_evolution, minimize
from scipy.stats import qmc

from paddlebar.progress import SILENT, Progress
from paddlebar.studies.improve.variables import Variable
from paddlebar.studies.runner import Worker
from paddlebar.studies.session import Session

Array = NDArray[np.float64]
Row = tuple[float, ...]

PER_VARIABLE, LEAST_POPULATION, MOST_POPULATION = (
    4,
    16,
    48,
)  # designs of a generation; own choice, tried on the demo craft
EVOLUTION_SHARE: Final = 0.5  # of the budget; the rest polishes, which climbs faster once a design keeps all demands
NO_GOAL: Final = 1e30  # cost of a design without a figure for the goal: scipy wants finite numbers here and there
FAR: Final = 1e6  # cost of the least infeasible design for the polish, above any goal's


@dataclass(frozen=True)
class Verdict:
    """violation : 0 feasible, else how far;  cost : to be made small."""

    violation: float
    cost: float

    @property
    def rank(self) -> tuple[float, float]:
        """The smaller the better: feasible first."""
        return (self.violation, 0.0) if self.violation > 0.0 else (0.0, self.cost)


@dataclass
class Evaluations:
    """Designs of a study: looked up, or worked out and kept; and the order in which a search asked for them."""

    here: Session
    worker: Worker
    judge: Callable[[Array, int], Verdict]
    progress: Progress = SILENT
    salt: str = ""  # evaluations of another kind in the same file
    what: str = ""  # told after each
    asked: list[Row] = field(default_factory=list)
    found: dict[Row, tuple[Array, int]] = field(default_factory=dict)
    best: Row | None = None  # of all that were asked for; the first of equals

    def index(self, row: Row) -> int:
        """Number of a design in the file."""
        text = self.salt.encode() + np.asarray(row, dtype="<f8").tobytes()
        return int.from_bytes(hashlib.sha256(text).digest()[:8], "little") >> 1

    def ask(self, rows: Sequence[Row]) -> list[Verdict]:
        """Verdicts on rows, at once where they were asked for before."""
        new = [row for row in dict.fromkeys(rows) if row not in self.found]
        wanted = {self.index(row): row for row in new}
        known = len(new) - len(self.here.study.missing(wanted))
        for _ in range(known):
            self.progress.step(self.what)
        self.here.complete(wanted, self.worker, self.what, self.progress)
        kept = self.here.study.look(list(wanted))
        self.found |= {row: kept[i] for i, row in wanted.items()}
        self.asked += new
        for row in new:
            if self.best is None or self.verdict(row).rank < self.verdict(self.best).rank:
                self.best = row
        return [self.verdict(row) for row in rows]

    def verdict(self, row: Row) -> Verdict:
        """Of a row that was asked for."""
        return self.judge(*self.found[row])


def search(evaluations: Evaluations, variables: Sequence[Variable], budget: int, seed: int) -> Row:
    """The best design that so many evaluations find.

    budget  : designs, the start included; a search that has converged asks for fewer
    seed    : of the first generation and of all that follow from it
    Returns : row, feasible if its verdict says so
    Source  : R. Storn, K. Price, J. Global Optim. 11 (1997) 341, and J. A. Nelder, R. Mead, Comput. J. 7 (1965) 308 [M], in scipy
    Checked : tests/studies/improve/test_search.py, on problems whose constrained optimum is known
    """
    low, high = (np.array([getattr(v, side) for v in variables]) for side in ("low", "high"))
    size = min(max(PER_VARIABLE * len(variables), LEAST_POPULATION), MOST_POPULATION, max(budget, 5))
    first = qmc.scale(qmc.LatinHypercube(len(variables), rng=seed).random(size), low, high)
    first[0] = np.clip([v.own for v in variables], low, high)

    def verdicts(x: Array) -> list[Verdict]:
        rows = np.atleast_2d(np.asarray(x, dtype=np.float64).T)
        return evaluations.ask([tidy(variables, row) for row in rows])

    generations = int(EVOLUTION_SHARE * budget) // size
    if generations > 1:
        differential_evolution(
            lambda x: np.array([min(v.cost, NO_GOAL) for v in verdicts(x)]),
            list(zip(low, high, strict=True)),
            constraints=NonlinearConstraint(lambda x: np.array([[v.violation for v in verdicts(x)]]), -np.inf, 0.0),
            init=first,
            maxiter=generations - 1,
            integrality=np.array([v.whole for v in variables]),
            strategy="currenttobest1bin",
            mutation=(0.4, 0.9),
            recombination=0.8,
            tol=1e-3,
            polish=False,
            updating="deferred",
            vectorized=True,
            rng=seed,
        )
    else:
        evaluations.ask([tidy(variables, row) for row in first])
    while _polish(evaluations, variables, budget - len(evaluations.asked)):
        pass  # anew from where it got stuck, for as long as that helps
    assert evaluations.best is not None
    return evaluations.best


def tidy(variables: Sequence[Variable], row: Sequence[float] | Array) -> Row:
    """A row of values that a builder would set."""
    return tuple(v.tidy(float(value)) for v, value in zip(variables, row, strict=True))


def _polish(evaluations: Evaluations, variables: Sequence[Variable], left: int) -> bool:
    """Nelder and Mead about the best, counts held, the first simplex a twentieth of each range. True if it found a better one."""
    best = evaluations.best
    assert best is not None
    free = [k for k, v in enumerate(variables) if not v.whole]
    if left < len(free) + 2 or not free:
        return False
    low, high = (np.array([getattr(variables[k], side) for k in free]) for side in ("low", "high"))

    def row(x: Array) -> Row:
        whole = list(best)
        for k, value in zip(free, low + np.clip(x, 0.0, 1.0) * (high - low), strict=True):
            whole[k] = float(value)
        return tidy(variables, whole)

    def cost(x: Array) -> float:
        verdict = evaluations.ask([row(x)])[0]
        return FAR * (1.0 + verdict.violation) if verdict.violation > 0.0 else min(verdict.cost, FAR)

    middle = (np.array([best[k] for k in free]) - low) / (high - low)
    simplex = np.vstack(
        [middle, *(middle + (0.05 if m < 0.5 else -0.05) * e for m, e in zip(middle, np.eye(len(free)), strict=True))]
    )
    evaluations.ask([row(x) for x in simplex])  # side by side; the rest of it goes one after the other
    minimize(
        cost, middle, method="Nelder-Mead", bounds=[(0.0, 1.0)] * len(free),
        options={"initial_simplex": simplex, "maxfev": left + 1, "xatol": 1e-3, "fatol": 1e-4, "adaptive": True},
    )  # fmt: skip
    return evaluations.best != best


__all__ = ["Evaluations", "Verdict", "search", "tidy"]
