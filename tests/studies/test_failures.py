"""Flights that fail numerically within a study: counted, said, and their figures missing, not those of half a flight."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from paddlebar import load_scenario, stability_map
from paddlebar.cli import map as map_verb
from paddlebar.cli import rank_words
from paddlebar.ensemble import many as ensemble
from paddlebar.ensemble.many import Brief
from paddlebar.files.flight_record import FLIGHT, Reading, Row
from paddlebar.stability import nearby
from paddlebar.studies import rundown
from paddlebar.studies.axes import open_text
from paddlebar.studies.improve import demands, design
from paddlebar.studies.improve.variables import variables
from paddlebar.studies.map import by_flights
from paddlebar.studies.match.predictions import Forward
from paddlebar.studies.match.unknowns import unknowns
from paddlebar.studies.rank import outcomes
from paddlebar.studies.rank.study import rank
from paddlebar.studies.runner import failed_words

SCENARIO = Path(__file__).parents[2] / "scenarios" / "first-flight.toml"
QUICK = {
    "run.blade_elements": 3, "run.duration_s": 3.0, "run.rtol": 1e-4, "skein.turns": 100.0, "launch.hold_s": 0.5,
}  # fmt: skip
WHEEL = ("craft.bar.tip_mass_g", 0.4, 0.8)


@pytest.fixture(scope="module")
def scenario():
    return load_scenario(SCENARIO, QUICK)


def fails(scenario) -> bool:
    """Which flights are to fail here."""
    return scenario.craft.bar.tip_mass_g > 0.65


@pytest.fixture
def broken(monkeypatch):
    """Heavy tips fail one second into the flight: their turbulence is not a number from there on."""
    whole = ensemble.build

    def build(scenario):
        numbers = whole(scenario)
        if fails(scenario):
            numbers.params[0]["turbulence_rate"] = 10.0
            numbers.gusts = np.zeros((1000, 3))
            numbers.gusts[10:900] = math.nan
        return numbers

    for module in (ensemble, rundown):
        monkeypatch.setattr(module, "build", build)


def test_rank_counts_them_and_takes_none_of_their_figures(scenario, broken, monkeypatch):
    monkeypatch.setattr(nearby, "design", lambda scenario: nearby.Steady([], [], -1.0, 1.0, 50.0))
    monkeypatch.setattr(nearby, "scouted", lambda *_: [])
    monkeypatch.setattr(outcomes, "near_design", lambda *_: -0.1)
    found = rank(scenario, {"craft.bar.tip_mass_g": 0.1}, samples=4, workers=1)
    assert found.high_ending == ("failed",)
    assert np.isnan(found.high).all()
    assert np.isfinite(found.low).all()
    # of the samples one in four or so is heavier than 0.65 g
    assert 1 < found.failed < found.flights
    assert found.to_json()["failed"] == found.failed
    assert f"{found.failed} of {found.flights} flights failed numerically" in "\n".join(rank_words.at_length(found))
    assert f"{found.failed} of {found.flights} flights failed numerically" in rank_words.in_short(found)[-1]


def test_a_map_by_flights_says_failed_not_not_flown(scenario, broken):
    found = stability_map(scenario, (*WHEEL, 3), ("craft.bar.gain", 0.4, 0.5, 2), "flights", workers=1)
    assert (found.verdict == by_flights.FAILED).tolist() == [[False, False, True]] * 2
    assert np.isnan(found.growth[:, 2]).all()
    assert found.failed == found.to_json()["failed"] == 2
    assert "2 of 6 flights failed numerically" in "\n".join(map_verb._lines(found, full=False))


def test_yaw_has_a_code_of_its_own_for_them(scenario, broken):
    heavy = scenario.model_copy(
        update={
            "craft": scenario.craft.model_copy(
                update={"bar": scenario.craft.bar.model_copy(update={"tip_mass_g": 0.7})}
            )
        }
    )
    text = rundown.high_up(heavy).effective_toml()
    outputs, code = rundown.evaluate(0, np.array([4.6, 10.0, 80.0]), text=text)
    assert code == rundown.FAILED
    assert np.isnan(outputs[rundown.TABLES.index("time_s") * rundown.BINS + rundown.KNEE - 1])


def test_improve_counts_a_design_whose_flight_failed_as_breaking_its_demands(scenario, broken):
    of = variables(scenario, scenario.effective_toml(), [WHEEL])
    plan = design.Plan(open_text(scenario), of, {"ending": 0.0, "spin": 300.0}, (0.5,))
    outputs, code = design.evaluate(0, np.array([0.7]), plan=plan)
    assert code == demands.FAILED
    figures = dict(zip(design.columns(plan.shares), outputs.tolist(), strict=True))
    assert math.isnan(figures["duration_s"])
    assert demands.violation(figures, code, plan.limits) > 1.0
    assert design.evaluate(0, np.array([0.5]), plan=plan)[1] != demands.FAILED


def test_match_takes_no_reading_from_them_and_counts_them(scenario, broken):
    row = Row(1, "flight 1", FLIGHT, {}, {}, (Reading("duration_s", 0.0, 1.0), Reading("peak_height_m", 0.0, 1.0)))
    asked = unknowns(scenario, {"craft.bar.tip_mass_g": 0.1})
    model = Forward(scenario, asked, [row])
    light, heavy = np.array([-1.0]), np.array([1.0])
    assert np.isfinite(model.readings(light)).all()
    assert np.isnan(model.readings(heavy)).all()
    assert model.outcomes(heavy) == ["failed"]
    assert model.failed == 1


def test_what_was_never_flown_did_not_break_off():
    assert not Brief(outcome="failed", sentence="not flown: no such file").broke_off
    assert Brief(outcome="failed", sentence="stopped", duration_s=1.0).broke_off
    assert not replace(Brief(outcome="landed", sentence=""), duration_s=1.0).broke_off
    assert failed_words(0, 10) == []
