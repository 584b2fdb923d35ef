"""The account of a flight: what it used, what changing one thing would have done, what to change first."""

from __future__ import annotations

import dataclasses
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from factories import as_recorded, made_up_flight
from paddlebar import fly, load_scenario
from paddlebar.studies.report.advice import advice
from paddlebar.studies.report.gathered import account
from paddlebar.studies.report.sources import ROWS, relations, source
from paddlebar.studies.report.trials import trials
from told import Told

SCENARIOS = Path(__file__).parents[3] / "scenarios"


@pytest.fixture(scope="module")
def fallen():
    """The linkage the wrong way round: tips over within three seconds."""
    return fly(load_scenario(SCENARIOS / "reversed-link.toml"))


@pytest.fixture(scope="module")
def told(fallen):
    progress = Told()
    return account(fallen, "reversed", with_margins=False, progress=progress), progress


@pytest.mark.parametrize("name", sorted({name for row in ROWS for name in row.functions}))
def test_every_relation_of_the_table_exists_and_names_a_source(name):
    assert len(source(name)) > 10
    assert "Returns" not in source(name)
    assert "Checked" not in source(name)


def test_a_source_is_read_to_its_end_and_no_further():
    pitt = source("physics.inflow.inflow_rates")
    assert pitt.startswith("D. M. Pitt, D. A. Peters, Vertica 5 (1981)")
    assert pitt.endswith("apparent masses [M]")


def test_sources_follow_what_was_flown():
    names = {
        scenario: {each.function for each in relations(load_scenario(SCENARIOS / f"{scenario}.toml"))}
        for scenario in ("first-flight", "field-breeze", "no-bar")
    }
    assert "physics.wind.shear" in names["field-breeze"] - names["first-flight"]
    assert "physics.linkage.feathering" in names["first-flight"] - names["no-bar"]
    assert "physics.bar.arm_loads" in names["first-flight"] - names["no-bar"]
    parts = {each.part for each in relations(load_scenario(SCENARIOS / "first-flight.toml"), margins=True)}
    assert {"section of the blades", "section of the tail rotor", "margins"} <= parts


def test_every_part_of_the_equations_is_in_the_table_or_known_to_be_none():
    """A new file of physics/ needs its row; these hold only algebra, or what another row names already."""
    files = {path.stem for path in (SCENARIOS.parent / "sim" / "paddlebar" / "physics").glob("*.py")}
    named = {name.split(".")[1] for row in ROWS for name in row.functions if name.startswith("physics.")}
    assert files - named == {"__init__", "vectors"}


def test_the_linkage_put_right_is_the_first_advice_because_it_was_flown(told, fallen):
    found, _ = told
    assert fallen.outcome == "tipped over"
    best = found.trials[0]
    assert best.well
    assert best.setting == "--set craft.bar.gain=0.46"
    again = fly(load_scenario(SCENARIOS / "reversed-link.toml", {"craft.bar.gain": 0.46}))
    assert best.outcome == again.outcome
    assert best.duration_s == pytest.approx(float(again.time[-1]), rel=1e-9)
    assert found.advice[0].rests_on == "flown so"
    assert "bar.gain from -0.46 to 0.46" in found.advice[0].do


def test_trials_stand_best_first(fallen):
    edges = SimpleNamespace(
        verdict="reverses", gain_margin=(0.9, None), lead_margin_deg=(-51.0, None), mass_margin_g=(None, 0.03)
    )
    found = trials(fallen, load_scenario(SCENARIOS / "reversed-link.toml"), edges)
    assert [each.well for each in found] == [True, False, False, False]
    lasted = [each.duration_s for each in found[1:]]
    assert lasted == sorted(lasted, reverse=True)
    assert {each.words.split()[0] for each in found} == {"reverse", "bar.gain", "bar.lead_deg", "bar.tip_mass_g"}


def test_flown_again_it_is_the_same_flight(told):
    found, _ = told
    assert found.same
    assert found.again.endswith("the same flight, bit for bit")
    assert 3 < len(told[1].steps) <= told[1].expected


def test_another_record_of_it_is_found_out(fallen):
    """Broken on purpose: a record that does not belong to its description."""
    forged = dataclasses.replace(fallen, time=fallen.time * 1.5)
    found = account(forged, "forged", with_margins=False)
    assert not found.same
    assert "ends otherwise, -" in found.again


def test_a_flight_that_ended_well_is_not_tried_over():
    scenario = load_scenario(SCENARIOS / "first-flight.toml", {"run.duration_s": 1.5})
    flight = fly(scenario)
    assert trials(flight, scenario, None) == ()


def test_moments_about_the_vertical_are_those_of_the_flight():
    scenario = load_scenario(SCENARIOS / "cord-off.toml")
    found = account(fly(scenario), "cord off", with_margins=False)
    assert found.yaw is not None
    flown = np.isfinite(found.yaw.rotor_moment_mn_m)
    assert flown.any()
    # the rotor turns to the left seen from above (counter-clockwise), so that the body is pushed to the right, and back by the tail
    sign = np.sign(found.yaw.rotor_moment_mn_m[flown][0])
    assert np.sign(found.yaw.tail_moment_mn_m[flown][0]) == -sign
    assert found.advice[0].do.startswith("prevent what went wrong on cue: cord off")
    lost = [each for each in found.advice if "tail lost its hold" in each.why]
    assert lost


def test_a_description_that_this_machine_cannot_read_leaves_the_record():
    flight = as_recorded(made_up_flight(), effective_toml='title = "of another time"')
    found = account(flight, "made up")
    assert found.scenario is None
    assert "cannot be used on this machine" in found.unread
    assert found.advice == ()


def test_what_stands_out_nowhere_is_said(told):
    found, _ = told
    flight = dataclasses.replace(found.flight, outcome="still flying", events=[], heading=0.0 * found.flight.heading)
    look = dataclasses.replace(found.look, findings=())
    assert advice(flight, load_scenario(SCENARIOS / "reversed-link.toml", {"skein.turns": 490}), look, None, None, ())[
        0
    ].why.startswith("nothing stands out")


def test_a_throw_that_was_too_crooked_and_a_ceiling_that_was_too_low_are_tried_otherwise():
    thrown = load_scenario(SCENARIOS / "no-bar.toml", {"launch.tilt_deg": 40, "air.wind_m_s": 2.0})
    words = [each.words for each in trials(fly(thrown), thrown, None)]
    assert sorted(words) == ["fly it in still air", "let it go upright: launch.tilt_deg from 40 to 0"]
    low = load_scenario(SCENARIOS / "printed-first.toml", {"room.ceiling_m": 2.5})
    (fewer,) = [each for each in trials(fly(low), low, None) if each.words.startswith("wind less")]
    turns = float(fewer.setting.partition("=")[2])
    again = fly(load_scenario(SCENARIOS / "printed-first.toml", {"room.ceiling_m": 2.5, "skein.turns": turns}))
    assert turns == round(0.8 * low.skein.turns)
    assert fewer.duration_s == pytest.approx(float(again.time[-1]), rel=1e-9)


def test_a_craft_that_fell_without_a_bar_is_told_to_get_one():
    scenario = load_scenario(SCENARIOS / "no-bar.toml")
    found = account(fly(scenario), "no bar", with_margins=False)
    assert found.advice[0].do.startswith("give it a bar")
    assert found.margins is None


def test_what_went_wrong_on_cue_comes_first_though_it_ended_well():
    scenario = load_scenario(SCENARIOS / "skein-breaks.toml")
    found = account(fly(scenario), "breaks", with_margins=False)
    assert found.trials == ()
    assert found.advice[0].do == "prevent what went wrong on cue: skein breaks"
