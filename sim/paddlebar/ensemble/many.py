"""Thousands of flights: the same driver over the compiled stepper, on any executor; of each flight what it came to is kept."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, fields
from functools import partial
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import build
from paddlebar.craft.limits import check_limits
from paddlebar.ensemble import pool, steps, tables
from paddlebar.ensemble.samples import Item, scenario_of
from paddlebar.ensemble.spread import Helpers, spread
from paddlebar.ensemble.stepper import CompiledStepper
from paddlebar.files.scenario import Scenario
from paddlebar.flight import derive, rhs
from paddlebar.flight.figures import ledger_gap
from paddlebar.flight.fly import blame, powered
from paddlebar.flight.integrate import fly_track
from paddlebar.flight.judgement import Fault
from paddlebar.flight.motion import judged
from paddlebar.flight.own import Given, Own, own_of, pushed
from paddlebar.flight.result import Event
from paddlebar.flight.stopped import rotor_stops
from paddlebar.flight.track import Track
from paddlebar.progress import SILENT, Progress

if TYPE_CHECKING:
    import pandas as pd
    import xarray as xr

Array = NDArray[np.float64]
_BLOCK = 8  # most flights that are handed over at once: some half a second
MOST_HANDED_OUT: Final = (
    256  # blocks that somebody else's executor has at once, who may have more workers than we know of; own choice
)
LOST: Final = "not flown: the process that flew it ended, each time it was tried: killed, or out of memory"


@dataclass(frozen=True, kw_only=True)
class Brief:
    """What one flight came to; keys and units are those of a flight's summary, nan where nothing was flown."""

    outcome: str
    sentence: str
    events: tuple[Event, ...] = ()
    samples: Array | None = None
    duration_s: float = math.nan
    powered_s: float = math.nan
    peak_height_m: float = math.nan
    final_height_m: float = math.nan
    north_m: float = math.nan  # from where it was launched, centre of gravity
    east_m: float = math.nan
    drift_m: float = math.nan
    max_tilt_deg: float = math.nan
    final_tilt_deg: float = math.nan
    tipped_at_s: float = math.nan
    body_turns: float = math.nan
    peak_body_rate_deg_s: float = math.nan
    turns_used: float = math.nan
    turns_left: float = math.nan
    energy_error: float = math.nan
    energy_let_out_j: float = math.nan
    evaluations: int = 0
    controlled_s: float = math.nan
    graded_s: float = math.nan  # for searches, see flight/judgement.py
    faults: tuple[Fault, ...] = ()
    flew_well: bool = False

    @property
    def broke_off(self) -> bool:
        """It failed numerically on the way: its figures are those of the part that was flown, and tell nothing of the whole."""
        return self.outcome == "failed" and math.isfinite(self.duration_s)


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Flights:
    """What many flights came to, in the order in which they were asked for; ``n`` flights.

    Names and units are those of a flight's summary; nan: not flown (its sentence says why), or it never happened (tipped_at_s).
    """

    outcome: list[str]  # (n) codes, see flight/endings.py
    sentence: list[str]  # (n)
    events: list[tuple[Event, ...]]  # (n)
    samples: list[
        Array | None
    ]  # (n), where asked for (steps, 1 + state size): time [s] and state as in flight/layout.py
    duration_s: Array  # (n), as all that follow
    powered_s: Array
    peak_height_m: Array
    final_height_m: Array
    north_m: Array
    east_m: Array
    drift_m: Array
    max_tilt_deg: Array
    final_tilt_deg: Array
    tipped_at_s: Array
    body_turns: Array
    peak_body_rate_deg_s: Array
    turns_used: Array
    turns_left: Array
    energy_error: Array
    energy_let_out_j: Array
    evaluations: Array
    controlled_s: Array
    graded_s: Array
    faults: list[tuple[Fault, ...]]  # (n) what matters first, see flight/judgement.py
    flew_well: list[bool]  # (n)

    def __len__(self) -> int:
        return len(self.outcome)

    def __getitem__(self, index: int) -> dict[str, Any]:
        """One flight as plain values."""
        values = {field.name: getattr(self, field.name)[index] for field in fields(self)}
        return {name: value.item() if isinstance(value, np.generic) else value for name, value in values.items()}

    @property
    def failed(self) -> list[int]:
        """Which could not be flown, or not to an end: places in these arrays; ``sentence`` says of each why, when and in which state."""
        return [k for k, outcome in enumerate(self.outcome) if outcome == "failed"]

    def to_pandas(self, drawn: Iterable[Any] | None = None) -> pd.DataFrame:
        """A row a flight, all figures as columns.

        drawn   : what was given to fly_many: its changes become the first columns, by dotted key
        Returns : DataFrame; ``attrs["units"]`` has the unit of each column
        Raises  : ImportError without pandas, of the extra ``data``; ValueError for another number of draws than flights
        """
        return tables.to_pandas(self, drawn)

    def to_xarray(self, drawn: Iterable[Any] | None = None) -> xr.Dataset:
        """All figures along the dimension flight; attribute role is "input" of what was drawn, "output" of the rest.

        drawn   : what was given to fly_many: its changes become variables, by dotted key
        Returns : Dataset, which ``to_netcdf`` writes
        Raises  : ImportError without xarray, of the extra ``data``; ValueError for another number of draws than flights
        """
        return tables.to_xarray(self, drawn)

    def __repr__(self) -> str:
        return tables.line(self)

    def _repr_html_(self) -> str:
        return tables.html(self)

    @classmethod
    def of(cls, briefs: Sequence[Brief]) -> Flights:
        """Columns from rows."""
        columns: dict[str, Any] = {f.name: [getattr(brief, f.name) for brief in briefs] for f in fields(cls)}
        for name in columns.keys() - {"outcome", "sentence", "events", "samples", "faults", "flew_well"}:
            columns[name] = np.array(columns[name], dtype=np.float64)
        return cls(**columns)


def fly_brief(item: Item | Callable[[], Scenario], every: int = 0, force: Own | None = None) -> Brief:
    """Fly one scenario in compiled steps; whatever stops it is told in the brief's sentence, with outcome "failed".

    item : see Item, or what makes the scenario;  every : keep each so-manieth step, 0 none;  force : of one's own
    """
    try:
        if isinstance(item, Scenario):
            scenario = item
        elif callable(item):
            scenario = item()
        else:
            scenario = scenario_of(item)
            check_limits(scenario)
        scenario = pushed(scenario, force)
        numbers = build(scenario)
        stepper = CompiledStepper(numbers, scenario.run, 1)  # every step is judged; only the judgement travels
        track = fly_track(scenario, numbers, lambda _numbers, _run: stepper)
        blame(track, scenario, numbers)
    except Exception as error:  # one that cannot be flown must not take the others with it
        return Brief(outcome="failed", sentence=f"not flown: {error}" if str(error) else f"not flown: {error!r}")
    return _brief(scenario, track, stepper, every)


def _brief(scenario: Scenario, track: Track, stepper: CompiledStepper, every: int) -> Brief:
    tally, first, last = stepper.tally, track.loads[0], track.loads[-1]
    runs_back = bool(track.numbers.params[0]["skein"]["runs_back"])
    left_first, left_last = (
        float(turns) if runs_back else max(float(turns), 0.0) for turns in (first[rhs.TURNS_LEFT], last[rhs.TURNS_LEFT])
    )
    north, east = float(last[rhs.CG_NORTH] - first[rhs.CG_NORTH]), float(last[rhs.CG_EAST] - first[rhs.CG_EAST])
    end, let_out = float(track.time[-1]), float(tally[steps.LET_OUT])
    whole = stepper.whole(track)
    how = judged(scenario, track.numbers, *whole, track.events, track.ending, track.tipped)
    stops = rotor_stops(*whole, track.events)
    return Brief(
        outcome=how.outcome.value,
        sentence=track.sentence,
        events=tuple(track.events),
        samples=stepper.samples[every - 1 :: every].copy() if every else None,
        duration_s=end,
        powered_s=powered([*track.events, *stops], end),
        peak_height_m=float(whole[2][:, rhs.CG_HEIGHT].max()),
        final_height_m=float(last[rhs.CG_HEIGHT]),
        north_m=north,
        east_m=east,
        drift_m=math.hypot(north, east),
        max_tilt_deg=math.degrees(whole[2][:, derive.TILT].max()),
        final_tilt_deg=math.degrees(last[derive.TILT]),
        tipped_at_s=next((e.time_s for e in track.events if e.name == "tipped over"), math.nan),
        body_turns=float(tally[steps.TURNED]) / (2.0 * math.pi),
        peak_body_rate_deg_s=math.degrees(tally[steps.PEAK_SPIN]),
        turns_used=left_first - left_last,
        turns_left=left_last,
        energy_error=ledger_gap(float(tally[steps.MISSED]), let_out),
        energy_let_out_j=float(first[derive.STORED] - last[derive.STORED]),
        evaluations=track.evaluations,
        controlled_s=how.controlled_s,
        graded_s=how.graded_s,
        faults=how.faults,
        flew_well=how.flew_well,
    )


def fly_block(items: Sequence[Item], every: int = 0, force: Own | None = None) -> list[Brief]:
    """Fly some scenarios one after the other: what an executor is given."""
    briefs = []
    for item in items:
        if pool.dropped():
            break
        briefs.append(fly_brief(item, every, force))
    return briefs


def fly_all(
    items: Iterable[Item],
    *,
    workers: int | None = None,
    executor: Executor | None = None,
    progress: Progress = SILENT,
    every: int = 0,
    told: Callable[[int, Brief], None] | None = None,
    force: Given | None = None,
) -> Flights:
    """See api.fly_many; told : of each flight as it comes in, with its place."""
    todo = items if isinstance(items, Sequence) else list(items)
    own = own_of(force)
    if own is not None:
        own.entrance  # noqa: B018  a function that cannot be used is told before any flies
    workers = workers or pool.cores()
    progress.start(len(todo))
    briefs: dict[int, Brief] = {}

    def keep(job: tuple[int, Item], brief: Brief) -> None:
        briefs[job[0]] = brief
        if told is not None:
            told(job[0], brief)
        progress.step(brief.outcome)

    if executor is None and (workers == 1 or len(todo) <= 1):
        for job in enumerate(todo):
            keep(job, fly_brief(job[1], every, own))
    elif executor is None:
        with pool.Pool(min(workers, len(todo))) as started:
            helpers = Helpers(started.executor, started.renewed)
            _on(helpers, todo, workers + 2, workers, keep, (every, own), started.drop)
    else:
        _on(Helpers(executor), todo, max(4 * workers, MOST_HANDED_OUT), workers, keep, (every, own), wait_only)
    return Flights.of([briefs[i] for i in range(len(todo))])


def block_of(count: int, workers: int) -> int:
    """How many of so many flights are handed over at once."""
    return max(1, min(_BLOCK, count // (4 * workers)))


def _fly(jobs: Sequence[tuple[int, Item]], *, every: int, force: Own | None) -> list[Brief]:
    return fly_block([item for _, item in jobs], every, force)


def _lost(_job: tuple[int, Item]) -> Brief:
    return Brief(outcome="failed", sentence=LOST)


def _on(
    helpers: Helpers,
    todo: Sequence[Item],
    most: int,
    workers: int,
    keep: Callable[[tuple[int, Item], Brief], None],
    how: tuple[int, Own | None],
    drop: Callable[[], None],
) -> None:
    size = block_of(len(todo), workers)
    blocks = ([(k, todo[k]) for k in range(first, min(first + size, len(todo)))] for first in range(0, len(todo), size))
    spread(blocks, partial(_fly, every=how[0], force=how[1]), keep, helpers, most=most, lost=_lost, drop=drop)


def wait_only() -> None:
    """An executor of the caller's: what runs there is waited for, at most a block."""
