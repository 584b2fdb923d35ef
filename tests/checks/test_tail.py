"""The tail that a check sees: its sense for either hand, its amount by hand, and what would hold the body."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from paddlebar import check, load_craft, stand
from paddlebar.checks.check import Check

MODELS = sorted((Path(__file__).parents[2] / "models").glob("*.toml"))
HALL = Path(__file__).parents[2] / "models" / "hall-ten.toml"
MIRRORED = {
    "shaft.turns": "clockwise",
    "shaft.tilt_right_deg": -2.5,
    "tail.thrust_to": "left",
    "tail.at_mm": [-248, -6, -100],
}


def looked(**changes) -> Check:
    return check(load_craft(HALL, changes))


def found(seen: Check, key: str):
    (only,) = [each for each in seen.findings if each.key == key]
    return only


@pytest.mark.parametrize("path", MODELS, ids=lambda path: path.stem)
def test_shipped_craft_are_held(path):
    seen = check(load_craft(path))
    assert seen.tail.sense == "against"
    assert found(seen, "tail").severity == "fine"


@pytest.mark.parametrize("hand", [{}, MIRRORED], ids=["counter-clockwise", "clockwise"])
def test_a_tail_that_pushes_with_the_reaction_is_a_stop_and_says_which_way(hand):
    right = looked(**hand)
    other = {"right": "left", "left": "right"}[hand.get("tail.thrust_to", "right")]
    wrong = looked(**(hand | {"tail.thrust_to": other}))
    assert right.tail.sense == "against"
    assert wrong.tail.sense == "with"
    assert wrong.tail.hover == pytest.approx(-right.tail.hover, rel=1e-6)
    said = found(wrong, "tail.thrust_to")
    assert said.severity == "stop"
    assert not wrong.sound
    assert said.advice.endswith(f"tail.thrust_to={hand.get('tail.thrust_to', 'right')}")
    assert found(looked(**hand), "tail").severity == "fine"  # followed, it is mended


def test_a_craft_and_its_mirror_image_are_held_alike():
    assert looked(**MIRRORED).tail.hover == pytest.approx(looked().tail.hover, rel=1e-9)


def test_the_share_is_push_times_lever_over_torque():
    """Level shaft, tail level with it and in the fore-and-aft plane: the lever is the way from the centre of gravity to the tail."""
    level = {"shaft.tilt_right_deg": 0.0, "tail.at_mm": [-248, 0, -100]}
    seen = looked(**level)
    point = stand(load_craft(HALL, level), seen.drive.hover_rpm)
    lever = 1e-3 * (248.0 + seen.balance.cg_mm[0])
    assert seen.tail.hover == pytest.approx(
        lever * point.tail_thrust_n / (point.torque_nm + point.bar_torque_nm), rel=1e-6
    )


def test_what_is_wanted_holds_it():
    seen = looked(**{"tail.pitch_deg": 2.0})
    assert found(seen, "tail").severity in ("look", "stop")
    by_pitch = looked(**{"tail.pitch_deg": seen.tail.pitch_wanted_deg})
    by_pulley = looked(**{"tail.pitch_deg": 2.0, "tail.tail_pulley_mm": 23.0 / seen.tail.ratio_wanted})
    assert by_pitch.tail.hover == pytest.approx(1.0, abs=0.02)
    assert by_pulley.tail.hover == pytest.approx(1.0, abs=0.02)


def test_no_tail_and_a_tail_that_turns_nothing():
    bare = looked(**{"tail.drive": "none"})
    assert bare.tail.sense == "none"
    assert found(bare, "tail").severity == "look"
    beside = looked(**{"tail.at_mm": [0, 6, -100]})
    assert beside.tail.sense == "across"
    assert found(beside, "tail.thrust_to").severity == "stop"


def test_turns_that_lift():
    """Thick rubber lifts to its knee, thin rubber not at all; between them less of the turns the less it gives."""
    shares = [looked(**{"skein.width_mm": width}).drive for width in (1.0, 2.0, 2.3, 3.0)]
    lifted = [each.lifts_turns / each.turns for each in shares]
    assert lifted == sorted(lifted)
    assert lifted[0] == 0.0
    assert 0.8 < lifted[-1] < 1.0
    assert all(math.isfinite(each) for each in lifted)
    assert "drifting as such craft do it lifts for" in found(looked(), "lift").sentence
