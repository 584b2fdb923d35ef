"""What `check` calls a stop, a flight knows: stick, boom, blades; and what then becomes of it."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from paddlebar import check, fly, fly_many, load_scenario
from paddlebar.cli.main import main
from paddlebar.craft.strength.factors import stick_strength
from paddlebar.craft.strength.overload import overloads

SCENARIOS = Path(__file__).parents[2] / "scenarios"
FIRST = SCENARIOS / "first-flight.toml"
THIN = {"craft.part.stick.diameter_mm": 2.0}
HIGH_BOOM = {"craft.part.boom.from_mm": [9, 0, -40], "craft.part.boom.to_mm": [-248, 0, -40], "launch.height_m": 5.0}


def flown(changes=None, name="first-flight"):
    return fly(load_scenario(SCENARIOS / f"{name}.toml", changes or {}))


@pytest.mark.parametrize("millimetres", [4.5, 3.0, 2.5, 2.0, 1.5])
def test_it_breaks_where_check_calls_it_a_stop_and_nowhere_else(millimetres):
    scenario = load_scenario(FIRST, {"craft.part.stick.diameter_mm": millimetres, "run.duration_s": 1.5})
    found = check(scenario.craft, scenario.skein.turns)
    stops = any(each.severity == "stop" and each.key.startswith("stick") for each in found.findings)
    assert stops == (found.strength.stick_margin < 1.0)
    flight = fly(scenario)
    said = [event.name for event in flight.events if event.name in ("stick broke", "overloaded")]
    assert bool(said) == stops
    if stops:
        assert "stick overloaded" in {fault.code for fault in flight.faults if fault.matters}


def test_a_stick_too_thin_ends_the_flight_before_it_began():
    flight = flown(THIN)
    assert flight.outcome == "broke"
    assert flight.time.tolist() == [0.0]
    assert flight.controlled_s == 0.0
    bears = stick_strength(flight.scenario.craft, 350.0).stick_margin
    assert f"it bears {bears:.2g} times a pull of" in flight.sentence
    assert "wound to 350 turns, part stick (balsa)" in flight.sentence


def test_what_was_let_back_may_fly_and_is_told():
    """Wound so far that the stick gave, let back until it does not: it held, says the flight, by luck."""
    scenario = load_scenario(FIRST, {"craft.part.stick.diameter_mm": 2.5})
    (over,) = overloads(scenario.craft, 350.0)
    backed = load_scenario(
        FIRST, {"craft.part.stick.diameter_mm": 2.5, "skein.backed_off": 60.0, "run.duration_s": 2.0}
    )
    flight = fly(backed)
    assert flight.skein_torque[0] < over.torque_nm
    assert flight.outcome == "still flying"
    assert [fault.code for fault in flight.faults] == ["stick overloaded"]
    assert "while it was wound to 350 turns" in flight.faults[0].sentence


def test_the_torque_borne_is_where_the_least_factor_is_one():
    craft = load_scenario(FIRST, {"craft.part.stick.diameter_mm": 2.5}).craft
    (over,) = overloads(craft, 400.0)
    low, high = 1.0, 400.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if stick_strength(craft, middle).stick_margin >= 1.0 else (low, middle)
    assert stick_strength(craft, low).torque_nm == pytest.approx(over.torque_nm, rel=1e-4)
    assert overloads(craft, low * 0.99) == ()
    assert over.part == "stick"


def test_a_measured_curve_that_rises_breaks_it_in_flight():
    """Torque that climbs while it runs down, as no rubber gives it: the moment of breaking is that of the torque borne."""
    curve = [[0.0, 0.0], [50.0, 3.0], [200.0, 8.0], [330.0, 8.0], [370.0, 3.0], [400.0, 3.0]]
    scenario = load_scenario(
        FIRST,
        {
            "craft.skein.measured": curve,
            "craft.part.stick.diameter_mm": 2.7,
            "skein.turns": 400.0,
            "skein.backed_off": 20.0,
        },
    )
    (over,) = overloads(scenario.craft, 400.0)
    flight = fly(scenario)
    assert flight.outcome == "broke"
    assert flight.time[-1] > 1.0
    assert flight.skein_torque[0] < over.torque_nm
    assert flight.skein_torque[-1] == pytest.approx(over.torque_nm, rel=1e-6)
    ours = fly_many([scenario], workers=1)[0]
    assert ours["duration_s"] == pytest.approx(flight.time[-1], abs=1e-3)


def test_breakage_off_flies_on_and_says_so():
    flight = flown({**THIN, "run.breakage": False})
    plain = flown({"run.breakage": False})
    assert flight.outcome == plain.outcome == "landed"
    assert [event.name for event in flight.events][0] == "overloaded"
    assert "run.breakage is false" in flight.faults[0].sentence
    assert not any(fault.code == "stick overloaded" for fault in plain.faults)


def test_a_boom_too_thin_takes_the_tail_along_and_the_flight_goes_on():
    flight = flown({"craft.part.boom.diameter_mm": 0.5, "run.duration_s": 4.0, "launch.height_m": 3.0})
    assert flight.outcome == "broke"
    assert flight.time[-1] > 1.5
    assert "part boom" in next(event.sentence for event in flight.events if event.name == "boom broke")
    assert flight.tail_speed.max() < 1.0  # nothing drives it; the air that it meets turns it backwards
    assert "spun" in {fault.code for fault in flight.faults}


def test_blades_that_meet_the_boom_end_the_flight():
    flight = flown(HIGH_BOOM, "poor-start")
    assert flight.outcome == "broke"
    (event,) = [each for each in flight.events if each.name == "blade struck"]
    assert "struck part boom" in event.sentence
    assert event.time_s == flight.time[-1]
    on = flown({**HIGH_BOOM, "run.breakage": False}, "poor-start")
    assert on.time[-1] > flight.time[-1]
    (event,) = [each for each in on.events if each.name == "blade passed through a part"]
    assert event.time_s == pytest.approx(flight.time[-1], abs=1e-3)
    assert on.outcome == "tipped over"


def test_the_blade_was_where_the_boom_is():
    """Each blade's own angle as it next passes over the tail, from the flight that goes on: the lowest is at the limit within a degree."""
    from paddlebar.craft.strikes import zones

    changes = {**HIGH_BOOM, "run.breakage": False, "run.max_step_s": 1e-3}
    flight = flown(changes, "poor-start")
    when = next(event.time_s for event in flight.events if event.name == "blade passed through a part")
    aft = next(zone for zone in zones(flight.scenario.craft) if min(zone.azimuth, 2 * math.pi - zone.azimuth) < 0.1)
    lowest = []
    for blade in range(2):
        turned = (flight.rotor_azimuth + math.pi * blade - aft.azimuth) / (2.0 * math.pi)
        over = np.flatnonzero(np.diff(np.floor(turned)) > 0)
        cone = math.radians(flight.scenario.craft.head.precone_deg)
        lowest += [(flight.time[k], cone + (1.0 if blade == 0 else -1.0) * flight.flap[k, 0]) for k in over]
    before = [angle for time, angle in lowest if time < when - 0.01]
    after = [angle for time, angle in lowest if when <= time < when + 0.2]
    assert min(before) > aft.limit - math.radians(1.0)
    assert min(after) < aft.limit + math.radians(1.0)


def test_blades_thrown_through_a_part_struck_it_at_once():
    changes = {
        "craft.head.stop_deg": 40.0, "launch.teeter_deg": -35.0, "launch.rotor_rpm": 300.0, "launch.release": "free", "launch.hold_s": 0.0,
    }  # fmt: skip
    flight = flown(changes)
    assert (flight.outcome, flight.time.tolist()) == ("broke", [0.0])
    assert "struck part boom" in flight.sentence


def test_margins_and_matches_break_nothing():
    """A steady motion says nothing of the stick, and what was flown and recorded did hold."""
    from paddlebar.flight.aloft import undisturbed

    assert not undisturbed(load_scenario(FIRST), 10.0).run.breakage


@pytest.mark.parametrize("changes", [THIN, HIGH_BOOM | {"run.duration_s": 1.0}])
def test_many_flights_break_alike(changes):
    flights = fly_many([load_scenario(FIRST, changes)], workers=1)
    flight = flown(changes)
    assert flights.outcome == [flight.outcome]
    assert flights.faults[0] == flight.faults or [f.code for f in flights.faults[0]] == [f.code for f in flight.faults]


def test_on_the_screen_and_in_the_document(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    words = ["fly", str(FIRST), "--set", "craft.part.stick.diameter_mm=2", "--out", "x"]
    result = CliRunner().invoke(main, words, prog_name="paddlebar")  # pictures of a flight of no length included
    assert result.exit_code == 1
    assert result.stdout.startswith(
        "First flight, past 6 m and down upright: broke\nBroke at 0.00 s: wound to 350 turns, part stick"
    )
    found = json.loads(CliRunner().invoke(main, [*words, "--json"], prog_name="paddlebar").stdout)
    assert found["outcome"] == "broke"
    assert [fault["code"] for fault in found["faults"]] == ["stick overloaded"]
    report = CliRunner().invoke(main, ["report", "x", "--no-margins", "--out", "page.html"], prog_name="paddlebar")
    assert report.exit_code in (0, 1), report.output
    replay = CliRunner().invoke(main, ["replay", "x", "--out", "replay.html"], prog_name="paddlebar")
    assert replay.exit_code == 0, replay.output
