"""Many flights as tables of other libraries, and in one line: a row a flight, what was drawn for it before what it came to."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import fields
from html import escape
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from paddlebar.files.override import as_lists
from paddlebar.flight.labelled import CONVENTIONS, optional
from paddlebar.flight.shown import table
from paddlebar.units import udunits

if TYPE_CHECKING:
    import pandas as pd
    import xarray as xr

    from paddlebar.ensemble.many import Flights

LEFT_OUT: Final = ("events", "samples")  # of different lengths


def drawn_columns(drawn: Iterable[Any] | None, count: int) -> dict[str, list[Any]]:
    """What was changed for each flight, by dotted key; nan where a flight did not have it.

    drawn : as given to fly_many: (path, changes) each, or the changes alone; a Scenario has none
    """
    if drawn is None:
        return {}
    rows = [_changes(each) for each in drawn]
    if len(rows) != count:
        raise ValueError(f"drawn: {len(rows)} for {count} flights")
    keys = dict.fromkeys(key for row in rows for key in row)
    return {key: [_single(row.get(key, np.nan)) for row in rows] for key in keys}


def _changes(each: Any) -> Mapping[str, Any]:
    if isinstance(each, Mapping):
        return each
    return each[1] if isinstance(each, tuple) else {}


def _single(value: Any) -> Any:
    """A table of a draw is a text in a table of draws."""
    found = as_lists(value)
    return str(found) if isinstance(found, list | dict) else found


def outcome_columns(flights: Flights) -> dict[str, list[Any]]:
    """What each came to, by name; of the faults their codes."""
    found: dict[str, Any] = {}
    for field in fields(flights):
        if field.name not in LEFT_OUT:
            values = getattr(flights, field.name)
            found[field.name] = values.tolist() if isinstance(values, np.ndarray) else list(values)
    found["faults"] = [", ".join(fault.code for fault in faults) for faults in flights.faults]
    return found


def to_pandas(flights: Flights, drawn: Iterable[Any] | None = None) -> pd.DataFrame:
    """See Flights.to_pandas."""
    library = optional("pandas", "to_pandas()")
    columns = {**drawn_columns(drawn, len(flights)), **outcome_columns(flights)}
    frame: pd.DataFrame = library.DataFrame(columns, index=library.RangeIndex(len(flights), name="flight"))
    frame.attrs = {"units": {name: udunits(name) for name in columns}}
    return frame


def to_xarray(flights: Flights, drawn: Iterable[Any] | None = None) -> xr.Dataset:
    """See Flights.to_xarray."""
    library = optional("xarray", "to_xarray()")
    data = {}
    for role, columns in (("input", drawn_columns(drawn, len(flights))), ("output", outcome_columns(flights))):
        for name, values in columns.items():
            kept = [int(value) for value in values] if all(isinstance(value, bool) for value in values) else values
            about = {"units": udunits(name)} if all(isinstance(value, int | float) for value in kept) else {}
            data[name] = ("flight", kept, {"role": role, **about})
    coords = {"flight": ("flight", np.arange(len(flights)), {"long_name": "number of the flight, from 0"})}
    found: xr.Dataset = library.Dataset(data, coords, {"Conventions": CONVENTIONS})
    return found


def line(flights: Flights) -> str:
    """How many, and how they ended."""
    ends = Counter(flights.outcome)
    return f"<{len(flights)} flights: {', '.join(f'{n} {outcome}' for outcome, n in ends.most_common()) or 'none'}>"


def html(flights: Flights) -> str:
    """How many, how they ended, and the middle of what they came to."""
    rows: dict[str, Any] = dict(Counter(flights.outcome).most_common())
    for name in ("duration_s", "controlled_s", "peak_height_m", "max_tilt_deg"):
        values = getattr(flights, name)
        fine = values[np.isfinite(values)]
        if fine.size:
            low, middle, high = np.quantile(fine, (0.1, 0.5, 0.9))
            rows[f"{name}: a tenth below, half, nine tenths"] = f"{low:.3g}, {middle:.3g}, {high:.3g}"
    return f"<div><b>{escape(f'{len(flights)} flights')}</b><table>{table(rows)}</table></div>"
