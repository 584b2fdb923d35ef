"""Sizing: answers and their defaults, proportions and weights, the mirror image, and craft by chance that fly."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from paddlebar.checks.check import check
from paddlebar.ensemble.many import Brief
from paddlebar.errors import BadInput
from paddlebar.files.craft import weights_g
from paddlebar.files.template import CRAFT
from paddlebar.sizing.answers import Answers, Known, Rubber, plain_default
from paddlebar.sizing.by_rules import by_rules
from paddlebar.sizing.flown import Tried, craft_of, tried
from paddlebar.sizing.rules import as_template, skein_g
from paddlebar.sizing.sized import LONGER, SPARE, USUAL_RUBBER, _longer, filled_in, size, torques


def known(**given: Any) -> Known:
    return filled_in(Answers.of(given))


def test_no_answer_gives_a_craft_of_the_templates_size() -> None:
    found = known()
    assert (found.rotor_mm, found.weight_g, found.sense) == (400.0, CRAFT["all_up_g"], "counter-clockwise")
    assert craft_of(found, as_template(found)).rotor.radius_mm == CRAFT["rotor"]["radius_mm"]


@pytest.mark.parametrize(("weight", "rotor"), [(9.8, 400), (4 * 9.8, 800), (9.8 / 4, 200)])
def test_rotor_and_weight_follow_each_other(weight: float, rotor: float) -> None:
    assert plain_default(Answers.of({"weight_g": weight}), "rotor_mm") == rotor
    assert plain_default(Answers.of({"rotor_mm": float(rotor)}), "weight_g") == pytest.approx(weight, abs=0.06)


@pytest.mark.parametrize(
    ("typed", "read"), [("6x2x1", (6, 2.0, 1.0)), (" 4 X 2.5 ", (4, 2.5, 1.0)), ("10*3*1.1mm", (10, 3.0, 1.1))]
)
def test_rubber_is_read(typed: str, read: tuple[int, float, float]) -> None:
    assert Rubber.read(typed) == Rubber(*read)
    assert Rubber.read(str(Rubber.read(typed))) == Rubber(*read)


@pytest.mark.parametrize(
    "typed", ["", "6", "6x", "x2x1", "6x2x1x1", "-6x2", "0x2x1", "6x0x1", "6x2x0", "200x2x1", "6x2,5"]
)
def test_what_is_no_rubber_is_refused(typed: str) -> None:
    with pytest.raises(BadInput, match="such as 6x2x1"):
        Rubber.read(typed)


@pytest.mark.parametrize(("weight", "rotor"), [(5.0, 300.0), (12.0, 380.0), (28.0, 500.0)])
def test_rubber_that_is_proposed_gives_the_torque_that_fits(weight: float, rotor: float) -> None:
    """To a tenth of a millimetre of width: 3 % of a strip of 1.5 mm, 5 % of torque; the rest is that another rubber moves the weights."""
    gives, takes = torques(known(weight_g=weight, rotor_mm=rotor))
    assert gives / takes == pytest.approx(SPARE, rel=0.07)


@pytest.mark.parametrize("material", ["balsa", "printed"])
@pytest.mark.parametrize("rubber", [(4, 2.0), (8, 2.0)])
def test_parts_and_rubber_add_up_to_the_weight_that_was_asked_for(material: str, rubber: tuple[int, float]) -> None:
    """As the weights are rounded to a scale's digits, a dozen of them miss by a few hundredths."""
    found = replace(known(weight_g=10.0, material=material), rubber=Rubber(*rubber, 1.0))
    craft = craft_of(found, by_rules(found, 0.15, 9.0)[0])
    assert sum(weights_g(craft).values()) == pytest.approx(10.0, abs=0.05)
    assert weights_g(craft)["skein"] == pytest.approx(skein_g(found.rubber, found.rubber_mm))


@pytest.mark.parametrize(("weight", "rotor"), [(5.0, 300.0), (12.0, 380.0), (28.0, 500.0)])
def test_a_craft_by_rules_has_nothing_to_put_right(weight: float, rotor: float) -> None:
    """Tail, lead, balance, strength and cord are what `check` asks for."""
    found = known(weight_g=weight, rotor_mm=rotor)
    design, turns, seen = by_rules(found, 0.15, 9.0)
    assert seen.sound
    assert seen.tail.hover == pytest.approx(1.45, abs=0.05)
    assert max(map(abs, seen.balance.lean_deg)) < 0.6
    assert seen.strength.stick_margin > 1.4
    assert check(craft_of(found, design), turns).drive.cord_tension_n > seen.drive.cord_needed_n


def test_the_other_hand_is_the_mirror_image() -> None:
    """Flown by the same turns: the same flight, turned the other way."""
    right, left = known(weight_g=9.0, sense="counter-clockwise"), known(weight_g=9.0, sense="clockwise")
    one, other = by_rules(right, 0.15, 9.0), by_rules(left, 0.15, 9.0)
    assert other[0].tilt_right_deg == pytest.approx(one[0].tilt_right_deg, abs=1e-6)
    assert other[0].lead_deg == pytest.approx(one[0].lead_deg, abs=1e-6)
    a, b = tried(right, *one[:2]), tried(left, *other[:2])
    assert a is not None
    assert b is not None
    assert b.briefs[0].duration_s == pytest.approx(a.briefs[0].duration_s, abs=0.05)
    assert b.briefs[0].body_turns == pytest.approx(-a.briefs[0].body_turns, abs=0.05)


def test_what_leaves_no_weight_is_told_with_what_does() -> None:
    with pytest.raises(BadInput, match=r"weighs \d+ % of the craft; the nearest that flies: --rubber \S+ ?.*$") as told:
        size(Answers.of({"weight_g": 5.0, "rubber": "20x4x1"}))
    assert "\n" not in str(told.value)


def test_what_flies_is_kept_before_what_scores_better_and_is_lost_early() -> None:
    """Found by chance (number 120): a search left a craft with 22 s of control for one with 15.5 s, then refused the answers."""
    design = as_template(known())
    flies = Tried(design, 100.0, (Brief(outcome="crashed", sentence="", controlled_s=22.0, graded_s=22.0),) * 3)
    short = Tried(design, 100.0, (Brief(outcome="landed", sentence="", controlled_s=15.5, graded_s=40.0),) * 3)
    assert flies.flies
    assert not short.flies
    assert short.score > flies.score
    assert max((short, flies), key=lambda each: each.rank) is flies


def test_a_heavy_craft_may_have_a_longer_skein_that_fits_and_is_no_heavier_than_usual() -> None:
    """26.6 g on 250 mm: the usual skein was run down after twelve seconds; none that was tried stayed up for sixteen."""
    heavy = Answers.of({"rotor_mm": 250.0, "weight_g": 26.6})
    first = filled_in(heavy)
    found = list(_longer(heavy, first))
    assert [each.rubber_mm for each in found] == [round(factor * first.rubber_mm) for factor in LONGER]
    for each in found:
        gives, takes = torques(each)
        assert gives == pytest.approx(SPARE * takes, rel=0.1)
        assert skein_g(each.rubber, each.rubber_mm) <= 1.1 * USUAL_RUBBER * each.weight_g
    light = Answers.of({"rotor_mm": 486.0, "weight_g": 4.1})
    assert list(_longer(light, filled_in(light))) == []  # as heavy as is usual already
    own = Answers.of({"rotor_mm": 250.0, "weight_g": 26.6, "rubber": "6x3.2x1"})
    assert list(_longer(own, filled_in(own))) == []


@pytest.mark.slow
@pytest.mark.parametrize("index", range(5))
def test_craft_by_chance_fly_unedited(index: int) -> None:
    """4 to 30 g on 250 to 520 mm, both hands, hall and field: 15 s in control from three launches. Many more: docs/inside/tested.md."""
    rng = np.random.default_rng([11, index])
    answers = Answers.of(
        {
            "weight_g": round(math.exp(rng.uniform(math.log(6.0), math.log(30.0))), 1),
            "rotor_mm": float(round(rng.uniform(300, 520))),
            "sense": str(rng.choice(["clockwise", "counter-clockwise"])),
            "material": str(rng.choice(["balsa", "printed"])),
            "hall_m": float(rng.choice([0.0, 8.0])),
        }
    )
    found = size(answers)
    assert all(brief.controlled_s >= 15.0 for brief in found.tried.briefs)
    assert check(craft_of(found.known, found.tried.design), found.tried.turns).sound
