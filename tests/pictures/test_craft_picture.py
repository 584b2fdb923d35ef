"""The drawing of a craft at rest: its measures are the file's, the other hand is its mirror image, one word chooses what stands out."""

from __future__ import annotations

from pathlib import Path

import matplotlib.pyplot as plt
import numpy as np
import pytest

import paddlebar

MODELS = Path(__file__).parents[2] / "models"


def drawn(name: str, **more):
    axes = paddlebar.draw_craft(paddlebar.load_craft(MODELS / f"{name}.toml"), **more)
    lines = {line.get_label(): line.get_xydata() for line in axes.lines if not line.get_label().startswith("_")}
    plt.close(axes.figure)
    return lines


def test_it_is_drawn_to_the_measures_of_the_file():
    craft, lines = paddlebar.load_craft(MODELS / "hall-ten.toml"), drawn("hall-ten")
    assert set(lines) == {"blades", "bar", "rubber", "tail", "body"}
    tail = lines["tail"]
    assert 0.5 * np.ptp(tail[:, 1]) == pytest.approx(craft.tail.radius_mm, rel=0.01)
    assert tail[:, 0].min() == pytest.approx(craft.tail.at_mm[0] - craft.tail.radius_mm, abs=1.0)
    assert sorted(lines["rubber"][:, 1]) == pytest.approx(sorted(hook[2] for hook in craft.skein.hooks_mm))
    # blade 1 lies over the tail, raised by its cone
    assert lines["blades"][:, 0].min() == pytest.approx(-craft.rotor.radius_mm, rel=0.01)


def test_what_is_not_wanted_is_pale_and_has_no_word():
    assert set(drawn("hall-ten", shown=("bar",))) == {"bar"}
    with pytest.raises(ValueError, match="shown: wings: should be any of blades"):
        drawn("hall-ten", shown=("wings",))


def test_it_draws_into_axes_that_are_given():
    figure, axes = plt.subplots()
    assert paddlebar.draw_craft(paddlebar.load_craft(MODELS / "three-blade.toml"), axes) is axes
    assert len(axes.lines) > 8
    plt.close(figure)


def test_from_above_the_bar_stands_across_by_its_lead_and_the_other_hand_is_the_mirror_image():
    own, other = (drawn(name, shown=("bar",), seen="above")["bar"] for name in ("hall-ten", "clockwise-13"))
    craft = paddlebar.load_craft(MODELS / "hall-ten.toml")
    across, along = np.ptp(own[:, 1]), np.ptp(own[:, 0])
    assert np.hypot(across, along) == pytest.approx(2.0 * craft.bar.arm_mm, rel=0.01)
    assert np.degrees(np.arctan2(across, along)) == pytest.approx(180.0 - craft.bar.lead_deg, abs=1.0)
    assert np.sign(np.diff(own[:, 1]) * np.diff(own[:, 0])) == -np.sign(np.diff(other[:, 1]) * np.diff(other[:, 0]))
    with pytest.raises(ValueError, match="seen: below: should be any of right, above"):
        drawn("hall-ten", seen="below")
