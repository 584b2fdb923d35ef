"""Prints how many operations of each kind one evaluation of the right-hand side takes: python -m benchmarks.operations.

The source itself is run, with numbers that count what is done to them; constants of the craft are numbers like others, since the
compiled code reads them at each call. As a JSON document: {"add": 1234, "divide": 56, "atan2": 25, ...}.
"""

from __future__ import annotations

import collections
import json
import math
import sys
from types import SimpleNamespace
from typing import Any

import numpy as np

from benchmarks.common import arguments, in_flight
from paddlebar.flight import rhs

COUNT: collections.Counter[str] = collections.Counter()
FUNCTIONS = ("sqrt", "sin", "cos", "atan2", "log", "exp", "tanh")


class Counted:
    """A float that notes each operation."""

    __slots__ = ("value",)

    def __init__(self, value: float) -> None:
        self.value = float(value)

    def __float__(self) -> float:
        return self.value

    def __int__(self) -> int:
        COUNT["convert"] += 1
        return int(self.value)

    def __neg__(self) -> Counted:  # an exclusive-or, or folded into the next subtraction
        return Counted(-self.value)

    def __pos__(self) -> Counted:
        return self

    def __abs__(self) -> Counted:
        return Counted(abs(self.value))

    def __bool__(self) -> bool:
        return bool(self.value)

    __hash__ = None  # type: ignore[assignment]


def _binary(name: str, kind: str, reverse: bool = False) -> None:
    def method(self: Counted, other: Any) -> Counted:
        COUNT[kind] += 1
        a, b = (float(other), self.value) if reverse else (self.value, float(other))
        return Counted(getattr(a, name)(b))

    setattr(Counted, name.replace("__", "__r", 1) if reverse else name, method)


def _comparison(name: str) -> None:
    def method(self: Counted, other: Any) -> bool:
        COUNT["compare"] += 1
        return bool(getattr(self.value, name)(float(other)))

    setattr(Counted, name, method)


for _name, _kind in (("__add__", "add"), ("__sub__", "add"), ("__mul__", "multiply"), ("__truediv__", "divide")):
    _binary(_name, _kind)
    _binary(_name, _kind, reverse=True)
_binary("__pow__", "pow")
for _name in ("__lt__", "__le__", "__gt__", "__ge__", "__eq__", "__ne__"):
    _comparison(_name)


def _function(name: str) -> Any:
    def counting(*values: Any) -> Counted:
        COUNT[name] += 1
        return Counted(getattr(math, name)(*map(float, values)))

    return counting


class CountingMath:
    """Stands for the module `math` in the modules of the equations: a function that nobody listed is an error, not free."""

    pi = math.pi

    def __init__(self) -> None:
        for name in FUNCTIONS:
            setattr(self, name, _function(name))


def counted(value: Any) -> Any:
    """Floats, arrays of floats and records of them as numbers that count; integers steer loops and stay."""
    if isinstance(value, np.void):
        return SimpleNamespace(**{name: counted(value[name]) for name in value.dtype.names or ()})
    if isinstance(value, np.ndarray):
        if value.dtype.kind != "f":
            return value
        out = np.empty(value.shape, dtype=object)
        out.ravel()[:] = [Counted(each) for each in value.ravel()]
        return out
    return Counted(value) if isinstance(value, (float, np.floating)) else int(value)


def count() -> collections.Counter[str]:
    """Operations of one evaluation at the state where the benchmarks measure it; afterwards this process computes nothing else."""
    numbers, y = in_flight()
    y, params, tables, gusts, work = arguments(numbers, y)
    for name, module in list(sys.modules.items()):
        if name.startswith("paddlebar.physics.") or name in ("paddlebar.flight.rhs", "paddlebar.flight.joints"):
            for word, value in vars(module).copy().items():
                if hasattr(value, "py_func"):
                    setattr(module, word, value.py_func)  # the same source uncompiled
            if hasattr(module, "math"):
                module.math = CountingMath()
    given = (counted(y), [counted(params[0])], counted(tables), counted(gusts), counted(work))
    out = counted(np.empty_like(y))
    COUNT.clear()
    rhs.rhs_into(0.0, *given, out)
    return COUNT


if __name__ == "__main__":
    print(json.dumps(dict(count().most_common())))
