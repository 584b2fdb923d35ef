"""The ground of a map by Floquet: steady motions followed from point to point, and the growth of the steadiest at each."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers, build
from paddlebar.errors import BadInput
from paddlebar.stability.equilibrium import Equilibrium, Guess
from paddlebar.stability.nearby import at_middle, design, followed_from, from_rest, growth_of, seeds_of
from paddlebar.stability.verdict import disconnected
from paddlebar.studies.axes import Axis, changed

Array = NDArray[np.float64]

MOST: Final = 2  # steady motions followed at once, the steadiest
HALVINGS: Final = 2  # of a step from one point to the next, before a steady motion counts as lost
COLD: Final = 2  # searches from rest in a row, on either side, where all that were followed are lost
UNTOUCHED: Final = ("craft.bar.lead_deg", "craft.bar.gain")  # keys that do not matter to a bar that is disconnected


@dataclass(frozen=True, eq=False)
class Plan:
    """All that a row needs.

    text : effective TOML;  across, up : axes;  column : number of the column from which each row is walked both ways
    seeds, apart : for each row, steady motions to begin with, with the bar and with it disconnected
    growth, without : of the design [1/s];  turns : left at the design's middle
    """

    text: str
    across: Axis
    up: Axis
    column: int
    seeds: list[list[Guess]]
    apart: list[list[Guess]]
    growth: float
    without: float
    turns: float


@dataclass(frozen=True, eq=False)
class _Place:
    """A point: its craft, frozen, with the bar and with it disconnected (None without a bar)."""

    frozen: Numbers
    free: Numbers | None


def _place(text: str, changes: dict[str, Any]) -> _Place:
    numbers = build(changed(text, changes))
    free = disconnected(numbers)
    return _Place(at_middle(numbers), at_middle(free) if free is not None else None)


class _Walk:
    """From point to point with the steady motions found so far."""

    def __init__(
        self, text: str, at: dict[str, float], axes: tuple[Axis, Axis], seeds: list[Guess], apart: list[Guess]
    ) -> None:
        self.text, self.at, self.axes = text, at, axes
        self.seeds, self.apart = seeds, apart
        self.cold = COLD
        self.here: list[Equilibrium] = []
        self.there: list[Equilibrium] = []

    def place(self, to: dict[str, float]) -> _Place:
        """Raises BadInput where nothing can be built."""
        changes: dict[str, Any] = {}
        for each in self.axes:
            if math.isfinite(to[each.key]):
                changes |= each.change(to[each.key])
        return _place(self.text, changes)

    def go(self, to: dict[str, float], compare: bool, halvings: int = HALVINGS) -> bool:
        """Go to a point; False if nothing can be built there. `here` and `there` then hold what was found, with and without bar."""
        try:
            place = self.place(to)
        except BadInput:
            self.here = self.there = []
            return False
        self.here = followed_from(place.frozen, self.seeds)
        compare = compare and place.free is not None
        self.there = followed_from(place.free, self.apart) if compare and place.free is not None else []
        # one fewer may be the end of a branch, or a step too long for one of two that lie close together
        lost = len(self.here) < len(self.seeds) or (compare and len(self.there) < len(self.apart))
        halfway = {
            k: v if self.at[k] == v or not math.isfinite(self.at[k]) else 0.5 * (v + self.at[k]) for k, v in to.items()
        }
        if lost and halvings and not any(each.whole for each in self.axes) and halfway != to:
            kept = self.seeds, self.apart, self.at
            self.go(halfway, compare, halvings - 1)
            if self.here or self.there:
                self.seeds, self.apart = seeds_of(self.here) or kept[0], seeds_of(self.there) or kept[1]
                self.at = halfway
                return self.go(to, compare, 0)
            self.seeds, self.apart, self.at = kept
        if not self.here and self.cold:
            self.cold -= 1
            self.here = from_rest(place.frozen)
        if self.here:
            self.seeds = seeds_of(self.here)[:MOST]
            self.cold = COLD
        if self.there:
            self.apart = seeds_of(self.there)[:1]
        self.at = dict(to)
        return True


def plan(text: str, across: Axis, up: Axis, needed: bool = True) -> Plan:
    """Find the design's steady motions and walk them up and down one column of the map.

    needed : False if no row is left to do: only the design is judged
    """
    steady = design(changed(text, {}))
    own = {across.key: across.own, up.key: up.own}
    column, middle = (
        int(np.argmin(np.abs(a.values - a.own))) if math.isfinite(a.own) else a.values.size // 2 for a in (across, up)
    )
    ny = up.values.size
    seeds: list[list[Guess]] = [[] for _ in range(ny)]
    beside: list[list[Guess]] = [[] for _ in range(ny)]
    if needed:
        start = _Walk(text, own, (across, up), steady.seeds, steady.apart)
        base = {across.key: float(across.values[column]), up.key: float(up.values[middle])}
        start.go(base, compare=True)
        for rows in (range(middle, ny), range(middle - 1, -1, -1)):
            walk = _Walk(text, dict(base), (across, up), start.seeds, start.apart)
            for j in rows:
                walk.go({**base, up.key: float(up.values[j])}, compare=True)
                seeds[j], beside[j] = walk.seeds, walk.apart
    return Plan(text, across, up, column, seeds, beside, steady.growth, steady.without, steady.turns)


def row(index: int, inputs: Array, *, plan: Plan) -> tuple[Array, int]:
    """One row of the map: growth (nx), growth without bar (nx), codes (nx, all 0), one after the other; and the ending code 0."""
    across = plan.across
    nx = across.values.size
    out = np.full((3, nx), math.nan)
    out[2] = 0.0
    base = {across.key: float(across.values[plan.column]), plan.up.key: float(inputs[0])}
    once = across.key in UNTOUCHED
    for columns in (range(plan.column, nx), range(plan.column - 1, -1, -1)):
        walk = _Walk(plan.text, dict(base), (across, plan.up), plan.seeds[index], plan.apart[index])
        for i in columns:
            first = i == plan.column
            if walk.go({**base, across.key: float(across.values[i])}, compare=first or not once):
                out[0, i] = growth_of(walk.here)
                out[1, i] = out[1, plan.column] if once and not first else growth_of(walk.there)
    return out.ravel(), 0
