"""Unknowns of a craft fitted to its record: least squares over readings and prior together, with what that leaves open.

With y the readings, f(x) what the model gives, s their standard errors, and a normal prior of mean m and deviations p:

    S(x) = sum ((f(x) - y)/s)^2 + sum ((x - m)/p)^2        least at the answer
    covariance = (J'J + 1)^-1 in units of p, J the slopes of f/s

and, if model, errors and prior are right, S has the chi-square distribution with as many degrees of freedom as there are readings (each
unknown brings its prior and takes it away again). 90 % intervals are normal, 1.645 deviations either way, cut at the file's limits.
Source  : A. Gelman et al., Bayesian Data Analysis, ch. 4 (normal approximation), from memory; solver scipy.optimize.least_squares
Checked : tests/studies/match/test_match.py
"""

from __future__ import annotations

import hashlib
import math
import time as clock
from collections.abc import Iterable, Mapping
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass
from os import PathLike
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.stats import chi2 as chi_square
from scipy.stats import norm

from paddlebar.craft.one_by_one import one_by_one
from paddlebar.errors import BadInput
from paddlebar.files.flight_record import FLIGHT, FlightRecord, read_flight_record
from paddlebar.files.override import GIVEN
from paddlebar.files.scenario import Scenario
from paddlebar.progress import SILENT, Progress, closes_progress
from paddlebar.studies.axes import open_text
from paddlebar.studies.match.fit import MISSED, search
from paddlebar.studies.match.information import Candidate, Direction, candidates, directions
from paddlebar.studies.match.predictions import FLYING, Forward, Stand, row_scenario, steady
from paddlebar.studies.match.unknowns import Unknown
from paddlebar.studies.match.unknowns import unknowns as checked
from paddlebar.studies.session import identity, session

Array = NDArray[np.float64]

LEVEL = 0.90
REFUSED = 0.01  # a chi-square that so few right models reach is taken for a wrong model; common practice, no source


@dataclass(frozen=True)
class Compared:
    """One reading: recorded, with its standard error, and what the model gave before and gives after the fit (nan: not at all).

    reckoned : the error that it was given in the fit; more than sd where the model jumps within the reach of the answer
    """

    line: int
    name: str
    quantity: str
    recorded: float
    sd: float
    before: float
    after: float
    reckoned: float

    @property
    def off(self) -> float:
        """Model minus record after the fit, in standard errors; MISSED if the model does not have it."""
        return MISSED if math.isnan(self.after) else (self.after - self.recorded) / self.reckoned


@dataclass(frozen=True, eq=False)
class Match:
    """What a record tells of the unknowns; ``n`` of them, in the order asked for, values in the units of their keys.

    unknowns     : keys with their priors;  values, sds : (n) fitted, one standard deviation;  low, high : (n) 90 % interval
    at_limit     : (n) the answer lies at the end of what the file or four deviations of the prior allow
    correlation  : (n, n)
    readings     : compared one by one;  endings : (line, recorded, model's) of flights that end otherwise in the model
    chi2, p      : sum of squares and the share of right models that come out worse;  degrees : of freedom
    fits         : p is at least REFUSED and every flight ends as recorded
    directions   : what the record does not tell apart;  further : readings that would tell most, best first
    converged    : the search came to rest;  points : evaluations of the whole record;  wall_s : that it took
    failed       : of the flights of these points, numerically;  flights : of them all
    """

    unknowns: tuple[Unknown, ...]
    values: Array
    sds: Array
    low: Array
    high: Array
    at_limit: NDArray[np.bool_]
    correlation: Array
    readings: tuple[Compared, ...]
    endings: tuple[tuple[int, str, str], ...]
    chi2: float
    degrees: int
    p: float
    directions: tuple[Direction, ...]
    further: tuple[Candidate, ...]
    remarks: tuple[tuple[int, str], ...]
    converged: bool
    points: int
    wall_s: float
    failed: int = 0
    flights: int = 0

    @property
    def fits(self) -> bool:
        """Whether the model may be right."""
        return self.p >= REFUSED and not self.endings

    @property
    def changes(self) -> dict[str, float]:
        """The fitted craft as overrides of the scenario, key -> value."""
        return {u.key: float(f"{v:.6g}") for u, v in zip(self.unknowns, self.values, strict=True)}


@closes_progress
def match(
    scenario: Scenario,
    record: str | PathLike[str] | FlightRecord,
    unknowns: Mapping[str, float | None] | None = None,
    *,
    further: bool = True,
    workers: int | None = None,
    executor: Executor | None = None,
    progress: Progress = SILENT,
    folder: str | PathLike[str] | None = None,
    stand: Stand = steady,
) -> Match:
    """Find what cannot be measured on a craft from flights and bench readings.

    scenario : from load_scenario, with the craft as it is believed to be; a row of the record says what was different
    record   : csv file, columns in the README, or what was read from one
    unknowns : dotted key -> standard deviation of what is believed before, None: a build tolerance. None: rubber's energy, real pitch,
        section drag, airframe drag, friction of the bar
    further  : look for the readings that would tell most next
    workers  : flights at once, in threads; None: one a processor
    executor : a ThreadPoolExecutor to use instead; it is not shut down
    progress : told start(steps), step(what), close()
    folder   : where what is finished is kept until the match ends, so that one that was interrupted is gone on with; None: nowhere
    stand    : gives the steady figures of a rotor
    Returns  : Match: values with 90 % intervals and correlations, chi-square test, readings compared, what is not told apart, further
        readings; `.changes` are overrides for load_scenario
    Raises   : BadInput, one line, for a record or an unknown that is not possible
    Source   : see the top of this file
    """
    start = clock.perf_counter()
    record = record if isinstance(record, FlightRecord) else read_flight_record(Path(record))
    scenario = one_by_one(scenario)  # blades may be asked for that no file names
    asked = checked(scenario, unknowns)
    rows = [row for row in record.rows if row.readings or row.outcome]
    _possible(scenario, record)
    n, m = len(asked), sum(len(row.readings) for row in rows)
    progress.start(70 + 10 * n)  # or so: how many rounds there will be nobody knows
    progress.step(FLYING)
    text = scenario.effective_toml()
    of = identity(text, record=record.text or repr(record.rows), unknowns=repr(asked))
    # another record is another file: rows come by and by
    name = f"unfinished-{hashlib.sha256(repr(of).encode()).hexdigest()[:8]}.h5"
    unfinished = None if folder is None else Path(folder) / name
    outputs = [f"reading_{k}" for k in range(m + len(rows))]
    with session(
        of,
        [u.key for u in asked],
        outputs,
        file=unfinished,
        workers=workers,
        executor=executor,
        helpers=ThreadPoolExecutor,
    ) as here:
        pool = here.pool()
        forward = Forward(scenario, asked, rows, stand=stand, executor=pool, study=here.study, progress=progress)
        found = search(forward, rows)
        values = forward.mean + forward.sd * found.z
        cov: Array = np.linalg.inv(found.slopes.T @ found.slopes + np.eye(n)).astype(np.float64)
        sds = np.sqrt(np.diag(cov))
        more: Iterable[Candidate] = ()
        if further:
            more = candidates(scenario, asked, rows, stand, found.z, cov, pool, progress)
        before, after = forward.readings(np.zeros(n)), forward.readings(found.z)
        ends = forward.outcomes(found.z)
    if unfinished is not None:
        unfinished.unlink(missing_ok=True)
    wide = float(norm.ppf(0.5 + 0.5 * LEVEL)) * sds * forward.sd
    low, high = forward.mean + forward.sd * forward.low, forward.mean + forward.sd * forward.high
    edge = np.isclose(found.z, forward.low, atol=1e-3) | np.isclose(found.z, forward.high, atol=1e-3)
    entries = [(row, reading) for row in rows for reading in row.readings]
    return Match(
        unknowns=tuple(asked),
        values=values,
        sds=sds * forward.sd,
        low=np.maximum(low, values - wide),
        high=np.minimum(high, values + wide),
        at_limit=edge,
        correlation=cov / np.outer(sds, sds),
        readings=tuple(
            Compared(row.line, row.name, r.quantity, r.value, r.sd, float(b), float(a), float(sd))
            for (row, r), b, a, sd in zip(entries, before, after, found.sds, strict=True)
        ),
        endings=tuple(
            (row.line, row.outcome, end or "not flown")
            for row, end in zip(rows, ends, strict=True)
            if row.outcome not in ("", end)
        ),
        chi2=found.sum,
        degrees=m,
        p=float(chi_square.sf(found.sum, m)) if m else math.nan,
        directions=tuple(directions(asked, cov)),
        further=tuple(more),
        remarks=tuple((row.line, row.remarks) for row in record.rows if row.remarks),
        converged=found.converged,
        points=forward.points,
        failed=forward.failed,
        flights=forward.points * sum(row.kind == FLIGHT for row in rows),
        wall_s=clock.perf_counter() - start,
    )


def _possible(scenario: Scenario, record: FlightRecord) -> None:
    """Raise BadInput for a row whose changes are not possible for the craft as described."""
    text = open_text(scenario)
    for row in record.rows:
        try:
            row_scenario(text, scenario, row)
        except BadInput as error:
            rule = str(error).removeprefix(f"{GIVEN}: ").removeprefix("change: ")
            raise BadInput(f"{record.file}:{row.line}: {rule}") from None
