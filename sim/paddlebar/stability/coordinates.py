"""The coordinates that a steady motion repeats: which of a craft's states are free to move, and what their sizes are measured by."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers
from paddlebar.flight import layout
from paddlebar.physics import bodies
from paddlebar.physics.cord import GRIPS
from paddlebar.physics.inflow import DYNAMIC

Array = NDArray[np.float64]

# What a coordinate's size is measured by, so that steps and residuals of all of them compare [rad, m/s, rad/s]; own choice
SCALE: Final = {
    "roll": 0.2,
    "pitch": 0.2,
    "velocity_body": 1.0,
    "rate_body": 1.0,
    "rotor_speed": 50.0,
    "bar_angle": 0.1,
    "bar_rate": 5.0,
    "inflow": 0.5,
    "tail_inflow": 1.0,
    "tail_speed": 100.0,
    "flap": 0.1,
    "flap_rate": 5.0,
}


@dataclass(frozen=True)
class Coordinate:
    """One of the coordinates that a steady motion repeats.

    row   : name in the layout, or "roll" and "pitch" for the attitude
    part  : number within the row
    index : place in the state vector, -1 for roll and pitch
    """

    row: str
    part: int
    index: int

    @property
    def label(self) -> str:
        return (
            f"{self.row}[{self.part}]"
            if self.row in ("velocity_body", "rate_body", "inflow", "flap", "flap_rate")
            else self.row
        )


def coordinates(numbers: Numbers) -> tuple[Coordinate, ...]:
    """The coordinates of a craft that are free to move, from the names of the layout."""
    p = numbers.params[0]
    nf = int(p["flaps"])
    at = layout.slices(nf)
    locked = [bool(p["locked"][k]) for k in range(bodies.FLAP + nf)]
    held = bool(p["base_locked"])
    air = p["inflow_mode"] == DYNAMIC
    flapping = [not locked[bodies.FLAP + i] for i in range(nf)]
    free = {
        "velocity_body": [not (held or locked[k]) for k in range(3)],
        "rate_body": [not (held or locked[bodies.BASE_RATE + k]) for k in range(3)],
        "rotor_speed": [not locked[bodies.SHAFT]],
        "bar_angle": [not locked[bodies.BAR]],
        "bar_rate": [not locked[bodies.BAR]],
        "tail_speed": [not locked[bodies.TAIL] and p["tail_mass"] > 0.0 and p["cord_mode"] != GRIPS],
        "inflow": [air] * 3,
        "tail_inflow": [air and p["tail_mass"] > 0.0],
        "flap": flapping,
        "flap_rate": flapping,
    }
    tilts = [] if held else [Coordinate("roll", 0, -1), Coordinate("pitch", 0, -1)]
    rows = [row.name for row in layout.LAYOUT if row.name in free]
    return (
        *tilts,
        *(Coordinate(row, k, at[row].start + k) for row in rows for k, open_ in enumerate(free[row]) if open_),
    )


def tilt_rates(roll: float, pitch: float, rate: Sequence[float] | Array) -> tuple[float, float]:
    """Rates of roll and pitch of gravity's direction in body axes [rad/s] from the body rate (3,) [rad/s]; any textbook of flight."""
    p, q, r = rate
    return p + math.tan(pitch) * (q * math.sin(roll) + r * math.cos(roll)), q * math.cos(roll) - r * math.sin(roll)
