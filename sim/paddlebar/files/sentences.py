"""From the validator's list of complaints to the one line that helps most."""

from __future__ import annotations

import re
import types
import typing
from collections.abc import Iterable
from difflib import get_close_matches
from typing import Any, Final, Literal, NamedTuple, TypeVar

from pydantic import BaseModel, ValidationError

from paddlebar.errors import BadInput, NoSuchKey
from paddlebar.files.places import Key, Places, named
from paddlebar.units import stem_of

RULES = {
    "float_type": "input should be a number",
    "int_type": "input should be a whole number",
    "int_from_float": "input should be a whole number",
    "string_type": "input should be text",
    "bool_type": "input should be true or false",
    "tuple_type": "input should be a list",
    "model_type": "input should be a table",
    "model_attributes_type": "input should be a table",
    "finite_number": "input should be a finite number",
}


MOST_TOLD: Final = 200  # complaints that are looked at; a guess for each takes its time


class Problem(NamedTuple):
    """One thing that is wrong: the key, and the rule with what was found. ``rank`` 0 is told first; unknown: there is no such key."""

    key: Key
    rule: str
    rank: int = 1
    unknown: bool = False


def raise_first(problems: Iterable[Problem], places: Places) -> None:
    """Raise BadInput for the most useful problem, if there is any; the others are only counted."""
    ordered = sorted(problems, key=lambda problem: (problem.rank, places.find(problem.key).line or 0))
    if ordered:
        more = f" (and {len(ordered) - 1} more)" if len(ordered) > 1 else ""
        kind = NoSuchKey if ordered[0].unknown else BadInput
        raise kind(places.sentence(ordered[0].key, ordered[0].rule + more))


M = TypeVar("M", bound=BaseModel)


def validated(model: type[M], raw: dict[str, Any], places: Places) -> M:
    """``raw`` as an object of ``model``, or BadInput with one sentence."""
    try:
        return model.model_validate(raw)
    except ValidationError as error:
        raise_first(_problems(error, model, raw), places)
        raise  # only reached if the list was empty


_COMMA, _UNIT = r"[-+]?\d+,\d+", r"([-+]?\d+\.?\d*)\s*[^\W\d]+"


def _problems(error: ValidationError, model: type[BaseModel], raw: dict[str, Any]) -> list[Problem]:
    problems = []
    explained: set[Key] = set()
    missing = []
    for detail in error.errors(include_url=False)[:MOST_TOLD]:
        kind, loc = detail["type"], tuple(_without_tags(detail["loc"], raw))
        if kind == "default_factory_not_called":  # follows from another complaint
            continue
        if kind in ("union_tag_invalid", "union_tag_not_found"):
            loc = (*loc, "kind")
        key = named(loc, raw)
        if kind in ("missing", "union_tag_not_found"):
            missing.append(Problem(key, "is missing", 2))
        elif kind == "extra_forbidden":
            homes = (
                [] if len(loc) > 1 else sorted(_homes(str(loc[0]), model, ""))
            )  # a table of the craft, written without it
            guess = homes[0] if homes else nearest_key(str(loc[-1]), _table_model(model, loc[:-1], raw), model)
            hint = f"; did you mean {guess}?" if guess else ""
            if guess == ".".join(step for step in loc if isinstance(step, str)):  # other kinds have it
                hint = " with this kind"
            problems.append(Problem(key, "no such key" + hint, 0, unknown=True))
            explained.add((*key[:-1], guess or ""))
        else:
            problems.append(Problem(key, _rule(kind, detail)))
    return problems + [problem for problem in missing if problem.key not in explained]


def _rule(kind: str, detail: Any) -> str:
    """Rule, what was found, and the nearest allowed word."""
    found = detail.get("input")
    if kind in ("union_tag_invalid", "literal_error"):
        allowed = detail["ctx"].get("expected_tags") or detail["ctx"]["expected"]
        words = [word.strip(" '") for word in str(allowed).replace(" or ", ", ").split(",")]
        tag = found.get("kind") if kind == "union_tag_invalid" and isinstance(found, dict) else found
        close = get_close_matches(str(tag), words, n=1) if isinstance(tag, str) else []
        listed = " or ".join(filter(None, (", ".join(map(repr, words[:-1])), repr(words[-1]))))
        if not isinstance(found, str) and kind == "literal_error" and not str(allowed).startswith("'"):
            listed = str(allowed)  # whole numbers to choose from
        return f"input should be {listed}, found {show(tag)}" + (f"; did you mean {close[0]!r}?" if close else "")
    if kind in ("too_short", "too_long"):
        context = detail["ctx"]
        bound = f"at least {context['min_length']}" if kind == "too_short" else f"at most {context['max_length']}"
        return f"list should have {bound} in it, found {context['actual_length']}"
    rule = RULES.get(kind, detail["msg"][:1].lower() + detail["msg"][1:])
    small = kind == "greater_than_equal" and str(detail["loc"][-1]).endswith("_deg") and found > 0
    hint = "; looks like radians, give degrees" if small else _as_number(found) if "number" in rule else ""
    return f"{rule}, found {show(found)}{hint}"


def _as_number(found: Any) -> str:
    """What a number that is none should look like: a decimal comma, or a unit behind it."""
    comma, unit = (re.fullmatch(each, found.strip()) if isinstance(found, str) else None for each in (_COMMA, _UNIT))
    if comma:
        return f"; with a point: {found.strip().replace(',', '.')}"
    return f"; the unit stands in the key's name: {unit[1]}" if unit else ""


def show(value: Any) -> str:
    """A found value as a builder would write it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, tuple):
        text = "[" + ", ".join(show(each) for each in value) + "]"
    else:
        text = repr(value) if isinstance(value, str | int | float) else str(value)
    return text if len(text) <= 60 else text[:57] + "..."


def nearest_key(key: str, table: type[BaseModel] | None, whole: type[BaseModel]) -> str | None:
    """Same stem with another unit first, then the most similar key of the table, then the same key in another table."""
    if table is not None:
        known = list(table.model_fields)
        stem = stem_of(key).lower()
        same = [name for name in known if stem_of(name) == stem]
        close = same or get_close_matches(key.lower(), known, n=1, cutoff=0.6)
        if not close and len(stem) > 3:  # shorter stems resemble everything
            close = [name for name in known if get_close_matches(stem, [stem_of(name)], 1, 0.75)]
        if close:
            return close[0]
    homes = sorted(home for home in _homes(key, whole, "") if home)
    return homes[0] if homes else None


def _homes(key: str, model: type[BaseModel], prefix: str) -> Iterable[str]:
    """Dotted names of all tables of a description that have ``key``."""
    if key in model.model_fields and prefix:
        yield f"{prefix}.{key}"
    for name, field in model.model_fields.items():
        for inner in models_of(field.annotation):
            yield from _homes(key, inner, f"{prefix}.{name}" if prefix else name)


def models_of(annotation: Any) -> list[type[BaseModel]]:
    """All table classes inside an annotation (optional, list of, one of several kinds)."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    if typing.get_origin(annotation) is Literal:
        return []
    if isinstance(annotation, types.UnionType) or typing.get_args(annotation):
        return [model for part in typing.get_args(annotation) for model in models_of(part)]
    return []


def _table_model(model: type[BaseModel], loc: tuple[str | int, ...], raw: Any) -> type[BaseModel] | None:
    """The class of the table at ``loc``; among several kinds the one that ``kind`` in the file picks."""
    current: type[BaseModel] | None = model
    for step in loc:
        raw = _inside(raw, step)
        if isinstance(step, int) or current is None:
            continue
        field = current.model_fields.get(step)
        choices = models_of(field.annotation) if field else []
        current = choices[0] if choices else None
        if len(choices) > 1:
            current = None
            rest = raw
            if isinstance(rest, tuple):
                rest = rest[next(n for n in loc[loc.index(step) + 1 :] if isinstance(n, int))]
            for choice in choices:
                kind = choice.model_fields.get("kind")
                if kind and isinstance(rest, dict) and rest.get("kind") in typing.get_args(kind.annotation):
                    current = choice
    return current


def _inside(raw: Any, step: str | int) -> Any:
    if isinstance(raw, dict):
        return raw.get(step)
    return raw[step] if isinstance(raw, tuple) and isinstance(step, int) and step < len(raw) else None


def _without_tags(loc: tuple[str | int, ...], raw: Any) -> Iterable[str | int]:
    """The validator puts the chosen kind into its path (part, 0, rod, mass_g); the file has no such table."""
    here = raw
    for place, step in enumerate(loc):
        last = place == len(loc) - 1
        if isinstance(here, dict) and step not in here and not last:
            continue
        if isinstance(here, dict) and last and step not in here and step == here.get("kind"):
            continue
        yield step
        here = _inside(here, step)
