"""What the craft itself does along the run-down: one flight from the scenario's own launch, to lay beside the steady motions.

A steady motion tells what small disturbances do; a craft need not come to one. Where the one that it would be on is unstable it may sway
about it without falling, and where there are several its launch decides which it comes to.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import build
from paddlebar.ensemble.stepper import CompiledStepper
from paddlebar.files.scenario import Scenario
from paddlebar.flight import derive, rhs
from paddlebar.flight.aloft import LONGEST_S, undisturbed
from paddlebar.flight.integrate import fly_track
from paddlebar.flight.judgement import Judgement
from paddlebar.flight.motion import judged

Array = NDArray[np.float64]

_EVERY = 3  # steps between the samples: some four a revolution
_FEWEST = 20  # samples of a stretch that a mean is taken of
_SETTLE_S = 1.0  # after the release, left out


@dataclass(frozen=True, eq=False)
class OwnFlight:
    """A flight high up in still air, after the release, n samples.

    time (n) [s];  turns_left (n) [turn];  heading (n) [rad], unwound, to the right positive;  tilt (n) [rad];  states (n, state_size)
    outcome, controlled_s : as a flight's;  lost_at_turns : turns left when it was out of control, nan where it never was
    """

    time: Array
    turns_left: Array
    heading: Array
    tilt: Array
    states: Array
    outcome: str
    controlled_s: float
    lost_at_turns: float

    def around(self, turns: float, either_side: float) -> tuple[float, float]:
        """Mean spin [deg/s] and largest lean [deg] while so many turns, give or take, were left; nan where the flight did not come."""
        span = np.flatnonzero(np.abs(self.turns_left - turns) <= either_side)
        if span.size < _FEWEST or self.turns_left[-1] > turns:
            return math.nan, math.nan
        first, last = span[0], span[-1]
        spin = (self.heading[last] - self.heading[first]) / (self.time[last] - self.time[first])
        return math.degrees(spin), math.degrees(self.tilt[span].max())

    def at(self, turns: float) -> Array | None:
        """State (state_size,) at the moment when so many turns were left; None where the flight did not come."""
        there = np.flatnonzero(self.turns_left <= turns)
        return self.states[there[0]].copy() if there.size else None


def own_flight(scenario: Scenario) -> OwnFlight:
    """Fly a scenario's craft from its own launch, high up in still air, until it lands, tips over or ten minutes are past.

    Raises : BadInput where only launching shows that the input is impossible
    """
    high = undisturbed(scenario, LONGEST_S)
    numbers = build(high)
    stepper = CompiledStepper(numbers, high.run, 1)
    track = fly_track(high, numbers, lambda _numbers, _run: stepper)
    samples, loads = stepper.samples, stepper.loads
    how = judged(high, numbers, *stepper.whole(track), track.events, track.ending, track.tipped)
    samples, loads = samples[_EVERY - 1 :: _EVERY], loads[_EVERY - 1 :: _EVERY]
    released = samples[:, 0] >= (high.launch.hold_s if high.launch.release == "held" else 0.0) + _SETTLE_S
    time, states, loads = samples[released, 0], np.ascontiguousarray(samples[released, 1:]), loads[released]
    return OwnFlight(
        time=time,
        turns_left=loads[:, rhs.TURNS_LEFT],
        heading=np.unwrap(loads[:, derive.HEADING]),
        tilt=loads[:, derive.TILT],
        states=states,
        outcome=how.outcome.value,
        controlled_s=how.controlled_s,
        lost_at_turns=_lost_at(how, time, loads[:, rhs.TURNS_LEFT]),
    )


def soonest_lost(flights: Sequence[OwnFlight]) -> OwnFlight:
    """Of the flights of one craft that which is out of control with the most turns left; the first where none is."""
    return max(flights, key=lambda each: each.lost_at_turns if math.isfinite(each.lost_at_turns) else -1.0)


def _lost_at(how: Judgement, time: Array, turns: Array) -> float:
    """Turns left when control was lost; nan where it was kept to the end."""
    lost = [each.from_s for each in how.faults if each.loses_control]
    return float(np.interp(min(lost), time, turns)) if lost and time.size else math.nan


def unlinked(scenario: Scenario) -> Scenario:
    """The same flight of the same craft with its linkage taken off, the bar free to tilt."""
    bar = scenario.craft.bar.model_copy(update={"gain": 0.0})
    return scenario.model_copy(update={"craft": scenario.craft.model_copy(update={"bar": bar})})
