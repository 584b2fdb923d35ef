"""What a description holds under a dotted key; of a number also the least and greatest that the file allows."""

from __future__ import annotations

import math
from typing import Any, NamedTuple, TypeVar, get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from paddlebar.errors import BadInput
from paddlebar.files.places import entry_at
from paddlebar.files.sentences import nearest_key

M = TypeVar("M", bound=BaseModel)


class Number(NamedTuple):
    """Value of a key (nan: left open) and the range of the file, all in the unit of the key."""

    value: float
    low: float
    high: float


def value_at(description: BaseModel, key: str) -> Any:
    """What stands under a dotted key, None where nothing does; entries of a list by name or by number from 1."""
    here: Any = description
    for word in key.split("."):
        here = _entry(here, word) if isinstance(here, tuple) else getattr(here, word, None)
    return here


def number_at(description: BaseModel, key: str, option: str) -> Number:
    """The number under a dotted key, "craft.part.stick.mass_g", "craft.part.ballast.at_mm.2"; entries of a list by name or by number from 1.

    option  : what an error calls the place where the key was asked for
    Raises  : BadInput, one line, for a key that does not exist (with the nearest) or that holds no real number
    """
    here: Any = description
    field: FieldInfo | None = None
    place: Any = None  # what the entries of a list of numbers may be
    for word in key.split("."):
        if isinstance(here, tuple):
            of = field.annotation if field is not None else None
            if type(None) in get_args(of):  # a list that may be left out
                of = get_args(of)[0]
            here, field, place = _entry(here, word), None, next(iter(get_args(of)), None)
        elif isinstance(here, BaseModel):
            field, place = type(here).model_fields.get(word), None
            if field is None:
                near = nearest_key(word, type(here), type(description))
                raise BadInput(f"{option}: {key}: no such key" + (f"; did you mean {near}?" if near else ""))
            here = getattr(here, word)
        else:
            here, field, place = None, None, None
        if here is None and word != key.rsplit(".", 1)[-1]:
            raise BadInput(f"{option}: {key}: there is no {word} in this description")
    listed = place is not None and isinstance(here, float)
    single = field is not None and "float" in str(field.annotation) and "tuple" not in str(field.annotation)
    if not (listed or single) or isinstance(here, bool):
        raise BadInput(f"{option}: {key}: only a number that is no count can be an unknown")
    about = (field,) if field is not None else getattr(place, "__metadata__", ())
    rules = [rule for each in about for rule in each.metadata]
    ends = {name: getattr(rule, name) for rule in rules for name in ("ge", "gt", "le", "lt") if hasattr(rule, name)}
    low, high = ends.get("ge", ends.get("gt", -math.inf)), ends.get("le", ends.get("lt", math.inf))
    return Number(math.nan if here is None else float(here), float(low), float(high))


def _entry(entries: tuple[Any, ...], word: str) -> Any:
    """Of a list, by name or by number from 1; None if there is none."""
    at = _at(entries, word)
    return None if at is None else entries[at]


def _at(entries: tuple[Any, ...], word: str) -> int | None:
    return entry_at(word, [getattr(e, "name", None) for e in entries])


def with_number(description: M, key: str, value: float) -> M:
    """The description with another number under a key that exists, see number_at; quick: nothing is checked anew, all_up_g stays."""
    return description.model_copy(update=_changed(description, key.split("."), value))


def _changed(table: BaseModel, words: list[str], value: float) -> dict[str, Any]:
    here = getattr(table, words[0])
    if len(words) == 1:
        return {words[0]: value}
    if not isinstance(here, tuple):
        return {words[0]: here.model_copy(update=_changed(here, words[1:], value))}
    at = _at(here, words[1])
    assert at is not None  # the key exists
    entry = value if len(words) == 2 else here[at].model_copy(update=_changed(here[at], words[2:], value))
    return {words[0]: (*here[:at], entry, *here[at + 1 :])}
