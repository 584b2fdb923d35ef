"""Advice: three launches, what counts as better, what is flown is what --set gives, and a real craft put right."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from paddlebar import advise, check, fly, load_scenario
from paddlebar.checks.lead import rule_deg
from paddlebar.files.override import parse_setting
from paddlebar.flight.judgement import Fault
from paddlebar.flight.let_go import launches
from paddlebar.studies.advise.candidates import differs
from paddlebar.studies.advise.changes import Description, setting
from paddlebar.studies.advise.repairs import repairs
from paddlebar.studies.suggestion import How, better

SCENARIOS = Path(__file__).parents[3] / "scenarios"
REVERSED = SCENARIOS / "reversed-link.toml"
UPRIGHT = {"launch.tilt_deg": 0.0, "launch.tilt_toward_deg": 0.0}
CLOCKWISE = {"craft.shaft.turns": "clockwise", "craft.shaft.tilt_right_deg": -2.5, "craft.tail.thrust_to": "left",
             "craft.tail.at_mm": [-248, -6, -100]}  # fmt: skip


def how(outcome: str, controlled: float, duration: float, *codes: str, well: bool = False) -> How:
    return How(outcome, controlled, duration, tuple(Fault(code, 0.0, code) for code in codes), well)


def test_three_launches_three_degrees_apart_and_the_mirror_image_is_let_go_the_other_way():
    level = launches(load_scenario(REVERSED, UPRIGHT))
    assert level[0] == {}
    assert [each["launch.tilt_deg"] for each in level[1:]] == pytest.approx([3.0, 3.0])
    assert [each["launch.tilt_toward_deg"] for each in level[1:]] == pytest.approx([0.0, 90.0])
    other = launches(load_scenario(REVERSED, CLOCKWISE | UPRIGHT))
    assert [each["launch.tilt_toward_deg"] for each in other[1:]] == pytest.approx([0.0, -90.0])
    leaning = launches(load_scenario(REVERSED, {"launch.tilt_deg": 4.0, "launch.tilt_toward_deg": 90.0}))
    assert leaning[1]["launch.tilt_deg"] == pytest.approx(5.0)  # 3, 4, 5
    assert leaning[2]["launch.tilt_deg"] == pytest.approx(7.0)


@pytest.mark.parametrize(
    ("after", "before", "wanted"),
    [
        (how("crashed", 5.0, 6.0), how("crashed", 1.0, 9.0), True),  # time in control first
        (how("crashed", 5.0, 9.0), how("crashed", 5.05, 6.0), True),  # then duration
        (how("crashed", 5.0, 6.0), how("crashed", 5.0, 6.0), False),
        (how("crashed", 20.0, 21.0), how("landed", 19.0, 19.0, well=True), False),  # what flies well is kept
        (how("crashed", 7.0, 8.0), how("landed", 6.0, 9.0, "leaned"), False),  # a landing by luck is given up
        (how("crashed", 17.0, 18.0), how("landed", 6.0, 9.0, "leaned"), True),  # for much more control alone
        (how("crashed", 5.0, 6.0), how("crashed", 5.0, 6.0, "spun"), True),  # a fault less
    ],
)
def test_better(after, before, wanted):
    assert better(after, before) is wanted


def test_what_is_flown_is_what_the_settings_give():
    """A longer blade weighs more, and so does the craft on its scale."""
    scenario = load_scenario(REVERSED)
    described = Description(scenario)
    found, whole = described.scenario({"craft.rotor.radius_mm": 215.0})
    assert whole["craft.rotor.blade_mass_g"] > scenario.craft.rotor.blade_mass_g
    gained = 2.0 * (whole["craft.rotor.blade_mass_g"] - scenario.craft.rotor.blade_mass_g)
    assert whole["craft.all_up_g"] == pytest.approx(scenario.craft.all_up_g + gained, abs=2e-3)
    typed = dict(parse_setting(each) for each in described.settings({"craft.rotor.radius_mm": 215.0}, {}))
    again = load_scenario(REVERSED, typed)
    assert again.craft.rotor == found.craft.rotor
    assert described.settings({}, {}) == ()
    assert parse_setting(setting("craft.part.nose weight.mass_g", 0.5)) == ("craft.part.nose-weight.mass_g", 0.5)


def test_the_rule_of_the_lead_by_hand():
    seen = check(load_scenario(REVERSED).craft, 400.0)
    pull, height = seen.drive.weight_n, 1e-3 * seen.balance.below_hub_mm
    assert rule_deg(seen.drive, seen.balance) == pytest.approx(
        90.0 + math.degrees(math.atan(seen.drive.hover_torque_nm / (2.0 * pull * height)))
    )
    assert 95.0 < rule_deg(seen.drive, seen.balance) < 115.0


@pytest.mark.parametrize("hand", [{}, CLOCKWISE], ids=["counter-clockwise", "clockwise"])
def test_what_is_wrong_in_kind_is_repaired_first(hand):
    other = "left" if hand.get("craft.tail.thrust_to", "right") == "right" else "right"
    scenario = load_scenario(REVERSED, hand | {"craft.tail.thrust_to": other})
    found = repairs(scenario, check(scenario.craft, scenario.skein.turns))
    kinds = [each.changes for each in found if each.in_kind]
    assert kinds == [{"craft.tail.thrust_to": "left" if other == "right" else "right"}, {"craft.bar.gain": 0.46}]
    assert found[: len(kinds)] == [each for each in found if each.in_kind]


def test_no_difference_that_a_hand_cannot_tell():
    assert not differs(0.6, 0.605)
    assert differs(0.6, 0.7)
    assert not differs(102.0, 102.05)
    assert differs("left", "right")
    assert not differs(0.0, 0.0)


@pytest.mark.slow
def test_a_reversed_linkage_is_put_right_and_the_figures_are_those_of_fly():
    """The figures that are said come from a flight like any other."""
    found = advise(load_scenario(REVERSED))
    first = found.suggestions[0]
    assert "craft.bar.gain=0.46" in first.settings
    assert 1 <= len(found.suggestions) <= 3
    assert first.in_all
    flight = fly(load_scenario(REVERSED, dict(parse_setting(each) for each in first.settings)))
    assert first.after.controlled_s == pytest.approx(flight.controlled_s, rel=1e-9)
    assert first.after.duration_s == pytest.approx(float(flight.time[-1]), rel=1e-9)
    assert all(better(each.after, found.before) for each in found.suggestions)
    document = found.to_json()
    assert document["before"]["outcome"] == "tipped over"
    assert document["suggestions"][0]["after"]["controlled_s"] == first.after.controlled_s


def test_parts_that_were_weighed_and_differ_are_to_be_made_alike():
    weighed = {
        "craft.rotor.blade_masses_g": [0.70, 0.66],
        "craft.rotor.blade_pitches_deg": [8.0, 10.0],
        "craft.bar.tip_masses_g": [0.6, 0.6],
    }
    scenario = load_scenario(REVERSED, weighed)
    found = {tuple(each.changes): each for each in repairs(scenario, check(scenario.craft, scenario.skein.turns))}
    blades = found["craft.rotor.blade_masses_g", "craft.rotor.blade_mass_g"]
    assert blades.changes == {"craft.rotor.blade_masses_g": [0.7, 0.7], "craft.rotor.blade_mass_g": 0.7}
    assert blades.words == "put 0.04 g on blade 2, so that each weighs 0.7 g"
    pitch = found[("craft.rotor.blade_pitches_deg",)]
    assert pitch.changes == {"craft.rotor.blade_pitches_deg": [9.0, 9.0]}
    assert not any("tip_masses" in key for keys in found for key in keys)
    assert load_scenario(REVERSED, {**weighed, **blades.changes, **pitch.changes}).craft.rotor.masses_g() == (0.7, 0.7)


def test_a_craft_made_much_lighter_keeps_no_more_than_a_file_may_say_of_the_scale():
    scenario = load_scenario(REVERSED)
    total = sum(each.mass_g for each in check(scenario.craft, 400.0).weights)
    heavy = load_scenario(REVERSED, {"craft.all_up_g": round(1.045 * total, 2)})
    described = Description(heavy)
    lighter, whole = described.scenario({"craft.part.nose weight.mass_g": 0.05})
    assert lighter.craft.all_up_g == whole["craft.all_up_g"]
    again = load_scenario(REVERSED, {"craft.all_up_g": heavy.craft.all_up_g, **whole})
    assert again.craft.all_up_g == whole["craft.all_up_g"]
