"""What kind of change is missing where none of those that were flown helps."""

from __future__ import annotations

from typing import Final

from paddlebar.studies.suggestion import How

MISSING: Final = {
    "could not lift": "it needs more lift than any one change gives: a larger rotor, a lighter craft, and rubber to match",
    "tail pushes with the rotor": "it needs a tail that pushes the other way",
    "spun": "it needs another tail: larger, on a longer boom, or driven faster",
    "leaned": "it needs another bar or head: heavier tips on longer arms, a linkage that moves freely, a teetering head",
    "struck its stops": "it needs more room at the hinges, or a calmer bar",
    "came down with its rubber wound": "it needs stronger rubber for its weight, or blades that take less torque",
    "stick overloaded": "it needs a stronger stick, or fewer turns",
    "hit hard": "it comes down faster than it should: blades of finer pitch, more turns kept for the way down",
    "cord slipped": "it needs a cord that grips: tighter, rougher, or wound twice round",
    "never let go": "launch: let it go (launch.release, launch.hold_s)",
}


def missing(now: How) -> str:
    """What kind of change is missing where none of those tried helps."""
    for fault in now.faults:
        if fault.matters and fault.code in MISSING:
            return f"no change that was flown makes it better, alone or joined with others; {MISSING[fault.code]}"
    return "" if now.flew_well else "no change that was flown makes it better"
