"""A whole flight in compiled steps, every one kept, for pages that fly many: given up when nobody waits for it any more."""

from __future__ import annotations

import time as clock
from collections.abc import Callable
from dataclasses import replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers, build
from paddlebar.ensemble.stepper import CompiledStepper
from paddlebar.errors import BadInput
from paddlebar.files.scenario import Run, Scenario
from paddlebar.flight.fly import flight_of
from paddlebar.flight.integrate import fly_track
from paddlebar.flight.result import Flight

Array = NDArray[np.float64]

SHORT_S: Final = 6.0  # flown while a slider is dragged; own choice
PATIENCE_S: Final = 15.0  # for one flight

Wanted = Callable[[], bool]


class Dropped(Exception):
    """Nobody waits for this any more: something newer was asked for."""


class _Patient(CompiledStepper):
    """Looks every 2048 steps whether it is still wanted."""

    def __init__(self, numbers: Numbers, run: Run, wanted: Wanted) -> None:
        super().__init__(numbers, run, 1)
        self._wanted, self._until = wanted, clock.monotonic() + PATIENCE_S

    def _advance(self, *args: Any) -> int:
        if not self._wanted():
            raise Dropped
        if clock.monotonic() > self._until:
            raise BadInput(f"this flight takes longer than {PATIENCE_S:g} s to compute; `paddlebar fly` flies it")
        return super()._advance(*args)


def flown(scenario: Scenario, wanted: Wanted = lambda: True, most_s: float = np.inf) -> Flight:
    """Fly a scenario in compiled steps, every step kept.

    wanted : asked now and then;  most_s : flown no longer than that [s]
    Raises : BadInput for what cannot be launched or takes too long, Dropped
    Checked: tests/bench_page/test_bench_flown.py, against `fly`
    """
    if scenario.run.duration_s > most_s:
        scenario = scenario.model_copy(update={"run": scenario.run.model_copy(update={"duration_s": most_s})})
    start = clock.perf_counter()
    numbers = build(scenario)
    stepper: list[_Patient] = []

    def new(own: Numbers, run: Run) -> _Patient:
        stepper.append(_Patient(own, run, wanted))
        return stepper[0]

    track = fly_track(scenario, numbers, new)
    time, states, loads = stepper[0].whole(track)
    # energy gone in sudden changes is known where the driver stopped; it stays until the next such moment
    before = np.maximum(np.searchsorted(track.time, time, side="right") - 1, 0)
    whole = replace(track, time=time, states=states, loads=loads, sudden=track.sudden[before])
    return flight_of(whole, scenario, track.numbers, start)
