"""How far long work is: one object, told the same way everywhere, and its twin that does nothing."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Final, ParamSpec, Protocol, TypeVar, cast

Words = ParamSpec("Words")
Answer = TypeVar("Answer")


class Progress(Protocol):
    """What long work tells: ``start(steps)``, ``step(what)``, ``close()``. Any object with these three will do.

    The work may call it from one thread only, the one that asked for the work. An exception raised in ``step`` breaks the work off.
    """

    def start(self, steps: int) -> None:
        """So many more steps are expected; parts of a work each tell their own."""

    def step(self, what: str) -> None:
        """A step begins or is done: ``what`` goes on now, or came of it."""

    def close(self) -> None:
        """All is done, or nothing more will come: told once, at the end, after an error too."""


class Silent:
    """The twin."""

    def start(self, steps: int) -> None:
        """Nothing."""

    def step(self, what: str) -> None:
        """Nothing."""

    def close(self) -> None:
        """Nothing."""

    def __repr__(self) -> str:
        return "SILENT"


SILENT: Final[Progress] = Silent()


def closes_progress(work: Callable[Words, Answer]) -> Callable[Words, Answer]:
    """Decorates work that takes the keyword ``progress``: it is told close() at the end, however the work ends."""

    @wraps(work)
    def done(*given: Words.args, **named: Words.kwargs) -> Answer:
        try:
            return work(*given, **named)
        finally:
            cast(Progress, named.get("progress", SILENT)).close()

    return done
