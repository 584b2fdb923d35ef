"""Stretches of a flight in which something was past its limit, and means over a window: plain arrays."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# own choices, for the reasons that judgement.py gives
WINDOW: Final = 0.2  # [s] means are taken over it
LASTING: Final = 0.5  # [s] a loss lasts from here on
GAP: Final = 0.25  # [s] stretches nearer to each other are one; own choice


@dataclass(frozen=True)
class Stretch:
    """A time during which something was past its limit [s]; most : largest value then;  open : it was so when the flight ended."""

    start: float
    stop: float
    most: float
    open: bool

    @property
    def lasts(self) -> bool:
        return self.open or self.stop - self.start >= LASTING


def means(time: Array, values: Array, window: float = WINDOW) -> Array:
    """Means over a window about each moment, (n,), shorter at the ends; of values joined by straight lines."""
    if not time[-1] > time[0]:
        return values.copy()
    span = np.diff(time)
    whole = np.concatenate([[0.0], np.cumsum(0.5 * (values[1:] + values[:-1]) * span)])

    def area(at: Array) -> Array:
        """From the start to `at`."""
        k = np.clip(np.searchsorted(time, at, side="right") - 1, 0, time.size - 2)
        since = at - time[k]
        slope = (values[k + 1] - values[k]) / np.where(span[k] > 0.0, span[k], 1.0)
        return np.asarray(whole[k] + since * (values[k] + 0.5 * since * slope))

    low, high = np.maximum(time - 0.5 * window, time[0]), np.minimum(time + 0.5 * window, time[-1])
    return np.asarray((area(high) - area(low)) / (high - low))


def stretches(time: Array, over: Array, size: Array, gap: float = GAP) -> list[Stretch]:
    """Stretches in which `over` (n,) is above nothing, ends by straight lines between samples, those near each other joined.

    size : (n,) of which the largest of each stretch is told
    """
    flags = over > 0.0
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(np.int8), [0]])))
    found: list[Stretch] = []
    for first, after in zip(edges[::2], edges[1::2], strict=True):
        start = _crossing(time, over, first - 1) if first else float(time[0])
        ends = after == time.size
        stop = float(time[-1]) if ends else _crossing(time, over, after - 1)
        most = float(size[first:after].max())
        if found and start - found[-1].stop < gap:
            found[-1] = Stretch(found[-1].start, stop, max(most, found[-1].most), bool(ends))
        else:
            found.append(Stretch(start, stop, most, bool(ends)))
    return found


def _crossing(time: Array, over: Array, k: int) -> float:
    """Where a straight line from sample k to the next passes nothing [s]."""
    a, b = float(over[k]), float(over[k + 1])
    return float(time[k] + (time[k + 1] - time[k]) * (a / (a - b) if a != b else 0.0))
