"""The register of what a flight or build is judged by: every verb takes its figures from there, and the spin is what it says."""

from __future__ import annotations

import math
from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest

from paddlebar import load_scenario
from paddlebar.craft.build import build
from paddlebar.ensemble.many import Brief
from paddlebar.flight import layout
from paddlebar.flight.figures import SUMMARY
from paddlebar.studies.figures import FIGURES, NAMED, Seen, Step, figures_of, mean_spin, spin, worst_growth
from paddlebar.studies.improve.demands import DEMANDS, GOALS
from paddlebar.studies.improve.design import columns
from paddlebar.studies.rank.outcomes import OUTPUTS

SCENARIO = Path(__file__).parents[2] / "scenarios" / "first-flight.toml"
TURNS = 300.0


@pytest.fixture(scope="module")
def scenario():
    return load_scenario(SCENARIO, {"skein.turns": TURNS, "skein.backed_off": 0.0, "launch.hold_s": 2.0})


def turning(scenario, rate, turns=TURNS):
    """A flight that turns its nose to and fro at so many deg/s for 10 s each, the rotor ten turns a second; the knee at half the turns."""
    time_s = np.linspace(0.0, 20.0, 4001)
    heading = np.radians(np.where(time_s < 10.0, rate * time_s, rate * (20.0 - time_s)))
    samples = np.zeros((time_s.size, 1 + layout.TAIL_INFLOW + 2))
    samples[:, 0], samples[:, 1 + layout.ROTOR_AZIMUTH] = time_s, 2.0 * np.pi * 10.0 * time_s
    samples[:, 1 + layout.ATTITUDE], samples[:, 4 + layout.ATTITUDE] = np.cos(heading / 2), np.sin(heading / 2)
    numbers = build(scenario)
    skein = numbers.params[0]["skein"]
    skein["turns"], skein["fade"] = turns, 1e4
    return Seen(scenario, numbers, Brief(outcome="landed", sentence="", samples=samples))


@pytest.mark.parametrize("rate", [0.0, 25.0, -400.0])
def test_left_and_right_cancel_in_one_spin_and_not_in_the_other(scenario, rate):
    """From letting go at 2 s to half the turns at 15 s: eight seconds one way, five the other."""
    seen = turning(scenario, rate)
    assert mean_spin(seen) == pytest.approx(abs(rate), rel=0.01, abs=1e-9)
    assert spin(seen) == pytest.approx(rate * 3.0 / 13.0, rel=0.01, abs=1e-9)


def test_a_flight_that_was_not_seen_between_release_and_knee_has_no_spin(scenario):
    seen = turning(scenario, 25.0, turns=20.0)  # half of them are gone while it is held
    assert math.isnan(mean_spin(seen))
    assert math.isnan(spin(seen))
    assert math.isnan(spin(Seen(scenario)))


def test_names_are_used_once_and_every_figure_can_be_written():
    names = [figure.name for figure in FIGURES]
    assert len(set(names)) == len(names)
    for figure in (*FIGURES, *SUMMARY):
        assert figure.words
        assert format(1.5, figure.form)
    for figure in SUMMARY:  # two to a line; this one has a line of its own
        assert len(figure.said_briefly) <= 24 or figure.name == "energy_error"


def test_every_verb_reads_the_register():
    """So that another row is seen by all of them."""
    assert figures_of("rank") == OUTPUTS
    assert {figure.name for figure in figures_of("improve")} <= set(columns((1.0, 0.5)))
    assert {figure.goal: figure for figure in FIGURES if figure.goal} == GOALS
    assert all(demand.figure is NAMED[demand.figure.name] for demand in DEMANDS)
    assert all("improve" in each.verbs for each in (*GOALS.values(), *(demand.figure for demand in DEMANDS)))


def test_what_a_summary_tells_a_study_tells_in_the_same_words():
    told = {figure.name: figure for figure in SUMMARY}
    brief = {field.name for field in fields(Brief)}
    for figure in FIGURES:
        if figure.name in told:
            assert [getattr(figure, f.name) for f in fields(told[figure.name])] == [
                getattr(told[figure.name], f.name) for f in fields(told[figure.name])
            ]
            assert figure.name in brief


def test_figures_of_the_craft_need_no_flight(scenario):
    for figure in figures_of("improve", Step.BUILT):
        assert math.isfinite(figure.read(Seen(scenario)))
    assert NAMED["turns_share"].read(Seen(scenario)) == pytest.approx(TURNS / 584.7, rel=0.01)


def test_better_is_larger_and_costs_less():
    assert NAMED["duration_s"].cost(20.0) < NAMED["duration_s"].cost(10.0) < NAMED["duration_s"].cost(math.nan)
    assert NAMED["worst_growth_per_s"].cost(-0.2) < NAMED["worst_growth_per_s"].cost(0.1)
    assert NAMED["spin_deg_s"].worth(np.array([-30.0, 5.0, 10.0])).tolist() == [-30.0, -5.0, -10.0]


def test_growth_along_the_run_down_is_the_fastest_and_none_where_a_point_has_none(scenario):
    assert worst_growth(Seen(scenario, growths=(-0.3, 0.2, -0.1))) == 0.2
    assert math.isnan(worst_growth(Seen(scenario, growths=(-0.3, math.nan))))
    assert math.isnan(worst_growth(Seen(scenario)))
