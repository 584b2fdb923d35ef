"""The bench's flights against `fly`, and its controls."""

from __future__ import annotations

import numpy as np
import pytest

import paddlebar
from paddlebar.bench_page.rested import light
from paddlebar.bench_page.source import loaded
from paddlebar.ensemble.whole import Dropped, flown
from paddlebar.errors import BadInput


def test_it_flies_as_fly_does(bench):
    """Two methods at one tolerance of 1e-4: places agree to a millimetre, the judgement word for word."""
    mine, own = flown(bench.plain), paddlebar.fly(bench.plain)
    for k in range(3):
        assert np.interp(own.time, mine.time, mine.position[:, k]) == pytest.approx(own.position[:, k], abs=1e-3)
    assert mine.outcome == own.outcome
    assert mine.summary["controlled_s"] == pytest.approx(own.summary["controlled_s"], abs=0.02)
    assert mine.energy_error < 1e-3


def test_what_nobody_waits_for_is_given_up(bench):
    with pytest.raises(Dropped):
        flown(bench.plain, lambda: False)


def test_the_ends_of_every_slider_are_allowed(bench):
    asleep = bench.standing(bench.plain)["idle"]
    for index, control in enumerate(bench.controls):
        if control.choices or str(index) in asleep:
            continue
        assert control.low < control.high, control.key
        for end in (control.low, control.high):
            bench.scenario(0, [(index, float(f"{end:.3g}"))])


def test_a_sense_that_can_be_turned_round_has_a_slider_to_both_sides(bench, at):
    gain = bench.controls[at("craft.bar.gain")]
    assert gain.low == -gain.high < 0.0


def test_every_group_has_what_matters_first(bench):
    foremost = [control for control in bench.controls if control.foremost]
    assert {control.group for control in foremost} == {"blades", "bar", "rubber", "tail", "balance", "launch", "air"}
    assert len(foremost) < 40


def test_what_does_nothing_says_why(bench, at):
    asleep = bench.standing(bench.plain)["idle"]
    assert asleep[str(at("craft.head.hinge_offset_mm"))] == 'a head of kind "teetering" does not use it'
    assert asleep[str(at("craft.bar.paddle_chord_mm"))].startswith("there are no paddles")
    paddles = {"span_mm": 4.0, "chord_mm": 6.0, "centre_mm": 80.0}
    with_paddles = bench.scenario(0, [(at(f"craft.bar.paddle_{name}"), value) for name, value in paddles.items()])
    assert str(at("craft.bar.paddle_chord_mm")) not in bench.standing(with_paddles)["idle"]


def test_a_craft_alone_gets_a_first_flight(folder):
    scenario = loaded(folder / "craft.toml", {"craft.bar.gain": 0.4})
    assert scenario.craft.bar.gain == 0.4
    assert scenario.run.duration_s == 20.0
    with pytest.raises(BadInput, match="no such key"):
        loaded(folder / "craft.toml", {"craft.bar.gian": 0.4})


@pytest.mark.parametrize(
    ("growth", "shows"), [(-0.1, "go"), (0.0, "slow"), (0.3, "slow"), (0.4, "stop"), (float("nan"), "unknown")]
)
def test_lights(growth, shows):
    assert light(growth) == shows
