"""Processes of our own, which leave Ctrl-C to their parent and end when it ends, however that happens; and signals that wait for a step."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing.connection import wait
from typing import Any, Final

SIGNALS: Final = tuple(getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name))


class Workers(ProcessPoolExecutor):
    """A pool whose processes never see Ctrl-C, not even while they begin."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """As the pool's own, which may start a process; that one inherits what is blocked here. BrokenExecutor where none can be started."""
        try:
            with uninterrupted(), _blocked():  # broken off half way, the new process would not know what for
                return super().submit(fn, *args, **kwargs)
        except (ConnectionError, EOFError) as error:
            raise BrokenProcessPool("the process that starts the others ended") from error


def settle() -> None:
    """To be called first in a worker: deaf to Ctrl-C, which is the parent's business, and gone when the parent is.

    A pool's worker waits for work on a pipe that it holds open itself, so it would wait for ever for a parent that was killed.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent.sentinel,), daemon=True).start()


def _end_with(sentinel: int) -> None:
    wait([sentinel])
    os._exit(1)  # nobody is left to report to


@contextmanager
def uninterrupted() -> Iterator[None]:
    """Ctrl-C and the like wait until the end of a step that must not be left half done."""
    came: list[int] = []
    before: dict[int, Any] = {}
    if threading.current_thread() is threading.main_thread():  # nobody else hears signals
        before = {number: signal.getsignal(number) for number in SIGNALS if callable(signal.getsignal(number))}
    for number in before:
        signal.signal(number, lambda which, _: came.append(which))
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
    for number in came:
        signal.raise_signal(number)


@contextmanager
def _blocked() -> Iterator[None]:
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
