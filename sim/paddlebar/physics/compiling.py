"""How far compilation is, for whoever waits for it: numba tells of each function that it begins and ends."""

from __future__ import annotations

from typing import Any

from numba.core import event
from numba.core.registry import CPUDispatcher


class _Watch(event.Listener):  # type: ignore[misc]
    """known : functions there are to compile, most of which a flight needs;  done : those compiled in this process;  deep : under way, one in another"""

    def __init__(self) -> None:
        self.known = 0
        self.done: set[str] = set()
        self.deep = 0

    def on_start(self, event: Any) -> None:
        self.deep += 1

    def on_end(self, event: Any) -> None:
        self.deep -= 1
        function = event.data["dispatcher"].py_func
        if function.__module__.startswith("paddlebar."):
            self.done.add(f"{function.__module__}.{function.__qualname__}")


_WATCH = _Watch()
event.register("numba:compile", _WATCH)


def counted(made: Any) -> Any:
    """A function that may have to be compiled, as it is."""
    _WATCH.known += isinstance(made, CPUDispatcher)
    return made


def under_way() -> tuple[int, int] | None:
    """Functions compiled and how many there are, those that nobody will need among them; None while nothing is being compiled."""
    return (len(_WATCH.done), max(_WATCH.known, len(_WATCH.done))) if _WATCH.deep else None
