"""Two parameters across a craft: where it flies steadily, where it falls over, and where its own place is between the two.

By Floquet: at every point the growth of the fastest growing disturbance of a steady motion at the torque of half the run-down. There may
be several steady motions at a point (turning one way or the other, circling wider or closer). All that were found are followed from point
to point, and the steadiest of those that a flight could come to counts, since that is where a flight stays if it can.
By flights: every point is flown as the scenario says, high up and without walls; see by_flights.py for what is read from a flight.

The work is cut into rows, each begun in the same way from a column walked beforehand, so that a map does not depend on who made which row.
"""

from __future__ import annotations

import math
import time as clock
from concurrent.futures import Executor
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.errors import BadInput
from paddlebar.files.scenario import Scenario
from paddlebar.plain import of_fields
from paddlebar.progress import SILENT, Progress, closes_progress
from paddlebar.stability.verdict import VERDICTS, verdict
from paddlebar.studies.axes import Axis, Range, axis, both, open_text
from paddlebar.studies.map import by_flights, by_floquet, tables
from paddlebar.studies.runner import Worker
from paddlebar.studies.session import Asked, identity, session

if TYPE_CHECKING:
    import pandas as pd
    import xarray as xr

Array = NDArray[np.float64]

WAYS: Final = ("floquet", "flights")
DECAYS, GROWS, NOTHING = "decays", "grows", "no steady flight found"
MOST_SIDE: Final = 400  # points along one side

# in the picture's and the reader's order; a map by flights has those of by_flights.py
WORDS: Final = (*VERDICTS, DECAYS, GROWS, NOTHING)


@dataclass(frozen=True, eq=False, repr=False)
class Map:
    """Growth over two parameters; arrays have shape (ny, nx), row j at y[j].

    x_key, y_key : dotted keys, the craft's under craft.;  x (nx), y (ny) : values in the unit of the key
    growth       : of the fastest growing disturbance [1/s], negative: it dies out; nan where no steady motion was found or nothing could be built
    without      : the same with the bar disconnected, nan without bar and by flights
    verdict      : (ny, nx) words: of stability/verdict.py, or "decays" and "grows" all over where some point has nothing to compare with; "no steady flight found".
        By flights: "held", "sways", "tips over", "not flown", "failed" (numerically)
    design       : the craft's own place (x, y), nan for a key that it leaves open;  design_growth, design_verdict : there
    by           : "floquet" or "flights";  turns_left : at which, nan by flights;  wall_s : that it took
    """

    x_key: str
    y_key: str
    x: Array
    y: Array
    growth: Array
    without: Array
    verdict: NDArray[np.str_]
    design: tuple[float, float]
    design_growth: float
    design_verdict: str
    by: str
    turns_left: float
    wall_s: float

    @property
    def failed(self) -> int:
        """Points whose flight failed numerically."""
        return int((self.verdict == by_flights.FAILED).sum())

    def to_xarray(self) -> xr.Dataset:
        """growth, without [1/s] and verdict over both keys. Raises ImportError without xarray, of the extra ``data``."""
        return tables.to_xarray(self)

    def to_pandas(self) -> pd.DataFrame:
        """A row a point: both keys, growth, without [1/s], verdict. Raises ImportError without pandas, of the extra ``data``."""
        return tables.to_pandas(self)

    def __repr__(self) -> str:
        return tables.line(self)

    def _repr_html_(self) -> str:
        return tables.html(self)

    def to_json(self) -> dict[str, Any]:
        """Plain data; None for nan."""
        return {"failed": self.failed, **of_fields(self)}


@closes_progress
def stability_map(
    scenario: Scenario,
    x: Range,
    y: Range,
    by: str = "floquet",
    *,
    workers: int | None = None,
    executor: Executor | None = None,
    progress: Progress = SILENT,
    file: Asked = None,
) -> Map:
    """Two parameters of a flight or its craft against stability, the craft's own place among them.

    scenario : from load_scenario
    x, y     : (key, lowest, highest, how many): any key that holds a number, the craft's under "craft.", values in the unit of the key
    by       : "floquet": growth about steady flight at the torque of half the run-down; "flights": each point flown, high up and without walls
    workers  : processes; None: one a processor, 1: none but this one. The map is the same for any number
    executor : any concurrent.futures.Executor to use instead; it is not shut down
    progress : told start(steps), step(what), close()
    file     : study file, gone on with if it is there; None: nothing is kept
    Returns  : Map: growth [1/s], growth without bar, verdicts, arrays (ny, nx); nan where no steady motion was found
    Raises   : BadInput for keys that do not exist or hold no number, ends that the file would not allow, a study file of something else
    Note     : with several workers a program needs `if __name__ == "__main__":` about its own start
    Source   : see stability/floquet.py and studies/map/by_flights.py
    """
    start = clock.perf_counter()
    if by not in WAYS:
        raise BadInput(f"by: should be {' or '.join(WAYS)}, found {by!r}")
    text = scenario.effective_toml()
    across, up = axis("x", text, x, MOST_SIDE), axis("y", text, y, MOST_SIDE)
    both(across, up)
    text = open_text(scenario)  # a chord that is varied takes its tip along
    of = identity(text, grid=f"{across} against {up}", way=by)
    names = [f"{what}[{k}]" for what in ("growth_per_s", "without_per_s", "code") for k in range(across.values.size)]
    wanted = {j: [float(value)] for j, value in enumerate(up.values)}
    progress.start(len(wanted) + 1)
    progress.step("finding where to begin" if by == "floquet" else "flying the design")
    with session(of, [up.key], names, file=file, workers=workers, executor=executor, progress=progress, few=1) as here:
        worker: Worker
        if by == "floquet":
            plan = by_floquet.plan(text, across, up, bool(here.study.missing(wanted)))
            worker, own, turns = partial(by_floquet.row, plan=plan), (plan.growth, plan.without), plan.turns
        else:
            worker, turns = partial(by_flights.row, text=text, across=across, up=up), math.nan
            own = by_flights.design(text)
        here.complete(wanted, worker, f"row of {len(wanted)}")
        table = here.study.arrays().outputs.reshape(len(wanted), 3, across.values.size)
    growth, without, code = table[:, 0], table[:, 1], table[:, 2]
    # one set of words for the whole map: of the bar against no bar only where that is known all over
    compared = bool(np.isfinite(without[np.isfinite(growth)]).all())
    return Map(
        x_key=across.key,
        y_key=up.key,
        x=across.values,
        y=up.values,
        growth=growth,
        without=without,
        verdict=np.array(
            [[by_flights.ENDS[int(c)] if by == "flights" else words(g, w if compared else math.nan) for g, w, c in zip(*r, strict=True)]
             for r in zip(growth, without, code, strict=True)]
        ),
        design=(across.own, up.own),
        design_growth=own[0],
        design_verdict=by_flights.ENDS[int(own[1])] if by == "flights" else words(*own),
        by=by,
        turns_left=turns,
        wall_s=clock.perf_counter() - start,
    )  # fmt: skip


def words(growth: float, without: float) -> str:
    """Verdict of a point of a map by Floquet."""
    if not math.isfinite(growth):
        return NOTHING
    if not math.isfinite(without):  # no bar, or no steady motion without it
        return DECAYS if growth < 0.0 else GROWS
    return verdict(growth, without)


def windows(found: Map, j: int) -> list[tuple[float, float]]:
    """Stretches of x in row j where a disturbance dies out, zeros of growth by straight lines between points; by flights, where it is held.

    Returns : (from, to) each, in the unit of x; ends of the map are ends of a stretch
    """
    x, g = found.x, found.growth[j]
    if found.by == "flights":  # the word counts; half-way to the next point
        g = np.where(found.verdict[j] == by_flights.HELD, -1.0, 1.0)
    well = g < 0.0  # nan is not
    out = []
    for i in np.flatnonzero(well & ~np.concatenate([[False], well[:-1]])):
        k = i
        while k + 1 < x.size and well[k + 1]:
            k += 1
        ends = []
        for inside, outside in ((i, i - 1), (k, k + 1)):
            if not 0 <= outside < x.size or not math.isfinite(g[outside]):
                ends.append(float(x[inside]))
            else:
                ends.append(float(x[inside] + (x[outside] - x[inside]) * g[inside] / (g[inside] - g[outside])))
        out.append((ends[0], ends[1]))
    return out


__all__ = ["Axis", "Map", "Range", "stability_map", "words"]
