"""How a flight went: closed cases on made-up arrays, then flights. Figures of the closed cases are reckoned by hand."""

from __future__ import annotations

import dataclasses
import math
from pathlib import Path

import numpy as np
import pytest

from paddlebar.api import fly, load_scenario
from paddlebar.flight import judgement
from paddlebar.flight.endings import Ending, Outcome
from paddlebar.flight.judgement import Judgement, Motion, Noted, graded, judge, touch_down
from paddlebar.flight.stretches import means, stretches

SCENARIOS = Path(__file__).parents[2] / "scenarios"
FIRST = SCENARIOS / "first-flight.toml"
DEG = math.pi / 180.0


def motion(duration: float = 10.0, step: float = 0.01, **changes) -> Motion:
    """Upright, still, with its turns used up, landing softly; `changes`: a number or an array of the time."""
    time = np.linspace(0.0, duration, round(duration / step) + 1)
    plain = {
        "lean": 0.0, "spin": 0.0, "climb": -0.5, "rotor_speed": 40.0, "tail_speed": 120.0, "lift": 1.1, "turns_left": 10.0,
        "bar_over": -0.3, "blades_over": -0.2, "tail_push": -2e-3, "rotor_torque": 2e-3,
    }  # fmt: skip
    arrays = {
        name: np.broadcast_to(np.asarray(value(time) if callable(value) else value, dtype=float), time.shape).copy()
        for name, value in {**plain, **{k: v for k, v in changes.items() if k in plain}}.items()
    }
    rest = {"released": 0.0, "cord_ratio": 3.0, "wound": 100.0} | {k: v for k, v in changes.items() if k not in plain}
    return Motion(time=time, **arrays, **rest)


def between(start: float, stop: float, inside: float, outside: float = 0.0):
    return lambda t: np.where((t >= start - 1e-9) & (t < stop - 1e-9), inside, outside)


def codes(found: Judgement) -> list[str]:
    return [fault.code for fault in found.faults]


def test_a_flight_without_a_fault_flew_well():
    found = judge(motion(), Ending.FLOOR)
    assert found.outcome == "landed"
    assert found.controlled_s == pytest.approx(10.0)
    assert found.faults == ()
    assert found.flew_well
    assert found.graded_s == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("lean_deg", "climb", "outcome"),
    [(0.0, -0.5, "landed"), (29.9, -1.99, "landed"), (30.1, -0.5, "crashed"), (5.0, -2.01, "crashed"), (179.0, 0.5, "crashed")],
)  # fmt: skip
def test_landed_is_upright_and_soft(lean_deg, climb, outcome):
    assert touch_down(lean_deg * DEG, climb) == outcome
    found = judge(motion(lean=lambda t: np.where(t > 9.8, lean_deg * DEG, 0.0), climb=climb), Ending.FLOOR)
    assert found.outcome == outcome
    assert found.flew_well == (outcome == "landed")


@pytest.mark.parametrize(
    ("ending", "noted", "outcome"),
    [
        (Ending.CEILING, Noted(), "touched ceiling"),
        (Ending.WALL, Noted(), "touched wall"),
        (Ending.TIME, Noted(), "still flying"),
        (Ending.TIPPED, Noted(tipped=True), "tipped over"),
        (Ending.FLOOR, Noted(tipped=True), "tipped over"),
        (Ending.BEYOND, Noted(tipped=True), "tipped over"),
        (Ending.BROKE, Noted(broke=True), "broke"),
        (Ending.FLOOR, Noted(tipped=True, broke=True), "broke"),
        (Ending.STUCK, Noted(tipped=True), "failed"),
        (Ending.CHATTER, Noted(broke=True), "failed"),
    ],
)
def test_what_ended_it_and_what_happened_before(ending, noted, outcome):
    assert judge(motion(), ending, noted).outcome == outcome


@pytest.mark.parametrize(
    ("lean_deg", "spin_deg_s", "outcome"),
    [(44.0, 0.0, "still flying"), (46.0, 0.0, "out of control"), (0.0, 350.0, "still flying"), (0.0, -370.0, "out of control")],
)  # fmt: skip
def test_when_the_time_is_up(lean_deg, spin_deg_s, outcome):
    found = judge(motion(lean=lean_deg * DEG, spin=spin_deg_s * DEG), Ending.TIME)
    assert found.outcome == outcome
    assert found.controlled_s == 0.0
    assert not found.flew_well


def test_held_and_standing_are_never_let_go():
    held = judge(motion(released=math.nan), Ending.HELD)
    assert (held.outcome, held.controlled_s, codes(held)) == ("never let go", 0.0, ["never let go"])
    stands = judge(motion(released=math.nan, stands=True, lift=0.8), Ending.STANDS)
    assert stands.outcome == "never let go"
    assert codes(stands) == ["could not lift", "never let go"]
    assert "0.80 of the weight" in stands.faults[0].sentence


def test_controlled_time_counts_from_letting_go_to_the_first_lasting_loss():
    # of 60 deg the means over 0.2 s pass 30 where they begin and where they end
    found = judge(motion(released=1.0, lean=between(4.0, 6.0, 60.0 * DEG)), Ending.FLOOR)
    assert found.controlled_s == pytest.approx(3.0, abs=0.01)
    (fault,) = found.faults
    assert fault.code == "leaned"
    assert fault.from_s == pytest.approx(4.0, abs=0.01)
    assert fault.sentence == "leaned past 30 deg from 4.0 to 6.0 s, 60 deg at most"


def test_a_loss_that_is_caught_within_half_a_second_is_none():
    assert judge(motion(lean=between(4.0, 4.4, 40.0 * DEG)), Ending.FLOOR).flew_well
    assert codes(judge(motion(lean=between(4.0, 4.7, 40.0 * DEG)), Ending.FLOOR)) == ["leaned"]
    # two short ones so near to each other are one
    twice = motion(lean=lambda t: between(4.0, 4.4, 40.0 * DEG)(t) + between(4.5, 4.9, 40.0 * DEG)(t))
    assert codes(judge(twice, Ending.FLOOR)) == ["leaned"]


def test_a_loss_in_which_the_flight_ends_counts_however_short():
    found = judge(motion(lean=lambda t: np.where(t > 9.75, 80.0 * DEG, 0.0)), Ending.FLOOR)
    assert found.outcome == "crashed"
    assert codes(found) == ["leaned"]
    assert found.controlled_s == pytest.approx(9.7, abs=0.05)


def test_shaking_within_a_turn_of_the_rotor_is_no_spin():
    """150 deg/s on average, 100 either way at 13 Hz: past 180 a third of the time, and in control."""
    shaken = motion(step=0.002, spin=lambda t: (150.0 + 100.0 * np.sin(2.0 * np.pi * 13.0 * t)) * DEG)
    assert judge(shaken, Ending.FLOOR).flew_well
    faster = motion(step=0.002, spin=lambda t: -(200.0 + 100.0 * np.sin(2.0 * np.pi * 13.0 * t)) * DEG)
    found = judge(faster, Ending.FLOOR)
    assert codes(found) == ["spun"]
    assert "nose to the left" in found.faults[0].sentence
    assert found.controlled_s == 0.0


def hits(*at: float, lasting: float = 0.02):
    return lambda t: np.where(np.any([(t >= a) & (t < a + lasting) for a in at], axis=0), 0.01, -0.1)


def test_a_stop_touched_once_is_told_and_counts_for_nothing():
    found = judge(motion(bar_over=hits(4.0), blades_over=hits(5.0)), Ending.FLOOR)
    assert [fault.matters for fault in found.faults] == [False, False]
    assert [fault.sentence for fault in found.faults] == [
        "the bar touched its stops for a moment at 4.0 s", "the blades touched their stops for a moment at 5.0 s",
    ]  # fmt: skip
    assert found.flew_well
    assert found.controlled_s == pytest.approx(10.0)


def test_a_stop_hammered_turn_after_turn_is_a_loss_of_control():
    found = judge(motion(bar_over=hits(*np.arange(4.0, 5.0, 0.15))), Ending.FLOOR)
    (fault,) = found.faults
    assert (fault.code, fault.matters) == ("struck its stops", True)
    assert fault.from_s == found.controlled_s == pytest.approx(4.0, abs=0.01)
    # three hits in a third of a second are over before that
    assert judge(motion(bar_over=hits(4.0, 4.15, 4.3)), Ending.FLOOR).controlled_s == pytest.approx(10.0)
    # hits a second apart are knocks, however many
    assert judge(motion(bar_over=hits(*np.arange(1.0, 9.0))), Ending.FLOOR).flew_well


def test_coming_down_wound_and_hard():
    found = judge(motion(turns_left=60.0, climb=-3.0), Ending.FLOOR)
    assert found.outcome == "crashed"
    assert {fault.sentence for fault in found.faults} == {
        "hit the floor hard, with 3.0 m/s", "came down with its rubber wound: 60 of 100 turns left, 60%",
    }  # fmt: skip
    assert judge(motion(turns_left=24.0), Ending.FLOOR).flew_well
    assert judge(motion(turns_left=60.0), Ending.TIME).flew_well  # it has not come down
    assert judge(motion(turns_left=60.0, wound=0.0), Ending.FLOOR).flew_well  # the skein broke on cue


def test_a_rotor_that_never_pulls_its_weight():
    found = judge(motion(lift=0.8), Ending.FLOOR)
    assert codes(found) == ["could not lift"]
    assert judge(motion(lift=between(0.0, 0.5, 1.01, 0.8)), Ending.FLOOR).flew_well
    assert judge(
        motion(lift=0.8, wound=0.0), Ending.FLOOR
    ).flew_well  # nothing was wound: nothing else is to be expected


def test_a_tail_that_pushes_with_the_rotor():
    found = judge(motion(tail_push=0.8e-3), Ending.FLOOR)
    assert codes(found) == ["tail pushes with the rotor"]
    assert "0.80 mN m on top of 2.00" in found.faults[0].sentence
    assert judge(motion(tail_push=0.05e-3), Ending.FLOOR).flew_well  # next to nothing
    # only the first half second counts: what a tail does in a spin that others began is not its fault
    later = judge(motion(tail_push=lambda t: np.where(t > 1.0, 1e-3, -2e-3)), Ending.FLOOR)
    assert later.flew_well
    assert "tail pushes with the rotor" not in codes(judge(motion(tail_push=1e-3, spin=700.0 * DEG), Ending.FLOOR))
    assert judge(motion(tail_push=1e-3, undriven=0.0), Ending.FLOOR).flew_well


def test_a_cord_that_slips():
    slow = motion(released=1.0, tail_speed=between(3.1, 6.0, 60.0, 120.0))
    (fault,) = judge(slow, Ending.FLOOR).faults
    assert (fault.code, fault.matters) == ("cord slipped", True)
    assert fault.sentence == "cord slipped from 3.1 to 6.0 s"
    start = motion(released=1.0, tail_speed=between(0.1, 0.3, 60.0, 120.0))
    (fault,) = judge(start, Ending.FLOOR).faults
    assert not fault.matters
    assert fault.sentence == "cord slipped from 0.1 to 0.3 s, while the rotor came up to speed"
    assert judge(dataclasses.replace(slow, undriven=3.0), Ending.FLOOR).flew_well  # it is off
    assert judge(dataclasses.replace(slow, cord_ratio=0.0), Ending.FLOOR).flew_well  # there is none


def test_a_launch_past_the_tilt_limit_is_told_as_that():
    found = judge(motion(lean=101.0 * DEG, limit=100.0 * DEG), Ending.BEYOND, Noted(tipped=True))
    assert found.outcome == "tipped over"
    assert set(codes(found)) == {"leaned", "launched beyond the tilt limit"}
    assert "launched beyond the tilt limit" not in codes(
        judge(motion(lean=99.0 * DEG, limit=100.0 * DEG), Ending.FLOOR)
    )


def test_what_matters_stands_first():
    found = judge(motion(bar_over=hits(1.0), lean=between(4.0, 6.0, 40.0 * DEG), turns_left=60.0), Ending.FLOOR)
    assert [fault.matters for fault in found.faults] == [True, True, False]
    assert [fault.from_s for fault in found.faults[:2]] == sorted(fault.from_s for fault in found.faults[:2])


def test_the_graded_figure_by_hand():
    time = np.linspace(0.0, 8.0, 801)
    still = np.zeros_like(time)
    assert graded(time, still, still) == pytest.approx(8.0)
    assert graded(time, still + 30.0 * DEG, still) == pytest.approx(4.0)
    assert graded(time, still, still - 360.0 * DEG) == pytest.approx(8.0 / 17.0)
    assert graded(time, still + 60.0 * DEG, still + 360.0 * DEG) == pytest.approx(8.0 / 33.0)


def test_of_two_lost_flights_the_graded_figure_prefers_the_one_less_lost():
    """Where controlled time is the same nothing for all, a search still sees which way is up."""
    kinds = [judge(motion(spin=rate * DEG), Ending.FLOOR) for rate in (700.0, 500.0, 300.0, 190.0)]
    assert {found.controlled_s for found in kinds} == {0.0}
    assert np.all(np.diff([found.graded_s for found in kinds]) > 0.0)


def test_means_are_those_of_straight_lines():
    time = np.array([0.0, 0.05, 0.3, 0.35, 1.0])
    assert means(time, 3.0 * time, 0.2)[2] == pytest.approx(0.9)  # symmetric about the moment
    assert means(time, np.ones(5), 0.2) == pytest.approx(np.ones(5))
    assert means(time[:1], np.ones(1)).tolist() == [1.0]
    assert means(np.zeros(2), np.array([1.0, 2.0])).tolist() == [1.0, 2.0]


def test_stretches_begin_and_end_between_samples():
    time = np.array([0.0, 1.0, 2.0, 3.0, 4.0])
    (found,) = stretches(time, np.array([-1.0, 1.0, 3.0, -1.0, -1.0]), np.array([5.0, 6.0, 7.0, 8.0, 9.0]), gap=0.0)
    assert (found.start, found.stop, found.most, found.open) == (0.5, 2.75, 7.0, False)
    assert stretches(time, -np.ones(5), np.ones(5)) == []
    (found,) = stretches(time, np.ones(5), np.ones(5))
    assert (found.start, found.stop, found.open) == (0.0, 4.0, True)


# flights


def flown(name: str = "first-flight", **changes):
    return fly(load_scenario(SCENARIOS / f"{name}.toml", {k.replace("__", "."): v for k, v in changes.items()}))


SHIPPED = {
    "long-flight": ("landed", True, []),
    "printed-first": ("landed", True, []),
    "first-flight": ("landed", True, []),
    "rigid-head": ("crashed", False, ["leaned", "spun", "came down with its rubber wound"]),  # 74 deg at most
    "cord-slips": ("landed", False, ["cord slipped", "spun"]),
    "no-bar": ("tipped over", False, ["leaned", "hit hard", "came down with its rubber wound"]),
}


@pytest.mark.parametrize("name", SHIPPED)
def test_shipped_flights(name):
    outcome, well, expected = SHIPPED[name]
    flight = flown(name)
    assert flight.outcome == flight.summary["outcome"] == outcome
    assert flight.flew_well == flight.summary["flew_well"] == well
    assert [fault.code for fault in flight.faults if fault.matters] == expected
    assert flight.controlled_s == flight.summary["controlled_s"]


def wrong_tail(**changes):
    """The craft of the sports hall as the first template had it: its tail on the wrong side."""
    return flown(craft__tail__thrust_to="left", **changes)


def test_the_wrong_side_of_the_tail_is_named():
    flight = wrong_tail()
    assert flight.outcome in ("crashed", "tipped over", "out of control")
    assert "tail pushes with the rotor" in {fault.code for fault in flight.faults if fault.matters}
    assert flight.controlled_s < 1.0
    assert not any(fault.code == "tail pushes with the rotor" for fault in flown().faults)


def test_held_without_a_time_is_never_let_go():
    flight = flown(launch__hold_s=0.0, run__duration_s=2.0)
    assert flight.outcome == "never let go"
    assert flight.sentence == "still held after 2.00 s"


@pytest.mark.parametrize(("tilt", "sentence"), [(99.0, "tipped past 100 deg"), (101.0, "let go 101 deg from upright, beyond the tilt limit")])  # fmt: skip
def test_either_side_of_the_tilt_limit_it_tipped_over(tilt, sentence):
    flight = flown(launch__tilt_deg=tilt)
    assert flight.outcome == "tipped over"
    assert flight.sentence.startswith(sentence)


def test_past_the_tilt_limit_it_may_fly_on_and_has_tipped_over():
    flight = flown(launch__tilt_deg=101.0, run__after_tipping="fly on")
    assert flight.outcome == "tipped over"
    assert flight.time[-1] > 1.2
    assert flight.events[-1].name == "crashed"


def test_a_skein_run_out_leaves_the_rotor_stopped_and_turned_backwards():
    """Nine degrees of pitch and few turns, high up: 3 to 4 m/s to the floor."""
    flight = flown(skein__turns=80.0, skein__backed_off=0.0, launch__height_m=20.0, room__ceiling_m=60.0)
    (event,) = [each for each in flight.events if each.name == "rotor stopped"]
    assert "then turned backwards" in event.sentence
    assert np.interp(event.time_s, flight.time, flight.rotor_speed) == pytest.approx(0.0, abs=0.5)
    assert flight.rotor_speed[flight.time > event.time_s].min() < -3.0
    assert "it sank with 3." in event.sentence
    assert flight.summary["powered_s"] <= event.time_s


def test_numbers_of_the_judgement_are_named_once():
    assert pytest.approx(math.radians(30.0)) == judgement.LEAN
    assert pytest.approx(math.radians(180.0)) == judgement.SPIN
    assert Outcome("landed") is Outcome.LANDED
