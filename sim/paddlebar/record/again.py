"""A flight from its own record: the description that a run file holds, and whether a second flight is the first again."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np

from paddlebar.errors import BadInput
from paddlebar.files.load import parse_scenario
from paddlebar.files.scenario import Scenario
from paddlebar.flight.error import apart
from paddlebar.flight.labelled import RECORDED
from paddlebar.flight.result import FlightData
from paddlebar.record.read import RecordedFlight, read_run

SUFFIX: Final = ".h5"


def is_run_file(path: str | os.PathLike[str]) -> bool:
    """By its name: what a run file is called."""
    return Path(path).suffix == SUFFIX


def recorded(path: str | os.PathLike[str]) -> RecordedFlight:
    """The one flight of a run file. Raises NotARunFile, BadInput where it holds several."""
    flights = read_run(path)
    if len(flights) != 1:
        raise BadInput(f"{path}: holds {len(flights)} flights, one is due")
    return flights[0]


def scenario_of(path: str | os.PathLike[str], overrides: Mapping[str, Any] | None = None) -> Scenario:
    """The scenario that a run file was flown from, checked again, changed if wanted.

    Tables of torque and of sections are in the record; one of an earlier version names the file of a section of one's own, which is then read.
    Raises: NotARunFile, BadInput
    """
    return parse_scenario(recorded(path).effective_toml, str(path), Path(path).parent, overrides)


@dataclass(frozen=True)
class Comparison:
    """identical: every state and load of both flights is the same, bit for bit; position_m, attitude_deg: largest difference"""

    identical: bool
    position_m: float
    attitude_deg: float


def compared(record: FlightData, flight: FlightData) -> Comparison:
    """A flight against its record."""
    names = ["time", *(row.name for row in RECORDED)]
    identical = all(np.array_equal(getattr(record, name), getattr(flight, name), equal_nan=True) for name in names)
    place, turn = (0.0, 0.0) if identical else apart(record, flight)
    return Comparison(identical, place, float(np.degrees(turn)))
