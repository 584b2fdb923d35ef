"""The form to weigh and measure by holds every key of the craft file, explained, with room to write."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import pytest
from matplotlib.figure import Figure

from paddlebar import load_craft
from paddlebar.files.craft import Craft
from paddlebar.files.explained import keys_of
from paddlebar.files.keys import value_at
from paddlebar.files.places import plain
from paddlebar.sheet.form import draw_form, save_form
from paddlebar.sheet.lettered import lettering
from paddlebar.sheet.measures import MEASURED, arrows_of
from pictures.paper import outside, overlaps, words

ROOT = Path(__file__).parents[2]


@cache
def form(name: str = "sparrow") -> list[Figure]:
    return draw_form(name, load_craft(ROOT / "models" / "hall-ten.toml"))


def texts() -> list[str]:
    return [text for figure in form() for text, _ in words(figure)]


@pytest.mark.parametrize("name", ["sparrow", "x" * 60])
def test_no_words_lie_over_others_nor_over_the_frame(name: str) -> None:
    for figure in form(name):
        assert overlaps(figure) == [], figure.get_label()
        assert outside(figure) == [], figure.get_label()


def test_every_key_of_the_craft_file_has_its_line() -> None:
    found = [text.removesuffix(" *") for text in texts()]
    keys = list(keys_of(Craft))
    assert len(keys) > 80
    per_name: dict[str, set[str]] = {}
    for key in keys:
        per_name.setdefault(key.name, set()).add(key.table)
    for name, tables in per_name.items():
        assert found.count(name) >= len(tables), name


def test_what_may_be_left_out_is_marked() -> None:
    found = [text for figure in form()[2:] for text, _ in words(figure)]  # whose pages name keys with their tables
    assert "all_up_g *" in found
    assert "radius_mm" in found
    assert "radius_mm *" not in found
    marked = [text for text in found if text.endswith(" *")]
    for name in {key.name for key in keys_of(Craft)}:  # a name may stand in several tables
        assert marked.count(f"{name} *") == len(
            {(key.table, key.words) for key in keys_of(Craft) if key.name == name and key.may_go}
        ), name


def test_units_are_written_as_a_builder_writes_them() -> None:
    units = {key.unit for key in keys_of(Craft)}
    assert {"g", "mm", "deg", "mN m", "%"} <= units
    assert [unit for unit in units if "_" in unit] == []
    assert units - {""} <= set(texts())


def test_every_key_has_its_words_and_a_choice_what_there_is_to_choose_from() -> None:
    flat = "".join("".join(texts()).split())  # as broken into lines of a cell
    for key in keys_of(Craft):
        assert "".join(key.words.split()) in flat, key
        assert len(key.choices) < 2 or all(choice in key.words for choice in key.choices), key


def test_the_same_name_gives_the_same_bytes(tmp_path: Path) -> None:
    for file in ("a.pdf", "b.pdf"):
        save_form("wren", tmp_path / file, load_craft(ROOT / "models" / "hall-ten.toml"))
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


CRAFT = ("hall-ten", "clockwise-13", "printed-28", "small-six", "three-blade")


@pytest.mark.parametrize("model", CRAFT)
def test_two_pages_have_all_that_a_builder_measures_with_what_was_proposed(model: str) -> None:
    """Nothing over anything, and each letter of the table once on its drawing."""
    craft = load_craft(ROOT / "models" / f"{model}.toml")
    first, second = draw_form(model, craft)[:2]
    for page, keys, figures in (
        (first, MEASURED, {"bar.lead_deg": craft.bar.lead_deg, "rotor.radius_mm": craft.rotor.radius_mm}),
        (second, [f"part.{plain(part.name)}.mass_g" for part in craft.part], {}),
    ):
        said = [text for text, _ in words(page)]
        assert {key.split(" ")[0] for key in said} >= set(keys)
        for key, value in figures.items():
            assert f"{value:g}" in said[said.index(key) : said.index(key) + 5]
        letters = [text for text in said if len(text) == 1 and text.isalpha()]
        assert len(letters) > 8
        assert all(letters.count(letter) == 2 for letter in letters)
        assert overlaps(page) == []
        assert outside(page) == []


@pytest.mark.parametrize("model", CRAFT)
def test_every_arrow_is_as_long_as_the_key_says(model: str) -> None:
    """And the bar's arm stands ahead of the blade by its lead, in the sense of rotation."""
    craft = load_craft(ROOT / "models" / f"{model}.toml")
    arrows = arrows_of(craft)
    for key in ("rotor.radius_mm", "rotor.root_mm", "rotor.chord_mm", "bar.arm_mm", "bar.height_mm", "tail.radius_mm"):
        if key in arrows:  # the tips of three blades do not lie fore and aft
            assert math.dist(*arrows[key].ends) == pytest.approx(abs(value_at(craft, key)), rel=0.01, abs=0.1), key
    assert arrows["skein.hooks_mm"].ends == craft.skein.hooks_mm
    hub = craft.shaft.hub_mm
    blade, arm = (math.atan2(-(end[1] - hub[1]), end[0] - hub[0]) for end in arrows["bar.lead_deg"].ends)
    sense = 1.0 if craft.shaft.turns == "counter-clockwise" else -1.0
    assert math.degrees(sense * (arm - blade)) % 360.0 == pytest.approx(craft.bar.lead_deg % 360.0, abs=2.0)


def test_letters_do_not_run_out() -> None:
    found = list(lettering(60))
    assert (found[0], found[25], found[26], found[51], found[52]) == ("A", "Z", "a", "z", "AA")
    assert len(set(found)) == 60
