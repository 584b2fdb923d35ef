"""The right-hand side alone: 2 blades of 8 elements, bar, tail rotor, in mid-flight; and others doing the same job."""

from __future__ import annotations

import functools
import json
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numba import njit

from paddlebar.flight import rhs

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))  # for asv; pytest has it
from benchmarks.common import Array, Numbers, arguments, in_flight, least, output

CALLS = 2000
UNCOUNTED = ("compare", "convert")  # they go through ports of their own


@njit(error_model="numpy")
def _inner(count, y, params, tables, gusts, work, out):
    for _ in range(count):
        rhs.rhs_into(0.0, y, params, tables, gusts, work, out)


def inner_of(numbers: Numbers, y: Array) -> Callable[[], None]:
    """CALLS evaluations in a compiled loop, compiled already."""
    given, out = arguments(numbers, y), np.empty_like(y)
    _inner(1, *given, out)
    return lambda: _inner(CALLS, *given, out)


class RightHandSide:
    """In a compiled loop, as the ensemble calls it, and through Python, as scipy does."""

    def setup(self) -> None:
        numbers, y = in_flight()
        self.inner = inner_of(numbers, y)
        self.given = arguments(numbers, y)
        rhs.rhs(0.0, *self.given)

    def time_inner(self) -> None:
        """CALLS evaluations."""
        self.inner()

    def time_through_python(self) -> None:
        """CALLS evaluations."""
        for _ in range(CALLS):
            rhs.rhs(0.0, *self.given)

    def track_inner(self) -> float:
        """Microseconds an evaluation."""
        return 1e6 * least(self.time_inner) / CALLS

    def track_through_python(self) -> float:
        """Microseconds an evaluation."""
        return 1e6 * least(self.time_through_python) / CALLS

    track_inner.unit = track_through_python.unit = "us"


class Others:
    """The same job by others, as multiples of our compiled evaluation."""

    timeout = 300

    def setup(self) -> None:
        ours = RightHandSide()
        ours.setup()
        self.ours = ours.track_inner()

    def track_plain_python(self) -> float:
        """The same source uncompiled (NUMBA_DISABLE_JIT=1)."""
        return float(output("-m", "benchmarks.plain", NUMBA_DISABLE_JIT="1")) / self.ours

    def track_mujoco(self) -> float:
        """MuJoCo's accelerations of the same tree in a vacuum, a quarter of a Runge-Kutta step; ours has all its air as well."""
        import mujoco

        from reference.mujoco_model import Stepped
        from reference.still_craft import numbers_of, without_air

        numbers = without_air(numbers_of())
        p = numbers.params[0]
        p["feather_share"], p["flap_coupling"], p["cord_mode"], p["locked"][8] = 0.0, 0.0, 0, 0  # what Stepped can hold
        other = Stepped(p, 1e-5)
        other.data.qvel[:] = 1.0
        steps = 500

        def run() -> None:
            mujoco.mj_step(other.model, other.data, steps)

        return 1e6 * least(run) / (4 * steps) / self.ours

    track_plain_python.unit = track_mujoco.unit = "times ours"


@functools.cache
def told(module: str, **environment: str) -> dict[str, float]:
    """What a module of the benchmarks prints, asked once."""
    found: dict[str, float] = json.loads(output("-m", f"benchmarks.{module}", **environment))
    return found


class Limit:
    """The evaluation against the least time that its own arithmetic takes on this machine: operations counted, each at the rate measured."""

    timeout = 300

    def setup(self) -> None:
        ours = RightHandSide()
        ours.setup()
        self.ours = ours.track_inner()
        self.count = told("operations")

    def _limit(self, **environment: str) -> float:
        each = told("machine", **environment)
        sums = self.count["add"] + self.count["multiply"]
        rest = {name: n for name, n in self.count.items() if name not in ("add", "multiply", *UNCOUNTED)}
        return 1e-3 * (sums * each["multiply"] + sum(n * each[name] for name, n in rest.items()))

    def track_operations(self) -> float:
        """Additions, products, quotients, roots and other functions."""
        return float(sum(n for name, n in self.count.items() if name not in UNCOUNTED))

    def track_limit(self) -> float:
        """Microseconds, one operation an instruction."""
        return self._limit(NUMBA_SLP_VECTORIZE="0", NUMBA_LOOP_VECTORIZE="0")

    def track_over_limit(self) -> float:
        """Our time over that."""
        return self.ours / self.track_limit()

    def track_over_wide_limit(self) -> float:
        """Our time over that with additions and products as wide as the processor has them."""
        return self.ours / self._limit()

    track_operations.unit = "1"
    track_limit.unit = "us"
    track_over_limit.unit = track_over_wide_limit.unit = "times the limit"
