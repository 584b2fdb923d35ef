"""Strictness, line numbers, and the gallery: each wrong file beside the one sentence that it must give."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from paddlebar.craft.clear import check_clear
from paddlebar.craft.limits import check_limits
from paddlebar.errors import BadInput
from paddlebar.files import load_craft, load_scenario, parse_craft
from paddlebar.files.places import scan

HERE = Path(__file__).parent
WRONG = sorted((HERE / "wrong").glob("[0-9]*.toml"))
GOOD_CRAFT = (HERE / "good" / "craft.toml").read_text(encoding="utf-8")
TABLES = ("shaft", "rotor", "head", "bar", "skein", "tail")


def read(name: str) -> None:
    """A craft or a flight, by its name, as far as it goes before anything is computed."""
    if "_craft_" in name:
        check_clear(load_craft(name))
    else:
        check_limits(load_scenario(name))


@pytest.mark.parametrize("path", WRONG, ids=lambda path: path.stem)
def test_a_wrong_file_gives_its_sentence(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(path.parent)
    with pytest.raises(BadInput) as caught:
        read(path.name)
    assert str(caught.value) + "\n" == path.with_suffix(".txt").read_text(encoding="utf-8")
    assert "\n" not in str(caught.value)


def test_the_gallery_is_whole() -> None:
    assert len(WRONG) >= 30
    assert {path.stem for path in WRONG} == {path.stem for path in (HERE / "wrong").glob("*.txt")}


def test_absent_file_and_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(BadInput, match=r"^no\.toml: no such file$"):
        load_craft("no.toml")
    with pytest.raises(BadInput, match=r"^\.: is a folder, a file was expected$"):
        load_scenario(".")


def test_descriptions_are_frozen() -> None:
    craft = parse_craft(GOOD_CRAFT)
    with pytest.raises(ValueError, match="frozen"):
        craft.rotor.radius_mm = 300.0  # type: ignore[misc]


def test_lines_are_found_by_table() -> None:
    text = """\
name = "x"   # name
note = '''
radius_mm = 3
[bar]
'''
[[part]]
"name" = "a"
at_mm = [
  1, 2,
  [3],
]
[[part]]
name = "b # [not a table]"
sub.key = 1
[rotor]
radius_mm = 2
[[rotor.station]]
radius_mm = 1
[[rotor.station]]
radius_mm = 2
[tail.skein]
turns = 1
"""
    lines = scan(text)
    assert lines[("name",)] == 1
    assert ("bar",) not in lines
    assert lines[("part", 0, "name")] == 7
    assert lines[("part", 0, "at_mm")] == 8
    assert lines[("part", 1, "name")] == 13
    assert lines[("part", 1, "sub", "key")] == 14
    assert lines[("rotor", "radius_mm")] == 16
    assert lines[("rotor", "station", 1, "radius_mm")] == 20
    assert lines[("tail", "skein", "turns")] == 22


@given(st.text(max_size=200))
def test_any_text_is_refused_in_one_line(text: str) -> None:
    with pytest.raises(BadInput) as caught:  # no short text is a whole craft
        parse_craft(text, "x.toml")
    assert len(str(caught.value).splitlines()) == 1
    assert str(caught.value).startswith("x.toml")


@given(
    table=st.sampled_from(TABLES),
    key=st.from_regex(r"[a-z][a-z_0-9]{0,20}_(mm|g|deg|kg|rad)", fullmatch=True),
    value=st.sampled_from(["1", "-2.5", "true", '"text"', "[1, 2]", "nan"]),
)
def test_an_unknown_key_is_refused_in_one_line_that_names_it(table: str, key: str, value: str) -> None:
    known = getattr(parse_craft(GOOD_CRAFT), table)
    if key in type(known).model_fields:
        return
    text = GOOD_CRAFT.replace(f"[{table}]\n", f"[{table}]\n{key} = {value}\n")
    line = text.splitlines().index(f"{key} = {value}") + 1
    with pytest.raises(BadInput) as caught:
        parse_craft(text, "x.toml")
    assert str(caught.value).startswith(f"x.toml:{line}: {table}.{key}: no such key")
    assert len(str(caught.value).splitlines()) == 1


def test_the_same_stem_is_guessed_before_a_similar_word() -> None:
    text = GOOD_CRAFT.replace("arm_mm = 80", "arm_cm = 8")
    with pytest.raises(BadInput, match=r"bar\.arm_cm: no such key; did you mean arm_mm\?$"):
        parse_craft(text)
