"""How a flight can end: a code, a sentence, an exit code. Programs branch on the code, never on the words."""

from __future__ import annotations

from enum import Enum
from typing import Any


class Ending(Enum):
    """value = (outcome for scripts, sentence for the user, exit code)."""

    LANDED = ("landed", "touched the floor at {t:.2f} s, {speed:.2f} m/s, {tilt:.0f} deg from upright", 0)
    TIPPED = ("tipped over", "tipped past {limit:.0f} deg at {t:.2f} s", 1)
    CEILING = ("touched ceiling", "touched the ceiling at {t:.2f} s, {speed:.2f} m/s", 1)
    WALL = ("touched wall", "touched a wall at {t:.2f} s, {speed:.2f} m/s", 1)
    FLYING = ("still flying", "still flying after {t:.2f} s, {height:.2f} m up", 0)
    NOT_FINITE = ("failed", "stopped at t = {t:.4f} s: {state} ({unit}) is no longer finite; kept up to there", 1)
    STUCK = (
        "failed",
        "stopped at t = {t:.4f} s: the step fell below what numbers can hold, steepest in {state} ({unit}); kept up to there",
        1,
    )
    CHATTER = (
        "failed",
        "stopped at t = {t:.4f} s: more than {limit} switches between cord, stops and cues; kept up to there",
        1,
    )

    @property
    def outcome(self) -> str:
        """The code that scripts read."""
        return self.value[0]

    @property
    def exit_code(self) -> int:
        """Exit code of the command."""
        return self.value[2]

    def says(self, **values: Any) -> str:
        """The sentence with its figures."""
        return str(self.value[1].format(**values))
