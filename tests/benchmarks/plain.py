"""Prints the microseconds that one evaluation takes in plain Python: NUMBA_DISABLE_JIT=1 python -m benchmarks.plain."""

from __future__ import annotations

import time

import numpy as np

from benchmarks.common import SCENARIOS, arguments, load_scenario
from paddlebar.craft.build import build
from paddlebar.flight import launch, rhs


def main() -> None:
    """At the launch with the rotor turning: every part of the equations is passed through, as in mid-flight."""
    scenario = load_scenario(SCENARIOS / "first-flight.toml", {"launch.rotor_rpm": 500.0})
    numbers = build(scenario)
    numbers.params = numbers.params.view(np.recarray)  # plain Python reads its fields by name
    y = launch.state(scenario, numbers)
    numbers.params[0]["base_locked"] = 0
    given, out = arguments(numbers, y), np.empty_like(y)
    times = []
    for _ in range(20):
        began = time.perf_counter()
        rhs.rhs_into(0.0, *given, out)
        times.append(time.perf_counter() - began)
    print(1e6 * min(times))


if __name__ == "__main__":
    main()
