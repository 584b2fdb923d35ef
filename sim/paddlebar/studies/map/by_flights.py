"""The ground of a map by flights: each point flown as the scenario says, and what its sway tells.

How fast a disturbance grows is read from the lean of the body in its own axes: means over equal windows, which take the shaking at twice
the rotor's speed out; the distance from one window to the next; a straight line through the logarithm of its envelope, until it drowns in
what is left of the shaking. One flight, one disturbance, and a torque that sinks meanwhile: the sign is sure only far from zero.
Source: logarithmic decrement, common practice.   Checked: tests/studies/map/test_map.py
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.ensemble.many import Flights, fly_all
from paddlebar.errors import BadInput
from paddlebar.files.scenario import Scenario
from paddlebar.flight import layout
from paddlebar.flight.aloft import aloft
from paddlebar.flight.endings import WELL, Outcome
from paddlebar.studies.axes import Axis, changed

Array = NDArray[np.float64]

HELD, SWAYS, TIPS, NOT_FLOWN, FAILED = "held", "sways", "tips over", "not flown", "failed"  # failed: numerically
ENDS: Final = (HELD, SWAYS, TIPS, NOT_FLOWN, FAILED)

STEADY_DEG: Final = 20.0  # held: it leans less than that in the second half of the flight, own choice
EVERY: Final = 2  # steps between the samples that are kept, some six a revolution
WINDOW_S: Final = 0.5  # three turns of a light rotor or so
FEWEST: Final = 12  # windows, shorter ones in a short flight
DROWNED: Final = 3e-4  # rad: less than that from window to window is shaking


def row(index: int, inputs: Array, *, text: str, across: Axis, up: Axis) -> tuple[Array, int]:
    """One row of the map: growth (nx) [1/s], nothing (nx, nan), places in ENDS (nx), one after the other; and the ending code 0."""
    nx = across.values.size
    out = np.full((3, nx), math.nan)
    out[2] = ENDS.index(NOT_FLOWN)
    at, todo = [], []
    for i, value in enumerate(across.values):
        try:
            todo.append(aloft(changed(text, across.change(float(value)) | up.change(float(inputs[0])))))
            at.append(i)
        except BadInput:
            continue
    for i, (growth, code) in zip(at, _judged(todo), strict=True):
        out[0, i], out[2, i] = growth, code
    return out.ravel(), 0


def design(text: str) -> tuple[float, float]:
    """Growth [1/s] and place in ENDS of the scenario itself."""
    return next(iter(_judged([aloft(changed(text, {}))])))


def _judged(scenarios: list[Scenario]) -> Iterable[tuple[float, float]]:
    found = fly_all(scenarios, workers=1, every=EVERY)
    for k, scenario in enumerate(scenarios):
        yield judge(found, k, scenario.launch.hold_s if scenario.launch.release == "held" else 0.0)


def judge(found: Flights, k: int, released_s: float) -> tuple[float, float]:
    """Growth [1/s], nan if the flight is too short to tell, and place in ENDS."""
    samples = found.samples[k]
    how = found.outcome[k]
    if samples is None or how == Outcome.FAILED:
        return math.nan, ENDS.index(FAILED if math.isfinite(found.duration_s[k]) else NOT_FLOWN)
    free = samples[samples[:, 0] >= released_s]
    if how == Outcome.NEVER_LET_GO or not len(free):
        return math.nan, ENDS.index(TIPS if how == Outcome.TIPPED else NOT_FLOWN)
    time, lean = free[:, 0], leans(free[:, 1 + layout.ATTITUDE : 5 + layout.ATTITUDE])
    late = time >= 0.5 * (time[0] + time[-1])
    tilt = np.degrees(np.arcsin(np.minimum(1.0, np.hypot(*lean[late].T))))
    steady = tilt.max() < STEADY_DEG and how in WELL
    end = TIPS if how in (Outcome.TIPPED, Outcome.CRASHED) else HELD if steady else SWAYS
    return growth(time, lean), ENDS.index(end)


def leans(attitude: Array) -> Array:
    """The vertical's components along the body's nose and right side (n, 2), from quaternions body to earth (n, 4)."""
    w, a, b, c = attitude.T
    return np.column_stack([2.0 * (a * c - w * b), 2.0 * (b * c + w * a)])


def growth(time: Array, lean: Array) -> float:
    """Growth of a sway [1/s]; nan for less than four windows that show one.

    time : (n,) [s], rising;  lean : (n, 2) [rad]
    """
    span = float(time[-1] - time[0])
    count = max(FEWEST, int(span / WINDOW_S))
    if time.size < 4 * count:
        count = time.size // 4
    if count < 5:
        return math.nan
    even = np.linspace(time[0], time[-1], 16 * count)
    means = np.column_stack([np.interp(even, time, part).reshape(count, -1).mean(axis=1) for part in lean.T])
    moved = np.hypot(*np.diff(means, axis=0).T)
    middle = time[0] + span * (np.arange(count - 1) + 1.0) / count
    half = max(1, round(1.0 / (span / count)))  # a second either way: the envelope, not the swing
    envelope = np.array([moved[max(0, i - half) : i + half + 1].max() for i in range(moved.size)])
    shows = envelope > DROWNED
    last = moved.size if shows.all() else int(np.argmin(shows))
    if last < 4:
        return math.nan
    return float(np.polyfit(middle[:last], np.log(envelope[:last]), 1)[0])
