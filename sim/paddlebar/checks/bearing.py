"""Findings from the strength of stick and boom, and what would bear more."""

from __future__ import annotations

import math

from paddlebar.checks.findings import Finding, graded
from paddlebar.craft.strength.factors import FAILS, STICK, Factor, Strength, stick_strength
from paddlebar.files.craft import Craft

# 1: breaks if the wood is as in the handbook. Spare for knots, joints and rough handling: common practice, no source.
TO_SPARE = 1.5
STEPS = 40  # halvings of the turns that a stick bears: far below one turn

# what a load does to a rod's thickness: a share f of what it bears wants it thicker by f to this power
_POWER = {
    "buckling": 0.25,
    "boom buckling": 0.25,
    "bending": 1.0 / 3.0,
    "boom bending": 1.0 / 3.0,
    "torsion": 1.0 / 3.0,
}


def strength_findings(craft: Craft, found: Strength) -> list[Finding]:
    """One finding for each way to fail; one that says what is missing if there is no answer."""
    findings = []
    if found.unknown:
        findings.append(
            Finding("look", "stick", f"the stick's strength is not known: {found.unknown}", "add it to the craft file")
        )
    for each in found.factors:
        findings.append(_factor(craft, found, each))
    for held in (found.stick, found.boom):
        if held is not None and held.assumed and held.material is not None:
            says = f"part {held.part} names no material; from its {held.density:.0f} kg/m3 it is taken for {held.material.name}"
            findings.append(Finding("look", f"part.{held.part}.material", says, "write its material"))
    return findings


def turns_borne(craft: Craft, most: float) -> float:
    """Turns at which the stick's least factor, poor material, comes down to 1 [turns]; `most` if it bears them all."""
    if not stick_strength(craft, most).stick_margin_low < 1.0:
        return most
    low, high = 0.0, most
    for _ in range(STEPS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if stick_strength(craft, middle).stick_margin_low >= 1.0 else (low, middle)
    return low


def thicker(each: Factor, spare: float = 1.0) -> float:
    """By how much a rod should be thicker to have `spare` times what is wanted over its load [1]."""
    return float((spare * TO_SPARE / each.nominal) ** _POWER[each.name.removeprefix("tail ")])


def _factor(craft: Craft, found: Strength, each: Factor) -> Finding:
    says = f"{each.part} ({each.material}): {each.how}; it bears {_times(each.nominal)}, {_times(each.low)} if it is a poor piece"
    severity = graded(each.nominal, 1.0, TO_SPARE)
    if severity == "fine" and each.low < 1.0:
        severity = "look"
    key = f"{'stick ' if each.name in STICK else ''}{each.name}"
    if severity == "fine":
        return Finding(severity, key, says, "nothing")
    way = each.name.removeprefix("tail ")
    ways = [f"make it {math.ceil(100.0 * (thicker(each) - 1.0))} % thicker, or of stiffer and harder material"]
    if each.name in STICK:
        borne = math.floor(turns_borne(craft, found.turns))
        if 0 < borne < math.floor(found.turns):
            ways.append(f"wind at most {borne} turns")
        if each.name == "bending" and found.offset_m > 1e-3:
            ways.append(f"bring the skein nearer to the stick than {1e3 * found.offset_m:.1f} mm")
    if each.name == "boom bending" or (each.name == "bending" and found.cord_moment_nm > 0.0):
        ways.append("bring the boom into the line of the cord, or slacken the cord as far as it still grips")
    verb = f"it {FAILS[way]}" if severity == "stop" else f"little to spare before it {FAILS[way]}"
    return Finding(severity, key, f"{says}: {verb}", "; or ".join(ways))


def _times(factor: float) -> str:
    return (
        "any load"
        if math.isinf(factor)
        else f"{factor:.2g} times that"
        if factor < 10.0
        else f"{factor:.0f} times that"
    )
