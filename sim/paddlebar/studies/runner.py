"""The evaluations that a study still lacks, by any number of workers."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor
from functools import partial
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from paddlebar.ensemble.pool import dropped
from paddlebar.ensemble.spread import Helpers, spread
from paddlebar.ensemble.workers import Workers, settle
from paddlebar.progress import SILENT, Progress
from paddlebar.studies.store import Study

Array = NDArray[np.float64]
Outcome = tuple[Sequence[float] | Array, int]  # outputs, ending code
Worker = Callable[[int, Array], Outcome]
Job = tuple[int, Array]  # index, inputs

_AHEAD = 2  # blocks handed out beyond those that run, so that no worker waits


def complete(
    study: Study,
    wanted: Mapping[int, Sequence[float]],
    worker: Worker,
    executor: Executor | None = None,
    *,
    workers: int = 1,
    progress: Progress = SILENT,
    what: str | Callable[[int, Outcome], str] = "",
    anew: Callable[[], Executor | None] | None = None,
    size: int = 1,
    lost: Callable[[int], Outcome] | None = None,
    most: int | None = None,
    drop: Callable[[], None] | None = None,
) -> None:
    """Evaluate what is missing and keep each as soon as it is finished.

    wanted   : index -> inputs
    worker   : (index, inputs) -> (outputs, code); takes its chance, if any, from default_rng([seed, index]). With processes it must
        be importable by name (functools.partial of a function of a module). Its error ends the study; what is finished stays
    executor : any of concurrent.futures; None: in this process, one after the other
    workers  : how many evaluations the executor runs at once
    progress : told ``what``, or what that makes of index and outcome, after each evaluation
    anew     : makes an executor in place of one that lost a process; None: it is the caller's, who must do so and ask again
    size     : evaluations that are handed out together
    most     : blocks that are handed out at once; None: some more than workers
    drop     : see spread()
    lost     : the outcome of an evaluation that took every process with it; None: WorkerLost ends the study
    Raises   : KeyboardInterrupt after Ctrl-C, with everything kept that was finished by then; WorkerLost
    """

    def keep(job: Job, outcome: Outcome) -> None:
        study.add(job[0], job[1], *outcome)
        progress.step(what if isinstance(what, str) else what(job[0], outcome))

    left = ((i, np.asarray(wanted[i], dtype=np.float64)) for i in wanted if not study.has(i))
    if executor is None:
        for job in left:
            keep(job, worker(*job))
        return
    spread(
        _blocks(left, size),
        partial(_each, worker=worker),
        keep,
        Helpers(executor, anew),
        most=max(workers, 1) + _AHEAD if most is None else most,
        drop=drop,
        lost=None if lost is None else lambda job: lost(job[0]),
    )


def _each(jobs: Sequence[Job], *, worker: Worker) -> list[Outcome]:
    found = []
    for job in jobs:
        if dropped():
            break
        found.append(worker(*job))
    return found


def _blocks(jobs: Iterator[Job], size: int) -> Iterator[list[Job]]:
    while block := list(islice(jobs, size)):
        yield block


def processes(workers: int) -> ProcessPoolExecutor:
    """Workers in processes of their own, each with its own compiled equations; Ctrl-C is the parent's business alone."""
    return Workers(workers, mp_context=multiprocessing.get_context("spawn"), initializer=settle)


def failed_words(count: int, of: int) -> list[str]:
    """How many of the flights of a study failed numerically; nothing where none did."""
    return [f"{count} of {of} flights failed numerically: what they would have shown is missing"] if count else []
