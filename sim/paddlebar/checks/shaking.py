"""Out of balance: what a difference between blades, or between the ends of the bar, shakes the craft with."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from paddlebar.checks.findings import Finding
from paddlebar.craft.blades import blade_mass
from paddlebar.files.craft import Craft
from paddlebar.files.kinds import BARS

# Own choices, no source: a shake that is seen, and what a scale and a ruler show.
SEEN_SHARE = 0.05  # of the weight
STEP_G, STEP_MM = 0.01, 1.0
TRACK_DEG = 1.0  # what a protractor tells apart
_RPM = math.pi / 30.0


@dataclass(frozen=True)
class Shaking:
    """Of blades or bar, at one speed.

    what         : "blades" or "bar";  rpm : rotor speed
    per_step_g_n : force turning with the rotor for 0.01 g between two of them [N];  per_mm_n : for 1 mm of radius [N]
    radius_m     : where their weight is [m]
    measured_n   : from the masses in the file [N];  nan: not weighed one by one;  share : of the craft's weight [1]
    lighter      : which one to make heavier (1, 2, ...), 0 if none;  by_g : by how much at that radius
    """

    what: str
    rpm: float
    per_step_g_n: float
    per_mm_n: float
    radius_m: float
    measured_n: float
    share: float
    lighter: int
    by_g: float


def shaking(craft: Craft, rpm: float, weight_n: float) -> tuple[Shaking, ...]:
    """Out-of-balance force of blades and bar, F = dm r Omega^2 and m dr Omega^2.

    craft    : description;  rpm : rotor speed [rev/min];  weight_n : of the whole craft [N]
    Returns  : Shaking of the blades, and of the bar if there is one
    Source   : centripetal force; blades and ends weighed one by one add as vectors
    Checked  : tests/checks/test_shaking.py by hand; tests/reference/test_unequal.py: a flight is shaken by just that
    """
    rotor, bar = craft.rotor, craft.bar
    _, centre, _ = blade_mass(rotor, 0.0)
    radius = float(np.hypot(centre[0], centre[1]))
    found = [_of("blades", rpm, radius, rotor.blade_mass_g, rotor.blade_masses_g, rotor.blades, weight_n)]
    if BARS[bar.kind].present:
        arm = 1e-3 * bar.arm_mm
        found.append(_of("bar", rpm, arm, bar.tip_mass_g, bar.tip_masses_g, 2, weight_n))
    return tuple(found)


def shaking_findings(craft: Craft, found: tuple[Shaking, ...]) -> list[Finding]:
    """One finding each, and one about pitch where it was measured blade by blade."""
    return [*(_finding(craft, each) for each in found), *_track(craft)]


def _track(craft: Craft) -> Iterator[Finding]:
    """Blades of unequal pitch: one flies higher than the other and is dragged more."""
    key = "rotor.blade_pitches_deg"
    if craft.rotor.blade_pitches_deg is None:
        return
    pitches = craft.rotor.pitches_deg()
    most, least = (1 + pitches.index(end(pitches)) for end in (max, min))
    apart = max(pitches) - min(pitches)
    if apart <= TRACK_DEG:
        yield Finding("fine", key, f"pitch of the blades is alike to {apart:.1f} deg", "nothing")
        return
    says = f"blade {most} has {apart:.1f} deg more pitch than blade {least}: it flies higher, and pulls the hub round with it"
    yield Finding(
        "look", key, says, f"turn each blade to {craft.rotor.collective_deg:g} deg at three quarters of the radius"
    )


def _of(
    what: str, rpm: float, radius: float, each_g: float, weighed: tuple[float, ...] | None, count: int, weight_n: float
) -> Shaking:
    square = (rpm * _RPM) ** 2
    measured, lighter, by = math.nan, 0, 0.0
    if weighed is not None:
        moment = sum(cmath.rect(mass, 2.0 * math.pi * k / count) for k, mass in enumerate(weighed))
        measured = 1e-3 * abs(moment) * radius * square
        lighter = 1 + min(range(count), key=lambda k: weighed[k])
        by = abs(moment) if count == 2 else max(weighed) - min(weighed)
        if round(by, 4) == 0.0:  # no scale shows less
            lighter = 0
    return Shaking(
        what=what,
        rpm=rpm,
        per_step_g_n=1e-3 * STEP_G * radius * square,
        per_mm_n=1e-3 * each_g * 1e-3 * STEP_MM * square,
        radius_m=radius,
        measured_n=measured,
        share=measured / weight_n,
        lighter=lighter,
        by_g=by,
    )


def _finding(craft: Craft, found: Shaking) -> Finding:
    one = "blade" if found.what == "blades" else "arm"
    key = "rotor.blade_masses_g" if found.what == "blades" else "bar.tip_masses_g"
    at = f"at {found.rpm:.0f} rpm"
    rule = f"{STEP_G:g} g more on one {one} pulls with {1e3 * found.per_step_g_n:.1f} mN {at}, {STEP_MM:g} mm more radius with {1e3 * found.per_mm_n:.1f} mN"
    if math.isnan(found.measured_n):
        others = "each blade" if found.what == "blades" else "each end of the bar"
        return Finding(
            "look",
            key,
            rule,
            f"weigh {others} and write {key.split('.')[1]}; or balance the hub on a pin until it stays where it is put",
        )
    says = f"out of balance by {1e3 * found.measured_n:.1f} mN {at}, {100.0 * found.share:.1f} % of the weight; {rule}"
    if found.share <= SEEN_SHARE:
        return Finding("fine", key, says, "nothing")
    advice = f"put {found.by_g:.2f} g on {one} {found.lighter}, {1e3 * found.radius_m:.0f} mm from the shaft"
    return Finding("look", key, says, advice)
