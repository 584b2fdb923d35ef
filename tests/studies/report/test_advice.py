"""What to change first, said of made-up flights: each reason alone, and what silences it."""

from __future__ import annotations

import dataclasses
import functools
import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from factories import made_up_flight
from paddlebar import check, load_scenario
from paddlebar.studies.report.advice import Advice, advice
from paddlebar.studies.report.trials import Trial

SCENARIO_FILE = Path(__file__).parents[3] / "scenarios" / "first-flight.toml"


@functools.cache
def scenario():
    return load_scenario(SCENARIO_FILE)


@functools.cache
def look():
    return check(scenario().craft)


@pytest.fixture(scope="module")
def flight():
    """Landed, skein run down, nose held still."""
    made = made_up_flight()
    return dataclasses.replace(made, heading=0.0 * made.heading, turns_left=np.minimum(made.turns_left, 400.0) * 0.1)


def given(
    flight, tried: tuple[Trial, ...] = (), margins: Any = None, given_scenario=None, given_look=None, yaw=None
) -> list[Advice]:
    return list(advice(flight, given_scenario or scenario(), given_look or look(), margins, yaw, tried))


def of(found: list[Advice], words: str) -> Advice:
    (only,) = [each for each in found if words in each.why]
    return only


def tipped(flight):
    event = dataclasses.replace(flight.events[0], name="tipped over", time=4.0)
    return dataclasses.replace(flight, outcome="tipped over", events=[*flight.events, event])


def test_no_single_change_that_keeps_it_up_says_which_were_flown(flight):
    """Twelve seconds were flown: two and a half more in control help, two do not, however much longer the fall takes."""
    poor = Trial(
        "gain up",
        "--set craft.bar.gain=1",
        "tipped over",
        14.0,
        90.0,
        well=False,
        longer_s=5.0,
        controlled_s=9.0,
        gained_s=2.0,
    )
    longer = dataclasses.replace(poor, words="lead back", gained_s=2.5, controlled_s=9.5)
    found = given(tipped(flight), (longer, poor))
    assert [each.do for each in found if each.rests_on == "flown so"] == [
        "lead back (--set craft.bar.gain=1)",
        "look wider: paddlebar map",
    ]
    assert of(found, "none of the single changes").why.endswith("keeps it up: lead back, gain up")
    saved = dataclasses.replace(poor, outcome="landed", well=True)
    assert "none of the single" not in str(given(tipped(flight), (saved, poor)))
    assert "flown so" not in {each.rests_on for each in given(flight, (saved,))}


@pytest.mark.parametrize(("sense", "way"), [(1.0, "right"), (-1.0, "left")])
def test_a_body_that_spins_is_told_which_way_and_who_turns_it(flight, sense, way):
    """70 deg/s on average; 50 are left alone, and so is what is upside down."""
    turning = dataclasses.replace(flight, heading=sense * math.radians(70.0) * flight.time)
    yaw = SimpleNamespace(rotor_moment_mn_m=np.array([1.0, math.nan]), tail_moment_mn_m=np.array([-0.5, math.nan]))
    why = of(given(turning, yaw=yaw), "the body spins").why
    assert (
        why
        == f"the body spins to the {way}, 70 deg/s on average; the rotor turns it with +1.00 mN m, the tail with -0.50"
    )
    slow = dataclasses.replace(flight, heading=sense * math.radians(50.0) * flight.time)
    assert "spins" not in str(given(slow))
    assert "spins" not in str(given(tipped(turning)))


def test_a_flight_of_a_moment_has_no_spin():
    made = made_up_flight(duration=1.0)
    late = dataclasses.replace(made.events[0], name="release", time=float(made.time[-1]))
    assert "spins" not in str(given(dataclasses.replace(made, events=[late])))


def test_turns_left_in_the_skein_say_what_hovering_takes(flight):
    """A hundred of 400 turns are a quarter."""
    early = dataclasses.replace(flight, turns_left=np.full(flight.time.size, 101.0))
    why = of(given(early), "it came down").why
    assert why.startswith("it came down with 101 of 400 turns left: the skein then gave")
    assert "to hover takes" in why
    assert "it came down" not in str(given(dataclasses.replace(flight, turns_left=np.full(flight.time.size, 99.0))))
    heavy = load_scenario(SCENARIO_FILE, {"craft.rotor.collective_deg": -15.0})
    assert "cannot lift the craft at any speed" in of(given(early, given_scenario=heavy), "it came down").why


EDGES = {
    "margin_reasons": {"gain": ("", "")}, "turns_at_verdict": 200.0, "worst_growth_per_s": 0.4,
    "gain_margin": (None, None), "lead_margin_deg": (None, None), "mass_margin_g": (None, None),
}  # fmt: skip


def test_the_nearest_edge_of_the_verdict(flight):
    """Where it holds: to be kept away from, or nothing if far; where it does not: look wider; without any edge nothing."""
    near = SimpleNamespace(verdict="stabilises", **{**EDGES, "lead_margin_deg": (-2.0, None)})
    lead = scenario().craft.bar.lead_deg
    said = of(given(flight, margins=near), "the verdict (stabilises) changes")
    assert f"lead of the bar goes from {lead:g} to {lead - 2.0:.3g} deg" in said.why
    assert said.do == "keep the lead of the bar away from there while building"
    far = SimpleNamespace(verdict="stabilises", **{**EDGES, "lead_margin_deg": (-90.0, None)})
    assert of(given(flight, margins=far), "the verdict (stabilises)").do == "nothing: that is far"
    bad = SimpleNamespace(verdict="no help", **{**EDGES, "gain_margin": (0.9, None)})
    assert "paddlebar map" in of(given(flight, margins=bad), "the verdict (no help)").do
    none = SimpleNamespace(verdict="no help", **EDGES)
    assert "the verdict" not in str(given(flight, margins=none))


def test_more_turns_where_stick_and_skein_bear_them(flight):
    thick = {"craft.part.stick.diameter_mm": 6.0, "craft.part.stick.mass_g": 1.7, "craft.all_up_g": 11.3}
    strong = load_scenario(SCENARIO_FILE, {"skein.turns": 200.0, **thick})
    assert (
        "for a longer flight wind more"
        in of(given(flight, given_scenario=strong, given_look=check(strong.craft)), "wound to 200").do
    )
    thin = {"craft.part.stick.diameter_mm": 3.0, "craft.part.stick.mass_g": 0.42, "craft.all_up_g": 10.1}
    weak = load_scenario(SCENARIO_FILE, {"skein.turns": 200.0, **thin})
    assert "wind more" not in str(given(flight, given_scenario=weak, given_look=check(weak.craft)))


def test_where_nothing_stands_out_it_says_so(flight):
    quiet = dataclasses.replace(look(), findings=())
    full = load_scenario(SCENARIO_FILE, {"skein.turns": 485.0, "skein.backed_off": 0.0})
    calm = dataclasses.replace(flight, events=[event for event in flight.events if event.name != "cord slips"])
    (only,) = given(calm, given_look=quiet, given_scenario=full)
    assert (only.why, only.rests_on) == ("nothing stands out in this flight", "flight")
