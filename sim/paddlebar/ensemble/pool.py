"""Processes of our own that fly."""

from __future__ import annotations

import multiprocessing
import os
from concurrent.futures import Executor
from multiprocessing.synchronize import Event as Flag
from typing import Final, Self

from paddlebar.ensemble.workers import Workers, settle

PRELOAD: Final = "paddlebar.ensemble.many"

_stop: Flag | None = None  # set in the parent when its work was broken off; workers of our own look at it


def prepare(stop: Flag) -> None:
    """A worker leaves Ctrl-C to its parent, which then sets `stop`."""
    global _stop  # noqa: PLW0603  the only way to hand something to a pool's workers
    _stop = stop
    settle()


def dropped() -> bool:
    """In a worker: nobody wants what it does any more."""
    return _stop is not None and _stop.is_set()


def cores() -> int:
    """Processors that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


class Pool:
    """Processes of our own that fly: told to stop when they are not wanted any more, and made anew where one of them is lost."""

    def __init__(self, workers: int) -> None:
        # Not forked: this process may have threads (a progress bar has), and those must not be copied half-way.
        method = "forkserver" if "forkserver" in multiprocessing.get_all_start_methods() else "spawn"
        self._context = multiprocessing.get_context(method)
        self._context.set_forkserver_preload([PRELOAD])  # numba and scipy once, not once a worker
        self._workers, self._stop = workers, self._context.Event()
        self.executor = self._made()

    def _made(self) -> Executor:
        return Workers(self._workers, self._context, initializer=prepare, initargs=(self._stop,))

    def renewed(self) -> Executor:
        """Other processes in place of these, one of which was lost."""
        self.executor.shutdown()
        self.executor = self._made()
        return self.executor

    def drop(self) -> None:
        """Nothing further is flown, and what is under way is not finished."""
        self._stop.set()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.executor.shutdown()
