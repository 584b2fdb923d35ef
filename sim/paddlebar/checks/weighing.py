"""Findings from weights and their place, and what would put them right."""

from __future__ import annotations

import math

from paddlebar.checks.findings import Finding, Severity
from paddlebar.checks.weights import Balance
from paddlebar.files.checks import suspect
from paddlebar.files.craft import Craft, weights_g

# Own choices, no source: a lean that trims itself out, and one that drags the craft across a hall.
FINE_LEAN_DEG, MOST_LEAN_DEG = 2.0, 10.0
FINE_SHARE = 0.02  # scale against sum


def weight_findings(craft: Craft, found: Balance) -> list[Finding]:
    """Sum against scale, and the place of the centre of gravity."""
    return [_scale(craft, found), _under_the_shaft(found)]


def _scale(craft: Craft, found: Balance) -> Finding:
    if craft.all_up_g is None:
        advice = "put the whole craft on the scale and write all_up_g: what is forgotten in the list shows there"
        return Finding(
            "look", "all_up_g", f"the entries add up to {found.total_g:.2f} g; no scale has checked that", advice
        )
    gap = found.total_g - craft.all_up_g
    says = f"the entries add up to {found.total_g:.2f} g, the scale says {craft.all_up_g:.2f} g"
    if abs(gap) <= FINE_SHARE * craft.all_up_g:
        return Finding("fine", "all_up_g", says, "nothing")
    says = f"{says}: {abs(gap):.2f} g {'missing' if gap < 0.0 else 'too much'}"
    return Finding("look", "all_up_g", says, suspect(weights_g(craft), craft.all_up_g))


def _under_the_shaft(found: Balance) -> Finding:
    forward, right = found.off_shaft_mm
    if found.below_hub_mm <= 0.0:
        says = f"the centre of gravity lies {-found.below_hub_mm:.0f} mm above the hub"
        return Finding("stop", "centre of gravity", says, "lower the heavy parts, or raise the hub")
    lean = math.hypot(*found.lean_deg)
    says = f"the centre of gravity lies {_beside((forward, right))} the shaft's line, {found.below_hub_mm:.0f} mm below the hub"
    if math.hypot(*found.wanted_mm) >= 0.05:
        says += f", where the tail's push wants it {_beside(found.wanted_mm)} that line"
    says += f": in hover the craft leans {lean:.1f} deg for it"
    severity: Severity = "fine" if lean <= FINE_LEAN_DEG else "look" if lean <= MOST_LEAN_DEG else "stop"
    sides = zip(found.tilt_deg, ("forward", "right"), strict=True)
    ways = [f"move {move.part} by {_shift(move.by_mm)}" for move in found.moves]
    if found.ballast_g > 0.0:
        ways.append(f"for forward and back alone, add {found.ballast_g:.2f} g at {_place(found.ballast_mm)}")
    ways.append("tilt the shaft's top by " + " and ".join(f"{value:+.1f} deg {side}" for value, side in sides))
    advice = "nothing; to have it exact: " if severity == "fine" else "one of these brings it there: "
    return Finding(severity, "centre of gravity", says, advice + "; or ".join(ways))


def _beside(place: tuple[float, float]) -> str:
    """ "1.2 mm ahead and 0.3 mm to the right of", or "on"."""
    said = [
        f"{abs(value):.1f} mm {plus if value > 0.0 else minus}"
        for value, plus, minus in zip(place, ("ahead", "to the right"), ("behind", "to the left"), strict=True)
        if abs(value) >= 0.05
    ]
    return " and ".join(said) + " of" if said else "on"


def _shift(by: tuple[float, float, float]) -> str:
    names = (("forward", "back"), ("right", "left"), ("up", "down"))
    said = [
        f"{abs(value):.1f} mm {plus if value > 0.0 else minus}"
        for value, (plus, minus) in zip(by, names, strict=True)
        if abs(value) >= 0.05
    ]
    return " and ".join(said) or "nothing"


def _place(place: tuple[float, float, float]) -> str:
    return "[" + ", ".join(f"{value:.0f}" for value in place) + "]"
