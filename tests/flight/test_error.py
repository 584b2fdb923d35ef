"""The error that a flight is said to have is the error that it has."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from paddlebar import error_estimate, fly, load_scenario
from paddlebar.flight.error import apart

FIRST = Path(__file__).parents[2] / "scenarios" / "first-flight.toml"
SHORT = {"run.duration_s": 3.0}


@pytest.mark.parametrize("rtol", [1e-3, 1e-5])
def test_the_estimate_is_the_distance_from_a_flight_that_is_exact(rtol):
    """Exact: rtol 1e-10, a hundred and more times as tight as what the estimate compares with."""
    scenario = load_scenario(FIRST, SHORT | {"run.rtol": rtol})
    flight = fly(scenario)
    said = error_estimate(flight, scenario)
    place, turn = apart(flight, fly(load_scenario(FIRST, SHORT | {"run.rtol": 1e-10})))
    assert said["rtol"] == pytest.approx(0.01 * rtol)
    assert said["position_m"] == pytest.approx(place, rel=0.3)
    assert said["attitude_deg"] == pytest.approx(np.degrees(turn), rel=0.3)
    assert said["outcome"] == "still flying"


def test_a_tighter_tolerance_has_a_smaller_error():
    """Long steps allowed, so that it is the tolerance that rules."""
    said = []
    for rtol in (1e-3, 1e-6):
        scenario = load_scenario(FIRST, SHORT | {"run.rtol": rtol, "run.max_step_s": 0.2})
        said.append(error_estimate(fly(scenario), scenario)["position_m"])
    assert said[1] < 0.1 * said[0]


def test_distance_of_a_flight_moved_and_turned():
    flight = fly(load_scenario(FIRST, SHORT))
    assert apart(flight, flight) == pytest.approx((0.0, 0.0), abs=1e-7)
    half = np.radians(0.5)
    turned = np.column_stack([np.cos(half) * flight.attitude[:, 0] - np.sin(half) * flight.attitude[:, 1],
                              np.cos(half) * flight.attitude[:, 1] + np.sin(half) * flight.attitude[:, 0],
                              np.cos(half) * flight.attitude[:, 2] + np.sin(half) * flight.attitude[:, 3],
                              np.cos(half) * flight.attitude[:, 3] - np.sin(half) * flight.attitude[:, 2]])  # fmt: skip
    moved = replace(flight, position=flight.position + [0.03, 0.0, 0.04], attitude=turned)
    place, turn = apart(moved, flight)
    assert place == pytest.approx(0.05, abs=1e-9)
    assert np.degrees(turn) == pytest.approx(1.0, abs=1e-6)


def test_samples_between_are_as_good_as_the_samples():
    """Every other sample left out, and asked for again: the cubic through the rest gives them back."""
    flight = fly(load_scenario(FIRST, SHORT | {"run.max_step_s": 0.005}))
    names = ("time", "position", "attitude", "velocity_body", "rate_body")
    thinned = replace(flight, **{name: getattr(flight, name)[::2] for name in names})
    place, turn = apart(
        replace(flight, **{name: getattr(flight, name)[: 2 * thinned.time.size - 1] for name in names}), thinned
    )
    assert place < 2e-6
    assert np.degrees(turn) < 1e-3
