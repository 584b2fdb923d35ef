"""What each key of the files means, in one line: read off the templates of ``new``, so that it stands in one place only."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, NamedTuple

from pydantic import BaseModel

from paddlebar.files.sentences import models_of
from paddlebar.files.template import CRAFT
from paddlebar.files.template_flight import SCENARIO

_HEADER = re.compile(r"^(?:# )?\[+([\w.]+)\]+(?:\s+#.*)?$")
_ENTRY = re.compile(r"^(?:#\s*)?(\w+) = (.+?)\s+#\s+(.+)$")
_BEFORE = re.compile(r"^# ([a-z]\w*): (.+)$")
_MAY_GO = re.compile(r"^\(may go[^)]*\)\s*")


class Explained(NamedTuple):
    """A key in a builder's words; ``may_go``: the file may do without it."""

    words: str
    may_go: bool


class Key(NamedTuple):
    """A key as the classes have it: dotted table ("" at the top), name, the field itself, and the class that holds it."""

    table: str
    name: str
    field: Any
    model: type[BaseModel]


def explanations(template: str) -> dict[tuple[str, str], Explained]:
    """(table, key) -> what it means, of a template's text; the first mention with words counts."""
    found: dict[tuple[str, str], Explained] = {}
    table = ""
    for line in template.splitlines():
        if header := _HEADER.match(line):
            table = header[1]
        elif said := _BEFORE.match(line):  # a line of its own, above the entry
            found.setdefault((table, said[1]), Explained(said[2], may_go=False))
        elif entry := _ENTRY.match(line):
            key, may_go = (table, entry[1]), entry[3].startswith("(may go")
            words = _MAY_GO.sub("", entry[3])
            if key in found:
                found[key] = found[key]._replace(may_go=found[key].may_go or may_go)
            elif words:
                found[key] = Explained(words, may_go)
    return found


def craft_explanations() -> dict[tuple[str, str], Explained]:
    """Of the craft file."""
    return explanations(CRAFT)


def scenario_explanations() -> dict[tuple[str, str], Explained]:
    """Of the scenario file."""
    return explanations(SCENARIO)


def keys_of(model: type[BaseModel], table: str = "") -> Iterator[Key]:
    """Every key of a description, tables inside it included, in the order of the classes.

    A key of several kinds of part comes once for each kind. A table that holds its own kind (tail.skein is a skein) is named, not entered.
    """
    for name, field in model.model_fields.items():
        inner = models_of(field.annotation)
        if not inner or (table and table.rsplit(".", 1)[-1] != "rotor"):
            yield Key(table, name, field, model)
            continue
        for each in inner:
            yield from keys_of(each, f"{table}.{name}" if table else name)
