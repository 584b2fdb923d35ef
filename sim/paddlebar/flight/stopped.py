"""A rotor that stops on what is left in the skein, and what comes after; read off the arrays of a flight afterwards."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.flight import layout, rhs
from paddlebar.flight.result import Event

Array = NDArray[np.float64]

EVENT: Final = "rotor stopped"
TURNS_BACK: Final = 1.0  # [rad/s] a shaft that comes to rest may creep; own choice
_RPM = 30.0 / math.pi


def rotor_stops(time: Array, states: Array, loads: Array, events: Sequence[Event]) -> list[Event]:
    """Event "rotor stopped" where the shaft, once turning, comes to rest after letting go; none where it was locked.

    time (n,) [s];  states (n, state_size);  loads (n, derive.COLUMNS), SI;  events : of the flight

    Blades at a pitch that lifts are turned backwards by air from below, leading edge behind: with fixed pitch a craft that sinks does not
    keep its rotor turning, and what little torque the last turns give cannot hold it.
    """
    if any(event.name == "shaft locked" for event in events):
        return []
    speed = states[:, layout.ROTOR_SPEED]
    free = next((event.time_s for event in events if event.name == "release"), float(time[0]))
    turned = np.maximum.accumulate(speed) > TURNS_BACK
    rest = np.flatnonzero(turned & (speed <= 0.0) & (time > free))
    if not rest.size:
        return []
    first = int(rest[0])
    a, b = float(speed[first - 1]), float(speed[first])
    at = float(time[first - 1] + (time[first] - time[first - 1]) * a / (a - b))
    left = max(float(loads[first, rhs.TURNS_LEFT]), 0.0)
    says = f"the rotor stopped with {left:.0f} turns left" if left >= 1.0 else "the rotor stopped, its skein run down"
    if any(event.name == "skein breaks" for event in events):
        says = "the rotor stopped, its skein broken"
    back = -float(speed[first:].min())
    if back > TURNS_BACK:
        says += f", then turned backwards, up to {back * _RPM:.0f} rpm: blades of fixed pitch do not go on turning as the craft sinks"
    height = loads[first:, rhs.CG_HEIGHT]
    if time[-1] > at and height[0] > height[-1]:
        says += f"; it sank with {(height[0] - height[-1]) / (float(time[-1]) - at):.1f} m/s"
    return [Event(EVENT, at, says)]
