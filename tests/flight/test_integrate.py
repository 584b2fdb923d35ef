"""The driver: how flights start, change on the way, and end; the traps of scipy's event finding."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from paddlebar.api import fly, load_scenario
from paddlebar.errors import BadInput
from paddlebar.files import parse_scenario
from paddlebar.flight import integrate, stretch
from paddlebar.flight.endings import WELL, Ending, Outcome

SCENARIOS = Path(__file__).parents[2] / "scenarios"
FIRST = SCENARIOS / "first-flight.toml"
FREE = {"launch.release": "free", "launch.hold_s": 0.0}


def flown(**changes):
    return fly(load_scenario(FIRST, {key.replace("__", "."): value for key, value in changes.items()}))


def with_mishap(text: str, **changes):
    source = FIRST.read_text() + f"\n[[mishap]]\n{text}\n"
    return fly(parse_scenario(source, "mishap.toml", SCENARIOS, {k.replace("__", "."): v for k, v in changes.items()}))


def test_a_craft_that_stands_on_the_floor_may_start():
    """With a direction of 0 scipy ends such a flight at once, 'successfully' (scipy's event at t = 0)."""
    low = 0.262  # the legs of the invented craft end there below the hub
    flight = flown(
        launch__height_m=low + 1e-9,
        launch__release="floor",
        launch__hold_s=0.0,
        run__duration_s=6.0,
        skein__turns=520.0,
    )
    assert [event.name for event in flight.events][0] == "release"
    assert flight.time[-1] > 3.0
    assert flight.height.max() > flight.height[0] + 0.05
    released = next(event.time_s for event in flight.events if event.name == "release")
    weight = 9.80665 * 10.43e-3
    at = int(np.searchsorted(flight.time, released))
    # lifted off when the thrust (less what the wash presses on the body) first carried the weight
    assert flight.rotor_thrust[at] == pytest.approx(weight, rel=0.15)


def test_a_craft_on_the_floor_is_not_let_go_by_a_clock():
    """hold_s left in the file dropped it after so long; now it stands until it lifts, and the file's reader is told."""
    flight = flown(launch__height_m=0.3, launch__release="floor", launch__hold_s=0.4, run__duration_s=0.6)
    assert [e.name for e in flight.events] == ["hold_s not used"]
    assert "stands until it lifts" in flight.events[0].sentence
    assert flight.outcome == "never let go"
    assert np.ptp(flight.position, axis=0).max() == 0.0


def test_the_last_sample_is_the_touch_down_itself():
    flight = flown(**FREE, launch__height_m=0.5, skein__turns=0.0, skein__backed_off=0.0, room__ground_effect=False)
    assert flight.outcome == "landed"
    assert flight.time[-1] == next(e.time_s for e in flight.events if e.name == "landed")
    assert flight.lowest_point[-1] == pytest.approx(0.0, abs=1e-9)


def test_a_dropped_stone_falls_as_it_should():
    """No turns, hardly any air: free fall from rest, t = sqrt(2 h / g)."""
    flight = flown(**FREE, launch__height_m=2.262, skein__turns=0.0, skein__backed_off=0.0, air__density_kg_m3=0.1)
    assert flight.time[-1] == pytest.approx(np.sqrt(2.0 * 2.0 / 9.80665), rel=0.03)


def test_a_held_craft_does_not_move_until_let_go():
    flight = flown(run__duration_s=1.5)
    held = flight.time < 1.0
    assert np.ptp(flight.position[held], axis=0).max() == 0.0
    assert np.ptp(flight.attitude[held], axis=0).max() == 0.0
    assert flight.rotor_speed[held][-1] > 30.0


def test_push_and_spin_are_given_at_release():
    flight = flown(run__duration_s=1.0001, launch__push_m_s=[1.0, 0.5, 0.25], launch__spin_deg_s=90.0)
    after = flight.time > 1.0 + 1e-9
    assert flight.velocity_body[after][0] == pytest.approx([1.0, 0.5, -0.25], abs=0.05)
    assert flight.spin[after][0] == pytest.approx(np.pi / 2, abs=0.1)


@pytest.mark.parametrize(
    ("changes", "outcome"),
    [
        ({"room__ceiling_m": 1.9, "skein__turns": 450.0}, "touched ceiling"),
        ({"launch__push_m_s": [0.0, 2.0, 0.0], "room__width_m": 1.2}, "touched wall"),
        ({"run__duration_s": 2.0}, "still flying"),
        ({"craft__bar__gain": -0.46, "launch__height_m": 4.0}, "tipped over"),
    ],
)
def test_each_ending_has_its_code(changes, outcome):
    flight = flown(**changes)
    assert flight.outcome == outcome
    assert flight.sentence
    assert flight.complete


def test_tipping_goes_on_to_the_floor_if_asked():
    flight = flown(craft__bar__gain=-0.46, launch__height_m=4.0, run__after_tipping="fly on")
    assert flight.outcome == "tipped over"
    assert flight.events[-1].name == "crashed"
    assert flight.lowest_point[-1] == pytest.approx(0.0, abs=1e-9)


def test_time_never_goes_back_and_no_sample_is_doubled():
    flight = with_mishap('what = "cord off"\nat_s = 2.0', run__duration_s=4.0)
    assert (np.diff(flight.time) > 0.0).all()


@pytest.mark.parametrize("method", ["DOP853", "RK45", "LSODA", "Radau", "BDF"])
def test_every_method_of_scipy_flies_the_same_flight(method):
    reference = flown(run__duration_s=1.6, run__rtol=1e-8)
    flight = flown(run__duration_s=1.6, run__rtol=1e-7, run__method=method)
    assert flight.position[-1] == pytest.approx(reference.position[-1], abs=2e-5)
    assert flight.solver["method"] == method


def test_mishap_at_turns_strikes_at_those_turns():
    flight = with_mishap('what = "cord off"\nat_turns = 305', run__duration_s=4.0)
    struck = next(e.time_s for e in flight.events if e.name == "cord off")
    assert np.interp(struck, flight.time, flight.turns_left) == pytest.approx(305.0, abs=1e-3)


def test_cord_off_spins_the_body_against_the_rotor():
    """Counter-clockwise rotor (nose would go left with it): the freed body turns its nose to the right."""
    flight = with_mishap('what = "cord off"\nat_s = 2.0', run__duration_s=4.0)
    before = flight.spin[flight.time < 2.0]
    assert abs(before[-1]) < 1.0
    assert flight.spin[-1] > 5.0
    assert flight.tail_speed[-1] < 0.3 * flight.tail_speed[flight.time < 2.0][-1]


def test_broken_skein_gives_no_more_torque_and_its_energy_is_booked():
    flight = with_mishap('what = "skein breaks"\nat_s = 2.0', run__duration_s=2.5)
    assert flight.skein_torque[-1] == 0.0
    assert flight.ledger["parts lost"][-1] > 1.0
    assert flight.energy_error < 1e-6


@pytest.mark.parametrize("what", ["bar locked", "teeter locked"])
def test_a_joint_that_locks_stops_dead_and_loses_energy(what):
    flight = with_mishap(f'what = "{what}"\nat_s = 2.0', run__duration_s=2.3)
    rate = flight.bar_rate if what == "bar locked" else flight.flap_rate[:, 0]
    after = flight.time > 2.0 + 1e-6
    assert np.abs(rate[after]).max() == 0.0
    assert flight.ledger["parts lost"][-1] >= 0.0
    assert flight.energy_error < 1e-5  # of the little that was let out by then


@pytest.mark.parametrize("what", ["tip mass lost", "paddle lost"])
def test_a_lost_part_leaves_the_rest_at_its_speed(what):
    # a tolerance of the solver that lets the ledger show what the mishap does to it, and not the solver's own error
    paddles = {"paddle_span_mm": 20.0, "paddle_chord_mm": 15.0, "paddle_mass_g": 0.05, "paddle_centre_mm": 80.0}
    having = {f"craft__bar__{key}": value for key, value in paddles.items() if what == "paddle lost"}
    flight = with_mishap(f'what = "{what}"\nat_s = 2.0\narm = 1', run__duration_s=2.2, run__rtol=1e-6, **having)
    at = int(np.searchsorted(flight.time, 2.0))
    assert abs(np.diff(flight.rotor_speed)[at - 2 : at + 2]).max() < 1.0
    assert flight.energy_error < 1e-6


def test_run_out_freewheels_rewinds_or_locks():
    short = {"skein__turns": 12.0, "skein__backed_off": 0.0, "launch__hold_s": 12.0, "run__duration_s": 11.0}
    free = flown(**short, craft__skein__run_out="freewheel")
    wound = flown(**short, craft__skein__run_out="rewinds")
    locked = flown(**short, craft__skein__run_out="locked")
    for flight in (free, wound, locked):
        assert "run down" in [e.name for e in flight.events]
        assert flight.energy_error < 1e-5
    assert free.turns_left[-1] == 0.0
    assert free.skein_torque[-1] == 0.0
    assert wound.turns_left.min() < -0.2
    assert wound.skein_torque.min() < 0.0
    assert locked.rotor_speed[-1] == 0.0


@pytest.mark.parametrize("tension", [86.0, 87.0, 88.0])
def test_a_cord_just_tight_enough_slips_once_at_a_crest_and_does_not_chatter(tension):
    """The drive's losses are the same just before and just after it slips; else it would grip and slip without end."""
    flight = flown(run__duration_s=2.0, skein__turns=490.0, craft__tail__cord_tension_mN=tension)
    assert flight.outcome == "still flying"
    assert (
        sum(e.name in ("cord slips", "cord grips") for e in flight.events) <= 40
    )  # two crests a revolution at most, 6.5 revolutions a second
    assert abs(flight.ledger["residual"]).max() < 1e-4


def test_a_cord_that_grips_too_little_slips_from_the_start_and_says_so():
    """Two seconds: at 2.2 s its spin throws the bar to its stops."""
    flight = flown(run__duration_s=2.0, craft__tail__cord_tension_mN=20.0)
    assert flight.events[0].name == "cord slips"
    assert flight.tail_speed[-1] < 4.8 * flight.rotor_speed[-1]
    assert flight.ledger["shaft and cord"][-1] > flown(run__duration_s=2.0).ledger["shaft and cord"][-1]
    assert flight.energy_error < 1e-6


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"launch__height_m": 0.1}, "launch.height_m"),
        ({"launch__height_m": 7.99}, "launch.height_m"),  # the bar stands 14 mm above the hub,
        ({"room__width_m": 0.3}, "room.width_m"),
    ],
)
def test_a_start_inside_floor_ceiling_or_wall_is_refused(changes, key):
    with pytest.raises(BadInput, match=key) as caught:
        flown(**changes)
    assert "\n" not in str(caught.value)


def test_a_numerical_failure_keeps_what_was_flown_and_names_the_state(monkeypatch):
    """From 1.3 s on the right-hand side gives nan for the bar's rate (to scipy's own steps): the flight before that must come back."""
    monkeypatch.setattr(stretch, "COMPILED", {})
    whole = integrate.rhs.rhs

    def broken(t, y, params, tables, gusts, work):
        out = whole(t, y, params, tables, gusts, work)
        if t > 1.3:
            out[integrate.layout.BAR_RATE] = np.nan
        return out

    monkeypatch.setattr(integrate.rhs, "rhs", broken)
    flight = flown(run__duration_s=3.0)
    assert flight.outcome == "failed"
    assert not flight.complete
    assert 1.2 < flight.time[-1] <= 1.3 + 1e-3
    assert np.isfinite(flight.position).all()
    assert "t = 1." in flight.sentence


def test_outcomes_are_the_promised_codes_and_two_of_them_are_good():
    assert {outcome.value for outcome in Outcome} == {
        "landed", "crashed", "tipped over", "touched ceiling", "touched wall", "still flying", "out of control", "never let go",
        "broke", "failed",
    }  # fmt: skip
    assert {outcome.value for outcome in WELL} == {"landed", "still flying"}
    assert [outcome.exit_code for outcome in Outcome] == [int(outcome not in WELL) for outcome in Outcome]


def test_a_cue_at_the_launch_strikes_before_anything_else():
    """The skein breaks as it is let go: not a turn is used that the rotor does not coast."""
    flight = with_mishap('what = "skein breaks"\nat_s = 0.0', **FREE, run__duration_s=0.5)
    assert next(event.time_s for event in flight.events if event.name == "skein breaks") == pytest.approx(0.0, abs=1e-8)
    assert np.abs(flight.skein_torque[flight.time > 1e-6]).max() == 0.0


def test_a_tail_on_its_own_skein_runs_down_once_and_has_no_cord_to_come_off():
    own = {
        "craft.tail.drive": "skein", "craft.tail.skein.mass_g": 0.3, "craft.tail.skein.length_mm": 120.0,
        "craft.tail.skein.hooks_mm": [[-240.0, 0.0, -105.0], [-120.0, 0.0, -105.0]], "skein.tail_turns": 20.0, "run.duration_s": 2.0, "run.rtol": 1e-9,  # the cue cuts a step, nothing else
    }  # fmt: skip
    source = FIRST.read_text() + '\n[[mishap]]\nwhat = "cord off"\nat_s = 1.5\n'
    with pytest.raises(BadInput, match="the craft has no cord"):
        parse_scenario(source, "mishap.toml", SCENARIOS, own)
    plain = fly(load_scenario(FIRST, own))
    # when its twenty turns are used
    (when,) = [event.time_s for event in plain.events if event.name == "tail run down"]
    assert np.interp(when, plain.time, plain.tail_angle) == pytest.approx(2.0 * np.pi * 20.0, rel=1e-3)


def test_a_flight_that_only_switches_is_stopped_and_says_so(monkeypatch):
    """Three stretches in a tenth of a second allowed where five cues are due: what was flown is kept. In a shorter time they would be too many."""
    monkeypatch.setattr(integrate, "MOST_SWITCHES", 3)
    monkeypatch.setattr(integrate, "WITHIN_S", 0.1)
    what = ('"cord slips"', '"cord off"', '"bar locked"', '"tip mass lost"\narm = 1', '"tip mass lost"\narm = 2')
    cues = "".join(f"\n[[mishap]]\nwhat = {each}\nat_s = {0.01 * k}\n" for k, each in enumerate(what, start=1))
    scenario = parse_scenario(FIRST.read_text() + cues, "mishap.toml", SCENARIOS, {"run.duration_s": 1.0})
    flight = fly(scenario)
    assert flight.outcome == "failed"
    assert Ending.CHATTER.failed
    assert ": 3 switches between cord, stops and cues within 0.1 s; kept up to there" in flight.sentence
    assert 0.0 < flight.time[-1] < 0.05
    assert np.isfinite(flight.position).all()
    monkeypatch.setattr(integrate, "WITHIN_S", 0.005)
    assert fly(scenario).outcome != "failed"
