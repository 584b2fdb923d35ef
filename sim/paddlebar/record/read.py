"""Reading a run file, however old, broken or hostile it may be.

A run file can come from anywhere, so nothing in it is followed: no link out of the place where a dataset should
stand, no storage in other files, no size that the file itself could not hold.
"""

from __future__ import annotations

import json
import os
import tomllib
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import h5py
import numpy as np

from paddlebar.errors import NotARunFile
from paddlebar.files.load import parse_scenario
from paddlebar.files.scenario import Scenario
from paddlebar.files.tables import CURVE_KEYS, value_at
from paddlebar.flight.labelled import COUNTED, RECORDED, TEXTS, slug
from paddlebar.flight.result import Array, Event, FlightData
from paddlebar.record.guarded import LINK, MISSING, Guard
from paddlebar.record.judged import are_faults, judged_anew
from paddlebar.record.layout import FILETYPE, FORMAT, MAX_EVENTS, MAX_FLIGHTS, flight_name


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class RecordedFlight(FlightData):
    """A flight as its run file holds it: the arrays of a Flight, and the texts to fly it again."""

    scenario_toml: str
    craft_toml: str
    effective_toml: str
    seed: int
    program_version: str
    versions: dict[str, str]
    created: str  # date and time of writing, UTC, ISO 8601

    @cached_property
    def scenario(self) -> Scenario:
        """What was flown, checked again, since a file can come from anywhere. Tables of sections of one's own are files of the machine that
        flew: they are not asked for before it flies again.

        Raises: BadInput when this version of the program cannot read the description
        """
        return parse_scenario(self.effective_toml, "description of the flight", sections=False)


def read_run(path: str | os.PathLike[str]) -> list[RecordedFlight]:
    """Read a run file.

    path    : what `paddlebar fly` or write_run wrote
    Returns : its flights, in their order: arrays and texts of a Flight
    Raises  : NotARunFile, saying what was found, when the file is of another kind, of a newer format, never completed,
        damaged, or refers to anything outside itself; OSError when it cannot be opened at all
    """
    path = Path(path)
    if path.exists() and not path.is_file() and not path.is_dir():
        raise NotARunFile(f"{path}: not a run file: a device or a pipe")
    with path.open("rb"):  # a missing file or a missing right is an ordinary OSError, not a strange run file
        size = path.stat().st_size
    if not h5py.is_hdf5(path):
        raise NotARunFile(f"{path}: not a run file: no HDF5 file ({_looks_like(path)})")
    try:
        with h5py.File(path, "r") as file:
            return _Reader(path, file, size).flights()
    except NotARunFile:
        raise
    except (OSError, RuntimeError, LookupError, TypeError, ValueError, AttributeError, ArithmeticError) as error:
        raise NotARunFile(f"{path}: not a whole run file: damaged or cut off ({_first_line(error)})") from error


class _Reader:
    """One open file."""

    def __init__(self, path: Path, file: h5py.File, size: int) -> None:
        self.path = path
        self.file = file
        self.guard = Guard(size, self._unsafe)

    def refuse(self, what: str) -> NotARunFile:
        return NotARunFile(f"{self.path}: {what}")

    def _unsafe(self, where: str, why: str) -> NotARunFile:
        if why == MISSING:
            return self.refuse(f"not a whole run file: {where} {why}")
        return self.refuse(f"refused: {where} {why}{', a run file holds its own data' if why == LINK else ''}")

    def flights(self) -> list[RecordedFlight]:
        self._check_head()
        count = self._integer(self.file, "flights")
        if not 0 < count <= MAX_FLIGHTS:
            raise self.refuse(f"not a run file: it counts {count} flights")
        origin = {
            "program_version": self._text(self.file, "program_version"),
            "versions": {name: str(value) for name, value in self._table(self.file, "versions").items()},
            "created": self._text(self.file, "created"),
        }
        parent = self._group(self.file, "flight")
        return [self._flight(self._group(parent, flight_name(index)), origin) for index in range(count)]

    def _check_head(self) -> None:
        attrs = self.file.attrs
        kind = self._text(self.file, "filetype") if "filetype" in attrs else ""
        if kind != FILETYPE:
            raise self.refuse(f"not a run file: an HDF5 file of type {kind!r}, {FILETYPE!r} is due")
        number = self._integer(self.file, "format")
        if number > FORMAT:
            writer = self._text(self.file, "program_version") if "program_version" in attrs else "unknown"
            raise self.refuse(
                f"run file of format {number}, this program reads up to {FORMAT}; "
                f"written by version {writer}, a newer paddlebar reads it"
            )
        if number < 1:
            raise self.refuse(f"not a run file: format {number}")
        if "complete" not in attrs or self._integer(self.file, "complete") != 1:
            raise self.refuse("run file that was never completed; fly it again")

    def _flight(self, group: h5py.Group, origin: dict[str, Any]) -> RecordedFlight:
        time = self._array(group, "time", None)
        arrays: dict[str, Any] = {"time": time}
        for row in RECORDED:
            if row.along in COUNTED and not self.guard.stands_in(group, row.name):
                arrays[row.name] = np.empty((time.size, 0))
                continue
            wanted: tuple[int, ...] = (time.size,) if not row.along else (time.size, row.size)
            arrays[row.name] = self._array(group, row.name, wanted)
        begins = all(np.isfinite(arrays[name][0]).all() for name in ("position", "attitude", "height"))
        if not (begins and np.isfinite(time).all() and (np.diff(time) >= 0.0).all()):
            raise self.refuse(f"not a run file: {group.name} begins with no state, or its time does not run forward")
        events = json.loads(self._text(group, "events"))
        if len(events) > MAX_EVENTS:
            raise self.refuse(f"not a run file: {len(events)} events in one flight")
        texts: dict[str, Any] = {name: self._text(group, name) for name in TEXTS}
        if names_files(texts["effective_toml"]):
            raise self.refuse("refused: its description names another file, a run file holds its own")
        outcome, summary = self._text(group, "outcome"), self._table(group, "summary")
        happened = [Event(str(e["name"]), float(e.get("time_s", e.get("time"))), str(e["sentence"])) for e in events]
        if "faults" in summary and not are_faults(summary["faults"]):
            raise self.refuse("not a run file: its faults are no list of faults")
        complete = bool(self._integer(group, "complete"))
        old = complete and "controlled_s" not in summary
        if old and (found := judged_anew(arrays, happened, outcome)) is not None:
            outcome, summary = found.outcome.value, summary | {"outcome": found.outcome.value} | found.to_json()
        return RecordedFlight(
            **arrays,
            **texts,
            **origin,
            ledger=self._ledger(group, time.size),
            events=happened,
            outcome=outcome,
            sentence=self._text(group, "sentence"),
            complete=complete,
            seed=self._integer(group, "seed"),
            summary=summary,
            solver=self._table(group, "solver"),
        )

    def _ledger(self, group: h5py.Group, n: int) -> dict[str, Array]:
        """Entries in the order of the totals, which is the order they were written in."""
        stored = self._group(group, "ledger")
        entries = {slug(entry): entry for entry in self._table(group, "ledger")}
        if set(stored) - {"time"} != set(entries):
            raise self.refuse("not a whole run file: entries of the energy ledger are missing")
        return {entry: self._array(stored, name, (n,)) for name, entry in entries.items()}

    def _group(self, group: h5py.Group, name: str) -> h5py.Group:
        found = self.guard.own(group, name)
        if not isinstance(found, h5py.Group):
            raise self.refuse(f"not a run file: {group.name}/{name} is no group")
        return found

    def _array(self, group: h5py.Group, name: str, wanted: tuple[int, ...] | None) -> Array:
        """Numbers of one dataset, checked before a byte of them is read; a negative size stands for any."""
        found = self.guard.own(group, name)
        where = f"{group.name}/{name}"
        if not isinstance(found, h5py.Dataset) or found.dtype != np.float64:
            raise self.refuse(f"not a run file: {where} holds no floating-point numbers")
        self.guard.inside(where, found)
        shape: tuple[int, ...] = found.shape or ()
        if wanted is None:
            fits = len(shape) == 1 and shape[0] > 0
        else:
            fits = len(shape) == len(wanted) and all(w < 0 or w == s for s, w in zip(shape, wanted, strict=True))
        if not fits:
            raise self.refuse(f"not a whole run file: {where} has shape {shape}")
        self.guard.spend(where, found.nbytes)
        return np.asarray(found[()], dtype=np.float64)

    def _attribute(self, holder: Any, name: str) -> Any:
        if name not in holder.attrs:
            raise self.refuse(f"not a whole run file: attribute {name} of {holder.name} is missing")
        if holder.attrs.get_id(name).shape != ():
            raise self.refuse(f"not a run file: attribute {name} of {holder.name} is no single value")
        return holder.attrs[name]

    def _text(self, holder: Any, name: str) -> str:
        value = self._attribute(holder, name)
        if not isinstance(value, str):
            raise self.refuse(f"not a run file: attribute {name} of {holder.name} is no text")
        self.guard.spend(f"attribute {name} of {holder.name}", len(value))
        return value

    def _table(self, holder: Any, name: str) -> dict[str, Any]:
        value = json.loads(self._text(holder, name))
        if not isinstance(value, dict):
            raise self.refuse(f"not a run file: attribute {name} of {holder.name} is no JSON object")
        return value

    def _integer(self, holder: Any, name: str) -> int:
        value = self._attribute(holder, name)
        if not isinstance(value, int | np.integer | np.bool_):
            raise self.refuse(f"not a run file: attribute {name} of {holder.name} is no whole number")
        return int(value)


def names_files(description: str) -> bool:
    """Whether a description leaves craft or torque curves to other files; programs of ours write them out.

    Sections of one's own are names in files of earlier versions: whoever flies again reads them from where they were, as csv and nothing else.
    """
    here = tomllib.loads(description)  # one that is no TOML is a damaged file
    craft = here.get("craft")
    if isinstance(craft, str) or "change" in here:
        return True
    return any(isinstance(value_at(craft, key), str) for key in CURVE_KEYS)


def _looks_like(path: Path) -> str:
    with path.open("rb") as file:
        head = file.read(16)
    return f"it starts with {head!r}" if head else "it is empty"


def _first_line(error: Exception) -> str:
    return (str(error).splitlines() or [type(error).__name__])[0]
