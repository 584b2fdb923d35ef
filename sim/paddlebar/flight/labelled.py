"""A flight as labelled data: names, dimensions, units and texts, the same in a run file and in the tables of other libraries."""

from __future__ import annotations

import json
from importlib import import_module
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from paddlebar.flight.layout import DERIVED, LAYOUT, Row
from paddlebar.flight.shown import title_of
from paddlebar.plain import plain

if TYPE_CHECKING:
    import pandas as pd
    import xarray as xr

    from paddlebar.flight.result import FlightData

CONVENTIONS: Final = "CF-1.8"  # the first of the conventions for climate and forecast data that knows groups

# Labels of the short dimensions; hinge and blade are numbered from 1, as many as the craft has.
LABELS: Final[dict[str, tuple[str, ...]]] = {
    "axis": ("x", "y", "z"),
    "quaternion": ("w", "x", "y", "z"),
    "harmonic": ("uniform", "forward", "right"),
}
COUNTED: Final = ("hinge", "blade")

LONG_NAMES: Final[dict[str, str]] = {
    "time": "time from the launch",
    "axis": "axis of the frame named at each quantity (north, east, down or forward, right, down)",
    "quaternion": "component of the quaternion, scalar first",
    "harmonic": "part of the inflow: mean, slope to the nose, slope to the right",
    "hinge": "number of the flap hinge",
    "blade": "number of the blade",
    "event": "number of the event",
    "entry": "entry of the energy ledger",
}
EVENT_WORDS: Final = {
    "time_s": "time of the event from the launch",
    "name": "what happened",
    "sentence": "the same for a reader",
}

# The states that are work or loss are stored as the ledger's entries, not twice.
RECORDED: Final[tuple[Row, ...]] = tuple(row for row in LAYOUT + DERIVED if row.entry is None)
TEXTS: Final = ("scenario_toml", "craft_toml", "effective_toml")


def slug(entry: str) -> str:
    """Name of a ledger entry in a file: ``"air: rotor"`` becomes ``air_rotor``."""
    return "_".join("".join(c if c.isalnum() else " " for c in entry).split())


def dimensions(row: Row) -> tuple[str, ...]:
    """Of a quantity."""
    return ("time", row.along) if row.along else ("time",)


def attributes(row: Row) -> dict[str, str]:
    """Of a quantity: units by the names of UDUNITS, words, and the frame where it has one."""
    found = {"units": row.unit, "long_name": row.long_name}
    return found | {"frame": row.frame} if row.frame else found


def ledger_words(entry: str) -> str:
    """What an entry of the ledger is."""
    return f"energy from the launch on: {'let out by the skein' if entry == 'skein' else entry}"


def counts(flight: FlightData) -> dict[str, int]:
    """Hinges and blades; a rigid head has no hinge, and then neither dimension nor quantity."""
    return {"hinge": flight.flap.shape[1], "blade": flight.feathering.shape[1]}


def present(flight: FlightData) -> list[Row]:
    """The quantities that this flight has."""
    found = counts(flight)
    return [row for row in RECORDED if row.along not in COUNTED or found[row.along]]


def about(flight: FlightData) -> dict[str, Any]:
    """Texts and single values of a flight, in kinds that every file of arrays can hold: text, whole number, number."""
    totals = {entry: float(values[-1]) for entry, values in flight.ledger.items()}
    listed = [{"name": e.name, "time_s": float(e.time_s), "sentence": e.sentence} for e in flight.events]
    return {
        **{name: getattr(flight, name) for name in TEXTS},
        "outcome": flight.outcome,
        "sentence": flight.sentence,
        "controlled_s": float(flight.controlled_s),
        "faults": json.dumps(plain([vars(fault) for fault in flight.faults])),
        "complete": int(flight.complete),
        "seed": int(flight.seed),
        "summary": json.dumps(plain(flight.summary)),
        "solver": json.dumps(plain(flight.solver)),
        "ledger": json.dumps(plain(totals)),
        "events": json.dumps(plain(listed)),
    }


def to_xarray(flight: FlightData) -> xr.Dataset:
    """See FlightData.to_xarray."""
    library = optional("xarray", "to_xarray()")
    time = {"units": "s", "long_name": LONG_NAMES["time"]}
    coords: dict[str, Any] = {"time": ("time", flight.time, time)}
    for name, labels in LABELS.items():
        coords[name] = (name, list(labels), {"long_name": LONG_NAMES[name]})
    for name, count in counts(flight).items():
        if count:
            coords[name] = (name, np.arange(1, count + 1), {"long_name": LONG_NAMES[name]})
    data: dict[str, Any] = {
        row.name: (dimensions(row), getattr(flight, row.name), attributes(row)) for row in present(flight)
    }
    coords["entry"] = ("entry", list(flight.ledger), {"long_name": LONG_NAMES["entry"]})
    words = {"units": "J", "long_name": "energy from the launch on, by entry of the ledger"}
    data["ledger"] = (("time", "entry"), np.stack(list(flight.ledger.values()), axis=1), words)
    if flight.events:
        coords["event"] = ("event", np.arange(1, len(flight.events) + 1), {"long_name": LONG_NAMES["event"]})
        for name, said in EVENT_WORDS.items():
            unit = {"units": "s"} if name == "time_s" else {}
            data[f"event_{name}"] = ("event", [getattr(e, name) for e in flight.events], {**unit, "long_name": said})
    attrs = {"Conventions": CONVENTIONS, "title": title_of(flight), **about(flight)}
    found: xr.Dataset = library.Dataset(data, coords, attrs)
    return found


def to_pandas(flight: FlightData) -> pd.DataFrame:
    """See FlightData.to_pandas."""
    library = optional("pandas", "to_pandas()")
    found = counts(flight)
    columns: dict[str, Any] = {}
    units: dict[str, str] = {}
    for row in present(flight):
        values = getattr(flight, row.name)
        labels = LABELS.get(row.along) or [str(k + 1) for k in range(found.get(row.along, 0))]
        names = [f"{row.name}_{label}" for label in labels] if row.along else [row.name]
        columns |= dict(zip(names, values.reshape(flight.time.size, -1).T, strict=True))
        units |= dict.fromkeys(names, row.unit)
    frame: pd.DataFrame = library.DataFrame(columns, index=library.Index(flight.time, name="time"))
    frame.attrs = {"title": title_of(flight), "units": {"time": "s", **units}}
    return frame


def optional(library: str, what: str) -> Any:
    """A library that the package does without until somebody asks for it. Raises ImportError that says what to install."""
    try:
        return import_module(library)
    except ImportError as error:
        raise ImportError(f"{what} needs {library}: pip install 'paddlebar[data]'") from error
