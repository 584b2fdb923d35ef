"""The steady motions of a design, and how they go on in crafts not far from it: cheap enough for a map or a survey."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from paddlebar.craft.build import Numbers, build
from paddlebar.errors import CannotTrim
from paddlebar.files.scenario import Scenario
from paddlebar.stability.analysis import MIDDLE, half_way
from paddlebar.stability.branches import carried, steady_motions
from paddlebar.stability.equilibrium import Equilibrium, Guess, distinct, equilibrium, steadiest
from paddlebar.stability.return_map import ReturnMap, freeze
from paddlebar.stability.verdict import disconnected


@dataclass(frozen=True, eq=False)
class Steady:
    """Steady motions of the design at the middle of its run-down, with the bar and with it disconnected; growth of the steadiest [1/s]; turns left there."""

    seeds: list[Guess]
    apart: list[Guess]
    growth: float
    without: float
    turns: float


def design(scenario: Scenario) -> Steady:
    """The steady motions of the scenario itself, those of margins()."""
    numbers = build(scenario)
    turns, place = half_way(scenario, numbers)
    free = disconnected(numbers)
    apart = list(steady_motions(ReturnMap(freeze(free, turns))).found) if free is not None else []
    return Steady(seeds_of(place.found), seeds_of(apart), growth_of(list(place.found)), growth_of(apart), turns)


def near_design(scenario: Scenario, seeds: list[Guess], others: list[Guess]) -> float:
    """Growth [1/s] of a craft not far from the design, at the middle of its own run-down; nan where no steady motion was found.

    seeds  : of design(), the steadiest first: each followed in one step until one is stable, where a flight then stays
    others : steady motions that there are near by (scouted), looked for where none of the design's is there and stable; a search from
        rest comes last
    """
    numbers = at_middle(build(scenario))
    found = _until_stable(numbers, [*seeds, *others])
    if not found and seeds:  # where the design has none, none is looked for beside it
        found = from_rest(numbers)
    best = steadiest(found)
    return math.nan if best is None else best.growth


def scouted(scenarios: Iterable[Scenario], seeds: list[Guess]) -> list[Guess]:
    """Steady motions of crafts not far from the design, where its own do not lead to a stable one there. A search from rest takes a second, following one a twentieth."""
    others: list[Guess] = []
    for scenario in scenarios if seeds else ():
        numbers = at_middle(build(scenario))
        there = _until_stable(numbers, [*seeds, *others])
        if not (there and there[-1].growth < 0.0):
            others += seeds_of(distinct([*there, *from_rest(numbers)])[len(distinct(there)) :])
    return others


def followed_from(numbers: Numbers, seeds: list[Guess]) -> list[Equilibrium]:
    """Those of the steady motions that are there at a point too, steadiest first."""
    map_ = ReturnMap(numbers)
    return list(carried(map_, seeds).found)


def from_rest(numbers: Numbers) -> list[Equilibrium]:
    try:
        return [equilibrium(ReturnMap(numbers))]
    except CannotTrim:
        return []


def seeds_of(found: Iterable[Equilibrium]) -> list[Guess]:
    return [e.guess for e in found]


def growth_of(found: list[Equilibrium]) -> float:
    return found[0].growth if found else math.nan


def at_middle(numbers: Numbers) -> Numbers:
    """Frozen at the middle of its run-down."""
    return freeze(numbers, MIDDLE * float(numbers.params[0]["skein"]["turns"]))


def _until_stable(numbers: Numbers, seeds: list[Guess]) -> list[Equilibrium]:
    """Steady motions followed one after the other, until one is stable: it is then the last."""
    found: list[Equilibrium] = []
    for seed in seeds:
        found += followed_from(numbers, [seed])
        if found and found[-1].growth < 0.0:
            break
    return found
