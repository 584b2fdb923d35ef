"""How the equations are compiled: the decorators of the whole program."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from numba import njit
from numba.core.registry import CPUDispatcher

from paddlebar.physics.compiling import counted
from paddlebar.physics.linked import options

# error_model       : a division by nought is inf, as numpy has it, and no branch for an exception
# no_cfunc_wrapper  : nobody calls them by an address in C, and that door takes an eighth of the time to compile
# cache             : kept on the disk from run to run, see physics/__init__.py
_BARE = {"error_model": "numpy", "no_cfunc_wrapper": True}
_WHOLE = {**_BARE, "cache": True}

fresh = njit(error_model="numpy")  # not kept on the disk: functions that a user gives, and what is made about them
_outermost = njit(**_WHOLE)
_unlocked = njit(**_WHOLE, nogil=True)
_linked = njit(**_BARE, no_cpython_wrapper=True, **options())
_put_in = njit(**_WHOLE, no_cpython_wrapper=True, inline="always")


class _Inner(CPUDispatcher):  # type: ignore[misc]
    """A compiled function without a door for Python, which would take the process down: Python that calls it runs its source."""

    def __call__(self, *given: Any, **named: Any) -> Any:
        return self.py_func(*given, **named)


class _Jitted(CPUDispatcher):  # type: ignore[misc]
    """The same, but the first call from Python compiles it once more, whole and with a door."""

    door: CPUDispatcher

    def __call__(self, *given: Any, **named: Any) -> Any:
        return self.door(*given, **named)


def outermost(function: Callable[..., Any]) -> Any:
    """For a loop that Python enters again and again: compiled with all that it calls, at the first call."""
    return counted(_outermost(function))


def unlocked(function: Callable[..., Any]) -> Any:
    """As outermost; other threads run meanwhile."""
    return counted(_unlocked(function))


def part(function: Callable[..., Any]) -> Any:
    """As inner, for a part of one other function: its code is put there before anything is compiled, so that it costs no call."""
    return _as(_Inner, _put_in(function))


def inner(function: Callable[..., Any]) -> Any:
    """For what other compiled functions call; a call from Python, which should be rare, runs the source."""
    return counted(_as(_Inner, _linked(function)))


def jitted(function: Callable[..., Any]) -> Any:
    """As inner, for what Python calls too and too often for its source."""
    made = _as(_Jitted, _linked(function))
    if isinstance(made, _Jitted):
        # now, while numba keeps what it compiles where physics/__init__.py says; counted below
        made.door = _outermost(function)
    return counted(made)


def source_of(function: Callable[..., Any]) -> Any:
    """The Python source of any of these: it takes whole arrays, and a few calls of it are sooner done than a door is compiled.

    Records must be numpy's recarrays, whose fields plain Python reads by name too.
    """
    return getattr(function, "py_func", function)


def _as(kind: type[CPUDispatcher], made: Any) -> Any:
    if isinstance(made, CPUDispatcher):  # plain Python where numba is switched off
        made.__class__ = kind
    return made
