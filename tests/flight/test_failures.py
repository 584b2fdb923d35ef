"""Numerical failures, forced: what was flown is kept and says when, why and in which state it stopped; nothing else stops with it."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
import scipy.integrate

from paddlebar import error_estimate, fly, fly_many, load_scenario
from paddlebar.craft.build import build
from paddlebar.flight import integrate, layout, stretch
from paddlebar.record.read import read_run
from paddlebar.record.write import write_run

FIRST = Path(__file__).parents[2] / "scenarios" / "first-flight.toml"
FIELD = Path(__file__).parents[2] / "scenarios" / "field-breeze.toml"
SHORT = {"run.duration_s": 1.0}


@pytest.fixture
def spoil(monkeypatch):
    """``spoil(row, since, value)``: from a time on one rate of change is no number; scipy's own steps alone ask for it in Python."""
    monkeypatch.setattr(stretch, "COMPILED", {})
    whole = integrate.rhs.rhs

    def broken(row: int, since: float, value: float = math.nan) -> None:
        def rhs(t, y, params, tables, gusts, work):
            out = whole(t, y, params, tables, gusts, work)
            if t >= since:
                out[row] = value
            return out

        monkeypatch.setattr(integrate.rhs, "rhs", rhs)

    return broken


@pytest.mark.parametrize("value", [math.nan, math.inf])
@pytest.mark.parametrize("method", ["DOP853", "RK45", "RK23", "Radau", "BDF", "LSODA"])
def test_every_method_keeps_what_was_flown_and_names_the_state(spoil, method, value):
    """BDF raised out of its own linear algebra and all was lost, LSODA went round an infinite rate for ever, before both were guarded."""
    spoil(layout.BAR_RATE, 0.7, value)
    flight = fly(load_scenario(FIRST, SHORT | {"run.method": method}))
    assert flight.outcome == flight.summary["outcome"] == "failed"
    assert not flight.complete
    assert 0.67 < flight.time[-1] <= 0.7  # within a step of 20 ms
    assert np.isfinite(flight.position).all()
    assert "rate of the bar angle (rad/s) is no longer finite" in flight.sentence
    failure = flight.solver["failure"]
    assert (failure["why"], failure["state"]) == ("not finite", "bar_rate")
    assert failure["time_s"] == flight.time[-1]
    assert failure["message"]


@pytest.mark.parametrize("method", ["DOP853", "LSODA"])
def test_no_rate_of_change_at_the_launch_is_said_at_once(spoil, method):
    """scipy looks for a first step for ever when the first rate is not a number."""
    spoil(layout.ROTOR_SPEED, 0.0)
    scenario = load_scenario(FIRST, SHORT | {"run.method": method})
    flight = fly(scenario)
    assert flight.time.tolist() == [0.0]
    assert "at t = 0.0000 s: speed of the shaft (rad/s)" in flight.sentence
    assert error_estimate(flight, scenario)["outcome"] == "failed"


def test_a_rate_that_no_step_can_follow_is_a_step_too_small_and_the_steepest_state_is_named(monkeypatch):
    """scipy's own steps; the compiled one: test_dop853.py. From 0.7 s on the bar's rate jumps up and down with the last bits of time: every number is finite, and no step is short enough."""
    whole = integrate.rhs.rhs

    def noise(t, y, params, tables, gusts, work):
        out = whole(t, y, params, tables, gusts, work)
        if t >= 0.7:
            out[layout.BAR_RATE] += 1e30 * math.sin(1e20 * t)
        return out

    monkeypatch.setattr(stretch, "COMPILED", {})
    monkeypatch.setattr(integrate.rhs, "rhs", noise)
    flight = fly(load_scenario(FIRST, SHORT))
    failure = flight.solver["failure"]
    assert (failure["why"], failure["state"]) == ("stuck", "bar_rate")
    assert flight.time[-1] == pytest.approx(0.7, abs=1e-9)
    assert "the step fell below what numbers can hold, steepest in rate of the bar angle" in flight.sentence
    assert "Required step size" in failure["message"]


def test_too_many_switches_are_a_failure_with_a_reason(monkeypatch):
    monkeypatch.setattr(integrate, "MOST_SWITCHES", 1)
    monkeypatch.setattr(integrate, "WITHIN_S", 1.0)
    flight = fly(load_scenario(FIRST, {"run.duration_s": 2.0}))
    assert flight.outcome == "failed"
    assert flight.solver["failure"] == {"why": "chatter", "time_s": flight.time[-1], "state": "", "message": ""}


@pytest.mark.parametrize(("method", "rtol"), [("DOP853", 1e-8), ("RK45", 1e-8), ("RK23", 1e-5)])
def test_steps_tried_in_vain_are_counted(monkeypatch, method, rtol):
    """Against scipy's own attempts, counted at the place where it estimates the error of each; the compiled step: test_dop853.py."""
    monkeypatch.setattr(stretch, "COMPILED", {})
    kind, tries = getattr(scipy.integrate, method), []
    whole = kind._estimate_error_norm
    monkeypatch.setattr(kind, "_estimate_error_norm", lambda *given: tries.append(1) or whole(*given))
    flight = fly(load_scenario(FIRST, SHORT | {"run.rtol": rtol, "run.method": method}))
    assert flight.solver["refused"] == len(tries) - flight.solver["steps"] > 0
    assert flight.solver["failure"] is None


def test_a_method_that_tells_nothing_of_its_steps_counts_none():
    assert fly(load_scenario(FIRST, SHORT | {"run.method": "LSODA"})).solver["refused"] is None


def test_the_run_file_says_it_all(spoil, tmp_path):
    spoil(layout.BAR_RATE, 0.7)
    flight = fly(load_scenario(FIRST, SHORT))
    write_run(tmp_path / "run.h5", [flight])
    read = read_run(tmp_path / "run.h5")[0]
    assert not read.complete
    assert read.outcome == "failed"
    assert read.solver == json.loads(json.dumps(flight.solver))
    assert read.solver["failure"]["state"] == "bar_rate"
    assert {"rtol", "max_step_s", "evaluations", "steps", "refused"} <= set(read.solver)
    assert read.events[-1].name == "failed"
    assert np.isfinite(read.ledger["residual"]).all()


def test_one_flight_of_many_that_fails_is_named_and_stops_no_other(monkeypatch):
    """Turbulence of one seed is not a number from 1.6 s on: 40 rows of 25 a second, less what the interpolation reaches forward."""
    scenarios = [load_scenario(FIELD, {"run.duration_s": 2.0, "air.seed": seed}) for seed in (1, 2, 3)]

    def spoilt(scenario):
        numbers = build(scenario)
        if scenario.air.seed == 2:
            numbers.gusts = numbers.gusts.copy()
            numbers.gusts[40:80] = math.nan
        return numbers

    monkeypatch.setattr("paddlebar.ensemble.many.build", spoilt)
    with pytest.warns(RuntimeWarning, match="flight 1 of 3 failed, it may not be the only one: stopped at t = 1.5"):
        flights = fly_many(scenarios, workers=1)
    assert flights.failed == [1]
    assert flights.outcome == ["still flying", "failed", "still flying"]
    assert flights.sentence[1].startswith("stopped at t = 1.5")
    assert "is no longer finite" in flights.sentence[1]
    assert flights.events[1][-1].name == "failed"
    assert math.isfinite(flights.peak_height_m[1])
    whole = fly_many([scenarios[0]], workers=1)
    assert flights.north_m[0] == whole.north_m[0]
