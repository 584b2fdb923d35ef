"""A file written anew with changes: its own text, its own comments, and beside each changed entry what it was."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import tomlkit
from pydantic import BaseModel
from tomlkit.items import AoT, Item

from paddlebar.files.craft import Craft
from paddlebar.files.overlay import inner
from paddlebar.files.scenario import Scenario

# entries that name a file beside the old one are written in full: sections by their whole path, curves by their rows
Notes = Mapping[str, str]


def craft_text(scenario: Scenario, improved: Craft, notes: Notes) -> str:
    """Text of a craft file that loads to `improved`.

    scenario : with the craft file's own text, and its craft before;  notes : dotted key of the craft -> remark beside it
    """
    doc = _document(scenario.craft_text)
    if doc is not None:
        if scenario.craft.tail is None and "tail" in doc:
            _set(doc["tail"], "drive", "none", "")
        _lay(doc, scenario.craft, {"tail"} if scenario.craft.tail is None else set())
        for key in notes:
            _set(inner(doc, key.split(".")), key.rpartition(".")[2], _at(improved, key), notes[key])
        text = tomlkit.dumps(doc)
        if _same(text, improved):
            return text
    return improved.effective_toml()  # the craft stands in the scenario itself, or is too much changed to keep its text


def scenario_text(scenario: Scenario, improved: Scenario, craft: str, notes: Notes) -> str:
    """Text of a scenario file that loads to `improved`, whose craft stands in the file `craft`; what [change] said is in there."""
    doc = _document(scenario.source_text) or tomlkit.document()
    doc.pop("change", None)
    doc["craft"] = craft
    _lay(doc, scenario, {"craft"})
    for key in notes:
        _set(inner(doc, key.split(".")), key.rpartition(".")[2], _at(improved, key), notes[key])
    return tomlkit.dumps(doc)


def _document(text: str) -> tomlkit.TOMLDocument | None:
    return tomlkit.parse(text) if text.strip() else None


def _same(text: str, craft: Craft) -> bool:
    from paddlebar.files.load import parse_craft  # noqa: PLC0415  (load needs none of this)

    return parse_craft(text) == craft


def _lay(table: Any, model: BaseModel, untouched: set[str]) -> None:
    """Make a table say what the model was given: changes of a scenario and of --set are written in."""
    for key in [key for key in table if key not in model.model_fields_set and key not in untouched]:
        table.pop(key)
    given = model.model_fields_set - untouched
    for key in [name for name in type(model).model_fields if name in given]:  # a set has another order each time
        value = getattr(model, key)
        if isinstance(value, BaseModel):
            if key not in table:
                table[key] = tomlkit.table()
            _lay(table[key], value, set())
        elif isinstance(value, tuple) and value and isinstance(value[0], BaseModel):
            _lay_list(table, key, value)
        elif value is not None and (key not in table or _plain(table[key]) != _plain(value)):
            _set(table, key, value, "" if key not in table else _was(table[key]))


def _lay_list(table: Any, key: str, models: tuple[BaseModel, ...]) -> None:
    entries = table.get(key)
    if not isinstance(entries, AoT):  # written inline, or not there
        entries = tomlkit.aot()
        table[key] = entries
    for number, model in enumerate(models):
        if number >= len(entries):
            entries.append(tomlkit.table())
        _lay(entries[number], model, set())
    while len(entries) > len(models):
        del entries[-1]


def _at(model: Any, key: str) -> Any:
    for word in key.split("."):
        if isinstance(model, tuple):
            named = [entry for entry in model if getattr(entry, "name", None) == word]
            model = named[0] if named else model[int(word) - 1]
        else:
            model = getattr(model, word)
    return model


def _set(table: Any, key: str, value: Any, note: str) -> None:
    item = tomlkit.item(value)
    old = table.get(key)
    said = [note] if note else []
    if isinstance(old, Item) and old.trivia.comment:
        said.append(old.trivia.comment.lstrip("# "))
    if said:
        item.comment("; ".join(said))
    table[key] = item


def _was(old: Any) -> str:
    value = _plain(old)
    return f"in the file {value:g}" if isinstance(value, (int, float)) and not isinstance(value, bool) else ""


def _plain(value: Any) -> Any:
    """Plain numbers, words, lists."""
    if isinstance(value, Item):
        value = value.unwrap()
    return [_plain(each) for each in value] if isinstance(value, (list, tuple)) else value
