"""A sized craft flown from the three launches that say whether it flies."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import tomlkit

from paddlebar.ensemble.many import Brief, fly_brief
from paddlebar.errors import BadInput
from paddlebar.files.craft import Craft
from paddlebar.files.load import parse_craft, parse_scenario
from paddlebar.files.scenario import Scenario
from paddlebar.flight.let_go import launched, launches
from paddlebar.sizing.answers import Known
from paddlebar.sizing.rules import Design, craft_values, flight_values

Mapped = Callable[..., Iterable[Any]]

# Own choices, no source: what of a graded flight counts, what control is enough, and the least that is handed out
MOST_S, ENOUGH_S, LEAST_S = 40.0, 20.0, 16.0
WELL_S = 20.0  # what a flight without a fault counts for in a search, in seconds of control


@dataclass(frozen=True)
class Tried:
    """A design, its turns, and what its flights came to."""

    design: Design
    turns: float
    briefs: tuple[Brief, ...]

    @property
    def good(self) -> bool:
        """Nothing left to wish."""
        return all(each.flew_well and each.controlled_s >= ENOUGH_S for each in self.briefs)

    @property
    def flies(self) -> bool:
        """Good enough to be handed out: from no launch is it lost early, though it may come down hard in the end."""
        return all(each.controlled_s >= LEAST_S for each in self.briefs)

    @property
    def score(self) -> float:
        """For a search: never flat, highest for flights without a fault."""
        return sum(
            min(each.graded_s, MOST_S) + min(each.controlled_s, ENOUGH_S) + (WELL_S if each.flew_well else 0.0)
            for each in self.briefs
        )

    @property
    def rank(self) -> tuple[bool, float]:
        """Which of two to keep: one that flies, however well another scores that is lost a moment too early."""
        return self.flies, self.score

    @property
    def too_high(self) -> bool:
        """It touched the ceiling, or fell from high up with its rubber run down."""
        return any(
            each.outcome == "touched ceiling"
            or any(fault.code == "hit hard" and fault.matters for fault in each.faults)
            for each in self.briefs
        )


@lru_cache(maxsize=64)
def craft_of(known: Known, design: Design) -> Craft:
    """The craft of a design. Raises BadInput, ValueError where none can be built."""
    return parse_craft(tomlkit.dumps(craft_values("sized", known, design)))


def scenario_of(known: Known, design: Design, turns: float) -> Scenario:
    """Its first flight. Raises as craft_of."""
    values: dict[str, Any] = {
        "title": "sized",
        "craft": craft_values("sized", known, design),
        **flight_values(known, turns),
    }
    return parse_scenario(tomlkit.dumps(values))


def tried(known: Known, design: Design, turns: float, mapped: Mapped = map) -> Tried | None:
    """Flown from all three launches; None where it cannot be built."""
    try:
        scenario = scenario_of(known, design, turns)
    except (BadInput, ValueError):
        return None
    each = [launched(scenario, launch) for launch in launches(scenario)]
    return Tried(design, turns, tuple(mapped(fly_brief, each)))
