"""Which ratio balances: roots of the spin over the ratio, the ratio of least drift, and why none balances throughout."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from paddlebar.studies.rundown import KNEE, RunDown
from paddlebar.studies.runner import Worker
from paddlebar.studies.session import Session

Array = NDArray[np.float64]

# shares of the run-down, first and last+1: the spike and what follows it, the plateau, the seventh before the knee, all up to the knee
WINDOWS: Final = {"full_wind": (0, 3), "mid_run": (10, 14), "end": (18, KNEE), "mean": (0, KNEE)}
RATIO_STEP: Final = 0.004  # to which a balancing ratio is sought: less than a tenth of a mm of any pulley that is built
JUMP_DEG_S: Final = 20.0  # spin at a root above which the spin jumps over zero instead of passing through it
MOST_FLIGHTS: Final = 12  # for one root
FINER: Final = 7  # flights between each two ratios of the grid beside the one that drifts least
STILL_DEG_S: Final = 20.0  # mean drift below which a body counts as still; what the yaw study was asked to reach


@dataclass(frozen=True)
class Balance:
    """Ratios at which the mean spin is nothing, pitch and diameter as built; nan where none of the studied range does it.

    full_wind, mid_run, end : over the first seventh of the turns above the knee, the middle fifth, the last seventh;  mean : all of them
    jumps : those of them where no ratio gives a small spin: it jumps from one sense to the other there
    best, best_drift_deg_s : flown ratio whose mean drift up to the knee is least, and that drift
    still : lowest and highest flown ratio next to it with a mean drift below STILL_DEG_S; nan, nan if even the best drifts more
    """

    full_wind: float
    mid_run: float
    end: float
    mean: float
    jumps: tuple[str, ...]
    best: float
    best_drift_deg_s: float
    still: tuple[float, float]


class Flights:
    """Flights of a study, looked up by what was flown; new ones are flown, kept, and numbered in the order in which they are asked for."""

    def __init__(self, here: Session, worker: Worker) -> None:
        self.here, self.study, self.worker = here, here.study, worker
        data = self.study.arrays()
        self._table = {tuple(row): out for row, out in zip(data.inputs.tolist(), data.outputs, strict=True)}
        self._next = int(data.index.max(initial=-1)) + 1

    def fly(self, rows: Sequence[tuple[float, ...]]) -> None:
        """Fly those of the rows that were not."""
        new = [row for row in dict.fromkeys(rows) if row not in self._table]
        wanted = {self._next + k: row for k, row in enumerate(new)}
        self.here.complete(wanted, self.worker, "flying run-downs")
        data = self.study.arrays()
        self._table |= {tuple(row): out for row, out in zip(data.inputs.tolist(), data.outputs, strict=True)}
        self._next += len(new)

    def run(self, row: tuple[float, ...]) -> RunDown:
        """The run-down of a row."""
        self.fly([row])
        return RunDown.of(self._table[row])

    def rows(self, rows: Sequence[tuple[float, ...]]) -> tuple[NDArray[np.int64], Array]:
        """Ending codes (n,) and outputs (n, nout) of rows that were flown."""
        data = self.study.arrays()
        codes = {tuple(row): code for row, code in zip(data.inputs.tolist(), data.ending.tolist(), strict=True)}
        return np.array([codes[row] for row in rows], dtype=np.int64), np.array([self._table[row] for row in rows])

    def like(self, row: tuple[float, ...]) -> Iterator[tuple[float, RunDown]]:
        """(ratio, run-down) of all flights with that row's pitch and diameter, by ratio."""
        for key in sorted(key for key in self._table if key[1:] == row[1:]):
            yield key[0], RunDown.of(self._table[key])


def drift(run: RunDown) -> float:
    """Mean size of the spin up to the knee, left and right alike, weighed by time [deg/s]; nan for a flight that did not get so far."""
    time = np.diff(run.time_s[:KNEE], prepend=0.0)
    return float((np.abs(run.spin_deg_s[:KNEE]) * time).sum() / time.sum())


def window(run: RunDown, which: str) -> Array:
    """Heading gained over time in one of WINDOWS, (...) [deg/s]."""
    first, stop = WINDOWS[which]

    def gained(values: Array) -> Array:
        return np.asarray(values[..., stop - 1] - (values[..., first - 1] if first else 0.0))

    return gained(run.heading_deg) / gained(run.time_s)


def balance(
    flights: Flights,
    ratios: Sequence[float],
    own: tuple[float, ...],
) -> Balance:
    """Ratios that balance the craft `own` (ratio, pitch [deg], diameter [mm]), among and between `ratios`, which have been flown.

    Source : root of the window's mean spin between the two flown ratios nearest to the craft's own where it changes sign; R. P. Brent's
        method (scipy.optimize.brentq). The least drift is the least of all flights flown: the curve is too rough for a minimiser
    """
    grid = {
        *ratios,
        own[0],
    }  # not whatever else the study holds, so that going on with it asks for the same flights again
    drifts = {ratio: drift(run) for ratio, run in flights.like(own) if ratio in grid}
    known = [ratio for ratio in drifts if math.isfinite(drifts[ratio])]
    if known:
        k = known.index(min(known, key=drifts.__getitem__))
        near = known[max(k - 1, 0) : k + 2]
        between = [
            low + (high - low) * j / (FINER + 1)
            for low, high in zip(near[:-1], near[1:], strict=True)
            for j in range(1, FINER + 1)
        ]
        flights.fly([(round(ratio, 9), *own[1:]) for ratio in between])
    found, jumps = {}, []
    for which in WINDOWS:
        root = _root(flights, which, sorted(grid), own)
        found[which] = root
        if math.isfinite(root) and not abs(window(flights.run((root, *own[1:])), which)) < JUMP_DEG_S:
            jumps.append(which)
    drifts = {ratio: size for ratio, run in flights.like(own) if math.isfinite(size := drift(run))}
    best = min(drifts, key=drifts.__getitem__, default=math.nan)
    return Balance(
        **found, jumps=tuple(jumps), best=best, best_drift_deg_s=drifts.get(best, math.nan), still=_still(drifts, best)
    )


def _root(flights: Flights, which: str, ratios: Sequence[float], own: tuple[float, ...]) -> float:
    def spin(ratio: float) -> float:
        return float(window(flights.run((round(float(ratio), 9), *own[1:])), which))

    known = [(ratio, s) for ratio in ratios if math.isfinite(s := spin(ratio))]
    pairs = [(a[0], b[0]) for a, b in zip(known[:-1], known[1:], strict=True) if a[1] * b[1] <= 0.0]
    if not pairs:
        return math.nan
    low, high = min(pairs, key=lambda pair: abs(0.5 * (pair[0] + pair[1]) - own[0]))
    try:
        return round(float(brentq(spin, low, high, xtol=RATIO_STEP, maxiter=MOST_FLIGHTS, disp=False)), 9)
    except ValueError:  # a flight between the two did not get so far
        return math.nan


def _still(drifts: dict[float, float], best: float) -> tuple[float, float]:
    """Ends of the unbroken row of flown ratios round the best with a drift below STILL_DEG_S."""
    ratios = sorted(drifts)
    if not ratios or drifts[best] >= STILL_DEG_S:
        return math.nan, math.nan
    low = high = ratios.index(best)
    while low > 0 and drifts[ratios[low - 1]] < STILL_DEG_S:
        low -= 1
    while high < len(ratios) - 1 and drifts[ratios[high + 1]] < STILL_DEG_S:
        high += 1
    return ratios[low], ratios[high]


def reason(best: RunDown, steep: float) -> str:
    """What keeps a single ratio from balancing throughout, in words: how torque and tail moment over the square of the speed change.

    A rotor and a tail of fixed coefficients both go with the square of the rotor's speed: one ratio would serve always.

    best : run-down at the ratio of least drift;  steep : spin for one per cent of ratio [deg/s]
    """
    if not np.isfinite(best.spin_deg_s[:KNEE]).all():
        return "no flight got as far as the knee of the rubber"
    over_ground = best.rotor_rpm - best.spin_deg_s / 6.0
    main = (best.rotor_moment_mn_m + best.bar_moment_mn_m) / over_ground**2
    tail = best.tail_moment_mn_m / best.rotor_rpm**2

    def mean(values: Array, which: str) -> float:
        return float(values[slice(*WINDOWS[which])].mean())

    parts = []
    for which, words in (("full_wind", "at full wind"), ("end", "near the end")):
        torque, moment = (100.0 * (mean(values, which) / mean(values, "mid_run") - 1.0) for values in (main, tail))
        parts.append(
            f"{words} ({mean(best.rotor_rpm, which):.0f} rpm, climbing {mean(best.climb_m_s, which):+.2f} m/s) the torque is {torque:+.1f} %, "
            f"the tail's moment {moment:+.1f} % off mid-run's"
        )
    return (
        f"measured by the square of the rotor's speed, with which one ratio would serve always, {'; '.join(parts)}. The rotor carries the same "
        "weight at every speed and so works at other angles as it slows and sinks; the tail keeps its pitch and feels the craft's drift instead. "
        f"One per cent of ratio turns the body by {abs(steep):.0f} deg/s, so little is enough"
    )


def crossings(ratios: Array, spin: Array, near: float) -> Array:
    """Ratio of no mean spin along the last axis by straight lines, the one nearest to `near`; nan where none, (...)."""
    out = np.full(spin.shape[:-1], math.nan)
    for where in np.ndindex(out.shape):
        line = spin[where]
        k = np.flatnonzero(line[:-1] * line[1:] <= 0.0)
        if k.size:
            roots = ratios[k] - line[k] * (ratios[k + 1] - ratios[k]) / (line[k + 1] - line[k])
            out[where] = roots[np.argmin(np.abs(roots - near))]
    return out
