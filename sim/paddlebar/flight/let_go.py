"""The three launches that say whether a craft flies: as the scenario says, and let go 3 degrees off two ways."""

from __future__ import annotations

import cmath
import math
from collections.abc import Mapping
from typing import Any, Final

from paddlebar.files.scenario import Scenario

OFF_DEG: Final = 3.0  # what a steady hand misses upright by; own choice, no source
SIDES: Final = {"counter-clockwise": 90.0, "clockwise": -90.0}  # of the nose; mirror images of each other


def launches(scenario: Scenario) -> tuple[dict[str, Any], ...]:
    """What is changed for each launch, the scenario's own first; a lean of the scenario's own and the 3 degrees add as vectors."""
    own = cmath.rect(scenario.launch.tilt_deg, math.radians(scenario.launch.tilt_toward_deg))
    found: list[dict[str, Any]] = [{}]
    for toward in (0.0, SIDES[scenario.craft.shaft.turns]):
        tilt, heading = cmath.polar(own + cmath.rect(OFF_DEG, math.radians(toward)))
        found.append(
            {"launch.tilt_deg": round(tilt, 6), "launch.tilt_toward_deg": round(math.degrees(heading), 6) + 0.0}
        )
    return tuple(found)


def launched(scenario: Scenario, launch: Mapping[str, Any]) -> Scenario:
    """The scenario with one of its launches."""
    if not launch:
        return scenario
    at = {key.removeprefix("launch."): value for key, value in launch.items()}
    return scenario.model_copy(update={"launch": scenario.launch.model_copy(update=at)})
