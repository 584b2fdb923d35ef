"""Writing a run file: whole, labelled, versioned, or not there."""

from __future__ import annotations

import json
import os
import platform
import secrets
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from datetime import UTC, datetime
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import IO, Any

import h5py
import numpy as np

from paddlebar.flight import labelled
from paddlebar.flight.labelled import COUNTED, LABELS, LONG_NAMES
from paddlebar.flight.layout import Row
from paddlebar.flight.result import Event, FlightData
from paddlebar.record.layout import FILETYPE, FORMAT, MAX_EVENTS, MAX_FLIGHTS, PACKAGES, flight_name

_TEXT = h5py.string_dtype("utf-8")


def write_run(path: str | os.PathLike[str], flights: Sequence[FlightData]) -> None:
    """Write ``flights`` to the run file ``path``, replacing it only once the new one is whole on the disk.

    The file is built in memory (a few MB a flight), so that a full disk shows as an ordinary OSError of a plain write;
    then written under a temporary name beside the target, synchronised, and renamed. Whatever interrupts this,
    KeyboardInterrupt included, the temporary is removed and an older target stays as it was.

    Raises: ValueError for no flight, too many, or arrays that do not fit together; OSError from the disk.
    """
    if not 0 < len(flights) <= MAX_FLIGHTS:
        raise ValueError(f"a run file holds 1 to {MAX_FLIGHTS} flights, not {len(flights)}")
    put_in_place(Path(path), image_of(flights))


def image_of(flights: Sequence[FlightData]) -> bytes:
    """The bytes of the run file."""
    with h5py.File("run", "w", driver="core", backing_store=False) as file:
        file.attrs["filetype"] = FILETYPE
        file.attrs["format"] = FORMAT
        file.attrs["created"] = datetime.now(UTC).isoformat(timespec="seconds")
        file.attrs["Conventions"] = labelled.CONVENTIONS
        found = _flown_by(flights)
        file.attrs["program_version"] = found["paddlebar"]
        file.attrs["versions"] = json.dumps(found)
        file.attrs["flights"] = len(flights)
        parent = file.create_group("flight")
        for index, flight in enumerate(flights):
            _write_flight(parent.create_group(flight_name(index)), flight)
        file.attrs["complete"] = 1  # last: nothing may follow it
        file.flush()
        return bytes(file.id.get_file_image())


def put_in_place(path: Path, image: bytes | Callable[[IO[bytes]], None]) -> None:
    """Bring ``image``, or what a function writes, to ``path`` in one step: write beside it, fsync, rename."""
    shown, path = path, Path(os.path.realpath(path))  # behind a symbolic link the file is replaced, not the link
    temporary = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        with temporary.open("x+b") as file:  # "x": never over a file that somebody else is writing
            if callable(image):
                image(file)
            else:
                file.write(image)
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(path)
    except BaseException as error:
        temporary.unlink(missing_ok=True)
        if isinstance(error, OSError) and error.errno is not None:
            # a full disk names no file, others the temporary one
            raise OSError(error.errno, error.strerror, str(shown)) from error
        raise
    with suppress(OSError):  # some file systems refuse to synchronise a folder; the file itself is safe by then
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def versions() -> dict[str, str]:
    """Of the program, of what it is built on, and of the system, as they run now."""
    found = {"python": platform.python_version(), "hdf5": h5py.version.hdf5_version, "system": platform.platform()}
    for name in PACKAGES:
        try:
            found[name] = version(name)
        except PackageNotFoundError:  # run from a source tree that was never installed
            found[name] = "not installed"
    return found


def _write_flight(group: h5py.Group, flight: FlightData) -> None:
    if len(flight.events) > MAX_EVENTS:
        raise ValueError(f"{len(flight.events)} events in one flight, at most {MAX_EVENTS} can be recorded")
    for name, value in labelled.about(flight).items():
        group.attrs[name] = value
    counts = labelled.counts(flight)
    scales = {"time": _scale(group, "time", np.asarray(flight.time, dtype=np.float64))}
    scales["time"].attrs["units"] = "s"
    for name, labels in LABELS.items():
        scales[name] = _scale(group, name, np.array(labels, dtype=object))
    for name in COUNTED:
        if counts[name]:  # a rigid head has no hinge: then neither dimension nor dataset, the reader fills in (n, 0)
            scales[name] = _scale(group, name, np.arange(1, counts[name] + 1))

    for row in labelled.present(flight):
        _write_row(group, row, getattr(flight, row.name), scales)
    _write_ledger(group, flight)
    _write_events(group, flight.events)


def _scale(group: h5py.Group, name: str, values: np.ndarray[Any, Any]) -> h5py.Dataset:
    kind = _TEXT if values.dtype == object else None
    scale = group.create_dataset(name, data=values, dtype=kind, track_times=False)
    scale.make_scale(name)
    if name in LONG_NAMES:
        scale.attrs["long_name"] = LONG_NAMES[name]
    return scale


def _write_row(group: h5py.Group, row: Row, values: Any, scales: Mapping[str, h5py.Dataset]) -> None:
    array = np.asarray(values, dtype=np.float64)
    along = [scales["time"], *([scales[row.along]] if row.along else [])]
    wanted = tuple(scale.shape[0] for scale in along)
    if array.shape != wanted:
        raise ValueError(f"{row.name}: shape {array.shape} where {wanted} is due")
    dataset = group.create_dataset(row.name, data=array, track_times=False)
    for dim, scale in zip(dataset.dims, along, strict=True):
        dim.attach_scale(scale)
    for name, value in labelled.attributes(row).items():
        dataset.attrs[name] = value


def _write_ledger(group: h5py.Group, flight: FlightData) -> None:
    ledger = group.create_group("ledger")
    time = _scale(ledger, "time", np.asarray(flight.time, dtype=np.float64))
    time.attrs["units"] = "s"
    for entry, values in flight.ledger.items():
        row = Row(labelled.slug(entry), 1, "J", "", labelled.ledger_words(entry))
        _write_row(ledger, row, values, {"time": time})
        ledger[row.name].attrs["entry"] = entry


def _write_events(group: h5py.Group, events: Sequence[Event]) -> None:
    table = group.create_group("events")
    if not events:
        return
    scale = _scale(table, "event", np.arange(1, len(events) + 1))
    for name, words in labelled.EVENT_WORDS.items():
        values = [getattr(event, name) for event in events]
        kind = None if name == "time_s" else _TEXT
        dataset = table.create_dataset(
            name, data=np.array(values, dtype=kind and object), dtype=kind, track_times=False
        )
        dataset.dims[0].attach_scale(scale)
        dataset.attrs["long_name"] = words
        if name == "time_s":
            dataset.attrs["units"] = "s"


def _flown_by(flights: Sequence[FlightData]) -> dict[str, str]:
    """Versions of what flew them: those of their record where all have the same, else those that run now."""
    recorded = [getattr(flight, "versions", None) for flight in flights]
    first = recorded[0]
    return first if first and "paddlebar" in first and all(each == first for each in recorded) else versions()
