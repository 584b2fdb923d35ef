"""Sentences of margins: each verdict, and each way in which the scenario's own flight may speak against it."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any, cast

import pytest

from paddlebar.stability.result import RunDownPoint
from paddlebar.stability.words import caution, sentence


def said(growth: float, tilt: float, spin: float = 5.0, outcome: str = "landed", **steady: Any) -> str:
    """A steady flight that turns at 5 deg/s, and a flight that leans and turns as given."""
    point = RunDownPoint(150.0, 3.0, growth, 2.0, 0.1, 400.0, 5.0, 0.3, 2.0, 1e-12, (), spin, tilt, ())
    near = SimpleNamespace(in_own_wake=False, climb_m_s=0.1, **steady)
    return caution(point, cast(Any, near), None, cast(Any, SimpleNamespace(outcome=outcome)))


def test_nothing_is_said_where_the_flight_does_as_the_verdict_says() -> None:
    assert said(-0.3, 4.0) == ""
    assert said(0.3, math.nan, outcome="tipped over") == ""
    assert said(-0.3, math.nan, outcome="touched wall") == ""


def test_a_stable_craft_that_tips_over_before_it_gets_there() -> None:
    assert "tips over before it comes to that steady flight with 150 turns left" in said(
        -0.3, math.nan, outcome="tipped over"
    )


def test_an_unstable_craft_that_stays_up_all_the_same() -> None:
    assert "leans no further than 7 deg with 150 turns left" in said(0.3, 7.0)


def test_a_flight_that_turns_otherwise_is_on_another_motion() -> None:
    """Twenty degrees a second are borne, not more, to either side."""
    assert said(-0.3, 7.0, 24.9) == said(-0.3, 7.0, -14.9) == ""
    assert "it turns at +26 deg/s on average, not at +5, and leans up to 7 deg" in said(-0.3, 7.0, 26.0)
    assert "it turns at -16 deg/s" in said(-0.3, 7.0, -16.0)


def test_what_is_steady_only_in_its_own_wake_says_which() -> None:
    sinks = cast(Any, SimpleNamespace(in_own_wake=True, climb_m_s=-1.25))
    flies = cast(Any, SimpleNamespace(in_own_wake=False, climb_m_s=0.0))
    nobody = cast(Any, None)
    assert caution(nobody, sinks, flies, nobody).startswith(
        "the craft was found steady only while it sinks at 1.25 m/s"
    )
    assert caution(nobody, flies, sinks, nobody).startswith("the craft with its bar disconnected was found steady only")
    assert caution(nobody, None, flies, nobody) == ""


@pytest.mark.parametrize(
    ("growth", "says"),
    [(-0.3, "die out, but the craft does not come to it"), (0.3, "grow faster with the bar; but")],
)
def test_growth_and_flights_that_disagree_are_told_with_both_times(growth: float, says: str) -> None:
    point = RunDownPoint(150.0, 3.0, growth, 2.0, 0.1, 400.0, 5.0, 0.3, 2.0, 1e-12, (), 0.0, math.nan, ())
    nobody = cast(Any, None)
    told = caution(point, nobody, nobody, cast(Any, SimpleNamespace(controlled_s=2.13)), 1.9)
    assert says in told
    assert "2.1 s" in told
    assert "1.9 s" in told


@pytest.mark.parametrize(
    ("words", "bar", "here", "there", "says"),
    [
        ("no help", True, math.nan, 1.0, "no steady motion was found anywhere along the run-down, so nothing can be said"),
        ("no help", False, 1.0, math.nan, "no bar: with 90 turns left a disturbance doubles in 0.69 s"),
        ("no help", False, -1.0, math.nan, "no bar: with 90 turns left disturbances die out, the slowest by half in 0.69 s"),
        ("stabilises", True, -0.5, math.nan, "the bar stabilises: with 90 turns left disturbances die out, the slowest by half in 1.4 s; "
         "no steady motion was found with the bar disconnected"),
        ("reverses", True, 2.0, -0.5, "the bar makes it worse: with 90 turns left a disturbance doubles in 0.35 s; "
         "with the bar disconnected they die out, half in 1.4 s"),
        ("slows the fall", True, 1.0, 2.0, "the bar slows the fall: with 90 turns left a disturbance doubles in 0.69 s; "
         "with the bar disconnected they double in 0.35 s"),
    ],
)  # fmt: skip
def test_each_verdict_in_words(words: str, bar: bool, here: float, there: float, says: str) -> None:
    """ln 2 over the growth."""
    assert sentence(words, bar, 90.0, here, there) == says
