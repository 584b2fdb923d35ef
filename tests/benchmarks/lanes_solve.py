"""A trial: bodies.solve for several states at a time in wide registers, against one by one: python -m benchmarks.lanes_solve 20

The states are innermost. Prints as lanes.py does; what differs from state to state is the numbers, not which unknowns are free.
"""

from __future__ import annotations

import math
import sys
from typing import Any

import numpy as np
from numba import config, njit

from benchmarks.common import arguments, in_flight
from benchmarks.lanes import alternate, repeated
from benchmarks.lanes_math import WIDE
from paddlebar.flight import rhs
from paddlebar.physics import bodies


def solver(lanes: int) -> Any:
    """bodies.solve for so many states, on arrays (..., lanes); `value` is scratch."""

    @njit(**WIDE)
    def run(free, mass, bias, factor, pivot, right, solution, value):  # noqa: PLR0912 (of the loops over lanes)
        count = free.size
        for a in range(count):
            i = free[a]
            for b in range(a + 1):
                for s in range(lanes):
                    value[s] = mass[i, free[b], s]
                for c in range(b):
                    for s in range(lanes):
                        value[s] -= factor[a, c, s] * factor[b, c, s]
                for s in range(lanes):
                    if a == b:
                        factor[a, a, s] = math.sqrt(value[s])
                        pivot[a, s] = 1.0 / factor[a, a, s]
                    else:
                        factor[a, b, s] = value[s] * pivot[b, s]
            for s in range(lanes):
                value[s] = -bias[i, s]
            for c in range(a):
                for s in range(lanes):
                    value[s] -= factor[a, c, s] * right[c, s]
            for s in range(lanes):
                right[a, s] = value[s] * pivot[a, s]
        for a in range(count - 1, -1, -1):
            for c in range(a + 1, count):
                for s in range(lanes):
                    right[a, s] -= factor[c, a, s] * right[c, s]
            for s in range(lanes):
                right[a, s] *= pivot[a, s]
                solution[free[a], s] = right[a, s]

    return run


@njit(error_model="numpy")
def solve_one(n, held, work):
    bodies.solve(work, n, 0, held)


def main(seconds: float) -> None:
    numbers, y = in_flight()
    held, work = np.ascontiguousarray(numbers.params[0]["locked"]), rhs.work_array()
    n = int(bodies.FLAP) + int(numbers.params[0]["flaps"])
    rhs.rhs_into(0.0, *arguments(numbers, y)[:-1], work, np.empty_like(y))
    print("wide instructions")
    runs = {"one by one": (repeated(solve_one, (n, held, work), 256), 256)}
    free = np.flatnonzero(held[:n] == 0).astype(np.uint64)
    for lanes in (1, 4, 8):
        spread = [np.repeat(each[..., None], lanes, -1) for each in (work[:n, :n], work[bodies.BIAS, :n])]
        rest = (np.zeros((n, n, lanes)), *np.zeros((3, n, lanes)), np.zeros(lanes))
        runs[f"{lanes} states"] = repeated(solver(lanes), (free, *spread, *rest), 256), 256 * lanes
        print("difference", np.abs(rest[3] - work[bodies.SOLUTION, :n, None]).max())
    alternate(runs, seconds)


if __name__ == "__main__":
    config.SLP_VECTORIZE = 1  # a loop of four is unrolled first
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 10.0)
