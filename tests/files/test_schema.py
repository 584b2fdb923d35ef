"""The JSON Schemas take every file that the program takes, and mark the slips that need no whole craft to see."""

from __future__ import annotations

import json
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from paddlebar.files import new_files
from paddlebar.files.schema import craft_schema, scenario_schema

HERE = Path(__file__).parent
HOUSE = HERE.parents[1]
CRAFTS = [*sorted((HOUSE / "models").glob("*.toml")), HERE / "good" / "craft.toml"]
SCENARIOS = [*sorted((HOUSE / "scenarios").glob("*.toml")), HERE / "good" / "flight.toml"]
# Files of the gallery whose slip no schema sees: it lies in another file, between keys, in a sum or a clearance; or is nan, or radians.
BEYOND = {6, 12, 26, 27, 28, 29, 31, *range(34, 39), 42, *range(45, 53), 54, 56, 58, 62, 65, 71, 72, 73, 82, 83, 87, 88}
NO_TOML = {23, 24, 25, 79}
WRONG = {path: int(path.stem[:2]) for path in sorted((HERE / "wrong").glob("[0-9]*.toml"))}


@cache
def validator(kind: str) -> Draft202012Validator:
    schema = craft_schema() if kind == "craft" else scenario_schema()
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(json.loads(json.dumps(schema)))


def slips(kind: str, tables: dict[str, Any]) -> list[str]:
    return [error.json_path for error in validator(kind).iter_errors(tables)]


def read(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", CRAFTS, ids=lambda path: path.stem)
def test_every_craft_is_taken(path: Path) -> None:
    assert slips("craft", read(path)) == []


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_every_scenario_is_taken(path: Path) -> None:
    assert slips("scenario", read(path)) == []


def test_what_new_writes_is_taken() -> None:
    craft, flight = map(tomllib.loads, new_files("sparrow").values())
    assert slips("craft", craft) == []
    assert slips("scenario", flight) == []
    assert slips("scenario", {**flight, "craft": craft}) == []


@pytest.mark.parametrize(
    "path", [path for path, number in WRONG.items() if number not in NO_TOML], ids=lambda path: path.stem
)
def test_a_wrong_file_is_marked_or_its_slip_lies_beyond(path: Path) -> None:
    kind = "craft" if "_craft_" in path.stem else "scenario"
    assert bool(slips(kind, read(path))) is (WRONG[path] not in BEYOND)


def flight(**tables: Any) -> dict[str, Any]:
    return {"craft": "x.toml", "skein": {"turns": 100}, "launch": {"height_m": 1}, **tables}


@pytest.mark.parametrize(
    "change",
    [
        {"bar": {"kind": "none"}},
        {"part": {"stick": {"mass_g": 1.1}}},
        {"part": {"ballast": {"kind": "point", "at_mm": [0, 0, 0], "mass_g": 1}}},
        {"part": {"stick": {"from_mm": {"1": 8}}}},
        {"rotor": {"station": {"2": {"pitch_deg": 4}}}},
        {"skein": {"mass_g": 2.0}},
        {"skein": {"measured": "torque.csv"}},
        {"skein": {"measured": [[0, 0], [100, 2], [200, 3], [300, 5]]}},
        {"tail": {"drive": "none"}},
    ],
)
def test_a_change_needs_no_whole_table(change: dict[str, Any]) -> None:
    assert slips("scenario", flight(change=change)) == []


@pytest.mark.parametrize(
    "change",
    [
        {"bar": {"gian": 1}},
        {"bar": {"gain": 12}},
        {"part": {"stick": {"mas_g": 1.1}}},
        {"part": [{"name": "stick", "mass_g": 1.1}]},
        {"rotor": {"station": {"2": {"pitch_deg": 400}}}},
        {"rotor": {"section": "cambred plate"}},
        {"fuselage": {}},
    ],
)
def test_a_slip_in_a_change_is_marked(change: dict[str, Any]) -> None:
    assert slips("scenario", flight(change=change)) != []


def test_nothing_is_null_and_lists_are_as_all_drafts_know_them() -> None:
    for schema in (craft_schema(), scenario_schema()):
        text = json.dumps(schema)
        assert '"null"' not in text
        assert "null" not in text
        assert "prefixItems" not in text
        assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
        assert schema["title"].startswith("paddlebar ")


def test_units_are_told() -> None:
    tip = craft_schema()["$defs"]["Bar"]["properties"]["tip_mass_g"]
    assert tip["x-unit"] == "g"
    assert tip["description"].endswith(" [g]")
    assert "x-unit" not in craft_schema()["$defs"]["Bar"]["properties"]["gain"]
