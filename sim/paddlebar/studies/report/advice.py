"""What to change first after one flight: changes that were flown, what went wrong on cue, and what a look at the craft calls wrong."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from paddlebar.checks.check import Check
from paddlebar.files.scenario import Scenario
from paddlebar.flight.result import FlightData
from paddlebar.studies.suggestion import Suggestion


@dataclass(frozen=True)
class Advice:
    """One thing to change or to hold.

    why  : what was found, with figures;  do : what to do;  rests_on : "flown so", "flight", "check"
    """

    why: str
    do: str
    rests_on: str


def advice(
    flight: FlightData, scenario: Scenario, look: Check, suggestions: Sequence[Suggestion] = (), missing: str = ""
) -> tuple[Advice, ...]:
    """The first thing first. Nothing that was not flown is advised; findings of a look at the craft say that they are.

    suggestions, missing : from studies/advise: changes that were flown and are better; what kind of change is missing where none is
    """
    out = [
        *(Advice(each.why, f"{each.words} ({', '.join(each.settings)})", "flown so") for each in suggestions),
        *([Advice(missing, "look wider: paddlebar improve SCENARIO", "flown so")] if missing else []),
        *_on_cue(flight, scenario),
        *(Advice(f.sentence, f"{f.key}: {f.advice}", "check") for f in look.findings if f.severity != "fine"),
    ]
    if not out:
        out.append(Advice("nothing stands out in this flight", "change one thing at a time and fly again", "flight"))
    return tuple(out)


def _on_cue(flight: FlightData, scenario: Scenario) -> list[Advice]:
    """What was let go wrong."""
    wrong = {mishap.what for mishap in scenario.mishap}
    return [
        Advice(f"at {event.time_s:.1f} s {event.sentence}", f"prevent what went wrong on cue: {event.name}", "flight")
        for event in flight.events
        if event.name in wrong
    ]
