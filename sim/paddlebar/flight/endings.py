"""Why a flight was no longer computed, and how it went: codes, sentences, exit codes. Programs branch on the codes, never on the words."""

from __future__ import annotations

from enum import Enum, StrEnum
from typing import Any, Final


class Outcome(StrEnum):
    """How a flight went, for scripts; flight/judgement.py decides which."""

    LANDED = "landed"
    CRASHED = "crashed"
    TIPPED = "tipped over"
    CEILING = "touched ceiling"
    WALL = "touched wall"
    FLYING = "still flying"
    OUT_OF_CONTROL = "out of control"
    NEVER_LET_GO = "never let go"
    BROKE = "broke"
    FAILED = "failed"

    @property
    def exit_code(self) -> int:
        """Exit code of the command."""
        return 0 if self in (Outcome.LANDED, Outcome.FLYING) else 1


WELL: Final = frozenset(outcome for outcome in Outcome if outcome.exit_code == 0)


class Ending(Enum):
    """Why the computation stopped; value = sentence for the user."""

    FLOOR = "touched the floor at {t:.2f} s, {speed:.2f} m/s, {tilt:.0f} deg from upright"
    TIPPED = "tipped past {limit:.0f} deg at {t:.2f} s"
    BEYOND = "let go {tilt:.0f} deg from upright, beyond the tilt limit of {limit:.0f} deg (run.tilt_limit_deg)"
    CEILING = "touched the ceiling at {t:.2f} s, {speed:.2f} m/s"
    WALL = "touched a wall at {t:.2f} s, {speed:.2f} m/s"
    TIME = "still in the air after {t:.2f} s, {height:.2f} m up, {tilt:.0f} deg from upright"
    HELD = "still held after {t:.2f} s"
    STANDS = "still on the floor after {t:.2f} s"
    BROKE = "broke at {t:.2f} s: {what}"
    NOT_FINITE = "stopped at t = {t:.4f} s: {state} ({unit}) is no longer finite; kept up to there"
    STUCK = "stopped at t = {t:.4f} s: the step fell below what numbers can hold, steepest in {state} ({unit}); kept up to there"
    CHATTER = (
        "stopped at t = {t:.4f} s: {limit} switches between cord, stops and cues within {within:g} s; kept up to there"
    )

    @property
    def failed(self) -> bool:
        """Numerically: the arrays then hold what was flown, not a whole flight."""
        return self in (Ending.NOT_FINITE, Ending.STUCK, Ending.CHATTER)

    def says(self, **values: Any) -> str:
        """The sentence with its figures."""
        return self.value.format(**values)
