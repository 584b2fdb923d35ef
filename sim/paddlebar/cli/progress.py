"""Progress on standard error for anything that takes longer: a bar on a terminal, elsewhere a line now and then."""

from __future__ import annotations

import sys
import threading
import time as clock
from contextlib import suppress
from typing import Any, Self, TextIO

PATIENCE_S = 2.0  # work that is done by then shows nothing
EVERY_S = 10.0  # between two lines
WIDE = 80


class Shown:
    """A paddlebar.progress.Progress and a context manager: shown from PATIENCE_S after entering until it is left.

    ``close`` ends nothing: what a verb asks for ends before the verb does, which goes on to draw and to write.
    """

    def __init__(self, stream: TextIO) -> None:
        self._stream, self._began = stream, clock.perf_counter()
        self._lock, self._left = threading.Lock(), threading.Event()
        self._thread = threading.Thread(target=self._watch, daemon=True)
        self._steps, self._done, self._what = 0, -1, ""

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._left.set()
        self._thread.join()

    def start(self, steps: int) -> None:
        """So many more steps are expected."""
        with self._lock:
            self._steps += steps

    def step(self, what: str) -> None:
        """A step begins or is done."""
        with self._lock:
            self._done, self._what = self._done + 1, what

    def close(self) -> None:
        """More may come."""

    def _watch(self) -> None:
        """In a thread of its own: wait, then show until the end."""
        if not self._left.wait(PATIENCE_S):
            with suppress(OSError, ValueError):  # nobody reads any more: the work goes on
                self._show()

    def _show(self) -> None:
        raise NotImplementedError

    def _now(self) -> tuple[int, int, str]:
        """Steps done and expected, and what goes on; while equations are compiled, of that."""
        equations = sys.modules.get("paddlebar.physics.compiling")
        if equations is not None and (functions := equations.under_way()) is not None:
            return *functions, "compiling, only this once; not all are needed"
        with self._lock:
            return max(self._done, 0), max(self._steps, self._done, 1), self._what


class Lines(Shown):
    """A line after PATIENCE_S and every EVERY_S from then on."""

    def _show(self) -> None:
        while True:
            done, steps, what = self._now()
            says = f"paddlebar: {clock.perf_counter() - self._began:.0f} s, {done} of {steps} done: {what}"
            self._stream.write(f"{says if len(says) <= WIDE else says[: WIDE - 3] + '...'}\n")
            self._stream.flush()
            if self._left.wait(EVERY_S):
                return


class Bar(Shown):
    """A bar that is gone when it ends."""

    def _show(self) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, Progress, SpinnerColumn, TextColumn, TimeElapsedColumn, TimeRemainingColumn

        columns: tuple[Any, ...] = (
            SpinnerColumn("line"),
            TextColumn("{task.description}"),
            BarColumn(20),
            TimeElapsedColumn(),
            TextColumn("left"),
            TimeRemainingColumn(),
        )
        with Progress(*columns, console=Console(file=self._stream), transient=True, refresh_per_second=8) as bar:
            task = bar.add_task("", total=1, start=True)
            while True:
                done, steps, what = self._now()
                bar.update(task, completed=done, total=steps, description=what)
                if self._left.wait(0.1):
                    return


def progress() -> Shown:
    """What shows on standard error how far the work is."""
    return (Bar if sys.stderr.isatty() else Lines)(sys.stderr)
