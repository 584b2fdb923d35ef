"""Locks on open files and folders.

The lock is the system's own (flock): it goes with the process, however that ends, so there is no stale lock to recognise, and it needs
no file of its own beside the user's, which a lock file, and the libraries that keep one, would leave there.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


def held(fileno: int, *, wait: bool = False) -> bool:
    """Lock an open file or folder for whoever opened it, until it is closed; False: somebody else has it.

    Where there are no such locks (another system, some network drives) nothing guards against two at once: True.
    """
    try:
        import fcntl  # noqa: PLC0415
    except ImportError:
        return True
    try:
        fcntl.flock(fileno, fcntl.LOCK_EX if wait else fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return True
    return True


def opened(folder: Path) -> int | None:
    """A folder to be locked; None where folders cannot be opened."""
    try:
        return os.open(folder, os.O_RDONLY)
    except OSError:
        return None


@contextmanager
def alone_in(folder: Path) -> Iterator[None]:
    """One process at a time; another one that asks for the same folder waits. For steps of some milliseconds."""
    fileno = opened(folder)
    try:
        if fileno is not None:
            held(fileno, wait=True)
        yield
    finally:
        if fileno is not None:
            os.close(fileno)
