"""Studies of half a minute that several tests ask for in the same words: worked out once in a process, then told again.

For tests that look at what a command or a page makes of an answer. What is asked otherwise by a single digit is worked out anew, and so is
what was refused. Tests of the studies themselves do without.
"""

from __future__ import annotations

import copy
import functools
import importlib
from typing import Any

import pytest

KEPT: dict[str, Any] = {}


def once(monkeypatch: pytest.MonkeyPatch, place: str) -> None:
    """The function at MODULE:NAME remembers its answers; a copy is handed out, so that no test spoils another's. Progress is no part of a question."""
    module, _, name = place.partition(":")
    holder: Any = importlib.import_module(module)
    works_out = getattr(holder, name)

    @functools.wraps(works_out)
    def answer(*asked: Any, progress: Any = None, **named: Any) -> Any:
        question = f"{works_out.__module__}.{works_out.__qualname__} {asked!r} {sorted(named.items())!r}"
        if question not in KEPT:
            told = {} if progress is None else {"progress": progress}
            KEPT[question] = works_out(*asked, **named, **told)
        return copy.deepcopy(KEPT[question])

    monkeypatch.setattr(holder, name, answer)
