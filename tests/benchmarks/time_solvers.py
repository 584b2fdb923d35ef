"""scipy's solvers among themselves, at equal error: what each asks for a flight that is right to a tenth of a millimetre.

Each solver flies the same five seconds at falling tolerance; its error is the largest distance from a flight by DOP853 at 1e-12; cost at
the wanted error comes from a straight line between the two flights next to it, in logarithms. Steps are as long as a solver likes.
"""

from __future__ import annotations

import math
import time

from benchmarks.common import SCENARIOS
from paddlebar.api import fly, load_scenario
from paddlebar.flight.error import apart
from paddlebar.flight.result import FlightData

WANTED = 1e-4  # [m] largest error of the place in SECONDS of flight
SECONDS = 5.0
TOLERANCES = (1e-3, 1e-4, 1e-5, 1e-6, 1e-7, 1e-8)


def _fly(method: str, rtol: float) -> FlightData:
    changes = {"run.method": method, "run.rtol": rtol, "run.duration_s": SECONDS, "run.max_step_s": 1.0}
    return fly(load_scenario(SCENARIOS / "long-flight.toml", changes))


class Solvers:
    """Of scipy.integrate, by their names there."""

    params = ("DOP853", "RK45", "RK23", "LSODA", "Radau", "BDF")
    param_names = ("method",)
    timeout = 600

    def setup(self, method: str) -> None:
        self.truth = _fly("DOP853", 1e-12)
        self.found: dict[str, float] | None = None

    def _at_equal_error(self, method: str) -> dict[str, float]:
        if self.found is None:
            before: tuple[float, dict[str, float]] | None = None
            for rtol in TOLERANCES:
                began = time.perf_counter()
                flight = _fly(method, rtol)
                cost = {"seconds": time.perf_counter() - began, "evaluations": float(flight.solver["evaluations"])}
                error = apart(flight, self.truth)[0]
                if error <= WANTED:
                    break
                before = error, cost
            else:
                raise ValueError(f"{method} does not come to {WANTED} m: {error} m at {rtol}")
            share = 1.0 if before is None else math.log(before[0] / WANTED) / math.log(before[0] / error)
            last = cost if before is None else before[1]
            self.found = {name: last[name] ** (1.0 - share) * cost[name] ** share for name in cost}
        return self.found

    def track_seconds(self, method: str) -> float:
        """Of the clock."""
        return self._at_equal_error(method)["seconds"]

    def track_evaluations(self, method: str) -> float:
        """Of the right-hand side, those for Jacobians among them."""
        return self._at_equal_error(method)["evaluations"]

    track_seconds.unit = "s"
    track_evaluations.unit = "1"
