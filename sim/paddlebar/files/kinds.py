"""What kinds of head and bar there are: a row each, which answers whatever the rest of the program wants to know of them.

Nobody else asks which kind a craft has. A new one is a row here with its word, and a file in physics if its motion is a new one.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

HeadKind = Literal["rigid", "teetering", "flapping"]
BarKind = Literal["none", "locked", "seesaw"]


@dataclass(frozen=True)
class Head:
    """How the blades of a head share flapping coordinates.

    flaps  : number of flapping coordinates, from the number of blades
    moves  : (coordinate, sense) of blade i; coordinate -1 if it does not flap
    blades : numbers of blades that it can carry
    offset : the hinges stand off the shaft, by hinge_offset_mm
    says   : what it is, in a builder's words
    idle   : keys of [head] that do nothing with it
    """

    flaps: Callable[[int], int]
    moves: Callable[[int], tuple[int, float]]
    blades: range
    offset: bool
    says: str
    idle: tuple[str, ...]

    @property
    def hinged(self) -> bool:
        """True if its blades flap."""
        return self.flaps(self.blades.start) > 0

    @property
    def numbers_of_blades(self) -> str:
        """In words: "2", "2 to 6"."""
        first, last = self.blades.start, self.blades.stop - 1
        return f"{first}" if first == last else f"{first} to {last}"

    @property
    def teeters(self) -> bool:
        """True if all its blades flap as one."""
        return self.flaps(self.blades.start) == 1

    def travel(self, stop: float) -> float:
        """How far its blades flap either way, whose stops are at an angle (in its unit); 0 if they do not."""
        return stop if self.hinged else 0.0

    def hinge_offset(self, given: float) -> float:
        """Flapping hinge from the shaft, where the file gives so much (in its unit); 0 if there is no such hinge."""
        return given if self.offset else 0.0


HEADS: dict[HeadKind, Head] = {
    "rigid": Head(
        flaps=lambda n: 0,
        moves=lambda i: (-1, 0.0),
        blades=range(2, 7),
        offset=False,
        says="blades fixed to the shaft",
        idle=("hinge_offset_mm", "spring_mN_m_rad", "damping_mN_m_s", "friction_mN_m", "delta3_deg", "stop_deg"),
    ),
    "teetering": Head(
        flaps=lambda n: 1,
        moves=lambda i: (0, 1.0 - 2.0 * i),
        blades=range(2, 3),
        offset=False,
        says="two blades as one seesaw",
        idle=("hinge_offset_mm",),
    ),
    "flapping": Head(
        flaps=lambda n: n,
        moves=lambda i: (i, 1.0),
        blades=range(2, 7),
        offset=True,
        says="a hinge for each blade",
        idle=(),
    ),
}

_MADE_UP = ("lead_deg", "gain", "arm_mm", "wire_diameter_mm", "wire_mass_g", "tip_mass_g")


@dataclass(frozen=True)
class Bar:
    """How a bar takes part.

    present : it has mass, and meets the air
    tilts   : it tilts on the hub, and by that pitches the blades
    needs   : keys of [bar] that must be given;  idle : keys that do nothing with it
    says    : what it is, in a builder's words
    """

    present: bool
    tilts: bool
    needs: tuple[str, ...]
    says: str
    idle: tuple[str, ...]

    def travel(self, stop: float) -> float:
        """How far it tilts either way, whose stops are at an angle (in its unit); 0 if it does not."""
        return stop if self.tilts else 0.0


BARS: dict[BarKind, Bar] = {
    # Its other keys may stay or be absent, so that a comparison without a bar changes one word: none of them is said to do nothing.
    "none": Bar(present=False, tilts=False, needs=(), says="no bar, and blades keep their pitch", idle=()),
    "locked": Bar(
        present=True,
        tilts=False,
        needs=_MADE_UP,
        says="the bar is fixed to the hub",
        idle=("friction_mN_m", "damping_mN_m_s", "spring_mN_m_rad", "stop_deg"),
    ),
    "seesaw": Bar(
        present=True,
        tilts=True,
        needs=_MADE_UP,
        says="the bar tilts on the hub and pitches the blades",
        idle=(),
    ),
}


def feather_share(gain: float, blade: int, blades: int) -> float:
    """Pitch of one blade per tilt of the bar, gain cos(2 pi i / Nb): a see-saw has one tilt only, so opposite blades get opposite
    pitch and blades across it none (geometry of a single link plate; own convention for more than two blades, no source) [1]."""
    return gain * math.cos(2.0 * math.pi * blade / blades)
