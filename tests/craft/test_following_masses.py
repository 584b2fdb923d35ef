"""Masses follow measures, and keys that a file leaves open go on following."""

from __future__ import annotations

import functools
import math
from pathlib import Path

import pytest

from paddlebar import load_scenario
from paddlebar.craft.build import all_up_mass, build
from paddlebar.craft.following_masses import followed, left_behind
from paddlebar.errors import BadInput
from paddlebar.files.checks import sum_g
from paddlebar.files.scenario import Scenario
from paddlebar.studies.axes import open_text

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@functools.cache
def plain() -> Scenario:
    return load_scenario(SCENARIOS / "first-flight.toml")


@functools.cache
def text() -> str:
    return open_text(plain())


@pytest.mark.parametrize(
    ("changes", "key", "factor"),
    [
        ({"craft.rotor.radius_mm": 235.0}, "craft.rotor.blade_mass_g", (235 - 25) / (200 - 25)),
        ({"craft.rotor.chord_mm": 36.0}, "craft.rotor.blade_mass_g", 36 / 30),  # the tip's chord comes along
        ({"craft.rotor.tip_chord_mm": 15.0}, "craft.rotor.blade_mass_g", 0.75),
        ({"craft.rotor.thickness_mm": 0.5}, "craft.rotor.blade_mass_g", 0.5),
        ({"craft.rotor.chord_mm": 36.0, "craft.rotor.thickness_mm": 0.8}, "craft.rotor.blade_mass_g", 1.2 * 0.8),
        ({"craft.bar.arm_mm": 120.0}, "craft.bar.wire_mass_g", 1.2),
        ({"craft.bar.wire_diameter_mm": 0.3}, "craft.bar.wire_mass_g", 0.25),
        ({"craft.tail.chord_mm": 21.0}, "craft.tail.mass_g", 1.5),
        ({"craft.part.boom.diameter_mm": 3.0}, "craft.part.boom.mass_g", 1.44),
        ({"craft.part.fin.length_mm": 82.0}, "craft.part.fin.mass_g", 2.0),
    ],
)  # fmt: skip
def test_a_mass_goes_with_the_volume(changes, key, factor):
    """By hand. Seen to fail with thickness left out, and with root instead of blade length."""
    found, moved = followed(text(), changes)
    table, last = key.removeprefix("craft.").rsplit(".", 1)
    old, new = (_table(s, table) for s in (plain(), found))
    assert set(moved) == {key}
    assert moved[key] == getattr(new, last) == pytest.approx(getattr(old, last) * factor, abs=2e-6)


def _table(scenario, name):
    first, _, part = name.partition(".")
    found = getattr(scenario.craft, first)
    return next(p for p in found if p.name == part) if part else found


def test_the_scale_shows_what_the_sum_says():
    """The weighed total moves with every mass, and the equations are given the sum."""
    found, _ = followed(text(), {"craft.rotor.radius_mm": 235.0, "craft.bar.tip_mass_g": 0.8})
    more = 2 * (found.craft.rotor.blade_mass_g - plain().craft.rotor.blade_mass_g) + 2 * 0.2
    assert found.craft.all_up_g == pytest.approx(plain().craft.all_up_g + more, abs=1e-9)
    assert sum_g(found.craft) == pytest.approx(sum_g(plain().craft) + more, abs=1e-9)
    heavier = 1e3 * (all_up_mass(build(found).params) - all_up_mass(build(plain()).params))
    assert heavier == pytest.approx(more, abs=1e-9)


def test_more_rubber_weighs_more():
    found, moved = followed(text(), {"craft.skein.strands": 8, "craft.skein.length_mm": 250.0})
    assert moved == {}  # files/craft.py takes the mass of strands from their measures
    rubber = 6 * 2.15 * 1.0 * 210.0 * 930e-6
    assert sum_g(found.craft) - sum_g(plain().craft) == pytest.approx(rubber * (8 / 6 * 250.0 / 210.0 - 1.0))
    weighed = load_scenario(SCENARIOS / "first-flight.toml", {"craft.skein.mass_g": 2.2})
    found, moved = followed(open_text(weighed), {"craft.skein.length_mm": 250.0})
    assert moved == {"craft.skein.mass_g": pytest.approx(2.2 * 250.0 / 210.0)}


def test_a_mass_that_is_said_is_believed_and_lumps_stay():
    found, moved = followed(text(), {"craft.rotor.radius_mm": 235.0, "craft.rotor.blade_mass_g": 0.7})
    assert moved == {}
    assert found.craft.rotor.blade_mass_g == 0.7
    assert followed(text(), {"craft.bar.tip_diameter_mm": 6.0})[1] == {}
    assert followed(text(), {"craft.bar.lead_deg": 90.0, "craft.rotor.collective_deg": 10.0})[1] == {}


def test_an_open_key_goes_on_following_and_a_given_one_does_not():
    assert followed(text(), {"craft.rotor.chord_mm": 36.0})[0].craft.rotor.tip_chord_mm == 36.0
    given = load_scenario(SCENARIOS / "first-flight.toml", {"craft.rotor.tip_chord_mm": 30.0})
    assert followed(open_text(given), {"craft.rotor.chord_mm": 36.0})[0].craft.rotor.tip_chord_mm == 30.0
    assert followed(text(), {})[0] == plain()  # nothing changed, nothing lost


def test_what_no_file_may_say_is_refused():
    with pytest.raises(BadInput, match="radius_mm"):
        followed(text(), {"craft.rotor.radius_mm": 20.0})
    assert math.isfinite(
        followed(text(), {"skein.turns": 5000.0})[0].skein.turns
    )  # the demand on turns deals with that


TUBE = {
    "part.tube.kind": "tube",
    "part.tube.from_mm": [8, 0, -100],
    "part.tube.to_mm": [8, 0, -140],
    "part.tube.diameter_mm": 4.0,
}
RING = {
    "part.ring.kind": "ring",
    "part.ring.at_mm": [8, 0, -120],
    "part.ring.diameter_mm": 40.0,
    "part.ring.normal": [0, 0, 1],
}
LUMP = {"part.lump.kind": "point", "part.lump.at_mm": [8, 0, -120]}
OWN = {
    "tail.drive": "skein", "tail.skein.mass_g": 0.3, "tail.skein.length_mm": 120.0, "tail.skein.hooks_mm": [[-240, 0, -105], [-120, 0, -105]],
}  # fmt: skip


@pytest.mark.parametrize(
    ("given", "changes", "moved"),
    [
        # thin tube: (4 - .5) x .5 against (4 - 1) x 1; without a wall the mass goes with the diameter
        ({**TUBE, "part.tube.wall_mm": 0.5, "part.tube.mass_g": 0.1}, {"part.tube.wall_mm": 1.0}, ("part.tube.mass_g", 0.1 * 3.0 / 1.75)),
        ({**TUBE, "part.tube.mass_g": 0.1}, {"part.tube.diameter_mm": 6.0}, ("part.tube.mass_g", 0.15)),
        ({**RING, "part.ring.wire_diameter_mm": 0.5, "part.ring.mass_g": 0.2}, {"part.ring.wire_diameter_mm": 1.0}, ("part.ring.mass_g", 0.8)),
        ({**LUMP, "part.lump.mass_g": 0.2}, {"part.lump.at_mm": [8, 0, -130]}, None),
        (OWN, {"tail.skein.length_mm": 150.0}, ("tail.skein.mass_g", 0.375)),
    ],
)  # fmt: skip
def test_tubes_rings_lumps_and_the_tails_own_skein(given, changes, moved):
    """By hand: wall times middle circle, wire squared, length of the loop; a lump has no measure and stays."""

    def of_craft(keys):
        return {f"craft.{key}": value for key, value in keys.items()}

    whole = load_scenario(SCENARIOS / "first-flight.toml", {**of_craft(given), "craft.all_up_g": 10.6})
    _, found = followed(open_text(whole), of_craft(changes))
    assert found == ({f"craft.{moved[0]}": pytest.approx(moved[1], abs=2e-6)} if moved else {})


def test_what_stays_behind_is_named_with_what_it_would_weigh() -> None:
    """A blade cut to three quarters, root and all, is lighter by that; one that is weighed anew is not asked about."""
    craft = load_scenario(
        SCENARIOS / "first-flight.toml", {"craft.rotor.chord_mm": 22.5, "craft.rotor.tip_chord_mm": 22.5}
    ).craft
    (key,) = left_behind(craft)
    assert key == "rotor.blade_mass_g"
    own, follows = left_behind(craft)[key]
    assert own == load_scenario(SCENARIOS / "first-flight.toml").craft.rotor.blade_mass_g
    assert follows == pytest.approx(own * 22.5 / load_scenario(SCENARIOS / "first-flight.toml").craft.rotor.chord_mm)
    assert left_behind(load_scenario(SCENARIOS / "first-flight.toml").craft) == {}
    weighed = {"craft.rotor.chord_mm": 22.5, "craft.rotor.tip_chord_mm": 22.5, "craft.rotor.blade_mass_g": 0.5}
    assert left_behind(load_scenario(SCENARIOS / "first-flight.toml", weighed).craft) == {}
