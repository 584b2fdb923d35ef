"""Every key of the files as a row: what the manual's page of keys is made from."""

from __future__ import annotations

from functools import cache
from itertools import groupby
from typing import Any, Final, NamedTuple

from paddlebar.files.commented import toml
from paddlebar.files.craft import Craft
from paddlebar.files.explained import Key, key_at, keys_of
from paddlebar.files.scenario import CHANGE, Scenario
from paddlebar.files.schema import plain_schema
from paddlebar.files.strict import SameAs, Strict

FILES: Final[dict[str, type[Strict]]] = {"craft": Craft, "scenario": Scenario}


class Row(NamedTuple):
    """A key: dotted name in its file, unit ("" for none), what is allowed, what is taken without it, what it means."""

    key: str
    unit: str
    allowed: str
    default: str
    words: str


def rows(file: str) -> list[Row]:
    """All keys of a kind of file ("craft" or "scenario") in the order of their tables.

    A key that kinds of part share is one row; where only some have it, the words begin with them.
    """
    found: dict[Row, list[str]] = {}
    kinds: dict[str, set[str]] = {}
    for key in keys_of(FILES[file]):
        name = f"{key.table}.{key.name}".strip(".")
        schema = _properties(key.model)[key.name]
        row = Row(
            name, key.unit, "a table" if key.tables else _allowed(schema), _default(key), key.field.description or ""
        )
        found.setdefault(row, []).append(key.kind)
        kinds.setdefault(key.table, set()).add(key.kind)
    return [
        row if {*of} == kinds[row.key.rpartition(".")[0]] else row._replace(words=f"({', '.join(of)}) {row.words}")
        for row, of in found.items()
    ]


def as_markdown(file: str = "") -> str:
    """All keys under headlines, a line each: ``- `radius_mm` (20 to 1500 mm; needed): Shaft to tip.``

    A list, since a terminal of 80 columns cuts long keys in a table of five columns. ``file`` as in ``rows``; "" for both.
    """
    if not file:
        return "\n".join(f"## Keys of a {name} file\n\n{as_markdown(name)}" for name in FILES)
    lines: list[str] = []
    for table, group in groupby(rows(file), key=lambda row: row.key.rpartition(".")[0]):
        if table:
            key = key_at(FILES[file], table)
            lines += [f"### `{key.header}`", "", key.words, ""]
        for row in group:
            needed = row.default.startswith("needed")
            left_out = row.default if needed else f"left out: {row.default}" if row.default else "may go"
            range_of = f"{row.allowed} {row.unit}".strip()
            lines.append(f"- `{row.key.removeprefix(table + '.')}` ({range_of}; {left_out}): {row.words}")
        lines.append("")
    return "\n".join([*lines, *(["### `[change]`", "", CHANGE, ""] if file == "scenario" else [])])


@cache
def _properties(model: type[Strict]) -> dict[str, Any]:
    found: dict[str, Any] = plain_schema(model)["properties"]
    return found


def _default(key: Key) -> str:
    if key.field.is_required():
        return "needed"
    kinds = [kind for kind, keys in key.model.needs.items() if key.name in keys]
    if kinds:
        return f"needed with {key.model.picker} {' or '.join(map(toml, kinds))}"
    if any(key.name in way for way in key.model.ways):
        return f"needed in one of {len(key.model.ways)} ways"
    if isinstance(key.default, SameAs):
        return f"as {key.default.key}"
    return "" if key.default in (None, "", ()) else toml(key.default)


def _allowed(schema: dict[str, Any]) -> str:
    """What a JSON Schema lets a key be."""
    if "anyOf" in schema:
        return " or ".join(map(_allowed, schema["anyOf"]))
    choices = schema.get("enum", [schema["const"]] if "const" in schema else [])
    if choices or "$ref" in schema:
        return ", ".join(map(toml, choices)) or "a path or a table"
    least, most = schema.get("minItems"), schema.get("maxItems")
    low, above, high = (schema.get(key) for key in ("minimum", "exclusiveMinimum", "maximum"))
    between = f"above {above:g} and at most {high:g}" if above is not None else f"{low:g} to {high:g}" if high else ""
    match schema["type"]:
        case "array":
            return f"list{f' of {least}' if least == most and least else ''}, each {_allowed(schema['items'])}"
        case "integer":
            return f"whole number, {between}"
        case "number":
            return between or "number"
    return "true or false" if schema["type"] == "boolean" else "path of a csv" if "pattern" in schema else "text"
