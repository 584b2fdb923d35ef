"""Margins and maps: the transition matrix of one steady motion, a whole analysis, a place on a map."""

from __future__ import annotations

import time

from benchmarks.common import SCENARIOS, least
from benchmarks.time_rhs import RightHandSide
from paddlebar import load_scenario, margins, stability_map
from paddlebar.craft.build import build
from paddlebar.stability.equilibrium import equilibrium
from paddlebar.stability.floquet import STATIONS, floquet
from paddlebar.stability.return_map import ReturnMap, freeze

SIDE = 4


class Study:
    """The shipped craft with half of its turns left."""

    timeout = 600

    def setup(self) -> None:
        self.scenario = load_scenario(SCENARIOS / "first-flight.toml")
        numbers = build(self.scenario)
        self.map = ReturnMap(freeze(numbers, 0.5 * float(numbers.params[0]["skein"]["turns"])))
        found = equilibrium(self.map)
        assert found is not None
        self.x = found.x
        floquet(self.map, self.x)

    def time_floquet(self) -> None:
        """Exponents and shapes at one steady motion."""
        floquet(self.map, self.x)

    def track_floquet(self) -> float:
        """Milliseconds for exponents and shapes."""
        return 1e3 * least(self.time_floquet)

    def track_floquet_over_equations(self) -> float:
        """The same over the time that its evaluations of the right-hand side take alone."""
        ours = RightHandSide()
        ours.setup()
        # a central difference a coordinate, the undisturbed motion besides; Runge-Kutta's fourth order evaluates four times a step
        revolutions = 2 * self.map.size + 1
        evaluations = revolutions * 4 * (self.map.steps // STATIONS) * STATIONS
        return 1e6 * least(self.time_floquet) / (evaluations * ours.track_inner())

    def track_margins(self) -> float:
        """Seconds for the whole analysis: steady motions along the run-down, verdict, margins of gain, lead and mass."""
        began = time.perf_counter()
        margins(self.scenario)
        return time.perf_counter() - began

    def track_map(self) -> float:
        """Milliseconds a place of a small map, one worker; larger ones have their steady motions nearer to each other."""
        x, y = ("craft.bar.tip_mass_g", 0.3, 0.9, SIDE), ("craft.bar.lead_deg", 20.0, 60.0, SIDE)
        began = time.perf_counter()
        stability_map(self.scenario, x, y, workers=1)
        return 1e3 * (time.perf_counter() - began) / SIDE**2

    track_floquet.unit = track_map.unit = "ms"
    track_floquet_over_equations.unit = "times the equations"
    track_margins.unit = "s"
