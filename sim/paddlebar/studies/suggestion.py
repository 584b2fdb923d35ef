"""A piece of advice that was flown: what to do, how the craft flew before, and how it flies then."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any, Final

from paddlebar.flight.endings import WELL
from paddlebar.flight.judgement import Fault

CLEAR_S: Final = 0.1  # differences of time that count
SAME_S: Final = 0.05  # by which time in control may fall and still be called the same
LUCK: Final = 1.5  # own choice


@dataclass(frozen=True)
class How:
    """How a design flew from the scenario's own launch, figures of `fly`."""

    outcome: str
    controlled_s: float
    duration_s: float
    faults: tuple[Fault, ...] = ()
    flew_well: bool = False

    def to_json(self) -> dict[str, Any]:
        """Keys of the command's JSON."""
        return {
            "outcome": self.outcome,
            "controlled_s": self.controlled_s,
            "duration_s": self.duration_s,
            "faults": [asdict(fault) for fault in self.faults],
            "flew_well": self.flew_well,
        }

    @property
    def troubles(self) -> frozenset[str]:
        """Codes of the faults that matter."""
        return frozenset(fault.code for fault in self.faults if fault.matters)


@dataclass(frozen=True)
class Suggestion:
    """One piece of advice.

    settings : "key=value" each, as --set takes them, masses that follow included
    words    : what a hand does;  why : what the flights show
    before, after : how it flew from the scenario's own launch;  in_all : better from all three launches
    changes  : all that differs from the craft as it is, as overrides, masses that follow included;  asked : without those
    """

    settings: tuple[str, ...]
    words: str
    why: str
    before: How
    after: How
    in_all: bool
    changes: Mapping[str, Any] = field(repr=False)
    asked: Mapping[str, Any] = field(repr=False, default_factory=dict)

    def to_json(self) -> dict[str, Any]:
        """Keys of the command's JSON."""
        return {
            "set": list(self.settings),
            "words": self.words,
            "why": self.why,
            "in_all_launches": self.in_all,
            "before": self.before.to_json(),
            "after": self.after.to_json(),
        }


def better(after: How, before: How) -> bool:
    """By time in control, then by duration; a flight that went well is not given up for one that did not.

    A good end by luck, after control was lost, is given up only for half as much again of time in control.
    """
    if before.flew_well and not after.flew_well:
        return False
    if before.outcome in WELL and after.outcome not in WELL and after.controlled_s < LUCK * before.controlled_s:
        return False
    if after.controlled_s < before.controlled_s - SAME_S:
        return False
    if abs(after.controlled_s - before.controlled_s) > CLEAR_S:
        return after.controlled_s > before.controlled_s
    if after.troubles != before.troubles and (after.troubles < before.troubles or before.troubles < after.troubles):
        return after.troubles < before.troubles
    return after.duration_s > before.duration_s + CLEAR_S
