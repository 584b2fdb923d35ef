"""A description as the text of a file that explains every key once: values from the caller, words from the fields.

In each table what was given comes first. What has a good default follows as comments, with that default, or with an example where there
is none. An entry of a list shows what was given, and what no entry before it has shown.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping
from typing import Any, Final

from paddlebar.files.explained import Key, key_at, keys_in
from paddlebar.files.strict import SameAs, Strict

WIDTH: Final = 120
COLUMN: Final = 32  # where the words begin that stand beside a value
OFF: Final = "# "  # before what the file could have and has not

Values = Mapping[str, Any]
Said = tuple[str, str, str]


def commented(model: type[Strict], values: Values) -> str:
    """TOML text that loads to the values, all else at its default.

    model  : Craft or Scenario
    values : as a TOML reader gives them, tables in dicts; a scenario's craft as a path
    """
    return "\n".join(_table(model, values, "", "", set())) + "\n"


def _table(model: type[Strict], values: Values, name: str, off: str, said: set[Said]) -> Iterator[str]:
    """Entries of a table, then the tables in it; ``said`` is what the file has explained so far."""
    keys = keys_in(model, name)
    own = [key for key in keys if not key.tables]
    for key in own:
        if key.name in values:
            yield from _entry(key, values, off, said)
    for key in own:
        if key.name not in values and _once(key) not in said:
            yield from _entry(key, values, OFF, said)
    for key in keys:
        if key.tables:
            yield from _inside(key, values.get(key.name), off, said)


def _entry(key: Key, values: Values, off: str, said: set[Said]) -> Iterator[str]:
    """A line, and on it or above it what it means, if the file has not said so yet."""
    default, mark = key.default, "(may go) "
    if isinstance(default, SameAs):
        followed = key_at(key.model, default.key)
        default, mark = values.get(followed.name, followed.default), f"(may go: as {followed.name}) "
    elif key.name in values and default not in (None, "") and values[key.name] != default:
        mark = f"(may go: {toml(default)}) "
    elif key.name not in values and default is None:
        default = (key.field.examples or key.choices or [""])[0]
    line = f"{off}{key.name} = {toml(values.get(key.name, default))}"
    words = f"{mark if key.may_go else ''}{key.words}"
    beside = f"{line:<{COLUMN - 1}} # {words}"
    if _once(key) in said:
        yield line
    elif len(beside) <= WIDTH:
        yield beside
    else:
        yield from textwrap.wrap(f"{key.name}: {words}", WIDTH, initial_indent=OFF, subsequent_indent=OFF)
        yield line
    said.add(_once(key))


def _inside(key: Key, given: Any, off: str, said: set[Said]) -> Iterator[str]:
    """A table, or every entry of a list of tables and the kinds that it has no entry of."""
    name = f"{key.table}.{key.name}".strip(".")
    yield from ("", f"# {key.words}" if key.table else f"# ---- {key.words} ".ljust(WIDTH - 10, "-"))
    if not key.header.startswith("[["):
        absent = given is None and key.default is None and not key.field.is_required()
        yield f"{OFF if absent else off}{key.header}"
        yield from _table(key.tables[0], given or {}, name, OFF if absent else off, said)
        return
    kinds = {keys_in(each)[0].kind: each for each in key.tables}
    live = [(kinds[entry.get("kind", "")], entry, off) for entry in given or ()]
    told = [model for model, _, _ in live]
    shown = [*live, *((each, {}, OFF) for each in key.tables if each not in told)]
    for number, (model, entry, mark) in enumerate(shown):
        yield from ([""] if number else [])
        yield mark + key.header
        yield from _table(model, entry, name, mark, said)


def _once(key: Key) -> Said:
    """What makes a key one that has been explained: tail.skein is a skein, and a rod's ends are as a tube's."""
    return key.table.rpartition(".")[2], key.name, key.words


def toml(value: Any) -> str:
    """A value as a builder types it into a file: 14, not 14.0."""
    import tomlkit  # noqa: PLC0415  only `new` and the manual need it

    if isinstance(value, (list, tuple)):
        return f"[{', '.join(map(toml, value))}]"
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return str(tomlkit.item(value).as_string())
