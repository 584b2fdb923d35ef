"""What a flight is told by: the figures of its summary, in words for the screen, for pages and for pictures. Each stands here once."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

LEAST_J: Final = 1e-4  # let out by the skein, for its ledger to be measured by; a hop of a millimetre takes as much. Own choice, no source
Better = Literal["more", "less", "nearer to nothing", ""]


@dataclass(frozen=True)
class Figure:
    """A figure.

    name : for scripts, unit at its end;  words, unit : for people;  form : how it is written;  better : what a builder wants of it, "" nothing
    brief : words for half a line, "" the words themselves
    """

    name: str
    words: str
    unit: str
    form: str
    better: Better = ""
    brief: str = ""

    @property
    def said_briefly(self) -> str:
        """Words for half a line."""
        return self.brief or self.words


SUMMARY: Final = (
    Figure(
        "duration_s", "time in the air", "s", ".1f", "more", "from start to end"
    ),  # what it is held and what it stands included
    Figure("controlled_s", "time in control, from letting go", "s", ".1f", "more", "in control"),
    Figure("powered_s", "of it with turns left", "s", ".1f", "more", "with turns left"),
    Figure("peak_height_m", "peak height", "m", ".2f", "more"),
    Figure("drift_m", "drift over the ground", "m", ".2f", "less"),
    Figure("max_tilt_deg", "largest tilt", "deg", ".0f", "less"),
    Figure("final_tilt_deg", "tilt at the end", "deg", ".0f", "less"),
    Figure("body_turns", "turns of the body, right positive", "", "+.1f", "nearer to nothing", "turns of the body"),
    Figure("peak_body_rate_deg_s", "fastest spin of the body", "deg/s", ".0f", "less", "fastest spin"),
    Figure("turns_used", "turns used", "", ".0f"),
    Figure("turns_left", "turns left in the skein", "", ".0f", brief="turns left"),
    Figure("energy_error", "energy ledger out by", "of what was let out", ".2g", "less"),
)
BY_NAME: Final = {figure.name: figure for figure in SUMMARY}


def ledger_gap(missed_j: float, let_out_j: float) -> float:
    """What the ledger misses over what the skein let out [1]; nan where that is next to nothing: a skein that stood still has no share."""
    return missed_j / let_out_j if let_out_j > LEAST_J else math.nan
