"""Yaw: which pulleys and which tail keep the body from spinning, at what price, and what no single ratio can cancel.

Every point is a whole flight (rundown.py), not a steady state: a craft held level over one place balances at another ratio than one
that flies, because the tail's push makes it drift to the side, and a tail rotor that moves along its thrust gives less. The ratios that
balance are roots of the spin of such flights (Brent's method); where the spin jumps over zero the root is the place of the jump.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, fields
from functools import partial
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.errors import BadInput
from paddlebar.files.scenario import Scenario
from paddlebar.plain import of_fields, plain
from paddlebar.progress import SILENT, Progress, closes_progress
from paddlebar.studies.rundown import (
    BINS,
    FAILED,
    KNEE,
    NAMES_IN,
    NAMES_OUT,
    SCALARS,
    RunDown,
    changed,
    evaluate,
    high_up,
)
from paddlebar.studies.session import Asked, identity, session
from paddlebar.studies.yaw.balance import (
    FINER,
    MOST_FLIGHTS,
    STILL_DEG_S,
    WINDOWS,
    Balance,
    Flights,
    balance,
    crossings,
    drift,
    reason,
    window,
)

Array = NDArray[np.float64]

MOST_POINTS: Final = 2000
MORE_FLIGHTS: Final = 2 * FINER + 2 * MOST_FLIGHTS  # that finding the balance takes beyond the grid, about


@dataclass(frozen=True, eq=False)
class Yaw:
    """What `yaw` found. Arrays of the grid have shape (diameters, pitches, ratios); nose to the right is positive, over the ground.

    ratios (nr) [1], pitches_deg (np), diameters_mm (nd) : the grid;  own_ratio, own_pitch_deg, own_diameter_mm : as built
    ending : 0 flew up to the knee of the rubber, 1 tipped over before, 3 failed numerically before, 2 not whole for another reason
    mean_spin_deg_s, spin_full_wind_deg_s, spin_mid_run_deg_s, spin_end_deg_s : heading gained over time, windows as in Balance
    drift_deg_s : mean size of the spin up to the knee, left and right alike
    body_turns, turns_unwound, rotor_turns_over_ground : up to the knee;  duration_s : to the knee;  rose_m : above the release
    tail_power_share, drive_power_share : given to the air by the tail, and lost in bearings and cord, of what the skein gives to the shaft [1]
    side_drift_m_s, circle_radius_m, lean_right_deg : at mid-run, see RunDown; radius nan for a craft that makes no circle
    run : RunDown of the whole grid, arrays (nd, np, nr, BINS);  own, best : of the craft as built, and at balance.best, (BINS,)
    line_ratios (n), line : all flights with the craft's own pitch and diameter, those flown to find the balance included, (n, BINS)
    balance : ratios that balance;  balance_mean_ratio (nd, np) : for every pitch and diameter, from the grid alone, by straight lines
    residual_deg_s : largest and smallest spin of `best` in any share up to the knee (2,);  reason : what does not scale, in words
    spin_per_percent_deg_s : by how much the mean spin changes for one per cent of ratio more, across the grid beside `best`
    hang_deg, hang_closed_form_deg : lean of the body to its left at mid-run of `best`; atan(T/W), what it would be if nothing else trims
    tail_thrust_closed_form_mn, tail_thrust_mn : (rotor + bar) torque over the tail's arm, and what it gives, at mid-run of `best`
    weight_mn : of the craft;  flights : flown for this answer, those found in the study's file included;  failed : of them numerically
    """

    ratios: Array
    pitches_deg: Array
    diameters_mm: Array
    own_ratio: float
    own_pitch_deg: float
    own_diameter_mm: float
    ending: NDArray[np.int64]
    mean_spin_deg_s: Array
    spin_full_wind_deg_s: Array
    spin_mid_run_deg_s: Array
    spin_end_deg_s: Array
    drift_deg_s: Array
    body_turns: Array
    turns_unwound: Array
    rotor_turns_over_ground: Array
    duration_s: Array
    rose_m: Array
    tail_power_share: Array
    drive_power_share: Array
    side_drift_m_s: Array
    circle_radius_m: Array
    lean_right_deg: Array
    run: RunDown
    own: RunDown
    best: RunDown
    line_ratios: Array
    line: RunDown
    balance: Balance
    balance_mean_ratio: Array
    residual_deg_s: Array
    reason: str
    spin_per_percent_deg_s: float
    hang_deg: float
    hang_closed_form_deg: float
    tail_thrust_mn: float
    tail_thrust_closed_form_mn: float
    weight_mn: float
    flights: int
    failed: int = 0

    @property
    def own_drift_deg_s(self) -> float:
        """Mean size of the spin of the craft as built [deg/s]."""
        return drift(self.own)

    def to_json(self) -> dict[str, Any]:
        """Plain data; None for nan."""
        return {**of_fields(self), "own_drift_deg_s": plain(self.own_drift_deg_s)}


@closes_progress
def yaw(
    scenario: Scenario,
    ratios: Iterable[float] | None = None,
    pitches_deg: Iterable[float] | None = None,
    diameters_mm: Iterable[float] | None = None,
    *,
    workers: int = 1,
    executor: Executor | None = None,
    progress: Progress = SILENT,
    file: Asked = None,
) -> Yaw:
    """Fly the run-down at every ratio, tail pitch and tail diameter, and find the ratios that balance.

    scenario     : craft, winding and release count; its wind, room and mishaps do not (rundown.py)
    ratios       : tail turns a rotor turn [1]; None: nine from 0.7 to 1.3 times the craft's own
    pitches_deg  : of the tail's blades; None: the craft's own, three degrees less and three more
    diameters_mm : of the tail rotor; its mass stays as it is. None: the craft's own
    executor, workers : any concurrent.futures.Executor, and how many flights it runs at once; the result does not depend on them
    progress     : told start(steps), step(what), close()
    file         : study file that is gone on with, or begun (store.py); None: nothing is kept
    Returns      : Yaw
    Raises       : BadInput, one line: no tail on a cord, a value out of the possible, a study file of something else
    Source       : flights on the one right-hand side; R. P. Brent's root finder (scipy.optimize.brentq)
    Checked      : tests/reference/test_yaw_balance.py (balance and power split in closed form), tests/studies/yaw/test_yaw.py
    """
    own = _own(scenario)
    grid = _grid(own, ratios, pitches_deg, diameters_mm)
    text = high_up(scenario).effective_toml()
    rows = [(r, p, d) for d in grid[2] for p in grid[1] for r in grid[0]]
    for extreme in {tuple(pick(axis) for axis in grid) for pick in (min, max)}:
        changed(text, np.asarray(extreme))  # what no craft file may say is refused before anything flies
    of = identity(
        text, study=f"yaw, {BINS} shares, knee {KNEE}", grid=repr([[float(v) for v in axis] for axis in grid])
    )
    with session(of, NAMES_IN, NAMES_OUT, file=file, workers=workers, executor=executor, progress=progress) as here:
        progress.start(max(len(rows) + 1 + MORE_FLIGHTS - here.study.arrays().index.size, 0))
        flights = Flights(here, partial(evaluate, text=text))
        flights.fly([own])  # compiled here, once, before any other process asks for it
        flights.fly(rows)
        found = balance(flights, grid[0], own)
        return _answer(flights, rows, grid, own, found)


def _own(scenario: Scenario) -> tuple[float, float, float]:
    tail = scenario.craft.tail
    if tail is None or tail.drive != "cord":
        raise scenario.craft.bad(
            "tail.drive", f"yaw looks for the ratio of a tail on a cord, found {tail.drive if tail else 'no tail'}"
        )
    if scenario.skein.turns - scenario.skein.backed_off <= 0.0:
        raise scenario.bad("skein.turns", "yaw needs turns to run down, found none")
    return tail.drive_pulley_mm / tail.tail_pulley_mm, tail.pitch_deg, 2.0 * tail.radius_mm


def _grid(
    own: tuple[float, float, float], *asked: Iterable[float] | None
) -> tuple[list[float], list[float], list[float]]:
    usual = ([own[0] * k for k in np.linspace(0.7, 1.3, 9)], [own[1] - 3.0, own[1], own[1] + 3.0], [own[2]])
    names = ("ratio", "pitch", "diameter")
    axes = []
    for name, mine, theirs in zip(names, usual, asked, strict=True):
        axis = sorted({round(float(v), 9) for v in (mine if theirs is None else theirs)})
        if not axis or not all(math.isfinite(v) for v in axis) or (name != "pitch" and axis[0] <= 0.0):
            raise BadInput(
                f"{name}: input should be finite numbers{'' if name == 'pitch' else ' above 0'}, at least one, found {axis}"
            )
        axes.append(axis)
    if len(axes[0]) < 2:
        raise BadInput(f"ratio: input should be two values at least, a balance is sought between them, found {axes[0]}")
    if math.prod(len(axis) for axis in axes) > MOST_POINTS:
        raise BadInput(
            f"ratio, pitch, diameter: at most {MOST_POINTS} combinations, found {math.prod(len(axis) for axis in axes)}"
        )
    return axes[0], axes[1], axes[2]


def _answer(
    flights: Flights,
    rows: Sequence[tuple[float, ...]],
    grid: tuple[list[float], ...],
    own: tuple[float, ...],
    found: Balance,
) -> Yaw:
    ratios, pitches, diameters = (np.array(axis) for axis in grid)
    shape = (diameters.size, pitches.size, ratios.size)
    codes, outputs = flights.rows(rows)
    outputs = outputs.reshape(*shape, -1)
    run = RunDown.of(outputs)
    scalar = {name: outputs[..., k - len(SCALARS)] for k, name in enumerate(SCALARS)}
    mine = flights.run(own)
    best = (
        flights.run((found.best, *own[1:]))
        if math.isfinite(found.best)
        else RunDown.of(np.full(len(NAMES_OUT), math.nan))
    )
    time = np.diff(run.time_s, axis=-1, prepend=0.0)[..., :KNEE]

    def energy(power: Array) -> Array:
        return np.asarray((power[..., :KNEE] * time).sum(axis=-1))

    spins = {which: window(run, which) for which in WINDOWS}
    middle = slice(*WINDOWS["mid_run"])
    mid = {f.name: float(getattr(best, f.name)[middle].mean()) for f in fields(best)}
    arm, weight = (float(scalar[name].flat[0]) for name in ("tail_arm_mm", "weight_mn"))
    steep = _spin_per_percent(flights, own, found.best, ratios)
    return Yaw(
        ratios=ratios,
        pitches_deg=pitches,
        diameters_mm=diameters,
        own_ratio=own[0],
        own_pitch_deg=own[1],
        own_diameter_mm=own[2],
        ending=codes.reshape(shape),
        mean_spin_deg_s=spins["mean"],
        spin_full_wind_deg_s=spins["full_wind"],
        spin_mid_run_deg_s=spins["mid_run"],
        spin_end_deg_s=spins["end"],
        drift_deg_s=energy(np.abs(run.spin_deg_s)) / time.sum(axis=-1),
        body_turns=run.heading_deg[..., KNEE - 1] / 360.0,
        turns_unwound=run.turns_unwound[..., KNEE - 1],
        rotor_turns_over_ground=run.rotor_turns_over_ground[..., KNEE - 1],
        duration_s=run.time_s[..., KNEE - 1],
        rose_m=scalar["rose_m"],
        tail_power_share=energy(run.tail_power_mw) / energy(run.skein_power_mw),
        drive_power_share=energy(run.drive_power_mw) / energy(run.skein_power_mw),
        side_drift_m_s=run.side_m_s[..., middle].mean(axis=-1),
        circle_radius_m=run.circle_radius_m[..., middle].mean(axis=-1),
        lean_right_deg=run.lean_right_deg[..., middle].mean(axis=-1),
        run=run,
        own=mine,
        best=best,
        line_ratios=np.array([ratio for ratio, _ in flights.like(own)]),
        line=RunDown.stack([each for _, each in flights.like(own)]),
        balance=found,
        balance_mean_ratio=crossings(ratios, spins["mean"], own[0]),
        residual_deg_s=np.array([best.spin_deg_s[:KNEE].max(), best.spin_deg_s[:KNEE].min()]),
        reason=reason(best, steep),
        spin_per_percent_deg_s=steep,
        hang_deg=-mid["lean_right_deg"],
        hang_closed_form_deg=math.degrees(math.atan(mid["tail_thrust_mn"] / weight)),
        tail_thrust_mn=mid["tail_thrust_mn"],
        tail_thrust_closed_form_mn=1e3 * abs(mid["rotor_moment_mn_m"] + mid["bar_moment_mn_m"]) / arm,
        weight_mn=weight,
        flights=flights.study.arrays().index.size,
        failed=int((flights.study.arrays().ending == FAILED).sum()),
    )


def _spin_per_percent(flights: Flights, own: tuple[float, ...], best: float, ratios: Array) -> float:
    """Slope of the mean spin over the ratio between the grid's neighbours of the best ratio [deg/s per %]; nan at the grid's ends."""
    below, above = ratios[ratios < best], ratios[ratios > best]
    if not below.size or not above.size:
        return math.nan
    low, high = float(below[-1]), float(above[0])
    gained = window(flights.run((high, *own[1:])), "mean") - window(flights.run((low, *own[1:])), "mean")
    return float(gained / (100.0 * (high - low) / best))


def is_still(found: Yaw) -> bool:
    """Does the craft as built fly up to the knee with a mean drift below STILL_DEG_S?"""
    return found.own_drift_deg_s < STILL_DEG_S
