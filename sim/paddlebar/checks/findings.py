"""A finding: what was looked at, what was found, what to do about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Severity = Literal["fine", "look", "stop"]
ORDER: tuple[Severity, ...] = ("stop", "look", "fine")  # worst first


@dataclass(frozen=True)
class Finding:
    """One thing that was looked at.

    severity : "fine"; "look": doubtful, or near a limit; "stop": would break, slip, strike or not fly
    key      : the file's key that it is about, or a word for what spans several ("stick buckling", "clearance")
    sentence : what was found, with figures
    advice   : what to do
    """

    severity: Severity
    key: str
    sentence: str
    advice: str


def graded(value: float, stop_below: float, look_below: float) -> Severity:
    """Severity of a factor that should be large; nan is worth a look."""
    if value < stop_below:
        return "stop"
    return "fine" if value >= look_below else "look"
