"""Whole flights by scipy's solver, at the tolerance of their scenarios."""

from __future__ import annotations

import time

from benchmarks.common import SCENARIOS
from paddlebar.api import fly, load_scenario


class Flight:
    """First and long flight of the shipped craft."""

    params = ("first-flight", "long-flight")
    param_names = ("scenario",)
    timeout = 300

    def setup(self, name: str) -> None:
        self.scenario = load_scenario(SCENARIOS / f"{name}.toml")
        fly(load_scenario(SCENARIOS / f"{name}.toml", {"run.duration_s": 0.1}))  # code is loaded outside the clock

    def time_fly(self, _: str) -> None:
        """With loads and ledger, without files."""
        fly(self.scenario)

    def track_real_time(self, _: str) -> float:
        """Seconds flown in a second of the clock."""
        best = 0.0
        for _ in range(3):
            began = time.perf_counter()
            flight = fly(self.scenario)
            best = max(best, float(flight.time[-1]) / (time.perf_counter() - began))
        return best

    def track_evaluations(self, _: str) -> float:
        """Evaluations of the right-hand side in a second of flight."""
        flight = fly(self.scenario)
        return float(flight.solver["evaluations"] / flight.time[-1])

    track_real_time.unit = "times real time"
    track_evaluations.unit = "1/s"
