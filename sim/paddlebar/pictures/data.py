"""What the pictures of a flight take from it, flown or recorded alike."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any, Final

import numpy as np

if TYPE_CHECKING:  # a flight that was just flown is drawn without loading the run file's library
    from paddlebar.flight.result import Flight
    from paddlebar.record.read import RecordedFlight

RPM: Final = 30.0 / np.pi  # rev/min in a rad/s
TURN: Final = 2.0 * np.pi  # rad

_NEEDED: Final = ("height", "tilt", "heading", "position_cg", "attitude", "rate_body", "rotor_azimuth", "rotor_speed")


def drawable(flight: Flight | RecordedFlight) -> Flight | RecordedFlight:
    """``flight`` up to its last sample that is finite in what all pictures need; a failed flight may end in nan.

    Raises: ValueError when not even the first sample is finite.
    """
    fine = np.isfinite(flight.time)
    for name in _NEEDED:
        fine &= np.isfinite(getattr(flight, name).reshape(fine.size, -1)).all(axis=1)
    if fine.all():
        return flight
    stop = int(np.argmin(fine))
    if stop == 0:
        raise ValueError("nothing to draw: the flight has no finite sample")
    cut: dict[str, Any] = {
        field.name: getattr(flight, field.name)[:stop]
        for field in dataclasses.fields(flight)
        if isinstance(getattr(flight, field.name), np.ndarray)
    }
    cut["ledger"] = {name: values[:stop] for name, values in flight.ledger.items()}
    return dataclasses.replace(flight, **cut)
