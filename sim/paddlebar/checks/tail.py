"""The tail: which way it pushes, how much of the rotor's torque it holds, and what would hold it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.optimize import brentq

from paddlebar.checks.findings import Finding, Severity
from paddlebar.craft.numbers import Numbers
from paddlebar.files.craft import Craft
from paddlebar.whirl_stand import StandPoint, stand

# Own choices, no source. A craft that drifts feels its tail more weakly than one held over a point, hence the wide span upwards.
HOLDS, TOO_MUCH, TOO_LITTLE = 0.8, 1.8, 0.5
ACROSS = 0.1  # lever over rotor radius below which the push turns next to nothing
PITCHES_DEG, PULLEYS = (1.0, 25.0), (0.4, 2.5)  # where a pitch is looked for, and a pulley, times the craft's own


@dataclass(frozen=True)
class TailHold:
    """What a tail does against its rotor's torque. What does not exist is nan.

    sense       : "against" the rotor's reaction, "with" it, "across" (turns nothing), "none" (no tail)
    hover, full : moment of its push about the shaft over the rotor's torque: in hover over a point, and freshly wound and held [1]
    ratio, ratio_wanted : tail turns a rotor turn, as built and as would hold the hover [1]
    pitch_deg, pitch_wanted_deg : the same by the tail's pitch alone [deg]
    """

    sense: str
    hover: float
    full: float
    ratio: float
    ratio_wanted: float
    pitch_deg: float
    pitch_wanted_deg: float


def tail_hold(
    craft: Craft, numbers: Numbers, cg_m: tuple[float, float, float], hover_rpm: float, full_rpm: float
) -> TailHold:
    """The tail against the rotor's torque, on a stand: out of the wash, nose held.

    craft, numbers : description, and what craft.build makes of it
    cg_m           : centre of gravity from the datum, body axes, forward, right, down [m]
    hover_rpm, full_rpm : of the rotor that lifts its craft, and freshly wound [rev/min], nan if there is none
    Equation : the air turns the rotor back by -h Q n, h its hand and n its axis; the push P a at r turns the craft by (r - cg) x P a;
               share = h n . ((r - cg) x P a) / Q
    Source   : statics.   Checked: tests/checks/test_tail.py
    """
    tail, nan = craft.tail, math.nan
    if tail is None or tail.drive == "none":
        return TailHold("none", nan, nan, nan, nan, nan, nan)
    lever = _lever(numbers, np.asarray(cg_m))
    sense = (
        "across" if abs(lever) < ACROSS * float(numbers.params[0]["radius"]) else "against" if lever > 0.0 else "with"
    )
    ratio = float(numbers.params[0]["cord_ratio"]) if int(numbers.params[0]["cord_mode"]) == 1 else nan
    if math.isnan(hover_rpm) or math.isnan(ratio):
        return TailHold(sense, nan, nan, ratio, nan, tail.pitch_deg, nan)
    here = stand(craft, hover_rpm)
    full = stand(craft, full_rpm) if math.isfinite(full_rpm) else None
    wanted = abs(lever)  # the amount that would hold it, whichever way it pushes

    def lack(**changes: Any) -> float:
        return _share(stand(craft.model_copy(update={"tail": tail.model_copy(update=changes)}), here.rpm), wanted) - 1.0

    pulley = _solved(lambda factor: lack(tail_pulley_mm=tail.tail_pulley_mm / factor), *PULLEYS)
    return TailHold(
        sense=sense,
        hover=_share(here, lever),
        full=_share(full, lever) if full is not None else nan,
        ratio=ratio,
        ratio_wanted=ratio * pulley,
        pitch_deg=tail.pitch_deg,
        pitch_wanted_deg=_solved(lambda pitch: lack(pitch_deg=pitch), *PITCHES_DEG),
    )


def tail_findings(craft: Craft, found: TailHold) -> list[Finding]:
    """Sense and amount; nothing to say of a craft without a tail but that its body will turn."""
    if found.sense == "none":
        says = "no tail holds the body: it turns against the rotor as fast as its drag lets it"
        return [Finding("look", "tail", says, "a tail rotor on a cord; or leave it so if the body may turn")]
    if found.sense != "against":
        return [Finding("stop", "tail.thrust_to", _wrong_way(found), _other_way(craft, found))]
    if math.isnan(found.hover):
        return []
    severity: Severity = "stop" if found.hover < TOO_LITTLE else "fine" if HOLDS <= found.hover <= TOO_MUCH else "look"
    says = f"the tail pushes the right way and holds {100.0 * found.hover:.0f} % of the rotor's torque in hover over a point"
    if math.isfinite(found.full):
        says += f", {100.0 * found.full:.0f} % freshly wound"
    return [Finding(severity, "tail", says, "nothing" if severity == "fine" else _amount(found))]


def _wrong_way(found: TailHold) -> str:
    if found.sense == "across":
        return "the tail's push goes past the centre of gravity: it turns nothing"
    return "the tail pushes with the rotor's reaction: both turn the body the same way"


def _other_way(craft: Craft, found: TailHold) -> str:
    if found.sense == "across" or craft.tail is None:
        return "set the tail rotor on a boom behind the shaft, pushing sideways"
    other = "left" if craft.tail.thrust_to == "right" else "right"
    return f"turn its pitch over or cross the cord, so that it pushes to the {other}: tail.thrust_to={other}"


def _amount(found: TailHold) -> str:
    ways = []
    if math.isfinite(found.ratio_wanted):
        ways.append(f"pulleys of {found.ratio_wanted:.1f} to 1 in place of {found.ratio:.1f}")
    if math.isfinite(found.pitch_wanted_deg):
        ways.append(f"{found.pitch_wanted_deg:.0f} deg of pitch in place of {found.pitch_deg:g}")
    more = found.hover < 1.0
    return (
        "; or ".join(ways)
        or f"a {'larger' if more else 'smaller'} tail rotor, or a {'longer' if more else 'shorter'} boom"
    )


def _lever(numbers: Numbers, cg: Any) -> float:
    """Moment about the shaft against the rotor's reaction for each newton of push [m]."""
    p = numbers.params[0]
    turning = np.cross(np.asarray(p["tail_place"]) - cg, np.asarray(p["tail_axis"]))
    return float(p["hand"]) * float(np.dot(np.asarray(p["shaft_axis"]), turning))


def _share(point: StandPoint, lever: float) -> float:
    return lever * point.tail_thrust_n / (point.torque_nm + point.bar_torque_nm)


def _solved(lack: Callable[[float], float], low: float, high: float) -> float:
    """Where `lack` is zero between two ends; nan where both ends are on one side."""
    if lack(low) * lack(high) > 0.0:
        return math.nan
    return float(brentq(lack, low, high, rtol=1e-3))
