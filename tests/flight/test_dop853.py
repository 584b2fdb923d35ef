"""The compiled step against scipy's own DOP853: the same steps, refusals, dense output and failures.

Tried once on broken code, each failed here: a coefficient left out, the slope at the end not handed on, a refused step that lets the next one grow.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.integrate import DOP853

from paddlebar import fly, load_scenario
from paddlebar.craft.build import build
from paddlebar.flight import dop853, events, launch, rhs, stretch
from paddlebar.flight.stretch import _Rates, tolerances

FIRST = Path(__file__).parents[2] / "scenarios" / "first-flight.toml"
FREE = {"launch.release": "free", "launch.hold_s": 0.0, "launch.rotor_rpm": 430.0}


def both(stop: float = 0.5, first_step: float | None = None) -> tuple[dop853.CompiledDOP853, Any, events.Conditions]:
    """Ours and scipy's, ready to step over the same flight; and the conditions that ours tells."""
    scenario = load_scenario(FIRST, FREE)
    numbers = build(scenario)
    y = launch.state(scenario, numbers)
    rtol, atol = tolerances(scenario.run, int(numbers.params[0]["flaps"]))
    conditions = events.Conditions(numbers, np.array([-1.0, -np.inf, 0.0]))
    rates = _Rates(numbers)
    how = {"rtol": rtol, "atol": atol, "max_step": scenario.run.max_step_s, "first_step": first_step}
    ours = dop853.CompiledDOP853(rates, 0.0, y, stop, numbers=numbers, conditions=conditions, rates=rates, **how)
    return ours, DOP853(_Rates(numbers), 0.0, y, stop, **how), conditions


def test_step_by_step_they_are_the_same():
    """Each step from the same start. Sums in another order differ in the last bits: and after a refusal the length of a step by 1e-13 of it.

    The step to try next is looser: it follows the error, a sum of slopes that cancel to some 1e-7 of each, to the power of an eighth.
    """
    ours, theirs, conditions = both()
    n = conditions.numbers
    steps = 0
    while ours.status == "running":
        theirs.t, theirs.y, theirs.f, theirs.h_abs = ours.t, ours.y.copy(), ours.f.copy(), ours.h_abs
        for each in (ours, theirs):
            assert each.step() is None
        steps += 1
        assert ours.t == pytest.approx(theirs.t, rel=1e-10)  # shortened after a refusal by what the error says
        assert np.abs(ours.y - theirs.y).max() < 1e-10
        for each in (ours, theirs):  # of its own state: a stiff slope magnifies by 1e4 what the states differ by
            slope = rhs.rhs(each.t, each.y, n.params, n.tables, n.gusts, rhs.work_array())
            assert np.abs((each.f - slope) / np.maximum(np.abs(slope), 1.0)).max() < 1e-13
        assert ours.h_abs == pytest.approx(theirs.h_abs, rel=1e-6)
        inside = 0.5 * (ours.t_old + ours.t)
        assert np.abs(ours.dense_output()(inside) - theirs.dense_output()(inside)).max() < 1e-10
        fresh = events.Conditions(conditions.numbers, conditions.limits)
        assert conditions.at(ours.t, ours.y) == pytest.approx(fresh.at(ours.t, ours.y.copy()), rel=1e-12)
    assert theirs.status == "finished"
    assert ours.t == 0.5
    assert steps > 20
    assert ours.nfev == theirs.nfev - ours.in_vain  # the slope after a step that is refused is looked at by nobody


def test_a_step_far_too_long_is_refused_as_theirs_is():
    ours, theirs, _ = both(first_step=0.05)
    ours.max_step = theirs.max_step = 1.0
    for each in (ours, theirs):
        each.step()
    assert ours.in_vain >= 1
    assert ours.t == pytest.approx(theirs.t, rel=1e-12)
    assert ours.h_abs == pytest.approx(theirs.h_abs, rel=1e-9)


def test_where_the_equations_are_no_number_it_gives_up():
    ours, _, _ = both()
    ours.step()
    ours.y[0] = np.nan
    ours.f = np.full_like(ours.f, np.nan)
    said = ours.step()
    assert ours.status == "failed"
    assert said == DOP853.TOO_SMALL_STEP


def test_it_ends_at_its_bound_to_the_last_bit():
    ours, _, _ = both(stop=0.0123456789)
    while ours.status == "running":
        ours.step()
    assert ours.t == 0.0123456789
    assert np.isfinite(ours.y).all()
    assert rhs.work_array().shape == ours._scratch[0].shape


def test_a_flight_whose_air_is_no_number_keeps_what_was_flown(monkeypatch):
    """Turbulence that is not a number from 1.2 s on: 40 rows of 25 a second, less what the interpolation reaches forward."""

    def spoilt(scenario):
        numbers = build(scenario)
        numbers.gusts = numbers.gusts.copy()
        numbers.gusts[40:80] = math.nan
        return numbers

    monkeypatch.setattr("paddlebar.flight.fly.build", spoilt)
    flight = fly(load_scenario(FIRST.with_name("field-breeze.toml"), {"run.duration_s": 2.0}))
    assert flight.outcome == "failed"
    assert 1.4 < flight.time[-1] < 1.6
    assert np.isfinite(flight.position).all()
    assert flight.solver["refused"] > 10  # shorter and shorter steps
    assert flight.solver["failure"]["why"] == "not finite"


def test_a_whole_flight_takes_as_many_steps_as_scipys(monkeypatch):
    """The last bits decide whether a step next to a kink of the section tables passes: a few in a hundred differ."""
    scenario = load_scenario(FIRST, FREE | {"run.duration_s": 1.0, "run.rtol": 1e-8})
    ours, end = fly(scenario).solver, fly(scenario).position[-1]
    monkeypatch.setattr(stretch, "COMPILED", {})
    flight = fly(scenario)
    theirs = flight.solver
    assert ours["steps"] == pytest.approx(theirs["steps"], rel=0.05)
    assert ours["refused"] == pytest.approx(theirs["refused"], rel=0.2)
    assert end == pytest.approx(
        flight.position[-1], abs=1e-6
    )  # each is wrong by so much; 1.6e-7 seen apart, with another numba
    tried = ours["steps"] + ours["refused"]
    assert 0 <= ours["evaluations"] - (11 * tried + ours["steps"]) < 20  # besides: where a stretch begins
