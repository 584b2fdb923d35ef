"""The evaluations that a study still lacks, by any number of workers."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ProcessPoolExecutor, wait
from contextlib import suppress
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from paddlebar.ensemble.workers import Workers, settle
from paddlebar.progress import SILENT, Progress
from paddlebar.studies.store import Study

Array = NDArray[np.float64]
Outcome = tuple[Sequence[float] | Array, int]  # outputs, ending code
Worker = Callable[[int, Array], Outcome]

_AHEAD = 2  # evaluations handed out beyond those that run, so that no worker waits


def complete(
    study: Study,
    wanted: Mapping[int, Sequence[float]],
    worker: Worker,
    executor: Executor | None = None,
    *,
    workers: int = 1,
    progress: Progress = SILENT,
    what: str = "",
) -> None:
    """Evaluate what is missing and keep each as soon as it is finished.

    wanted   : index -> inputs
    worker   : (index, inputs) -> (outputs, code); takes its chance, if any, from default_rng([seed, index]). With processes it must
        be importable by name (functools.partial of a function of a module). Its error ends the study; what is finished stays
    executor : any of concurrent.futures; None: in this process, one after the other
    workers  : how many evaluations the executor runs at once
    progress : told ``what`` after each evaluation
    Raises   : KeyboardInterrupt after Ctrl-C, with everything kept that was finished by then
    """
    left = study.missing(wanted)
    if executor is None:
        for index in left:
            inputs = np.asarray(wanted[index], dtype=np.float64)
            study.add(index, inputs, *worker(index, inputs))
            progress.step(what)
        return
    running: dict[Future[Outcome], int] = {}

    def keep(future: Future[Outcome]) -> None:
        index = running.pop(future)
        study.add(index, wanted[index], *future.result())
        progress.step(what)

    queue = iter(left)
    try:
        while True:
            for i in islice(queue, max(workers, 1) + _AHEAD - len(running)):
                running[executor.submit(worker, i, np.asarray(wanted[i], dtype=np.float64))] = i
            if not running:
                return
            for future in wait(running, return_when=FIRST_COMPLETED).done:
                keep(future)
    except BaseException:
        for future in running:
            future.cancel()
        for future in [f for f in running if f.done() and not f.cancelled() and f.exception() is None]:
            with suppress(Exception):
                keep(future)
        raise


def processes(workers: int) -> ProcessPoolExecutor:
    """Workers in processes of their own, each with its own compiled equations; Ctrl-C is the parent's business alone."""
    return Workers(workers, mp_context=multiprocessing.get_context("spawn"), initializer=settle)


def cores() -> int:
    """How many evaluations this machine runs at once."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def failed_words(count: int, of: int) -> list[str]:
    """How many of the flights of a study failed numerically; nothing where none did."""
    return [f"{count} of {of} flights failed numerically: what they would have shown is missing"] if count else []
