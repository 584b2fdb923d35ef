"""Flights over the values of one or two keys, with labelled results."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, fields
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray

from paddlebar.ensemble.many import Flights, fly_all
from paddlebar.errors import BadInput
from paddlebar.files.keys import number_at
from paddlebar.files.scenario import Scenario
from paddlebar.flight.labelled import optional
from paddlebar.flight.own import Given, pushed
from paddlebar.progress import SILENT, Progress

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Sweep:
    """Flights over a grid.

    keys    : one or two;  values : (n,) of each, in its unit;  flights : all, the last key running fastest
    """

    keys: tuple[str, ...]
    values: tuple[Array, ...]
    flights: Flights

    @property
    def shape(self) -> tuple[int, ...]:
        """Of every result."""
        return tuple(v.size for v in self.values)

    def __getitem__(self, name: str) -> NDArray[Any]:
        """A figure of the flights on the grid, as sweep["duration_s"]; names and units are those of Flights."""
        names = [f.name for f in fields(self.flights) if isinstance(getattr(self.flights, f.name), np.ndarray)]
        names = ["outcome", "flew_well", *names]
        if name not in names:
            raise BadInput(f"{name}: no such figure; there are {', '.join(names)}")
        return np.asarray(getattr(self.flights, name)).reshape(self.shape)

    def __repr__(self) -> str:
        sizes = " x ".join(f"{key} {size}" for key, size in zip(self.keys, self.shape, strict=True))
        return f"Sweep({sizes})"

    def to_xarray(self) -> Any:
        """The same as an xarray.Dataset, with the keys as coordinates.

        Raises : ImportError, if xarray is not installed
        """
        xarray = optional("xarray", "to_xarray()")
        names = ["outcome", "flew_well"]
        names += [f.name for f in fields(self.flights) if isinstance(getattr(self.flights, f.name), np.ndarray)]
        return xarray.Dataset(
            {name: (self.keys, self[name]) for name in names}, dict(zip(self.keys, self.values, strict=True))
        )


def sweep(
    scenario: Scenario,
    grid: Mapping[str, Sequence[float] | Array],
    *,
    force: Given | None = None,
    workers: int | None = None,
    executor: Executor | None = None,
    progress: Progress = SILENT,
) -> Sweep:
    """Fly a scenario for each value of a key, or for each pair of values of two.

    scenario : from load_scenario
    grid     : one or two dotted keys -> values in their unit, a craft's under "craft.", as {"craft.skein.mass_g": [2.0, 2.2]}
    force    : as fly() takes it;  workers, executor, progress : as fly_many() takes them
    Returns  : Sweep; a flight that could not be flown has outcome "failed" and figures nan
    Raises   : BadInput for a key that is none or no number, or a value that is out of its limits
    Source   : see ensemble/steps.py
    """
    if len(grid) not in (1, 2):
        raise BadInput(f"grid: one key or two, found {len(grid)}")
    for key in grid:
        number_at(scenario, key, "grid")
    values = tuple(np.asarray(v, dtype=np.float64).ravel() for v in grid.values())
    own = pushed(scenario, force)
    todo: Iterable[Scenario] = (
        own.replace(dict(zip(grid, map(float, place), strict=True))) for place in product(*values)
    )
    return Sweep(tuple(grid), values, fly_all(todo, workers=workers, executor=executor, progress=progress))
