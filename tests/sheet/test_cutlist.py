"""The page to build from: its figures are those of the craft file, its arrows as long as it says, its turns those of the test plan."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from paddlebar.craft.motors import motor_of
from paddlebar.files.load import load_craft
from paddlebar.sheet.book import draw_sheet
from paddlebar.sheet.cutlist import cut_pages, measures
from pictures.paper import words

ROOT = Path(__file__).parents[2]
HALL = ROOT / "models" / "hall-ten.toml"


def test_twelve_measures_and_every_arrow_is_as_long_as_its_figure():
    """Tips lie fore and aft, coned and tilted: their distance is the rotor's within 1 %; all others to the tenth that is written."""
    found = measures(load_craft(HALL))
    assert len(found) == 12
    drawn = [each for each in found if each.ends is not None]
    assert len(drawn) >= 7
    for each in drawn:
        says = float(each.says.removesuffix(" mm"))
        assert each.says.endswith(" mm")
        assert math.dist(*each.ends) == pytest.approx(
            says, **({"rel": 0.01} if "tip to tip" in each.words else {"abs": 0.06})
        )


def test_it_is_the_first_page_and_one_page():
    figures = draw_sheet(load_craft(HALL))
    titles = [str(figure.get_label()).split(": ")[-1] for figure in figures]
    assert titles[0] == "To build from."
    assert titles.count("To build from.") == 1


def test_pieces_weights_and_turns_stand_on_it():
    craft = load_craft(HALL)
    said = [text for page in cut_pages(craft) for text, _ in words(page.finish(1, 1))]
    for part in craft.part:
        assert part.name in said
        assert f"{part.mass_g:.2f}" in said
    assert {f"{share * motor_of(craft.skein).breaking:.0f} turns" for share in (0.10, 0.15, 0.25, 0.35, 0.50)} <= set(
        said
    )
    assert f"{craft.rotor.blade_mass_g:.2f}" in said
    assert any("eye protection" in text for text in said)


def test_without_bar_and_tail_it_has_fewer_measures():
    craft = load_craft(ROOT / "tests/files/good/craft.toml", {"tail.drive": "none", "bar.kind": "none"})
    said = " ".join(text for page in cut_pages(craft) for text, _ in words(page.finish(1, 1)))
    assert "bar, end to end" not in said
    assert "shaft to tail rotor" not in said
