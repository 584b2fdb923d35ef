"""Doubtful entries: each kind is seen, and a sound file raises none."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from paddlebar import load_craft
from paddlebar.checks.doubts import doubtful_entries

HALL = Path(__file__).parents[2] / "models" / "hall-ten.toml"


def doubts(changes: dict[str, Any]) -> dict[str, Any]:
    return {finding.key: finding for finding in doubtful_entries(load_craft(HALL, changes))}


def test_a_sound_file_has_none():
    found = doubts({})
    assert [(finding.severity, finding.key) for finding in found.values()] == [("fine", "entries")]


@pytest.mark.parametrize(
    ("changes", "key", "words"),
    [
        # 5250 mm3 of medium balsa, 120 kg/m3 at least: .63 g
        (
            {"rotor.blade_mass_g": 0.3, "all_up_g": 9.6},
            "rotor.blade_mass_g",
            "lighter than its volume allows: 57 kg/m3",
        ),
        (
            {"rotor.blade_mass_g": 0.02, "all_up_g": 9.1, "rotor.blade_masses_g": [0.02, 0.02]},
            "rotor.blade_mass_g",
            "4 kg/m3",
        ),
        ({"part.stick.mass_g": 2.2, "all_up_g": 11.8}, "part.stick.mass_g", "heavier than its volume allows"),
        ({"part.fin.mass_g": 0}, "part.fin.mass_g", "weighs nothing"),
        ({"rotor.collective_deg": 0.157}, "rotor.collective_deg", "as radians it would be 9.0 deg"),
        ({"tail.pitch_deg": 0.2}, "tail.pitch_deg", "as radians it would be 11.5 deg"),
        ({"bar.wire_mass_g": 1.2, "all_up_g": 11.1}, "bar.wire_mass_g", "no wire or carbon"),
        ({"bar.wire_mass_g": 0}, "bar.wire_mass_g", "weighs nothing"),
        ({"rotor.thickness_mm": 0}, "rotor.thickness_mm", "no thickness"),
        # 33.5 mm3, .6 g: 17,900 kg/m3
        ({"bar.tip_diameter_mm": 4.0}, "bar.tip_diameter_mm", "1.6 times as dense as lead"),
        ({"rotor.blade_masses_g": [0.7, 0.74]}, "rotor.blade_mass_g", "0.72 g on average"),
        ({"bar.tip_masses_g": [0.55, 0.57]}, "bar.tip_mass_g", "0.56 g on average"),
        ({"skein.length_mm": 150}, "skein.length_mm", "stretched before it is wound"),
        ({"shaft.friction_mN_m": 0}, "shaft.friction_mN_m", "without friction"),
        ({"bar.damping_mN_m_s": 0}, "bar.friction_mN_m", "neither friction nor damping"),
    ],
)
def test_each_kind_of_doubt_is_seen(changes, key, words):
    finding = doubts(changes)[key]
    assert finding.severity == "look"
    assert words in finding.sentence
    assert finding.advice


def test_the_weight_that_it_names_is_believed():
    """of its volume it would weigh .63 g at least: with that it is content."""
    advice = doubts({"rotor.blade_mass_g": 0.3, "all_up_g": 9.6})["rotor.blade_mass_g"].advice
    assert "0.63 g at least" in advice
    assert "rotor.blade_mass_g" not in doubts({"rotor.blade_mass_g": 0.63})


def test_a_lighter_scale_step_is_no_doubt():
    """Legs of .5 mm wire, .15 g, come out at 9,061 kg/m3 for steel's 7,800: a calliper's twentieth of a mm explains it."""
    assert "part.left leg.mass_g" not in doubts({})
    assert "part.left leg.mass_g" in doubts({"part.left leg.mass_g": 0.3})


def test_a_skein_that_outweighs_the_craft_is_a_doubt():
    """36 strands for 6 of 2.519 g: 15.12 g of 23.04."""
    found = doubts({"skein.strands": 36, "all_up_g": 23.04})["skein"]
    assert "66 % of the craft" in found.sentence
    assert "skein" not in doubts({"skein.strands": 28, "all_up_g": 19.68})


def test_a_ring_is_weighed_by_its_wire():
    """pi x 60 mm round, .8 mm wire, 94.7 mm3: .74 g in steel, half that is too little, thrice too much; a lump of unknown size is believed."""
    ring = {
        "part.ring.kind": "ring",
        "part.ring.at_mm": [8, 0, -120],
        "part.ring.diameter_mm": 60.0,
        "part.ring.normal": [0, 0, 1],
    }
    ring |= {"part.ring.wire_diameter_mm": 0.8, "part.ring.material": "music wire"}

    def of(mass: float) -> dict[str, Any]:
        return doubts({**ring, "part.ring.mass_g": mass, "all_up_g": 10.4 + mass})

    assert "part.ring.mass_g" not in of(0.74)
    assert "lighter than its volume allows" in of(0.37)["part.ring.mass_g"].sentence
    assert "heavier than its volume allows" in of(2.2)["part.ring.mass_g"].sentence
    lump = {"part.lump.kind": "point", "part.lump.at_mm": [8, 0, -120], "part.lump.mass_g": 3.0, "all_up_g": 13.4}
    assert "part.lump.mass_g" not in doubts(lump)


@pytest.mark.parametrize(
    ("changes", "key", "words"),
    [
        ({"head.kind": "rigid", "head.spring_mN_m_rad": 3.0}, "head.spring_mN_m_rad", "spring_mN_m_rad and stop_deg do nothing here (head.kind = rigid, blades"),
        ({"head.hinge_offset_mm": 4.0}, "head.hinge_offset_mm", "hinge_offset_mm does nothing here (head.kind = teetering"),
        (
            {"head.kind": "rigid", "head.delta3_deg": 10.0, "head.friction_mN_m": 0.2},
            "head.friction_mN_m",
            "friction_mN_m and delta3_deg",
        ),
        ({"bar.kind": "locked", "bar.spring_mN_m_rad": 1.0}, "bar.damping_mN_m_s", "and spring_mN_m_rad"),
    ],
)  # fmt: skip
def test_keys_that_do_nothing_with_a_head_or_bar_are_said(changes, key, words):
    finding = doubts(changes)[key]
    assert finding.severity == "look"
    assert words in finding.sentence


def test_keys_that_act_or_have_their_default_are_not_said():
    for changes in (
        {"head.kind": "flapping", "head.hinge_offset_mm": 4.0},
        {"head.kind": "flapping", "head.spring_mN_m_rad": 3.0},
        {"bar.kind": "none"},
        {"bar.spring_mN_m_rad": 1.0},
    ):
        assert not any("nothing here" in finding.sentence for finding in doubts(changes).values())
    plain = {"friction_mN_m": 0.0, "damping_mN_m_s": 0.0, "spring_mN_m_rad": 0.0, "stop_deg": 30.0}
    found = doubts({"bar.kind": "locked", **{f"bar.{key}": value for key, value in plain.items()}})
    assert not any("nothing here (bar" in finding.sentence for finding in found.values())


CURVE = [[0, 0], [100, 2], [300, 3], [500, 6]]
OWN = {"mass_g": 0.3, "length_mm": 120.0, "hooks_mm": [[-240, 0, -105], [-120, 0, -105]]}


def test_what_a_measured_torque_does_not_follow_is_said():
    """Keys that were given beside it for a doubt, the rest as a plain word; the tail's own skein likewise."""
    found = doubts({"skein.measured": CURVE, "skein.energy_kJ_kg": 7.0, "skein.spike": 3.0, "skein.loss_percent": 25.0})
    finding = found["skein.energy_kJ_kg"]
    assert finding.severity == "look"
    assert finding.sentence.startswith("energy_kJ_kg and spike do nothing here")
    assert found["skein"].severity == "fine"
    assert "strands, length or warmth" in found["skein"].sentence
    tail = {"tail.drive": "skein", "tail.skein": {**OWN, "measured": CURVE, "percent_per_K": 0.3}}
    assert "percent_per_K does nothing here" in doubts(tail)["tail.skein.percent_per_K"].sentence
    assert not any("nothing here" in each.sentence for each in doubts({"skein.energy_kJ_kg": 7.0}).values())


def test_a_tail_skein_beside_a_cord_is_said_to_fly_along():
    finding = doubts({"tail.skein": OWN, "all_up_g": 10.4 + 0.3})["tail.skein"]
    assert finding.severity == "look"
    assert "turns nothing with tail.drive = cord, but its 0.30 g fly along" in finding.sentence
