"""What the figures of margins() mean, in sentences."""

from __future__ import annotations

import math

from paddlebar.stability.equilibrium import Equilibrium
from paddlebar.stability.kinds import Motion, comparable
from paddlebar.stability.own_flight import OwnFlight
from paddlebar.stability.result import RunDownPoint

AWAY_DEG_S = 20.0  # of mean spin: further than that a flight is on another motion, own choice


def caution(
    at: RunDownPoint, near: Equilibrium | None, apart: Equilibrium | None, own: OwnFlight, beside_s: float = math.nan
) -> str:
    """Said where the steady motion is not one that a flight comes to, or where the scenario's own flight says otherwise.

    beside_s : time in control without the bar, where growth says that the bar makes it worse, or stabilises, and flights do not [s]; else nan
    """
    if math.isfinite(beside_s) and at.worst_growth_per_s < 0.0:
        return (
            f"small disturbances of that steady flight die out, but the craft does not come to it: let go upright or 3 deg off, it is in "
            f"control for {own.controlled_s:.1f} s at worst, without its bar for {beside_s:.1f} s"
        )
    if math.isfinite(beside_s):
        return (
            f"disturbances of that steady flight grow faster with the bar; but flown from its own launch it is in control for "
            f"{own.controlled_s:.1f} s, without its bar for {beside_s:.1f} s"
        )
    for e, which in ((near, "the craft"), (apart, "the craft with its bar disconnected")):
        if e is not None and e.in_own_wake:
            return (
                f"{which} was found steady only while it sinks at {-e.climb_m_s:.2f} m/s in its own wake; "
                "whether it stays upright until it sinks so, only a flight tells"
            )
    return _flown_otherwise(at, own) if near is not None else ""


def _flown_otherwise(at: RunDownPoint, own: OwnFlight) -> str:
    """What the scenario's own flight says against the verdict, "" if nothing."""
    where = f"with {at.turns_left:.0f} turns left"
    stable = at.worst_growth_per_s < 0.0
    if not math.isfinite(at.flown_tilt_deg):
        if stable and own.outcome == "tipped over":
            return f"from this scenario's own launch the craft tips over before it comes to that steady flight {where}"
        return ""
    if not stable:
        return (
            f"flown from its own launch the craft leans no further than {at.flown_tilt_deg:.0f} deg {where}: "
            "a sway that grows need not end in a fall"
        )
    if abs(at.flown_body_rate_deg_s - at.body_rate_deg_s) > AWAY_DEG_S:
        return (
            f"flown from its own launch the craft is not on that steady flight {where}: it turns at {at.flown_body_rate_deg_s:+.0f} "
            f"deg/s on average, not at {at.body_rate_deg_s:+.0f}, and leans up to {at.flown_tilt_deg:.0f} deg"
        )
    return ""


def sentence(
    words: str,
    bar: bool,
    turns: float,
    here: float,
    there: float,
    own: Motion | None = None,
    apart: Motion | None = None,
) -> str:
    """The verdict for a reader.

    here, there : growth with the bar and with it disconnected [1/s];  own, apart : the motions that these belong to
    """
    where = f"with {turns:.0f} turns left"
    if not math.isfinite(here):
        return "no steady motion was found anywhere along the run-down, so nothing can be said"
    does = (
        f"disturbances die out, the slowest by half in {-math.log(2) / here:.2g} s"
        if here < 0.0
        else f"a disturbance doubles in {math.log(2) / max(here, 1e-12):.2g} s"
    )
    if not bar:
        return f"no bar: {where} {does}"
    if not math.isfinite(there):
        return f"the bar {words}: {where} {does}; no steady motion was found with the bar disconnected"
    changes = (
        f"die out, half in {-math.log(2) / there:.2g} s"
        if there < 0.0
        else f"double in {math.log(2) / max(there, 1e-12):.2g} s"
    )
    helped = {
        "stabilises": "the bar stabilises",
        "slows the fall": "the bar slows the fall",
        "no help": "the bar is no help",
        "reverses": "the bar makes it worse",
    }
    return f"{helped[words]}: {where} {does}; with the bar disconnected {_apart(own, apart)}they {changes}"


def _apart(own: Motion | None, apart: Motion | None) -> str:
    """What it does without its bar, where that is a motion of another kind."""
    if own is None or apart is None or comparable(own, apart):
        return ""
    return f"it {apart.kind} at {apart.drift_m_s:.1f} m/s, leaning {apart.tilt_deg:.0f} deg, and there "
