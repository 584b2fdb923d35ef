"""Thousands of flights: the same driver over the compiled stepper, on any executor; of each flight what it came to is kept."""

from __future__ import annotations

import math
import multiprocessing
import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import Executor, as_completed, wait
from dataclasses import dataclass, fields
from multiprocessing.synchronize import Event as Flag
from typing import Any

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import build
from paddlebar.craft.limits import check_limits
from paddlebar.ensemble import steps
from paddlebar.ensemble.stepper import CompiledStepper
from paddlebar.ensemble.workers import Workers, settle
from paddlebar.files.load import load_scenario
from paddlebar.files.scenario import Scenario
from paddlebar.flight import derive, rhs
from paddlebar.flight.fly import powered
from paddlebar.flight.integrate import fly_track
from paddlebar.flight.judgement import Fault
from paddlebar.flight.motion import judged
from paddlebar.flight.result import Event
from paddlebar.flight.stopped import rotor_stops
from paddlebar.flight.track import Track
from paddlebar.progress import SILENT, Progress

Array = NDArray[np.float64]
Item = Scenario | tuple[str | os.PathLike[str], Mapping[str, Any]]  # a checked scenario, or its file and what to change

_BLOCK = 8  # most flights that are handed over at once: some half a second


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


@dataclass(frozen=True, kw_only=True, eq=False)
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

    @classmethod
    def of(cls, briefs: Sequence[Brief]) -> Flights:
        """Columns from rows."""
        columns: dict[str, Any] = {f.name: [getattr(brief, f.name) for brief in briefs] for f in fields(cls)}
        for name in columns.keys() - {"outcome", "sentence", "events", "samples", "faults", "flew_well"}:
            columns[name] = np.array(columns[name], dtype=np.float64)
        return cls(**columns)


def samples(
    path: str | os.PathLike[str], count: int, draw: Callable[[np.random.Generator], Mapping[str, Any]], seed: int = 1
) -> list[Item]:
    """Scenarios that differ by chance, for fly_many.

    path    : scenario file;  count : how many
    draw    : from a random generator to what is changed, dotted keys -> values as in load_scenario
    seed    : chance belongs to the sample: the i-th has default_rng([seed, i]), however many are drawn or flown, and where
    Returns : list of (path, changes)
    """
    return [(path, dict(draw(np.random.default_rng([seed, index])))) for index in range(count)]


def fly_brief(item: Item, every: int = 0) -> Brief:
    """Fly one scenario in compiled steps; whatever stops it is told in the brief's sentence, with outcome "failed".

    item : see Item;  every : keep each so-manieth step, 0 none
    """
    try:
        if isinstance(item, Scenario):
            scenario = item
        else:
            scenario = load_scenario(*item)
            check_limits(scenario)
        numbers = build(scenario)
        stepper = CompiledStepper(numbers, scenario.run, 1)  # every step is judged; only the judgement travels
        track = fly_track(scenario, numbers, lambda _numbers, _run: stepper)
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
        tipped_at_s=next((e.time for e in track.events if e.name == "tipped over"), math.nan),
        body_turns=float(tally[steps.TURNED]) / (2.0 * math.pi),
        peak_body_rate_deg_s=math.degrees(tally[steps.PEAK_SPIN]),
        turns_used=left_first - left_last,
        turns_left=left_last,
        energy_error=float(tally[steps.MISSED]) / let_out if let_out > 0.0 else math.nan,
        energy_let_out_j=float(first[derive.STORED] - last[derive.STORED]),
        evaluations=track.evaluations,
        controlled_s=how.controlled_s,
        graded_s=how.graded_s,
        faults=how.faults,
        flew_well=how.flew_well,
    )


_stop: Flag | None = None  # set in the parent when its work was broken off; workers of our own look at it


def _prepare(stop: Flag) -> None:
    """A worker leaves Ctrl-C to its parent, which then sets `stop`."""
    global _stop  # noqa: PLW0603  the only way to hand something to a pool's workers
    _stop = stop
    settle()


def fly_block(items: Sequence[Item], every: int = 0) -> list[Brief]:
    """Fly some scenarios one after the other: what an executor is given."""
    briefs = []
    for item in items:
        if _stop is not None and _stop.is_set():
            break
        briefs.append(fly_brief(item, every))
    return briefs


def fly_all(
    items: Iterable[Item],
    *,
    workers: int | None = None,
    executor: Executor | None = None,
    progress: Progress = SILENT,
    every: int = 0,
) -> Flights:
    """See api.fly_many."""
    todo = list(items)
    workers = workers or _cores()
    progress.start(len(todo))
    if executor is not None:
        return _on(executor, todo, workers, progress, every)
    if workers == 1 or len(todo) <= 1:
        return Flights.of([_told(fly_brief(item, every), progress) for item in todo])
    # Not forked: this process may have threads (a progress bar has), and those must not be copied half-way.
    method = "forkserver" if "forkserver" in multiprocessing.get_all_start_methods() else "spawn"
    context = multiprocessing.get_context(method)
    context.set_forkserver_preload([__name__])  # numba and scipy once, not once a worker
    stop = context.Event()
    with Workers(min(workers, len(todo)), context, initializer=_prepare, initargs=(stop,)) as pool:
        return _on(pool, todo, workers, progress, every, stop)


def _cores() -> int:
    """Processors that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _told(brief: Brief, progress: Progress) -> Brief:
    progress.step(brief.outcome)
    return brief


def _on(
    executor: Executor, todo: list[Item], workers: int, progress: Progress, every: int, stop: Flag | None = None
) -> Flights:
    size = max(1, min(_BLOCK, len(todo) // (4 * workers)))
    blocks = {executor.submit(fly_block, todo[i : i + size], every): i for i in range(0, len(todo), size)}
    briefs: dict[int, Brief] = {}
    try:
        for done in as_completed(blocks):
            for offset, brief in enumerate(done.result()):
                briefs[blocks[done] + offset] = _told(brief, progress)
    except BaseException:
        if stop is not None:
            stop.set()
        # What has not begun never will; what runs is waited for, at most a block, so that nothing is left behind.
        wait([future for future in blocks if not future.cancel()])
        raise
    return Flights.of([briefs[i] for i in range(len(todo))])
