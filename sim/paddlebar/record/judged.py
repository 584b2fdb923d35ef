"""Records of programs that judged a flight by where it ended alone: judged anew from their arrays as they are read."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, Final

import numpy as np

from paddlebar.flight.endings import Ending, Outcome
from paddlebar.flight.judgement import Judgement, Motion, Noted, judge
from paddlebar.flight.motion import down_and_spin
from paddlebar.flight.result import Array, Event

MOST_FAULTS: Final = 99
ENDED: Final = {
    Outcome.LANDED: Ending.FLOOR,
    Outcome.TIPPED: Ending.TIPPED,
    Outcome.CEILING: Ending.CEILING,
    Outcome.WALL: Ending.WALL,
    Outcome.FLYING: Ending.TIME,
}


def judged_anew(arrays: Mapping[str, Array], events: list[Event], outcome: str) -> Judgement | None:
    """Judgement of a record that holds none, from its arrays; None for an outcome that older programs did not know, and for "failed".

    arrays : as in FlightData;  outcome : as recorded, which says what ended the flight

    Stops, weight and tail of the craft stand in no array, so faults of bar, lift and tail are not found.
    """
    try:
        ending = ENDED[Outcome(outcome)]
    except (ValueError, KeyError):
        return None
    time = arrays["time"]
    moved = bool(np.ptp(arrays["position"], axis=0).max() > 0.0)
    with np.errstate(all="ignore"):  # what a file holds may be no number
        down, spin = down_and_spin(arrays["attitude"], arrays["velocity_body"], arrays["rate_body"])
        unknown, clear = np.full(time.size, math.nan), np.full(time.size, -math.inf)
        motion = Motion(
            time=time,
            lean=arrays["tilt"],
            spin=spin,
            climb=-down,
            rotor_speed=arrays["rotor_speed"],
            tail_speed=arrays["tail_speed"],
            lift=unknown,
            turns_left=arrays["turns_left"],
            bar_over=clear,
            blades_over=clear,
            tail_push=unknown,
            rotor_torque=unknown,
            released=next((e.time_s for e in events if e.name == "release"), float(time[0]) if moved else math.nan),
            wound=0.0 if any(e.name == "skein breaks" for e in events) else float(arrays["turns_left"][0]),
        )
        held = ending is Ending.TIME and not math.isfinite(motion.released)
        return judge(motion, Ending.HELD if held else ending, Noted(tipped=ending is Ending.TIPPED))


def are_faults(value: Any) -> bool:
    """Whether what stands in a file is a list of faults as FlightData.faults takes it."""
    kinds = {"code": str, "from_s": int | float, "sentence": str, "matters": bool}
    return (
        isinstance(value, list)
        and len(value) <= MOST_FAULTS
        and all(
            isinstance(each, dict)
            and each.keys() == kinds.keys()
            and all(isinstance(each[name], kind) for name, kind in kinds.items())
            for each in value
        )
    )
