"""The form to weigh and measure by holds every key of the craft file, explained, with room to write."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from matplotlib.figure import Figure

from paddlebar import load_craft
from paddlebar.files.craft import Craft
from paddlebar.files.explained import keys_of
from paddlebar.sheet.form import draw_form, save_form
from pictures.paper import outside, overlaps, words

ROOT = Path(__file__).parents[2]


@cache
def form(name: str = "sparrow") -> list[Figure]:
    return draw_form(name)


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
    found = texts()
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
        save_form("wren", tmp_path / file)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_the_first_page_has_all_that_a_builder_measures_with_what_was_proposed(tmp_path: Path) -> None:
    """Of a shipped craft of either hand, and of one without a tail rotor: on one page, nothing over anything."""
    for model in ("hall-ten", "clockwise-13", "printed-28"):
        craft = load_craft(ROOT / "models" / f"{model}.toml")
        page = draw_form(model, craft)[0]
        said = [text for text, _ in words(page)]
        for key, value in (("bar.lead_deg", craft.bar.lead_deg), ("rotor.radius_mm", craft.rotor.radius_mm)):
            assert said[said.index(key) + 1] == f"{value:g}"
        assert {f"{part.name}, g" for part in craft.part} <= set(said)
        assert overlaps(page) == []
        assert outside(page) == []
