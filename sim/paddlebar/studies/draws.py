"""What differs from flight to flight, as columns of numbers: a row of inputs is the whole draw, and a flight can be made from it anywhere."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from os import fspath
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.ensemble.samples import Item
from paddlebar.errors import BadInput, NoSuchKey
from paddlebar.files.load import load_scenario
from paddlebar.files.scenario import Scenario
from paddlebar.plain import plain
from paddlebar.studies.axes import changed, open_text

Array = NDArray[np.float64]

MOST_TEXTS: Final = 1000  # different texts that one key may have, and different scenarios; own choice
SCENARIO: Final = "scenario"  # column of the scenario where there are several


@dataclass(frozen=True)
class Column:
    """What one number of a row stands for.

    key   : dotted key, SCENARIO for the file itself;  place : in a list, from 0, -1: no list
    kind  : "number", "whole", "truth" or "text";  texts : that the numbers of a text stand for
    """

    key: str
    place: int = -1
    kind: str = "number"
    texts: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """In the file."""
        return self.key if self.place < 0 else f"{self.key}[{self.place}]"

    def value(self, number: float) -> Any:
        """What was drawn."""
        if self.kind == "text":
            return self.texts[int(number)]
        return {"whole": int, "truth": bool, "number": float}[self.kind](number)

    @property
    def told(self) -> dict[str, Any]:
        """Attributes for readers of the file."""
        meant = self.texts if self.kind == "text" else ("false", "true") if self.kind == "truth" else ()
        return {"long_name": f"drawn: {self.name}", "kind": self.kind} | (flags(meant, np.float64) if meant else {})


@dataclass(frozen=True)
class Plan:
    """All that a worker needs beside a row: effective texts of the scenarios, in the order of SCENARIO's texts, and the columns."""

    texts: tuple[str, ...]
    columns: tuple[Column, ...]

    def scenario(self, row: Sequence[float] | Array) -> Scenario:
        """Raises BadInput."""
        which, changes = drawn(self.columns, row)
        return changed(self.texts[which], changes)


def drawn(columns: Sequence[Column], row: Sequence[float] | Array) -> tuple[int, dict[str, Any]]:
    """Which scenario, and what is changed in it, from a row of inputs."""
    which, changes, lists = 0, {}, {}  # type: ignore[var-annotated]
    for column, number in zip(columns, row, strict=True):
        if column.key == SCENARIO:
            which = int(number)
        elif np.isnan(number):  # this flight leaves the key alone
            continue
        elif column.place < 0:
            changes[column.key] = column.value(number)
        else:
            lists.setdefault(column.key, []).append(column.value(number))
    return which, changes | {key: tuple(values) for key, values in lists.items()}


class Rows(Mapping[int, Sequence[float]]):
    """Index -> row, drawn when it is asked for."""

    def __init__(self, items: Sequence[Item], columns: Sequence[Column], bases: Mapping[str, int]) -> None:
        self._items, self._bases = items, bases
        self._columns = [(c, {text: k for k, text in enumerate(c.texts)}) for c in columns]

    def __len__(self) -> int:
        return len(self._items)

    def __iter__(self) -> Iterator[int]:
        return iter(range(len(self._items)))

    def __getitem__(self, index: int) -> list[float]:
        item = self._items[index]
        changes = {} if isinstance(item, Scenario) else item[1]
        row = []
        for column, texts in self._columns:
            if column.key == SCENARIO:
                row.append(float(self._bases[_base(item)]))
                continue
            value = plain(changes.get(column.key))
            if column.place >= 0 and value is not None:
                value = value[column.place] if column.place < len(value) else None
            row.append(float("nan") if value is None else float(texts[value] if column.kind == "text" else value))
        return row


def _whole(item: Item) -> Scenario | None:
    """The scenario itself, where it was given; else there is its file."""
    base = item if isinstance(item, Scenario) else item[0]
    return base if isinstance(base, Scenario) else None


def _base(item: Item) -> str:
    whole = _whole(item)
    return fspath(item[0]) if whole is None else _text(whole)  # type: ignore[index,arg-type]


@lru_cache(maxsize=MOST_TEXTS)
def _text(scenario: Scenario) -> str:
    return scenario.effective_toml()  # takes longer than many a flight


def looked_over(items: Sequence[Item]) -> tuple[tuple[Column, ...], dict[str, Scenario], list[str]]:
    """All draws, once.

    Returns : the columns that hold them; the scenarios by path or text; digests of what texts in draws stand for, which may be other files
    Raises  : BadInput, NoSuchKey before anything is flown
    """
    bases: dict[str, Scenario] = {}
    open_texts: dict[str, str] = {}
    kinds: dict[tuple[str, int], str] = {}
    read: dict[str, None] = {}
    texts: dict[tuple[str, int], dict[str, None]] = {}
    seen: set[tuple[str, ...]] = set()
    for index, item in enumerate(items):
        base, changes = _base(item), {} if isinstance(item, Scenario) else item[1]
        if base not in bases:
            bases[base] = _whole(item) or load_scenario(base)
            open_texts[base] = open_text(bases[base])
            if len(bases) > MOST_TEXTS:
                raise BadInput(f"file: more than {MOST_TEXTS} different scenarios; draw changes to one, see samples()")
        if (names := (base, *changes)) not in seen:
            seen.add(names)
            _known(open_texts[base], changes)
        for key, value in changes.items():
            for place, each in _numbers(key, plain(value), index):
                kind, at = _kind(each), (key, place)
                kinds[at] = _wider(kinds.get(at, kind), kind, key, index)
                if kind == "text" and each not in texts.setdefault(at, {}):
                    texts[at][each] = None
                    read[_read(open_texts[base], changes)] = None
                    if len(texts[at]) > MOST_TEXTS:
                        raise BadInput(f"{key}: more than {MOST_TEXTS} different texts in the draws")
    columns = [
        Column(key, place, kinds[key, place], tuple(texts.get((key, place), ()))) for key, place in sorted(kinds)
    ]
    if len(bases) > 1:
        columns.insert(0, Column(SCENARIO, kind="text", texts=tuple(bases)))
    return tuple(columns), bases, list(read)


def _read(text: str, changes: Mapping[str, Any]) -> str:
    """Digest of a scenario with the texts of a draw put in: of the craft, the tables that they name."""
    try:
        scenario = changed(text, {key: value for key, value in changes.items() if isinstance(value, str)})
    except BadInput:  # the matter of its own flight
        return ""
    return hashlib.sha256(scenario.effective_toml().encode()).hexdigest()


def _known(text: str, changes: Mapping[str, Any]) -> None:
    """Raises NoSuchKey; values that are not allowed are the matter of their own flight."""
    try:
        changed(text, dict(changes))
    except NoSuchKey:
        raise
    except BadInput:
        return


def _numbers(key: str, value: Any, index: int) -> list[tuple[int, Any]]:
    if not isinstance(value, list):
        return [(-1, value)]
    if any(isinstance(each, list | dict) for each in value):
        raise BadInput(
            f"{key}: flight {index}: a table cannot be drawn into a file; a number, a text or a list of numbers can"
        )
    return list(enumerate(value))


def _kind(value: Any) -> str:
    if isinstance(value, float) and not math.isfinite(value):  # plain() makes None of it
        return "nothing"
    return {bool: "truth", int: "whole", float: "number", str: "text"}.get(type(value), "nothing")


def _wider(old: str, new: str, key: str, index: int) -> str:
    if new == "nothing":
        raise BadInput(
            f"{key}: flight {index}: only a finite number, a text or a list of numbers can be drawn into a file"
        )
    if old == new:
        return old
    if {old, new} == {"whole", "number"}:
        return "number"
    raise BadInput(f"{key}: flight {index}: a {new} where others have a {old}")


def flags(texts: Sequence[str], kind: type) -> dict[str, Any]:
    """Attributes by which CF says what numbers mean; words of one meaning are joined, since blanks part the meanings."""
    return {
        "flag_values": np.arange(len(texts), dtype=kind),
        "flag_meanings": " ".join("_".join(t.split()) for t in texts),
    }
