"""Work that ends its process, in a module that other processes can import."""

from __future__ import annotations

import os
import signal
from pathlib import Path


def die() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def squares(items, *, once: str = "", always: int = -1):
    """Dies at piece 5 the first time, and at `always` each time."""
    found = []
    for k in items:
        if k == 5 and once and not Path(once).exists():
            Path(once).touch()
            die()
        if k == always:
            die()
        found.append(k * k)
    return found
