"""Global indices of Sobol from a survey: which share of an output's spread each parameter makes, alone and together with others.

Estimators, bootstrap and intervals are scipy's (scipy.stats.sobol_indices: Saltelli and others, Computer Physics Communications 181
(2010) 259-270 [M]). Converged: every interval of a total index is narrower than WIDTH, from LEAST samples
on.
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from scipy.stats import DegenerateDataWarning, sobol_indices

from paddlebar.studies.rank.survey import Survey

Array = NDArray[np.float64]

CONFIDENCE: Final = 0.95
RESAMPLES: Final = 999  # scipy's own
WIDTH: Final = (
    0.2  # of an interval; two parameters whose total indices differ by as much are then told apart. Own choice
)
LEAST: Final = (
    32  # base samples below which nothing counts as converged: resamples of a handful tell of no spread. Own choice
)
MOST_MISSING: Final = 0.1  # of base samples without a value, beyond which an output has no indices; own choice


@dataclass(frozen=True, eq=False)
class Indices:
    """For d parameters and s outputs; nan where an output does not change, or too many samples have no value of it.

    first, total (d, s) : shares of the variance, the parameter alone; together with all others
    first_interval, total_interval (d, s, 2) : bootstrap, CONFIDENCE
    sum_first (s)   : 1 for a response that is a sum of one-parameter functions; less says how much they act together
    converged (s)   : every total interval narrower than WIDTH, from LEAST samples on
    enough (s)      : base samples that should do, from the widths' falling with the square root; 0 where nothing can be said
    missing (s)     : base samples without a value, replaced by others
    spread (s, 3)   : 5, 50 and 95 per cent of the outputs of independent samples (a and b)
    """

    first: Array
    total: Array
    first_interval: Array
    total_interval: Array
    sum_first: Array
    converged: NDArray[np.bool_]
    enough: NDArray[np.int64]
    missing: NDArray[np.int64]
    spread: Array


def indices(found: Survey, seed: int) -> Indices:
    """Indices of every output. The same survey and seed give the same intervals."""
    d, s, n = found.ab.shape
    first, total = np.full((d, s), math.nan), np.full((d, s), math.nan)
    first_interval, total_interval = np.full((d, s, 2), math.nan), np.full((d, s, 2), math.nan)
    missing, enough = np.zeros(s, dtype=np.int64), np.zeros(s, dtype=np.int64)
    spread = np.full((s, 3), math.nan)
    for j in range(s):
        a, b, ab = found.a[j], found.b[j], found.ab[:, j]
        well = np.isfinite(a) & np.isfinite(b) & np.isfinite(ab).all(axis=0)
        missing[j] = n - int(well.sum())
        both = np.concatenate([a, b])
        both = both[np.isfinite(both)]
        if both.size:
            spread[j] = np.percentile(both, (5.0, 50.0, 95.0))
        if not n or missing[j] > MOST_MISSING * n or not np.ptp(both) > 1e-12 * max(float(np.abs(both).max()), 1e-300):
            continue
        if d == 1:  # nothing else is there to make a spread; scipy fails on one parameter
            first[0, j] = total[0, j] = 1.0
            first_interval[0, j] = total_interval[0, j] = 1.0
            enough[j] = max(n, LEAST)
            continue
        # scipy wants as many as it began with: those that are missing are stood in for by the first that are not
        pick = np.flatnonzero(well)
        pick = np.concatenate([pick, pick[: missing[j]]])
        values = {"f_A": a[None, pick], "f_B": b[None, pick], "f_AB": ab[:, None, pick]}
        result = sobol_indices(func=values, n=n)
        first[:, j], total[:, j] = np.reshape(result.first_order, d), np.reshape(result.total_order, d)
        with _own_chance(seed + j), warnings.catch_warnings():
            # an output that one parameter does not move at all: its index is 0 in every resample
            warnings.simplefilter("ignore", DegenerateDataWarning)
            warnings.simplefilter("ignore", RuntimeWarning)
            boot = result.bootstrap(CONFIDENCE, RESAMPLES)
        first_interval[:, j], total_interval[:, j] = _interval(boot.first_order, d), _interval(boot.total_order, d)
        widest = float(np.diff(total_interval[:, j], axis=1).max())
        enough[j] = 2 ** math.ceil(math.log2(max(n * max((widest / WIDTH) ** 2, 1.0), LEAST)))
    widths = total_interval[..., 1] - total_interval[..., 0]
    return Indices(
        first=first,
        total=total,
        first_interval=first_interval,
        total_interval=total_interval,
        sum_first=first.sum(axis=0),
        converged=(widths < WIDTH).all(axis=0) & (n >= LEAST),
        enough=enough,
        missing=missing,
        spread=spread,
    )


def _interval(result: Any, d: int) -> Array:
    """(d, 2); where the corrected interval cannot be had, plain percentiles of the resamples."""
    low, high = (np.reshape(end, d) for end in result.confidence_interval)
    share = 50.0 * (1.0 - CONFIDENCE)
    plain = np.percentile(np.reshape(result.bootstrap_distribution, (d, -1)), (share, 100.0 - share), axis=1).T
    return np.where(np.isfinite(low + high)[:, None], np.column_stack([low, high]), plain)


@contextmanager
def _own_chance(seed: int) -> Iterator[None]:
    """scipy's bootstrap of indices takes no generator: numpy's global one is set for it, and put back as it was."""
    # documented, but not in numpy's stubs
    before = np.random.get_bit_generator()  # type: ignore[attr-defined]
    np.random.set_bit_generator(np.random.PCG64(seed))  # type: ignore[attr-defined]
    try:
        yield
    finally:
        np.random.set_bit_generator(before)  # type: ignore[attr-defined]
