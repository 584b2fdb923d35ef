"""Prints the nanoseconds that this machine needs for one operation of each kind when many that do not wait for each other stand ready.

    NUMBA_SLP_VECTORIZE=0 NUMBA_LOOP_VECTORIZE=0 python -m benchmarks.machine      one operation an instruction
    python -m benchmarks.machine                                                   additions and products as wide as the processor has them

As a JSON document: {"multiply": 0.1, "divide": 1.0, "atan2": 9.0, ...}. "multiply" is a mixture of as many additions as products.
"""

# ruff: noqa: PLW0108 (numba compiles functions of Python, not those of math themselves)
from __future__ import annotations

import json
import math
import time
from typing import Any

import numpy as np
from numba import njit


@njit
def _polynomial(rounds, v, q):
    for _ in range(rounds):
        for i in range(v.size):
            x = v[i]
            s = q[0]
            s = s * x + q[1]
            s = s * x + q[2]
            s = s * x + q[3]
            s = s * x + q[4]
            s = s * x + q[5]
            s = s * x + q[6]
            s = s * x + q[7]
            s = s * x + q[8]
            v[i] = s


@njit
def _mixture(rounds, x, y):
    a = b = c = d = e = f = 0.0
    g = h = k = m = n = o = 1.0
    for _ in range(rounds):
        a += y
        b += y
        c += y
        d += y
        e += y
        f += y
        g *= x
        h *= x
        k *= x
        m *= x
        n *= x
        o *= x
    return a + b + c + d + e + f + g + h + k + m + n + o


def _loop(of: Any) -> Any:
    function = njit(of)

    @njit
    def run(rounds, v):
        total = 0.0
        for _ in range(rounds):
            for x in v:
                total += function(x)
        return total

    return run


# angles of attack, flows and Reynolds numbers of a flight lie where these functions take no rare branch
FUNCTIONS = {
    "divide": lambda x: 1.0 / x,
    "sqrt": lambda x: math.sqrt(x),
    "atan2": lambda x: math.atan2(-0.1 * x, x),
    "log": lambda x: math.log(x),
    "sin": lambda x: math.sin(x),
    "cos": lambda x: math.cos(x),
    "exp": lambda x: math.exp(x),
    "tanh": lambda x: math.tanh(x),
}


def _least(run: Any, operations: int, *given: Any) -> float:
    run(1, *given)
    times = []
    for _ in range(15):
        began = time.perf_counter()
        run(1000, *given)
        times.append(time.perf_counter() - began)
    return 1e9 * min(times) / (1000 * operations)


def measure() -> dict[str, float]:
    """Nanoseconds an operation."""
    v = np.linspace(0.5, 6.0, 64)
    found = {name: _least(_loop(function), v.size, v) for name, function in FUNCTIONS.items()}
    chain = _least(_polynomial, 16 * 256, np.linspace(0.1, 0.2, 256), np.linspace(0.01, 0.02, 9))
    found["multiply"] = min(chain, _least(_mixture, 12, 1.0000001, 1e-9))
    return found


if __name__ == "__main__":
    print(json.dumps(measure()))
