"""How the equations are compiled: the decorators of the whole program."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from numba import njit
from numba.core.registry import CPUDispatcher

# cache             : kept on the disk from run to run, see physics/__init__.py
# error_model       : a division by nought is inf, as numpy has it, and no branch for an exception
# no_cfunc_wrapper  : nobody calls them by an address in C, and that door takes an eighth of the time to compile
_HOW = {"cache": True, "error_model": "numpy", "no_cfunc_wrapper": True}

jitted = njit(**_HOW)
unlocked = njit(**_HOW, nogil=True)  # other threads run meanwhile
_without_door = njit(**_HOW, no_cpython_wrapper=True)
fresh = njit(error_model="numpy")  # not kept on the disk: functions that a user gives, and what is made about them
_put_in = njit(**_HOW, no_cpython_wrapper=True, inline="always")


class _Inner(CPUDispatcher):  # type: ignore[misc]
    """A compiled function without a door for Python, which would take the process down: Python that calls it runs its source."""

    def __call__(self, *given: Any, **named: Any) -> Any:
        return self.py_func(*given, **named)


def part(function: Callable[..., Any]) -> Any:
    """As inner, for a part of one other function: its code is put there before anything is compiled, so that it costs no call."""
    return _inner(_put_in(function))


def inner(function: Callable[..., Any]) -> Any:
    """As jitted, for what only other compiled functions call: without an entrance for Python it compiles sooner."""
    return _inner(_without_door(function))


def _inner(made: Any) -> Any:
    if isinstance(made, CPUDispatcher):  # plain Python where numba is switched off
        made.__class__ = _Inner
    return made
