"""The command as a program of its own that leaves a sign as soon as a certain piece of its work begins.

python launcher.py SIGN MODULE:FUNCTION COUNT words...    # SIGN is made when FUNCTION is called for the COUNT-th time

Nothing waits for the sign: the work goes on, so that a signal strikes in the middle of it.
"""

from __future__ import annotations

import functools
import importlib
import signal
import sys
from pathlib import Path
from typing import Any


def watched(place: str, count: int, sign: Path) -> None:
    """Put a function into the place of another that tells of its COUNT-th call and is otherwise the same."""
    module, _, path = place.partition(":")
    holder: Any = importlib.import_module(module)
    *classes, name = path.split(".")
    for each in classes:
        holder = getattr(holder, each)
    inner, calls = getattr(holder, name), [0]

    @functools.wraps(inner)
    def outer(*args: Any, **named: Any) -> Any:
        calls[0] += 1
        if calls[0] == count:
            sign.touch()
        return inner(*args, **named)

    setattr(holder, name, outer)


if __name__ == "__main__":  # workers of a pool read this file too
    sign, place, count, *words = sys.argv[1:]
    # a parent that ignores Ctrl-C (a shell's background job) would hand that down
    signal.signal(signal.SIGINT, signal.default_int_handler)
    from paddlebar.cli.main import main

    watched(place, int(count), Path(sign))
    main(words, prog_name="paddlebar")
