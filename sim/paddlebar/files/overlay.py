"""A scenario file with some keys changed, as the user wrote it otherwise: what `fly` takes after a match."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import tomlkit

from paddlebar.files.craft import SECTIONS
from paddlebar.files.override import parse_value
from paddlebar.files.places import entry_at
from paddlebar.files.scenario import Scenario
from paddlebar.files.tables import CURVE_KEYS, SECTION_KEYS, is_table


def overlay(
    scenario: Scenario,
    changes: Mapping[str, Any],
    folder: Path,
    remarks: Iterable[str] = (),
    source: Path | None = None,
) -> str:
    """TOML text of a scenario with changes.

    changes : dotted keys -> values, the craft's under "craft." (they go into [change]); text is read as in --set
    folder  : where the file will stand: paths in it are made to start there
    remarks : lines of comment at its head;  source : the scenario's own file; None: the whole description, craft included, is written
    """
    if source is not None and scenario.source_text:
        document = tomlkit.parse(scenario.source_text)
        _moved(document, source.parent, folder)
    else:
        document = tomlkit.parse(scenario.effective_toml())
    for key, value in changes.items():
        words = key.split(".")
        if words[0] == "craft" and len(words) > 1:
            words = ["change", *words[1:]]
        inner(document, words)[words[-1]] = parse_value(value)
    head = "".join(f"# {line}\n" for text in remarks for line in text.splitlines())
    return head + tomlkit.dumps(document)


def _moved(document: Any, before: Path, after: Path) -> None:
    """Paths that started at one folder start at another."""
    if isinstance(document.get("craft"), str):
        document["craft"] = _seen_from(after, before / Path(document["craft"]).expanduser())
    for name in ("change", "craft"):
        for key in (*SECTION_KEYS, *CURVE_KEYS):
            table = document.get(name)
            for word in key[:-1]:
                table = table.get(word) if isinstance(table, dict) else None
            value = table.get(key[-1]) if isinstance(table, dict) else None
            if isinstance(table, dict) and isinstance(value, str) and value not in SECTIONS and not is_table(value):
                table[key[-1]] = _seen_from(after, before / Path(value).expanduser())


def _seen_from(folder: Path, path: Path) -> str:
    try:
        return Path(os.path.relpath(path.resolve(), folder.resolve())).as_posix()
    except ValueError:  # another drive
        return str(path.resolve())


def inner(table: Any, words: list[str]) -> Any:
    """The table that holds the last of some words, made if it is not there; entries of a list by name or by number from 1."""
    for at, word in enumerate(words[:-1]):
        if isinstance(table, list):
            found = entry_at(word, [each.get("name") if isinstance(each, dict) else None for each in table])
            table = None if found is None else table[found]
        else:
            if word not in table:
                table.add(word, tomlkit.table(is_super_table=at < len(words) - 2))
            table = table[word]
    return table
