"""What more of something costs: blade elements, seconds of flight, flights, processes; and memory."""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

from benchmarks.common import SCENARIOS, in_flight, least, output
from benchmarks.time_ensemble import draw
from benchmarks.time_rhs import CALLS, inner_of
from paddlebar import fly, fly_many, load_scenario, samples
from paddlebar.record.write import write_run

FIRST, LONG = SCENARIOS / "first-flight.toml", SCENARIOS / "long-flight.toml"

MANY = 80


class Elements:
    """The right-hand side by blade elements."""

    params = (8, 2, 4, 16, 32, 64)
    param_names = ("elements",)

    def track_inner(self, elements: int) -> float:
        """Microseconds an evaluation; the tail keeps its own elements."""
        run = inner_of(*in_flight(overrides={"run.blade_elements": elements}))
        return 1e6 * least(run) / CALLS

    track_inner.unit = "us"


class Length:
    """A flight by its length."""

    params = (5.0, 10.0, 20.0, 40.0)
    param_names = ("seconds",)
    timeout = 300

    def setup(self, seconds: float) -> None:
        self.scenario = load_scenario(LONG, {"run.duration_s": seconds})
        fly(load_scenario(LONG, {"run.duration_s": 0.1}))

    def track_cost(self, seconds: float) -> float:
        """Milliseconds a second flown: the same for any length if nothing grows with the flight."""
        flown = float(fly(self.scenario).time[-1])
        return 1e3 * least(lambda: fly(self.scenario), 3) / flown

    def track_file(self, seconds: float) -> float:
        """Kilobytes of run file a second flown."""
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "run.h5"
            flight = fly(self.scenario)
            write_run(path, [flight])
            return path.stat().st_size / 1e3 / float(flight.time[-1])

    track_cost.unit = "ms/s"
    track_file.unit = "kB/s"


class Number:
    """Many flights by their number, one worker."""

    params = (5, 20, 80)
    param_names = ("flights",)
    timeout = 300

    def setup(self, flights: int) -> None:
        self.todo = [load_scenario(*item) for item in samples(FIRST, flights, draw, seed=11)]
        fly_many(self.todo[:1], workers=1)

    def track_cost(self, flights: int) -> float:
        """Milliseconds of the clock a flight-second."""
        began = time.perf_counter()
        done = fly_many(self.todo, workers=1)
        return 1e3 * (time.perf_counter() - began) / float(done.duration_s.sum())

    track_cost.unit = "ms/s"


class Memory:
    """Most memory that a fresh process takes [MB]."""

    timeout = 300

    def _most(self, work: str) -> float:
        # resource.getrusage would do, but a child's peak begins with that of its parent
        words = f"from benchmarks.memory import most_memory\n{work}\nprint(most_memory())"
        return float(output("-c", words))

    def track_numpy(self) -> float:
        """Python, numpy, scipy's solvers and numba: what stands before anything of ours is there."""
        return self._most("import numpy, numba, scipy.integrate")

    def track_import(self) -> float:
        """All that flying needs."""
        return self._most("from paddlebar import fly, load_scenario\nfrom paddlebar.flight import rhs")

    def track_flight(self) -> float:
        """The long flight by scipy, kept whole."""
        return self._most(f"from paddlebar import fly, load_scenario\nfly(load_scenario({str(LONG)!r}))")

    def track_flights(self) -> float:
        """Eighty flights one after another."""
        return self._most(
            "from paddlebar import fly_many, samples\nfrom benchmarks.time_ensemble import draw\n"
            f"fly_many(samples({str(FIRST)!r}, {MANY}, draw), workers=1)"
        )

    def track_floquet(self) -> float:
        """Steady motions and their modes at one torque; a whole analysis does the same at nine, two at a time."""
        return self._most(
            "from paddlebar import load_scenario\nfrom paddlebar.craft.build import build\n"
            "from paddlebar.stability.equilibrium import equilibrium\nfrom paddlebar.stability.floquet import floquet\n"
            "from paddlebar.stability.return_map import ReturnMap, freeze\n"
            f"found = equilibrium(ReturnMap(freeze(build(load_scenario({str(FIRST)!r})), 170.0)))\nfloquet(found.map, found.x)"
        )

    track_numpy.unit = track_import.unit = track_flight.unit = track_flights.unit = track_floquet.unit = "MB"
