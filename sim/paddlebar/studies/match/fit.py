"""The search of a match: least squares by rounds, begun at what is believed and once more wherever the first answer leaves room for a better.

Flights do not answer smoothly: a nose that the fin just holds breaks loose a little farther on. Hence differences as wide as the answer is
uncertain, an error of its own for what jumps within that reach, and a look at places that the straight lines of the first answer forbid.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from paddlebar.files.flight_record import Row
from paddlebar.studies.match.information import reach
from paddlebar.studies.match.predictions import Forward

Array = NDArray[np.float64]

MISSED = 5.0  # standard errors of a reading that the model does not have at all (it did not tip over); own choice
ROUGH = ("body_turns", "drift_m")  # hang on small things: the fin locks the nose over a band and breaks loose beyond it
BENT = 2.0  # standard errors by which a reading may leave a straight line before no slope is believed; own choice
SETTLED = 0.1  # deviations of the answer within which slopes are taken for those of the answer
COARSE = 0.5  # half width of the first differences, in deviations of the priors
COARSE_ROUNDS, MOST_ROUNDS = 4, 10
TRUSTED = 2  # fine rounds after which what has jumped once counts as jumping
MOST_POINTS = 15  # evaluations of one round
ANEW = 1  # other places at most that a search is begun at
TOO_LOW = 0.5  # share of the expected rise of S that is missing where another valley may be; own choice


@dataclass(frozen=True, eq=False)
class Found:
    """Where a search came to rest, in deviations of the priors.

    z : (n) place;  slopes : (m, n) of the readings over their errors;  sds : (m) those errors;  sum : least sum of squares
    deviance : sum and twice the logarithms of errors that were widened: what two answers are compared by
    """

    z: Array
    slopes: Array
    sds: Array
    sum: float
    deviance: float
    converged: bool


def search(forward: Forward, rows: Sequence[Row]) -> Found:
    """The best answer that is found from the priors' means and from up to ANEW other place.

    Straight lines foretell how S rises when one unknown is moved and the others follow; where it rises by less than TOO_LOW of that, the
    search is begun again.
    """
    readings = _Readings(forward, rows)
    best = readings.settle(np.clip(np.zeros(forward.mean.size), forward.low, forward.high))
    cov = np.linalg.inv(best.slopes.T @ best.slopes + np.eye(best.z.size))
    places = []
    for k in range(best.z.size):
        for move in (-1.0, 1.0):
            z = np.clip(best.z + cov[:, k] / cov[k, k] * move, forward.low, forward.high)
            off = best.slopes @ (z - best.z)
            places.append((z, float(off @ off + (z - best.z) @ (z - best.z))))
    forward.prepare([z for z, _ in places])
    rises = [(readings.sum(z, best.sds) - best.sum, expected, z) for z, expected in places]
    again = sorted(
        (rise - expected, i)
        for i, (rise, expected, _) in enumerate(rises)
        if rise < TOO_LOW * expected and expected > 1.0
    )
    for _, i in again[:ANEW]:
        other = readings.settle(rises[i][2])
        if other.deviance < best.deviance:
            best = other
    return best


class _Readings:
    """The readings of a record against a model."""

    def __init__(self, forward: Forward, rows: Sequence[Row]) -> None:
        entries = [reading for row in rows for reading in row.readings]
        self._forward = forward
        self._recorded, self._given = np.array([r.value for r in entries]), np.array([r.sd for r in entries])
        self._rough = np.array([r.quantity in ROUGH for r in entries], dtype=bool)

    def misses(self, z: Array, weight: Array) -> Array:
        """(m + n) readings and priors off, in their errors."""
        off = (self._forward.readings(z) - self._recorded) * weight
        return np.concatenate([np.where(np.isnan(off), MISSED * (weight > 0.0), off), z])

    def sum(self, z: Array, sds: Array) -> float:
        """S at a place."""
        return float(np.sum(self.misses(z, 1.0 / sds) ** 2))

    def settle(self, start: Array) -> Found:
        """Least squares in rounds: slopes are costly, so each round keeps those of its start; the last round starts where it ends.

        At first differences are COARSE and what is ROUGH waits: small valleys of a rough ground are stepped over. Then what
        a reading leaves the straight line by, within the reach of the answer, is an error of its own; one that jumps has no slope
        either, for that is as steep as one looks close.
        """
        forward, given = self._forward, self._given
        one = np.eye(start.size)
        coarse, fine = True, 0
        bend = np.zeros_like(given)
        z, steps, settled = start, COARSE * one, False
        full, sds = np.vstack([np.zeros((given.size, z.size)), one]), given
        for turn in range(MOST_ROUNDS):
            slopes, bent = forward.slopes(z, steps)
            if not coarse:
                fine += 1
                # kept in the end, or it would come and go for ever
                bend = np.maximum(bend, bent) if fine > TRUSTED else bent
            sds = np.hypot(given, bend)
            weight = np.where(coarse & self._rough, 0.0, 1.0 / sds)
            full = np.vstack([slopes * np.where(bend > BENT * given, 0.0, weight)[:, None], one])
            # dogbox: a friction may well lie on its limit, none, where scipy's default takes vanishing steps
            got = least_squares(
                self.misses, z, jac=lambda _, __, full=full: full, bounds=(forward.low, forward.high), method="dogbox",
                ftol=1e-3, xtol=1e-3, gtol=1e-4, max_nfev=MOST_POINTS, args=(weight,),
            )  # fmt: skip
            moved, z = got.x - z, got.x
            settled = float(moved @ (full.T @ full) @ moved) < SETTLED**2
            if settled and not coarse:
                break
            coarse = coarse and not settled and turn + 1 < COARSE_ROUNDS
            if not coarse:
                steps = reach(np.linalg.inv(full.T @ full).astype(np.float64))
        least = self.sum(z, sds)
        widened = 2.0 * float(np.sum(np.log(sds / given)))
        return Found(z, full[: given.size], sds, least, least + widened, settled and not coarse)
