"""What ``new`` hands out loads as it stands, explains every key, and warns."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from paddlebar.craft.limits import check_limits
from paddlebar.errors import BadInput
from paddlebar.files import load_scenario, new_files
from paddlebar.files.craft import (
    Bar,
    Craft,
    Head,
    PlatePart,
    PointPart,
    RingPart,
    RodPart,
    Rotor,
    Shaft,
    Skein,
    Station,
    Tail,
)
from paddlebar.files.scenario import Air, Launch, Mishap, Pictures, Room, Run, Scenario, Winding

CRAFT_TABLES = [Craft, Shaft, Rotor, Station, Head, Bar, Skein, Tail, PointPart, RodPart, PlatePart, RingPart]
FLIGHT_TABLES = [Scenario, Winding, Launch, Air, Room, Mishap, Run, Pictures]


def test_new_files_load_and_keep_within_limits(tmp_path: Path) -> None:
    files = new_files("my-first")
    assert list(files) == ["my-first.toml", "my-first-first-flight.toml"]
    for file, text in files.items():
        (tmp_path / file).write_text(text, encoding="utf-8")
    flight = load_scenario(tmp_path / "my-first-first-flight.toml")
    check_limits(flight)
    assert flight.craft.name == "my-first"


@pytest.mark.parametrize(("number", "tables"), [(0, CRAFT_TABLES), (1, FLIGHT_TABLES)])
def test_every_key_stands_in_the_template(number: int, tables: list[type[Craft]]) -> None:
    text = list(new_files("x").values())[number]
    keys = {key for table in tables for key in table.model_fields if key not in ("part", "station", "mishap")}
    tables_in_text = set(re.findall(r"^#? ?\[+([\w.]+)\]+", text, flags=re.M))
    written = set(re.findall(r"^(?:# ?)*(?:\w+ = [^#]*#.*or )?(\w+) = ", text, flags=re.M)) | tables_in_text
    assert {key for key in keys - written if not re.search(rf"\b{key}\b", text)} == set()


@pytest.mark.parametrize("word", ["eye protection", "arm's length", "adult", "INVENTED", "carries"])
def test_both_files_carry_the_cautions(word: str) -> None:
    for text in new_files("x").values():
        assert word in text.replace("\n# ", " ")


@pytest.mark.parametrize("name", ["", "../x", "a b", ".x", "x.toml", "x" * 80, "ü"])
def test_a_name_that_makes_no_file_name_is_refused(name: str) -> None:
    with pytest.raises(BadInput, match="^new: name: "):
        new_files(name)
