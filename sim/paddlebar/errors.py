"""What can go wrong, each from the built-in exception that it is a kind of."""

from __future__ import annotations


class PaddlebarError(Exception):
    """Base of all errors that the program raises on purpose."""


class BadInput(PaddlebarError, ValueError):
    """A file or an option holds something impossible; ``str()`` is one line that names file, key, value and rule, and that a terminal can show."""

    def __init__(self, message: str) -> None:
        super().__init__(printable(" ".join(message.splitlines())))


class NoSuchKey(BadInput):
    """A key that no description has: wrong whatever stands in the files, so a draw that names it is refused before anything is flown."""


class NotARunFile(PaddlebarError, ValueError):
    """A file is no run file of this program, is of another format, or was never completed."""


class CannotTrim(PaddlebarError, RuntimeError):
    """No steady motion was found; ``residual`` says by how much the best one missed after a revolution, in scales of the coordinates."""

    def __init__(self, message: str, residual: float) -> None:
        super().__init__(message)
        self.residual = residual


class WorkerLost(PaddlebarError, RuntimeError):
    """A process that worked on a study ended, again and again, at one and the same evaluation."""


def printable(text: str) -> str:
    """Words of a file or a name for a message: what a terminal would obey is written out."""
    return "".join(sign if sign.isprintable() else ascii(sign)[1:-1] for sign in text)
