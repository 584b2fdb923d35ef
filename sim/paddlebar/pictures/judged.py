"""How a flight went, in words: once for the screen, the report and the replay. From the summary of a flight, flown or recorded."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from paddlebar.flight.endings import WELL, Outcome
from paddlebar.pictures.words import number

SAYS: Final[dict[str, str]] = {
    Outcome.LANDED: "landed upright",
    Outcome.CRASHED: "crashed",
    Outcome.TIPPED: "tipped over",
    Outcome.CEILING: "touched the ceiling",
    Outcome.WALL: "touched a wall",
    Outcome.FLYING: "still flying when the time was up",
    Outcome.OUT_OF_CONTROL: "out of control when the time was up",
    Outcome.NEVER_LET_GO: "never let go",
    Outcome.BROKE: "broke",
    Outcome.FAILED: "the computation failed",
}
ALL_S: Final = 0.05  # [s] less than that out of control is rounding


def matter(summary: Mapping[str, Any]) -> list[str]:
    """Sentences of the faults that matter, the first of each kind first."""
    return [each["sentence"] for each in summary.get("faults", ()) if each["matters"]]


def minor(summary: Mapping[str, Any]) -> list[str]:
    """Sentences of what is worth knowing all the same."""
    return [each["sentence"] for each in summary.get("faults", ()) if not each["matters"]]


def let_go(summary: Mapping[str, Any]) -> float:
    """When the craft was let go [s]; 0 for a free launch."""
    return next((float(e["time_s"]) for e in summary.get("events", ()) if e["name"] == "release"), 0.0)


def headline(summary: Mapping[str, Any]) -> str:
    """How it went, in one line: the outcome, and how long the craft was in control."""
    outcome = str(summary.get("outcome", ""))
    said = SAYS.get(outcome, outcome)
    controlled, duration = summary.get("controlled_s"), summary.get("duration_s")
    if not isinstance(controlled, int | float) or not isinstance(duration, int | float):
        return said  # a record of an older program
    if outcome in (Outcome.NEVER_LET_GO, Outcome.FAILED) or (outcome == Outcome.BROKE and duration == 0.0):
        return said
    free = max(duration - let_go(summary), 0.0)
    if controlled >= free - ALL_S:
        return f"{said}, in control all {number(free, '.1f')} s"
    return f"{said}, in control for {number(controlled, '.1f')} of {number(free, '.1f')} s"


def did_it_fly(summary: Mapping[str, Any]) -> str:
    """Yes, no or in part, and why not."""
    outcome, wrong = str(summary.get("outcome", "")), matter(summary)
    said = headline(summary)
    if outcome == Outcome.FAILED:
        return "The computation failed; what was flown up to there is shown"
    if outcome not in WELL:
        return f"No: {said}" + (f"; {wrong[0]}" if wrong else "")
    return f"In part: {said}, but {wrong[0]}" if wrong else f"Yes: {said}"
