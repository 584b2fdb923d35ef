"""How the roots of a steady motion move while one key of the files is changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from paddlebar.craft.build import build
from paddlebar.errors import CannotTrim
from paddlebar.files.scenario import Scenario
from paddlebar.stability.equilibrium import Equilibrium, equilibrium
from paddlebar.stability.floquet import Complex, floquet, ordered
from paddlebar.stability.kinds import Motion
from paddlebar.stability.kinds import motion as motion_of
from paddlebar.stability.linear import Kind, steady
from paddlebar.stability.return_map import ReturnMap, freeze

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class RootLocus:
    """Roots for each value of a key.

    key     : that was changed;  values : (n,) in its unit
    roots   : (n, modes) complex, Floquet's exponents [1/s]: a column is one root, followed by nearness; nan where no motion was found
    growth  : (n,) of the fastest growing [1/s]
    motions : (n) what each belongs to, None where none was found
    """

    key: str
    values: Array
    roots: Complex
    growth: Array
    motions: tuple[Motion | None, ...]

    def __repr__(self) -> str:
        found = int(np.isfinite(self.growth).sum())
        return (
            f"RootLocus({self.key}, {self.values.size} values, {self.roots.shape[1]} roots, motion found for {found})"
        )


def root_locus(
    scenario: Scenario, key: str, values: Sequence[float], turns: float | None = None, motion: Kind = "flight"
) -> RootLocus:
    """See api.root_locus."""
    several = np.asarray(values, dtype=np.float64)
    found: list[Equilibrium | None] = []
    near: Equilibrium | None = None
    for value in several:
        near = _next(scenario.replace({key: float(value)}), turns, motion, near)
        found.append(near)
    each = [_all_of(e) if e is not None else np.empty(0, dtype=np.complex128) for e in found]
    roots = np.full((several.size, max((r.size for r in each), default=0)), complex(np.nan, np.nan))
    last: Complex | None = None
    for k, here in enumerate(each):
        if here.size and last is not None and last.size == here.size:
            _, order = linear_sum_assignment(np.abs(last[:, None] - here[None, :]))
            here = here[order]  # noqa: PLW2901
        roots[k, : here.size] = here
        last = here if here.size else last
    growth = np.array([e.growth if e is not None else np.nan for e in found])
    return RootLocus(key, several, roots, growth, tuple(motion_of(e) if e is not None else None for e in found))


def _next(scenario: Scenario, turns: float | None, motion: Kind, near: Equilibrium | None) -> Equilibrium | None:
    """The motion of the value before, followed; where it is not there, looked for anew; None where there is none."""
    if near is not None and motion == "flight":
        numbers = build(scenario)
        left = 0.5 * float(numbers.params[0]["skein"]["turns"]) if turns is None else turns
        try:
            return equilibrium(ReturnMap(freeze(numbers, left)), near)
        except CannotTrim:
            pass
    try:
        return steady(scenario, turns, motion)[0]
    except CannotTrim:
        return None


def _all_of(e: Equilibrium) -> Complex:
    """Exponents, of a pair both, as many as there are coordinates."""
    values = floquet(e.map, e.x).exponents
    swinging = np.abs(values.imag) > 1e-9 * np.abs(values)
    both = np.concatenate([values, values[swinging].conj()])
    return ordered(both)
