"""The account of a flight: what it used, what changing one thing would have done, what to change first."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np
import pytest

from factories import as_recorded, made_up_flight
from paddlebar import fly, load_scenario
from paddlebar.studies.report.advice import Advice, advice
from paddlebar.studies.report.gathered import account
from paddlebar.studies.report.sources import ROWS, relations, source
from paddlebar.studies.suggestion import How, Suggestion
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
    """A new file of physics/ needs its row; these hold only algebra, what is told to the compiler, or what another row names already."""
    files = {path.stem for path in (SCENARIOS.parent / "sim" / "paddlebar" / "physics").glob("*.py")}
    named = {name.split(".")[1] for row in ROWS for name in row.functions if name.startswith("physics.")}
    assert files - named == {"__init__", "compiled", "compiling", "linked", "outside", "vectors"}


def test_flown_again_it_is_the_same_flight(told):
    found, _ = told
    assert found.same
    assert found.again.endswith("the same flight, bit for bit")
    assert 3 <= len(told[1].steps) <= told[1].expected


def test_another_record_of_it_is_found_out(fallen):
    """Broken on purpose: a record that does not belong to its description."""
    forged = dataclasses.replace(fallen, time=fallen.time * 1.5)
    found = account(forged, "forged", with_margins=False)
    assert not found.same
    assert "ends otherwise, -" in found.again


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
    assert advice(flight, load_scenario(SCENARIOS / "reversed-link.toml", {"skein.turns": 490}), look)[
        0
    ].why.startswith("nothing stands out")


def test_what_went_wrong_on_cue_comes_first_though_it_ended_well():
    scenario = load_scenario(SCENARIOS / "skein-breaks.toml")
    found = account(fly(scenario), "breaks", with_margins=False)
    assert found.suggestions == ()
    assert found.advice[0].do == "prevent what went wrong on cue: skein breaks"


def test_what_was_flown_comes_first(fallen):
    before, after = How("tipped over", 0.8, 3.7), How("landed", 14.0, 15.0)
    one = Suggestion(
        ("craft.bar.gain=0.46",), "reverse the linkage", "flown so", before, after, in_all=True, changes={}
    )
    found = account(fallen, "fallen", with_margins=False, suggestions=(one,))
    assert found.advice[0] == Advice("flown so", "reverse the linkage (craft.bar.gain=0.46)", "flown so")
    assert all(each.rests_on != "flown so" for each in found.advice[1:])
