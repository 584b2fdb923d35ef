"""Scenarios for many flights: a file each and what is changed in it, drawn by chance where wanted."""

from __future__ import annotations

import operator
import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, overload

import numpy as np

from paddlebar.errors import NoSuchKey
from paddlebar.files.load import load_scenario
from paddlebar.files.scenario import Scenario

Base = str | os.PathLike[str] | Scenario
Item = Scenario | tuple[Base, Mapping[str, Any]]  # a checked scenario, or one or its file and what to change


@dataclass(frozen=True, eq=False)
class Samples(Sequence[Item]):
    """Scenarios that differ by chance, each drawn when it is asked for: a million of them take no memory. Made by samples()."""

    base: Base
    number: int
    draw: Callable[[np.random.Generator], Mapping[str, Any]]
    seed: int

    def __len__(self) -> int:
        return self.number

    @overload
    def __getitem__(self, index: int) -> Item: ...
    @overload
    def __getitem__(self, index: slice) -> list[Item]: ...
    def __getitem__(self, index: int | slice) -> Item | list[Item]:
        if isinstance(index, slice):
            return [self[k] for k in range(self.number)[index]]
        at = range(self.number)[index]
        return self.base, dict(self.draw(np.random.default_rng([self.seed, at])))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Sequence) and list(self) == list(other)

    __hash__ = None  # type: ignore[assignment]


def samples(base: Base, count: int, draw: Callable[[np.random.Generator], Mapping[str, Any]], seed: int = 1) -> Samples:
    """Scenarios that differ by chance, for fly_many.

    base    : scenario file, or a scenario from load_scenario;  count : how many
    draw    : from a random generator to what is changed, dotted keys -> values as in load_scenario; asked for each sample when it is due,
        maybe more than once
    seed    : chance belongs to the sample: the i-th has default_rng([seed, i]), however many are drawn or flown, and where
    Returns : a sequence of (base, changes)
    """
    return Samples(base, operator.index(count), draw, seed)


def scenario_of(item: Item) -> Scenario:
    """The scenario that is to be flown. Raises as load_scenario."""
    if isinstance(item, Scenario):
        return item
    base, changes = item
    return base.replace(changes) if isinstance(base, Scenario) else load_scenario(base, changes)


def refuse_unknown_keys(items: Iterable[Item]) -> None:
    """Raise NoSuchKey for a key that no description has, before anything is flown: one flight of each set of keys is looked at.

    What else is wrong with a flight is its own matter: values that are not allowed, a file that is to be found only where it is flown.
    """
    seen: set[tuple[Scenario | str, ...]] = set()
    for item in items:
        if isinstance(item, Scenario):
            continue
        names = item[0] if isinstance(item[0], Scenario) else str(item[0]), *item[1]
        if names not in seen:
            seen.add(names)
            try:
                scenario_of(item)
            except NoSuchKey:
                raise
            except Exception:
                continue
