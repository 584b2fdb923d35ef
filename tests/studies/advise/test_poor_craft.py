"""Poor craft (poor_craft.py), their advice followed to the end, and the mirror image of one advised alike."""

from __future__ import annotations

import functools

import pytest

from paddlebar import Advised, advise, fly
from paddlebar.files.override import parse_setting
from paddlebar.studies.suggestion import better
from studies.advise.poor_craft import CRAFT, scenario_of

# some of each size and hand here; all fifteen by `python -m studies.advise.poor_craft`
TRIED = (
    "tail pushes with the rotor",
    "lead of a textbook, tips light",
    "printed, tail and bar",
    "small, many faults",
    "rigid head",
)
CONTROL_S = 15.0


@functools.cache
def followed(name: str) -> Advised:
    return advise(scenario_of(CRAFT[name]), follow=True)


@pytest.mark.slow
@pytest.mark.parametrize("name", TRIED)
def test_each_step_is_better_than_the_one_before_and_the_last_flies(name):
    found = followed(name)
    assert found.before.controlled_s < 2.0
    assert found.steps
    flown = [found.before, *(step.after for step in found.steps)]
    assert all(better(after, before) for before, after in zip(flown[:-1], flown[1:], strict=True))
    assert found.final == flown[-1]
    assert found.final.flew_well
    assert found.final.controlled_s > CONTROL_S
    assert not found.missing
    again = fly(found.scenario)
    assert again.controlled_s == pytest.approx(found.final.controlled_s, rel=1e-9)


@pytest.mark.slow
def test_the_mirror_image_gets_the_mirrored_advice():
    name = "tail pushes with the rotor"
    first = followed(name).suggestions[0]  # what is suggested first does not depend on whether it is followed
    other = advise(scenario_of(CRAFT[name], other_hand=True)).suggestions[0]
    assert other.after.controlled_s == pytest.approx(first.after.controlled_s, rel=1e-3)
    seen, wanted = (dict(map(parse_setting, each.settings)) for each in (other, first))
    assert seen.keys() == wanted.keys()
    assert (wanted.pop("craft.tail.thrust_to"), seen.pop("craft.tail.thrust_to")) == ("right", "left")
    assert seen == pytest.approx(wanted)
