"""The right-hand side alone: 2 blades of 8 elements, bar, tail rotor, in mid-flight; and others doing the same job."""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np
from numba import njit

from paddlebar.flight import rhs

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))  # for asv; pytest has it
from benchmarks.common import arguments, in_flight, output

CALLS = 2000


@njit(error_model="numpy")
def _inner(count, y, params, tables, gusts, work, out):
    for _ in range(count):
        rhs.rhs_into(0.0, y, params, tables, gusts, work, out)


def _best(run, calls: int, repeats: int = 7) -> float:
    """Microseconds a call, least of some rounds: what other programs on the machine take is not ours."""
    times = []
    for _ in range(repeats):
        began = time.perf_counter()
        run()
        times.append(time.perf_counter() - began)
    return 1e6 * min(times) / calls


class RightHandSide:
    """In a compiled loop, as the ensemble calls it, and through Python, as scipy does."""

    def setup(self) -> None:
        numbers, y = in_flight()
        self.given = arguments(numbers, y)
        self.out = np.empty_like(y)
        _inner(1, *self.given, self.out)
        rhs.rhs(0.0, *self.given)

    def time_inner(self) -> None:
        """CALLS evaluations."""
        _inner(CALLS, *self.given, self.out)

    def time_through_python(self) -> None:
        """CALLS evaluations."""
        for _ in range(CALLS):
            rhs.rhs(0.0, *self.given)

    def track_inner(self) -> float:
        """Microseconds an evaluation."""
        return _best(self.time_inner, CALLS)

    def track_through_python(self) -> float:
        """Microseconds an evaluation."""
        return _best(self.time_through_python, CALLS)

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

        return _best(run, 4 * steps) / self.ours

    track_plain_python.unit = track_mujoco.unit = "times ours"
