"""Guided tours of a flight: tours.json, those that suit a craft."""

from __future__ import annotations

import json
from collections.abc import Callable
from importlib.resources import files
from typing import Any, Final

from paddlebar.files.kinds import BARS, HEADS
from paddlebar.files.scenario import Scenario

# what a tour may ask of a craft
NEEDS: Final[dict[str, Callable[[Scenario], bool]]] = {
    "rigid head": lambda s: all(HEADS[s.craft.head.kind].moves(i)[0] < 0 for i in range(s.craft.rotor.blades)),
    "free bar": lambda s: BARS[s.craft.bar.kind].tilts,
    "reversed link": lambda s: BARS[s.craft.bar.kind].tilts and s.craft.bar.gain < 0.0,
    "stuck bar": lambda s: (
        (BARS[s.craft.bar.kind].present and not BARS[s.craft.bar.kind].tilts)
        or any(mishap.what == "bar locked" for mishap in s.mishap)
    ),
    "tail": lambda s: s.craft.tail is not None and s.craft.tail.drive != "none",
}


def all_tours() -> list[dict[str, Any]]:
    """Every tour: name, title, what it needs, stops (seconds after the release, camera, what is shown, speed with 0 for standing still, a sentence)."""
    found: list[dict[str, Any]] = json.loads(
        (files("paddlebar.replay_page") / "tours.json").read_text(encoding="utf-8")
    )
    return found


def tours_for(scenario: Scenario) -> list[dict[str, Any]]:
    """Those that show something on this craft."""
    return [tour for tour in all_tours() if all(NEEDS[need](scenario) for need in tour["needs"])]
