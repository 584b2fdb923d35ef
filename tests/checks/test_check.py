"""The whole look-over: what it says of a good craft and of broken ones."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import paddlebar
from paddlebar import BadInput, check, load_craft
from paddlebar.checks.bearing import turns_borne
from paddlebar.craft.strength.factors import stick_strength
from paddlebar.files.template import new_files
from paddlebar.plain import plain

MODELS = sorted((Path(__file__).parents[2] / "models").glob("*.toml"))
HALL = next(path for path in MODELS if path.stem == "hall-ten")


@pytest.mark.parametrize("path", MODELS, ids=lambda path: path.stem)
def test_every_craft_that_comes_with_it_may_fly(path):
    found = check(load_craft(path))
    assert found.sound, [finding for finding in found.findings if finding.severity == "stop"]
    assert all(finding.advice and finding.sentence for finding in found.findings)
    json.dumps(plain(found.to_json()), allow_nan=False)


def test_what_new_hands_out_may_fly(tmp_path):
    for name, text in new_files("wren").items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    found = check(load_craft(tmp_path / "wren.toml"))
    assert found.sound, found.findings
    assert found.strength.stick is not None
    assert not any(finding.key == "stick" for finding in found.findings)


def test_a_thin_stick_is_found_and_the_advice_saves_it():
    thin = {"part.stick.diameter_mm": 2.2, "part.stick.mass_g": 0.2269, "all_up_g": 9.9}
    craft = load_craft(HALL, thin)
    found = check(craft)
    assert not found.sound
    assert found.findings[0].severity == "stop"
    bending = next(finding for finding in found.findings if finding.key == "stick bending")
    assert "breaks by bending" in bending.sentence
    thicker = 1.0 + 0.01 * float(bending.advice.split("make it ")[1].split(" %")[0])
    side = 2.2 * thicker
    saved = {
        "part.stick.diameter_mm": side,
        "part.stick.mass_g": 0.2269 * thicker**2,
        "all_up_g": 9.9 + 0.2269 * (thicker**2 - 1.0),
    }
    # slimmer sticks bow more, so that the rule of thumb errs on the safe side
    assert stick_strength(load_craft(HALL, saved)).bending >= 1.45


def test_fewer_turns_as_advised_do_not_break_it():
    craft = load_craft(HALL, {"part.stick.diameter_mm": 2.9, "part.stick.mass_g": 0.394, "all_up_g": 10.0})
    found = check(craft)
    finding = next(each for each in found.findings if each.key == "stick bending")
    turns = float(finding.advice.split("wind at most ")[1].split(" ")[0])
    assert stick_strength(craft, turns).stick_margin_low >= 1.0
    assert stick_strength(craft, turns + 2.0).stick_margin_low < 1.0


@pytest.mark.parametrize(
    "changes",
    [
        {"head.kind": "flapping", "rotor.blades": 4, "head.hinge_offset_mm": 12, "all_up_g": 11.7},
        {"head.kind": "rigid", "bar.kind": "locked"},
        {"bar.kind": "none", "tail.drive": "none", "all_up_g": 8.3},
        {"shaft.turns": "clockwise", "tail.thrust_to": "left"},
        {
            "bar.paddle_span_mm": 40,
            "bar.paddle_chord_mm": 20,
            "bar.paddle_centre_mm": 80,
            "bar.paddle_mass_g": 0.2,
            "all_up_g": 10.8,
        },
        {"tail.cord_friction": 0, "skein.stick": "nose rod"},
        {"skein.measured": [[0, 0], [50, 2.0], [300, 3.0], [600, 6.0]]},
        {"rotor.thickness_mm": 0, "part.fin.thickness_mm": 0, "part.boom.diameter_mm": 0},
        {"bar.tip_mass_g": 0, "shaft.hub_mass_g": 0, "tail.mass_g": 0, "all_up_g": 8.05},
        {"rotor.twist_deg": 0, "rotor.collective_deg": 0},
        {"shaft.tilt_forward_deg": 30},
        {"part.nose weight.mass_g": 0, "all_up_g": 9.5},
    ],
    ids=str,
)
def test_it_finds_words_for_any_craft(changes):
    """No crash, and no "nan" or "inf" in what a user reads."""
    for finding in check(load_craft(HALL, changes)).findings:
        words = f"{finding.sentence} {finding.advice}".split()
        assert not {"nan", "inf", "-inf"} & set(words), finding
        assert finding.advice


def test_worst_comes_first():
    order = ["stop", "look", "fine"]
    found = [order.index(finding.severity) for finding in check(load_craft(HALL), 700.0).findings]
    assert found == sorted(found)


@pytest.mark.parametrize("turns", [-1.0, float("nan"), float("inf"), 1e6])
def test_turns_that_are_none(turns):
    with pytest.raises(BadInput, match=r"^turns: input should be 0 to 100000, found"):
        check(load_craft(HALL), turns)


def test_a_craft_whose_stick_is_unknown_says_what_to_add():
    found = check(load_craft(HALL, {"part.stick.to_mm": [9, 0, -60]}))
    finding = next(each for each in found.findings if each.key == "stick")
    assert finding.severity == "look"
    assert "skein.stick" in finding.sentence


def test_a_material_that_was_guessed_is_said(tmp_path):
    text = HALL.read_text(encoding="utf-8").replace(
        'cross_section = "square"\nmaterial = "balsa"\n', 'cross_section = "square"\n'
    )
    (tmp_path / "x.toml").write_text(text, encoding="utf-8")
    found = check(load_craft(tmp_path / "x.toml"))
    finding = next(each for each in found.findings if each.key == "part.stick.material")
    assert "221 kg/m3 it is taken for balsa" in finding.sentence


def test_it_is_public():
    assert isinstance(check(load_craft(HALL)), paddlebar.Check)


def test_turns_that_a_stick_bears_are_where_its_poor_piece_breaks():
    """A thin stick: at those turns the least factor of poor material is one; a thick one bears whatever is asked."""
    thin = load_craft(HALL, {"part.stick.diameter_mm": 3.0, "part.stick.mass_g": 0.4219, "all_up_g": 10.1})
    borne = turns_borne(thin, 490.0)
    assert 0.0 < borne < 490.0
    assert stick_strength(thin, borne).stick_margin_low == pytest.approx(1.0, abs=1e-6)
    assert turns_borne(load_craft(HALL), 100.0) == 100.0
