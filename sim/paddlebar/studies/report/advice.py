"""What to change first, from what is known about one flight without a study: the flight, changes tried, the craft looked over, margins."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from paddlebar.checks.check import Check
from paddlebar.checks.findings import Finding
from paddlebar.craft.knobs import tolerance
from paddlebar.craft.strength.factors import stick_strength
from paddlebar.errors import BadInput
from paddlebar.files.kinds import BARS
from paddlebar.files.scenario import Scenario
from paddlebar.flight.authority import LOSSES
from paddlebar.flight.judgement import LEFT_SHARE
from paddlebar.flight.result import FlightData
from paddlebar.stability.result import Margins
from paddlebar.stability.verdict import STABILISES
from paddlebar.studies.report.past_edges import Beyond
from paddlebar.studies.report.trials import Trial, ended_well
from paddlebar.studies.rundown import RunDown
from paddlebar.whirl_stand import hover_point

SPINS_DEG_S: Final = 60.0  # mean spin that a builder would not leave so; own choice
HELPS_S: Final = 0.2  # share of the duration by which a change must lengthen the time in control of a flight that still ends badly to be worth a word; own choice
TURNS_TO_SPARE: Final = 0.9  # of the safe turns: below, more may be wound; own choice
BORNE: Final = 1.5  # by the stick, to advise more turns; as checks/bearing.py


@dataclass(frozen=True)
class Advice:
    """One thing to change or to hold.

    why  : what was found, with figures;  do : what to do;  rests_on : "flown so", "check", "flight", "margins"
    """

    why: str
    do: str
    rests_on: str


def advice(
    flight: FlightData,
    scenario: Scenario,
    look: Check,
    found: Margins | None,
    yaw: RunDown | None,
    tried: tuple[Trial, ...],
    held: Sequence[tuple[Beyond, float]] = (),
) -> tuple[Advice, ...]:
    """What to change, the first thing first: what made the flight fail, what would break, what spins it, what stands near an edge.

    held : changes of the bar with which it stabilises, and the growth there [1/s], steadiest first
    """
    edges = [] if any(each.well for each in tried) else _edges(scenario, found, held)
    holds = found is not None and found.verdict == STABILISES
    out = [
        *_flown(flight, scenario, tried),
        *_on_cue(flight, scenario),
        *_no_bar(flight, scenario),
        *_found(look, "stop"),
        *([] if holds else edges),
        *_tail(flight),
        *_spin(flight, yaw),
        *_left(flight, scenario),
        *(edges if holds else []),
        *_found(look, "look"),
        *_turns(flight, scenario, look),
    ]
    if not out:
        out.append(Advice("nothing stands out in this flight", "change one thing at a time and fly again", "flight"))
    return tuple(out)


def _flown(flight: FlightData, scenario: Scenario, tried: tuple[Trial, ...]) -> list[Advice]:
    if ended_well(flight):
        return []
    least = HELPS_S * float(flight.time[-1])
    helped = [each for each in tried if each.well or each.gained_s > least]
    out = []
    for each in helped:
        end = f"{each.outcome} after {each.duration_s:.1f} s, {each.controlled_s:.1f} s of it in control, leaned {each.max_tilt_deg:.0f} deg at most"
        out.append(Advice(f"flown so: {end}", each.words + (f" ({each.setting})" if each.setting else ""), "flown so"))
    if tried and not any(each.well for each in helped) and BARS[scenario.craft.bar.kind].tilts:
        words = ", ".join(each.words for each in tried)
        out.append(
            Advice(
                f"none of the single changes that were flown keeps it up: {words}",
                "look wider: paddlebar map",
                "flown so",
            )
        )
    return out


def _on_cue(flight: FlightData, scenario: Scenario) -> list[Advice]:
    """What was let go wrong in a flight that ended well all the same; in one that did not, flying without it tells more."""
    if not ended_well(flight):
        return []
    wrong = {mishap.what for mishap in scenario.mishap}
    return [
        Advice(f"at {event.time:.1f} s {event.sentence}", f"prevent what went wrong on cue: {event.name}", "flight")
        for event in flight.events
        if event.name in wrong
    ]


def _no_bar(flight: FlightData, scenario: Scenario) -> list[Advice]:
    """A craft that tipped over with nothing on it that could have held it."""
    bar = BARS[scenario.craft.bar.kind]
    if bar.tilts or not any(event.name == "tipped over" for event in flight.events):
        return []
    return [
        Advice(
            f"it tipped over, and {bar.says}",
            "give it a bar that tilts and pitches the blades: bar.kind = seesaw",
            "flight",
        )
    ]


def _found(look: Check, severity: str) -> list[Advice]:
    return [_of(finding) for finding in look.findings if finding.severity == severity]


def _of(finding: Finding) -> Advice:
    return Advice(finding.sentence, f"{finding.key}: {finding.advice}", "check")


def _tail(flight: FlightData) -> list[Advice]:
    out = []
    for event in flight.events:
        if event.name in LOSSES:
            out.append(
                Advice(
                    f"at {event.time:.1f} s the tail lost its hold: {event.sentence}",
                    "see the yaw balance of this report; paddlebar yaw SCENARIO tries other pulleys and pitches",
                    "flight",
                )
            )
    return out[:3]


def _spin(flight: FlightData, yaw: RunDown | None) -> list[Advice]:
    if any(event.name == "tipped over" for event in flight.events):  # what is upside down spins for other reasons
        return []
    free = next((event.time for event in flight.events if event.name == "release"), float(flight.time[0]))
    at = int(np.searchsorted(flight.time, free))
    span = float(flight.time[-1] - flight.time[min(at, flight.time.size - 1)])
    if span <= 0.0:
        return []
    spin = math.degrees(float(flight.heading[-1] - flight.heading[at])) / span
    if abs(spin) < SPINS_DEG_S:
        return []
    way = "to the right" if spin > 0.0 else "to the left"
    why = f"the body spins {way}, {abs(spin):.0f} deg/s on average"
    if yaw is not None:
        rotor, tail = (float(np.nanmean(v)) for v in (yaw.rotor_moment_mn_m, yaw.tail_moment_mn_m))
        why += f"; the rotor turns it with {rotor:+.2f} mN m, the tail with {tail:+.2f}"
    return [Advice(why, "paddlebar yaw SCENARIO finds the pulley ratio that keeps it still", "flight")]


def _left(flight: FlightData, scenario: Scenario) -> list[Advice]:
    """A craft that came down with much of its rubber wound up."""
    left, wound = float(flight.turns_left[-1]), scenario.skein.turns
    if flight.outcome != "landed" or wound < 1.0 or left < LEFT_SHARE * wound:
        return []
    why = f"it came down with {left:.0f} of {wound:.0f} turns left: the skein then gave {1e3 * float(flight.skein_torque[-1]):.2f} mN m"
    try:
        why += f", to hover takes {1e3 * hover_point(scenario.craft).shaft_torque_nm:.2f}"
    except BadInput:
        why += ", and the rotor cannot lift the craft at any speed"
    do = "less weight, or more or wider strands; whether more or less pitch helps, paddlebar rank SCENARIO tells"
    return [Advice(why, do, "flight")]


def _edges(scenario: Scenario, found: Margins | None, held: Sequence[tuple[Beyond, float]]) -> list[Advice]:
    """The edge of the verdict that is nearest, counted in what careful hands hold."""
    if found is None or not found.margin_reasons:
        return []
    if held:
        why = f"as built a disturbance grows at {found.worst_growth_per_s:+.2f} /s with {found.turns_at_verdict:.0f} turns left"
        does = "then small disturbances die out at half the turns"
        return [
            Advice(f"{why}, so the slowest at {growth:+.2f} /s", f"{each.words}: {does}", "margins")
            for each, growth in held
        ]
    bar = scenario.craft.bar
    near: list[tuple[float, str, float, float, str]] = []
    for words, own, unit, size, moves in (
        ("gain of the bar", bar.gain, "", tolerance("craft.bar.gain"), [None if f is None else bar.gain * (f - 1.0) for f in found.gain_margin]),
        ("lead of the bar", bar.lead_deg, " deg", tolerance("craft.bar.lead_deg"), list(found.lead_margin_deg)),
        ("mass of each tip", bar.tip_mass_g, " g", tolerance("craft.bar.tip_mass_g"), list(found.mass_margin_g)),
    ):  # fmt: skip
        near += [(abs(move) / size, words, own, own + move, unit) for move in moves if move is not None]
    if not near:
        return []
    count, words, own, edge, unit = min(near)
    why = f"the verdict ({found.verdict}) changes when the {words} goes from {own:g} to {edge:.3g}{unit}"
    why += f", {count:.1f} times what careful hands hold; nothing else of the bar stands so near an edge"
    if found.verdict == STABILISES:
        return [
            Advice(
                why,
                f"keep the {words} away from there while building" if count < 10.0 else "nothing: that is far",
                "margins",
            )
        ]
    return [
        Advice(
            why,
            "no single change just past an edge does it; paddlebar map SCENARIO shows two numbers at once",
            "margins",
        )
    ]


def _turns(flight: FlightData, scenario: Scenario, look: Check) -> list[Advice]:
    """More turns, where the skein and the stick bear them."""
    drive, wound = look.drive, scenario.skein.turns
    if any(fault.code == "came down with its rubber wound" for fault in flight.faults):
        return []
    if not (ended_well(flight) and 1.0 <= wound < TURNS_TO_SPARE * drive.safe_turns):
        return []
    strength = stick_strength(scenario.craft, drive.safe_turns)
    if not strength.stick_margin_low >= BORNE:
        return []
    why = f"wound to {wound:.0f} turns, of {drive.safe_turns:.0f} that are safe (85 % of breaking); the stick bears those {strength.stick_margin_low:.1f} times"
    return [Advice(why, "for a longer flight wind more, a few tens of turns at a time", "check")]
