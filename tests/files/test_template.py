"""What ``new`` hands out loads as it stands, explains every key, and warns."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from paddlebar.craft.limits import check_limits
from paddlebar.errors import BadInput
from paddlebar.files import load_scenario, new_files
from paddlebar.files.commented import commented
from paddlebar.files.craft import Craft
from paddlebar.files.explained import keys_of
from paddlebar.files.scenario import Scenario
from paddlebar.files.strict import Strict
from paddlebar.files.template import CRAFT, FIRST_FLIGHT

TEXTS = list(new_files("sparrow").values())


def test_new_files_load_and_keep_within_limits(tmp_path: Path) -> None:
    files = new_files("my-first")
    assert list(files) == ["my-first.toml", "my-first-first-flight.toml"]
    for file, text in files.items():
        (tmp_path / file).write_text(text, encoding="utf-8")
    flight = load_scenario(tmp_path / "my-first-first-flight.toml")
    check_limits(flight)
    assert flight.craft.name == "my-first"
    assert flight.title == "my-first, first flight"


@pytest.mark.parametrize(("text", "values"), [*zip(TEXTS, (CRAFT, FIRST_FLIGHT), strict=True)], ids=["craft", "flight"])
def test_the_file_holds_the_values_and_as_comments_only_defaults(text: str, values: dict[str, Any]) -> None:
    """Writing adds nothing of its own: what was given stands there, and what is marked with # is what the classes take anyway."""
    model: type[Strict] = Craft if values is CRAFT else Scenario
    left = dict(flat(tomllib.loads(text)))
    for dotted, value in flat(values):
        assert left.pop(dotted) == value, dotted
    assert left.keys() <= {"name", "craft", "title"}
    defaults = {
        (key.table, key.name): key.default for key in keys_of(model) if isinstance(key.default, int | float | str)
    }
    table, seen = "", 0
    for line in text.partition("\n\n")[2].splitlines():
        bare = line.removeprefix("# ").strip()
        if bare.startswith("["):
            table = bare.strip("[]")
        elif line.startswith("# ") and (table, bare.split(" = ")[0]) in defaults and " = " in bare:
            name, default = bare.split(" = ")[0], defaults[table, bare.split(" = ")[0]]
            assert tomllib.loads(bare)[name] == default, (table, name)
            seen += 1
    assert seen > 20


def flat(tables: dict[str, Any], above: str = "") -> list[tuple[str, Any]]:
    """Dotted keys and values, tables in a list numbered."""
    found: list[tuple[str, Any]] = []
    for key, value in tables.items():
        if isinstance(value, list) and value and isinstance(value[0], dict):
            found += flat({str(number): each for number, each in enumerate(value)}, f"{above}{key}.")
        else:
            found += flat(value, f"{above}{key}.") if isinstance(value, dict) else [(above + key, value)]
    return found


@pytest.mark.parametrize(("text", "model"), [*zip(TEXTS, (Craft, Scenario), strict=True)], ids=["craft", "flight"])
def test_every_key_is_explained_once_in_its_table(text: str, model: type[Strict]) -> None:
    """Keys as the classes have them, against the text: none unexplained, none explained twice where kinds share it."""
    blocks = by_table(text)
    keys = list(keys_of(model))
    assert len(keys) > 50
    for key in keys:
        said = [entry for entry in blocks[key.table] if entry.startswith(f"{key.name} ") and key.words in entry]
        inner = [entry for table in blocks for entry in blocks[table] if key.tables and key.words in entry]
        assert len(said or inner) == 1, key


def by_table(text: str) -> dict[str, list[str]]:
    """Each table's entries with their words, on a line or on lines above; what is commented out too. "" is the top."""
    blocks: dict[str, list[str]] = {"": []}
    table, above = "", ""
    for line in text.partition("\n\n")[2].splitlines():  # after the file's head
        bare = line.removeprefix("# ").strip()
        if bare.startswith("["):
            table, above = bare.strip("[]"), ""
            blocks.setdefault(table, [])
        elif not bare:
            above = ""
        elif " = " in bare and bare.split(" = ")[0].isidentifier():
            blocks[table].append(f"{bare.split(' = ')[0]} {above} {bare.partition('# ')[2]}")
            above = ""
        else:
            above = f"{above} {bare}".strip()
            blocks[table].append(above)
    return blocks


@pytest.mark.parametrize(("text", "model"), [*zip(TEXTS, (Craft, Scenario), strict=True)], ids=["craft", "flight"])
def test_what_may_go_is_marked_and_nothing_else(text: str, model: type[Strict]) -> None:
    blocks = by_table(text)
    for key in keys_of(model):
        for entry in blocks[key.table]:
            if entry.startswith(f"{key.name} ") and key.words in entry:
                assert ("(may go" in entry) == key.may_go, entry


def test_an_entry_that_follows_another_is_shown_and_left_to_follow() -> None:
    values = {**CRAFT, "name": "x", "rotor": {**CRAFT["rotor"], "chord_mm": 31}}
    del values["rotor"]["tip_chord_mm"]
    text = commented(Craft, values)
    assert "# tip_chord_mm = 31" in text
    assert "tip_chord_mm" not in tomllib.loads(text)["rotor"]


def test_tables_in_lists_and_tables_of_their_own_kind_are_written() -> None:
    stations = [{"radius_mm": 30, "chord_mm": 30, "pitch_deg": 9}, {"radius_mm": 200, "chord_mm": 20, "pitch_deg": 5}]
    own = {"mass_g": 0.3, "length_mm": 120, "hooks_mm": [[-250, -4, -100], [-120, -4, -100]]}
    values = {**CRAFT, "name": "x", "rotor": {**CRAFT["rotor"], "station": stations}}
    values["tail"] = {**CRAFT["tail"], "drive": "skein", "skein": own}
    found = tomllib.loads(commented(Craft, values))
    assert found["rotor"]["station"] == stations
    assert found["tail"]["skein"] == own


def test_no_tail_and_no_room_are_shown_as_what_could_be() -> None:
    text = commented(Craft, {key: value for key, value in CRAFT.items() if key != "tail"})
    assert "tail" not in tomllib.loads(text)
    assert "# [tail]" in text
    assert "# drive = " in text


@pytest.mark.parametrize("word", ["eye protection", "arm's length", "adult", "INVENTED", "carries"])
def test_both_files_carry_the_cautions(word: str) -> None:
    for text in new_files("x").values():
        assert word in text.replace("\n# ", " ")


@pytest.mark.parametrize("name", ["", "../x", "a b", ".x", "x.toml", "x" * 80, "ü", "CON", "com1"])
def test_a_name_that_makes_no_file_name_is_refused(name: str) -> None:
    with pytest.raises(BadInput, match="^new: name: "):
        new_files(name)
