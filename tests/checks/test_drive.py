"""Torque, speeds, energy, and the grip of the cord: by hand and against flights."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from paddlebar import check, fly, fly_many, load_craft, load_scenario, stand
from paddlebar.checks.check import Check

ROOT = Path(__file__).parents[2]
HALL = ROOT / "models" / "hall-ten.toml"
FIRST = ROOT / "scenarios" / "first-flight.toml"


def looked(turns: float | None = 490.0, **changes: Any) -> Check:
    return check(load_craft(HALL, {key.replace("__", "."): value for key, value in changes.items()}), turns)


def severity(found: Check, key: str) -> str:
    return next(finding.severity for finding in found.findings if finding.key == key)


@pytest.fixture(scope="module")
def hall() -> Check:
    return looked()


@pytest.mark.reference
def test_turns_and_torque_at_breaking_by_hand(hall):
    """references 6.1: N = K L/sqrt(S) = 10 x 210/sqrt(12.9) = 584.69. Energy: 6 kJ/kg are let out from breaking turns, 1 - h of the
    middle of the loop, h = .3/1.7: 2.5194 g x 6 J/g/(1 - .17647) = 18.355 J."""
    assert hall.drive.breaking_turns == pytest.approx(584.69, abs=0.005)
    assert looked(584.68).drive.energy_j == pytest.approx(18.355, rel=1e-4)


def test_rotor_and_stick_feel_the_same_torque(hall):
    assert hall.drive.torque_nm == hall.strength.torque_nm > 0.0


def test_full_speed_is_where_the_shaft_takes_the_torque(hall):
    point = stand(load_craft(HALL), hall.drive.full_rpm)
    assert point.shaft_torque_nm == pytest.approx(hall.drive.torque_nm, rel=1e-3)
    assert hall.drive.full_thrust_n == pytest.approx(point.thrust_n)


@pytest.mark.reference
def test_grip_of_the_cord_by_hand(hall):
    """Euler-Eytelwein, references section 7 [C]: mu .3, 180 deg: e = 2.566. 2 x .3 N x 2.5 mm x 1.566/3.566 = .6587 mN m.
    Carried: tail's torque on the stand, 5 % and .005 mN m lost; the tension that just holds is in proportion."""
    drive = hall.drive
    assert drive.cord_limit_nm == pytest.approx(2.0 * 0.3 * 2.5e-3 * 1.566 / 3.566, rel=3e-4)
    tail = stand(load_craft(HALL), drive.full_rpm).tail_torque_nm
    assert drive.tail_torque_nm == pytest.approx(1.05 * tail + 5e-6, rel=1e-9)
    assert drive.cord_needed_n == pytest.approx(drive.tail_torque_nm / (2.0 * 2.5e-3 * 1.566 / 3.566), rel=3e-4)


def test_spin_up_by_hand(hall):
    """Q over all that turns, I + n^2 It: It = .4 g x (51 mm)^2/3 = 3.468e-7, n = 4.6."""
    polar, ratio = 0.4e-3 * 0.051**2 / 3.0, 4.6
    inertia = hall.balance.rotor_kg_m2 + hall.balance.bar_kg_m2
    assert hall.drive.spin_up_nm == pytest.approx(
        polar * ratio * hall.drive.torque_nm / (inertia + ratio**2 * polar), rel=1e-9
    )


@pytest.mark.parametrize(("factor", "slips"), [(1.0, False), (0.5, True)])
def test_a_flight_grips_with_the_tension_that_just_holds_and_slips_with_half(hall, factor, slips):
    """Same turns, flown: the estimate is on the safe side (the rubber settles while it spins up) by less than a factor of two."""
    changes = {
        "skein.turns": 490,
        "craft.tail.cord_tension_mN": 1e3 * factor * hall.drive.cord_needed_n,
        "run.duration_s": 1.5,
        "room.ceiling_m": 50,
    }
    flight = fly(load_scenario(ROOT / "scenarios" / "first-flight.toml", changes))
    assert any(lost["what"] == "cord slips" for lost in flight.summary["tail_authority_lost"]) is slips


def test_a_slack_cord_stops_and_says_how_tight():
    found = looked(tail__cord_tension_mN=100)
    finding = next(each for each in found.findings if each.key == "tail.cord_tension_mN")
    assert finding.severity == "stop"
    assert not found.sound
    need = looked().drive.cord_needed_n
    assert f"set the cord to {1500.0 * need:.0f} mN" in finding.advice
    assert severity(looked(tail__cord_tension_mN=1500.0 * need + 1.0), "tail.cord_tension_mN") == "fine"


@pytest.mark.parametrize("key", ["tail__cord_tension_mN", "tail__cord_friction"])
def test_a_cord_that_cannot_grip_is_a_finding_and_no_crash(key):
    found = looked(**{key: 0})
    assert severity(found, "tail.cord_tension_mN") == "stop"


def test_without_a_cord_nothing_is_said_of_one():
    found = looked(tail__drive="none")
    assert math.isnan(found.drive.cord_limit_nm)
    assert all(finding.key != "tail.cord_tension_mN" for finding in found.findings)


@pytest.mark.parametrize(("turns", "expected"), [(300, "fine"), (540, "look"), (600, "stop")])
def test_turns_against_breaking(turns, expected):
    assert severity(looked(turns), "turns") == expected


def test_a_rotor_that_cannot_lift_is_said():
    found = looked(rotor__collective_deg=-5)
    assert severity(found, "lift") == "stop"
    assert math.isnan(found.drive.hover_rpm)


def test_too_few_strands_do_not_lift():
    found = looked(None, skein__strands=2, all_up_g=8.9)
    assert severity(found, "lift") == "stop"
    assert found.drive.full_thrust_n < found.drive.weight_n


def test_unwound_it_says_so():
    found = looked(0.0)
    assert severity(found, "lift") == "look"
    assert found.sound


def test_more_turns_than_were_measured_stop_it():
    """Measured to 400 of 585 turns: without turns it is looked at there; at 450 it says so, and gives the figures of 400."""
    rows = [[0, 0], [100, 3], [300, 4], [400, 5]]
    measured = load_craft(HALL, {"skein.measured": rows})
    whole = check(measured)
    assert (whole.drive.turns, whole.drive.known_turns, whole.drive.safe_turns) == (400.0, 400.0, 400.0)
    assert whole.drive.torque_nm > 5e-3  # freshly wound, above the settled curve
    more = check(measured, 450.0)
    (said,) = [each for each in more.findings if each.key == "turns"]
    assert said.severity == "stop"
    assert "450 turns are more than the 400 to which the skein's torque was measured" in said.sentence
    assert more.drive.torque_nm == whole.drive.torque_nm
    assert more.strength.torque_nm == whole.strength.torque_nm


def test_a_bearing_that_holds_the_rubber_is_said_and_its_ledger_is_no_gap():
    """A metre's worth of newtons in friction: the shaft creeps, and the ledger's gap was 23 % of nothing."""
    found = looked(shaft__friction_mN_m=1000.0)
    assert severity(found, "shaft.friction_mN_m") == "stop"
    scenario = load_scenario(FIRST, {"craft.shaft.friction_mN_m": 1000.0, "run.duration_s": 1.5})
    assert math.isnan(fly(scenario).energy_error)
    assert math.isnan(fly_many([scenario], workers=1).energy_error[0])
