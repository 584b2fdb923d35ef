"""What can go wrong, each from the built-in exception that it is a kind of."""

from __future__ import annotations


class PaddlebarError(Exception):
    """Base of all errors that the program raises on purpose."""


class BadInput(PaddlebarError, ValueError):
    """A file or an option holds something impossible; ``str()`` is one line that names file, key, value and rule."""


class NotARunFile(PaddlebarError, ValueError):
    """A file is no run file of this program, is of another format, or was never completed."""
