"""Progress on standard error for anything over two seconds: start, step, close; and a twin that says nothing."""

from __future__ import annotations

import sys
import threading
from typing import Any, Protocol, Self

PATIENCE_S = 2.0


class Progress(Protocol):
    """What a verb tells while it works; also a context manager that closes."""

    def start(self, steps: int) -> None:
        """Begin; ``steps`` are expected."""

    def step(self, what: str) -> None:
        """The next step begins, and is called so."""

    def close(self) -> None:
        """All is done, or nothing more will come."""

    def __enter__(self) -> Self: ...

    def __exit__(self, *_: object) -> None: ...


class Silent:
    """The twin."""

    def start(self, steps: int) -> None:
        """Nothing."""

    def step(self, what: str) -> None:
        """Nothing."""

    def close(self) -> None:
        """Nothing."""

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


class Shown(Silent):
    """A bar on standard error. It appears once the work has lasted PATIENCE_S and is gone when it ends."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._timer: threading.Timer | None = None
        self._bar: Any = None
        self._task: Any = None
        self._steps, self._done, self._what = 1, -1, ""

    def start(self, steps: int) -> None:
        """Begin the wait for the bar."""
        self._steps = steps
        self._timer = threading.Timer(PATIENCE_S, self._show)
        self._timer.daemon = True
        self._timer.start()

    def step(self, what: str) -> None:
        """Name the step, now or when the bar appears."""
        with self._lock:
            self._done, self._what = self._done + 1, what
            if self._bar is not None:
                self._bar.update(self._task, completed=self._done, description=what)

    def close(self) -> None:
        """Take the bar away."""
        if self._timer is not None:
            self._timer.cancel()
        with self._lock:
            bar, self._bar, self._timer = self._bar, None, None
        if bar is not None:
            bar.stop()

    def _show(self) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, SpinnerColumn, TextColumn, TimeElapsedColumn, TimeRemainingColumn
        from rich.progress import Progress as Bar

        columns = (
            SpinnerColumn("line"),
            TextColumn("{task.description}"),
            BarColumn(20),
            TimeElapsedColumn(),
            TextColumn("left"),
            TimeRemainingColumn(),
        )
        bar = Bar(*columns, console=Console(stderr=True), transient=True, refresh_per_second=8)
        with self._lock:
            if self._timer is None:  # closed meanwhile
                return
            self._task = bar.add_task(self._what, total=self._steps, completed=max(self._done, 0))
            bar.start()
            self._bar = bar


def progress(*, quiet: bool) -> Progress:
    """A bar, or its silent twin when ``quiet`` or when nobody watches standard error."""
    return Silent() if quiet or not sys.stderr.isatty() else Shown()


def flying() -> str:
    """What the flight's step is called: the very first one on a machine is compiled before."""
    from importlib import import_module
    from pathlib import Path

    # paddlebar.flight.rhs.rhs_into is the compiled function that everything else waits for
    stats = getattr(import_module("paddlebar.flight.rhs").rhs_into, "stats", None)
    cached = stats is None or any(Path(stats.cache_path).glob("rhs.rhs_into-*.nbi"))
    return "flying" if cached else "compiling, once on this machine (about 15 s), then flying"
