"""What kinds of head and bar there are. A new one is a row here and, if it needs new physics, a file there."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Head:
    """How the blades of a head share flapping coordinates.

    flaps   : number of flapping coordinates, from the number of blades
    moves   : (coordinate, sense) of blade i; coordinate -1 if it does not flap
    blades  : numbers of blades that it can carry
    """

    flaps: Callable[[int], int]
    moves: Callable[[int], tuple[int, float]]
    blades: range
    says: str


HEADS: dict[str, Head] = {
    "rigid": Head(lambda n: 0, lambda i: (-1, 0.0), range(2, 7), "blades fixed to the shaft"),
    "teetering": Head(lambda n: 1, lambda i: (0, 1.0 - 2.0 * i), range(2, 3), "two blades as one seesaw"),
    "flapping": Head(lambda n: n, lambda i: (i, 1.0), range(2, 7), "a hinge for each blade"),
}


@dataclass(frozen=True)
class Bar:
    """How a bar takes part: has it mass, does it tilt."""

    present: bool
    tilts: bool
    says: str


BARS: dict[str, Bar] = {
    "none": Bar(present=False, tilts=False, says="no bar; blades keep their pitch"),
    "locked": Bar(present=True, tilts=False, says="the bar is fixed to the hub"),
    "seesaw": Bar(present=True, tilts=True, says="the bar tilts on the hub and pitches the blades"),
}


def feather_share(gain: float, blade: int, blades: int) -> float:
    """Pitch of one blade per tilt of the bar, gain cos(2 pi i / Nb): a see-saw has one tilt only, so opposite blades get opposite
    pitch and blades across it none (geometry of a single link plate; own convention for more than two blades, no source) [1]."""
    return gain * math.cos(2.0 * math.pi * blade / blades)
