"""Changes laid over a description: a scenario's [change] tables, and --set with dotted keys."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Mapping
from difflib import get_close_matches
from typing import Any

import tomlkit

from paddlebar.errors import BadInput, NoSuchKey
from paddlebar.files.parts import EveryPart
from paddlebar.files.places import Key, Place, Places, frozen_lists, place_named, plain

GIVEN = "overrides"  # what errors call changes handed over as keys and values; the command line says --set instead
Raw = dict[str, Any]


class Read(str):
    """Text that was read as TOML already: `"5"` in quotes stays text."""

    __slots__ = ()


def parse_setting(text: str) -> tuple[str, Any]:
    """``key=value`` of one --set: dotted key and value.

    text    : e.g. "launch.tilt_deg=5", "craft.bar.gain=-0.5", "craft.part.stick.mass_g=2", "launch.release=held"
    Returns : (key, value); the value is read as TOML, a bare word is text
    Raises  : BadInput when there is no "=" or no key
    """
    try:  # bytes that the console's own encoding does not know come as halves of characters
        text = text.encode(errors="surrogateescape").decode()
    except UnicodeError:
        raise BadInput(f"--set: {ascii(text)}: is no text in UTF-8") from None
    key, sign, value = text.partition("=")
    key = key.strip()
    if not sign or not key or "" in key.split("."):
        raise BadInput(f"--set: {text or repr('')}: write key=value, for example launch.tilt_deg=5")
    read = parse_value(value)
    return key, Read(read) if isinstance(read, str) else read


def as_setting(key: str, value: Any) -> str:
    """``key=value`` as parse_setting reads it; a name with blanks is written without them, see places.plain."""
    key = plain(key)
    if isinstance(value, str):
        return f"{key}={value}"
    return f"{key}={tomlkit.item(list(value) if isinstance(value, tuple) else value).as_string()}"


def parse_value(value: Any) -> Any:
    """A --set value: text is read as TOML, with bare words as text; other objects are taken as they are."""
    if isinstance(value, Read):
        return str(value)
    if not isinstance(value, str):
        return frozen_lists(as_lists(value))
    text = value.strip()
    if "\n" not in text and text:
        try:
            return frozen_lists(tomllib.loads(f"value = {text}")["value"])
        except (ValueError, RecursionError):
            if re.fullmatch(r"[-+]?(\.\d+|\d+\.)", text):  # half as a hand writes it: .5
                return float(text)
            if text in ("+nan", "-nan", "NaN", "Inf", "-Inf"):
                return math.nan
    return text


def as_lists(value: Any) -> Any:
    """Arrays and tables of other libraries as lists of Python's own numbers, wherever they stand."""
    if isinstance(value, Mapping):
        return {key: as_lists(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [as_lists(each) for each in value]
    for method in ("to_numpy", "tolist"):  # pandas' and xarray's, then numpy's: none of them need be loaded here
        if hasattr(value, method):
            return as_lists(getattr(value, method)())
    return value


def tree(settings: Mapping[str, Any]) -> tuple[Raw, Places]:
    """Dotted settings as nested tables, with their places (file "overrides"): the same in any order.

    Raises : BadInput for two that contradict each other: two values of one key, a value for a table that others set keys of
    """
    raw: Raw = {}
    known: dict[Key, Place] = {}
    for dotted, value in settings.items():
        words = tuple(str(dotted).strip().split("."))
        if "" in words:
            raise BadInput(f"{GIVEN}: {dotted!r}: is no key; write for example launch.tilt_deg")
        inner = parse_value(value)
        for word in reversed(words):
            inner = {word: inner}
        _joined(raw, inner, ())
        for length in range(1, len(words) + 1):
            known[tuple(map(plain, words[:length]))] = Place(GIVEN, None, ".".join(words[:length]))
    return raw, Places(GIVEN, known)


def _joined(table: Raw, more: Raw, here: Key) -> None:
    """Put the entries of one table into another. Raises BadInput where both say something else."""
    for word, value in more.items():
        key = ".".join((*here, str(word)))
        if word not in table:
            table[word] = {}
            if not isinstance(value, dict):
                table[word] = value
                continue
        old = table[word]
        if isinstance(old, dict) and isinstance(value, dict):
            _joined(old, value, (*here, str(word)))
        elif isinstance(old, dict) or isinstance(value, dict):
            entry = next(iter(old if isinstance(old, dict) else value), "")
            raise BadInput(f"{GIVEN}: {key}: was set as a whole, and {key}.{entry} as well; leave out one of both")
        elif type(old) is not type(value) or old != value:
            raise BadInput(f"{GIVEN}: {key}: was set twice, to {old!r} and to {value!r}")


def under(places: Places, prefix: Key) -> Places:
    """The places below a table, by their keys inside it (written keys stay whole: "change.bar.gain")."""
    n = len(prefix)
    found = {key[n:]: place for key, place in places.known.items() if key[:n] == prefix and len(key) > n}
    return Places(places.file, found)


def laid_over(base: Any, change: Raw, places: Places, here: Key = ()) -> Any:
    """``base`` with ``change`` merged over it, table by table; entries of a list go by name or by number from 1.

    places : where the change was written, for the error about an entry that does not exist
    """
    if isinstance(base, tuple) and any(isinstance(each, dict) for each in base):
        return _list_changed(base, change, places, here)
    if isinstance(base, tuple) and change and all(word.isdigit() for word in change):
        return _list_changed(base, change, places, here)
    if not isinstance(base, dict):
        if base is not None:
            raise BadInput(places.sentence((*here, next(iter(change), "")), f"{here[-1]} holds a value and no entries"))
        return dict(change)
    result = dict(base)
    for word, value in change.items():
        if isinstance(value, dict):
            result[word] = laid_over(result.get(word), value, places, (*here, word))
        else:
            result[word] = value
    if here[-1:] == ("skein",):
        _one_measure(result, change)
    return result


def _list_changed(entries: tuple[Any, ...], change: Raw, places: Places, here: Key) -> tuple[Any, ...]:
    names = [str(n) for n in range(1, len(entries) + 1)]
    names = [e.get("name", n) if isinstance(e, dict) else n for e, n in zip(entries, names, strict=True)]
    result = list(entries)
    for word, value in change.items():
        at = place_named(word, names)
        if at is not None:
            if isinstance(value, dict):
                result[at] = laid_over(_of_kind(entries[at], value), value, places, (*here, word))
            else:
                result[at] = value
        elif here[-1:] == ("part",) and isinstance(value, dict) and "kind" in value:
            result.append({"name": word, **value})  # a change may add a part
        else:
            named = [plain(str(each)) for each in names]
            close = get_close_matches(word, named, n=1)
            guess = f"; did you mean {close[0]}?" if close else f"; there is {', '.join(named)}"
            raise NoSuchKey(places.sentence((*here, word), f"no such {here[-1]}{guess}"))
    return tuple(result)


def _of_kind(entry: Any, change: Raw) -> Any:
    """A part that becomes one of another kind keeps only what all kinds have."""
    if isinstance(entry, dict) and "kind" in change and change["kind"] != entry.get("kind"):
        return {key: entry[key] for key in EveryPart.model_fields if key in entry}
    return entry


def _one_measure(skein: Raw, change: Raw) -> None:
    """A skein is given in one of three ways: a change from one to another takes the old entries away."""
    strip, metre = ("strands", "width_mm", "thickness_mm"), ("strands", "linear_density_g_m")
    if "mass_g" in change and not any(key in change for key in (*strip, *metre)):
        gone = {*strip, *metre}
    elif "mass_g" not in change and all(key in change for key in strip):
        gone = {"mass_g", "linear_density_g_m"} - change.keys()
    elif "mass_g" not in change and "linear_density_g_m" in change and "strands" in {*change, *skein}:
        gone = {"mass_g", "width_mm", "thickness_mm"} - change.keys()
    else:
        gone = set()
    for key in gone:
        skein.pop(key, None)
