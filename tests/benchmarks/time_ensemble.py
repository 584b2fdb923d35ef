"""Many flights in compiled steps: launches of the shipped craft that differ in tilt, heading and turns."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from benchmarks.common import SCENARIOS
from paddlebar import fly_many, load_scenario, samples

FLIGHTS = 80  # some 2,000 flight-seconds


def draw(rng: np.random.Generator) -> dict[str, float]:
    """What differs."""
    return {
        "launch.tilt_deg": float(rng.uniform(0.5, 6.0)),
        "launch.heading_deg": float(rng.uniform(0.0, 360.0)),
        "skein.turns": float(rng.uniform(280.0, 420.0)),
    }


class Ensemble:
    """Flight-seconds in a second of the clock; the flights are read and checked before."""

    timeout = 300

    def setup(self) -> None:
        self.todo = [load_scenario(*item) for item in samples(SCENARIOS / "first-flight.toml", FLIGHTS, draw, seed=11)]
        fly_many(self.todo[:1], workers=1)

    def _rate(self, **how: object) -> float:
        began = time.perf_counter()
        flights = fly_many(self.todo, **how)
        return float(np.nansum(flights.duration_s)) / (time.perf_counter() - began)

    def track_one_worker(self) -> float:
        """In this process."""
        return self._rate(workers=1)

    def track_two_threads(self) -> float:
        """The steps let other threads run."""
        with ThreadPoolExecutor(2) as pool:
            return self._rate(executor=pool, workers=2)

    def track_two_processes(self) -> float:
        """With the start of the workers, about a second, which longer runs do not notice."""
        return self._rate(workers=2)

    def track_of_processor_time(self) -> float:
        """Flight-seconds in a second of one processor's time: what others on the machine take does not count."""
        began = time.process_time()
        flights = fly_many(self.todo, workers=1)
        return float(np.nansum(flights.duration_s)) / (time.process_time() - began)

    def track_evaluations(self) -> float:
        """Evaluations of the right-hand side in a second of flight."""
        flights = fly_many(self.todo, workers=1)
        return float(flights.evaluations.sum() / flights.duration_s.sum())

    track_one_worker.unit = track_two_threads.unit = track_two_processes.unit = track_of_processor_time.unit = (
        "flight-s/s"
    )
    track_evaluations.unit = "1/s"
