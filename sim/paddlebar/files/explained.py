"""Each key of the files in a builder's words, read off the fields themselves: what it is, its unit, whether it may go."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Literal, NamedTuple, get_args, get_origin

from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from paddlebar.files.sentences import models_of
from paddlebar.files.strict import Described, Strict
from paddlebar.units import unit_of


class Key(NamedTuple):
    """A key as the classes have it: dotted table ("" at the top), name, the field itself, and the class that holds it."""

    table: str
    name: str
    field: FieldInfo
    model: type[Strict]

    @property
    def words(self) -> str:
        """What it means; of a choice, what there is to choose from, unless the words go through it."""
        words, choices = self.field.description or "", self.choices
        quoted = [each if each.isdigit() else f'"{each}"' for each in choices]
        told = len(choices) < 2 or all(each in words for each in quoted)
        return words if told else f"{words} One of {', '.join(quoted)}."

    @property
    def may_go(self) -> bool:
        """The file may do without it, whatever kinds of things it describes."""
        conditional = {key for keys in (*self.model.needs.values(), *self.model.ways) for key in keys}
        return not self.field.is_required() and self.name not in conditional

    @property
    def unit(self) -> str:
        """As one reads it: "mm"; "" for a plain number, a word or a table."""
        return unit_of(self.name) if "float" in str(self.field.annotation) else ""

    @property
    def choices(self) -> list[str]:
        """What it may be, where there is a list to choose from."""
        return _choices(self.field.annotation)

    @property
    def default(self) -> Any:
        """What is taken when it is left out, None for nothing; a SameAs where it follows another key."""
        default = self.field.default if self.field.default_factory is None else self.field.default_factory
        return None if default is PydanticUndefined else default

    @property
    def tables(self) -> list[type[Strict]]:
        """The classes of the tables that it holds; none for a scenario's craft, which is a file of its own."""
        return [
            each
            for each in models_of(self.field.annotation)
            if issubclass(each, Strict) and not issubclass(each, Described)
        ]

    @property
    def header(self) -> str:
        """Of a key that holds tables: the line that opens one, "[shaft]" or "[[rotor.station]]"."""
        dotted = f"{self.table}.{self.name}".strip(".")
        return f"[[{dotted}]]" if get_origin(self.field.annotation) is tuple else f"[{dotted}]"

    @property
    def kind(self) -> str:
        """Of a table of several kinds: the one that has this key; else ""."""
        field = self.model.model_fields.get("kind")
        kinds = _choices(field.annotation) if field else []
        return kinds[0] if len(kinds) == 1 else ""


def keys_in(model: type[Strict], table: str = "") -> list[Key]:
    """The keys of one table in the order to be read: name and kind, the table's own, then what all kinds of it have."""
    names = sorted(
        model.model_fields, key=lambda name: (name != "name", name != "kind", name not in model.__annotations__)
    )
    return [Key(table, name, model.model_fields[name], model) for name in names]


def key_at(model: type[Strict], dotted: str, table: str = "") -> Key:
    """The key under a dotted name that exists, "rotor.station"; inside a list of several kinds that of the first."""
    name, _, rest = dotted.partition(".")
    key = Key(table, name, model.model_fields[name], model)
    return key_at(key.tables[0], rest, f"{table}.{name}".strip(".")) if rest else key


def keys_of(model: type[Strict], table: str = "", above: frozenset[type] = frozenset()) -> Iterator[Key]:
    """Every key of a description: those of a table, then those of the tables in it.

    A key of several kinds of part comes once for each kind. A table that has been entered before (tail.skein is a skein) is
    named, not entered.
    """
    keys = keys_in(model, table)
    inside = {key.name: [each for each in key.tables if each not in above] for key in keys}
    yield from (key for key in keys if not inside[key.name])
    for name, tables in inside.items():
        above = above.union(*inside.values())
        for each in tables:
            yield from keys_of(each, f"{table}.{name}".strip("."), above)


def _choices(annotation: Any) -> list[str]:
    if get_origin(annotation) is Literal:
        return [str(each) for each in get_args(annotation)]
    return [choice for part in get_args(annotation) for choice in _choices(part)]
