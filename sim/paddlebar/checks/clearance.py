"""Room to move: the least gap between what turns and what stands, and between blades and bar, over all travel of their hinges."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.checks.findings import Finding, graded
from paddlebar.craft.shape import HALF_TURN, Arms, Blades, arms_of, blades_of
from paddlebar.craft.standing import STEP, Outline, outlines, tail_of
from paddlebar.craft.sweep import bar_half_height, bar_swept, blade_half_height, blades_swept
from paddlebar.files.craft import Craft
from paddlebar.units import to_si

Array = NDArray[np.float64]

# Own choices, no source: wire bends and balsa flaps by a millimetre or two.
TO_SPARE_MM: Final = 3.0
ANGLES = 25  # of bar and of blades from stop to stop, ends included
CHORDS: Final = 5  # lines across a paddle


@dataclass(frozen=True)
class Gap:
    """The least gap between two things. gap_mm : below 0 they meet;  bar_deg, flap_deg : where; nan where it does not matter or is
    not sampled;  out_mm : distance from the shaft there."""

    what: str
    other: str
    gap_mm: float
    out_mm: float
    bar_deg: float
    flap_deg: float


def clearances(craft: Craft) -> tuple[Gap, ...]:
    """Least gap of blades and of bar to each thing that stands still or turns with them, nearest first.

    Turning against standing: every azimuth and every angle between the stops, exactly, for points 1 mm apart on what stands; a blade
    is as thick as its pitched chord stands high, so that the gap errs low. Blades against bar, which keep their azimuth to each other: bar
    points 1 mm apart against the blade's sheet, at 25 x 25 angles from stop to stop, pitch moved by bar and delta-3. Inside the hub's
    outline nothing is compared: there the builder's own drawing counts.
    """
    blades, arms = blades_of(craft), arms_of(craft)
    found = list(_standing(craft, blades, arms))
    if arms is not None:
        found.append(_bar_and_blades(arms, blades, 0.5 * to_si("thickness_mm", craft.rotor.thickness_mm)))
    return tuple(sorted(found, key=lambda gap: gap.gap_mm))


def clearance_findings(found: tuple[Gap, ...]) -> list[Finding]:
    """The nearest pair, and every other one that is too near."""
    near = [gap for index, gap in enumerate(found) if index == 0 or gap.gap_mm < TO_SPARE_MM]
    return [_finding(gap) for gap in near]


def _finding(gap: Gap) -> Finding:
    angles = [
        f"{name} at {angle:+.0f} deg" for name, angle in (("bar", gap.bar_deg), ("blades", gap.flap_deg)) if math.isfinite(angle)
    ]  # fmt: skip
    where = f"{gap.out_mm:.0f} mm from the shaft" + (f", {' and '.join(angles)}" if angles else "")
    severity = graded(gap.gap_mm, 0.0, TO_SPARE_MM)
    if severity == "stop":
        says = f"{gap.what} strike {gap.other}, {where}"
    else:
        says = f"{gap.what} clear {gap.other} by {gap.gap_mm:.1f} mm, {where}"
    key = "bar.stop_deg" if gap.what.startswith("bar") else "head.stop_deg"
    if severity == "fine":
        return Finding(severity, "clearance", f"nothing comes nearer: {says}", "nothing")
    return Finding(severity, "clearance", says, f"a smaller {key}, more height between them, or move {gap.other}")


def _standing(craft: Craft, blades: Blades, arms: Arms | None) -> Iterator[Gap]:
    """Blades and bar, sweeping round, against parts and tail rotor."""
    parts = outlines(craft)  # type: ignore[arg-type]  # frozen models have a hash at run time; what is typed does not know
    for thing in (*parts, *([tail_of(craft.tail).outline()] if craft.tail is not None else [])):
        gap, out, up = blades_swept(blades).least(thing.points)
        yield _nearest("blades", thing, gap - blade_half_height(craft, out), out, up, blades.hub.radius)
        if arms is not None:
            gap, out, up = bar_swept(arms).least(thing.points)
            yield _nearest("bar", thing, gap - bar_half_height(arms, np.hypot(out, up)), out, up, blades.hub.radius)


def _nearest(what: str, thing: Outline, gaps: Array, out: Array, up: Array, hub: float) -> Gap:
    """The least gap of the points of a thing; gaps : (n,) to its middle line;  out, up : from the arm's place on the shaft [m]."""
    gaps = np.where(np.hypot(out, up) < hub, np.inf, gaps - thing.half)  # what is nearer belongs to the hub
    k = int(np.argmin(gaps))
    return Gap(what, thing.name, 1e3 * float(gaps[k]), 1e3 * float(out[k]), math.nan, math.nan)


def _bar_and_blades(arms: Arms, blades: Blades, thin: float) -> Gap:
    """The bar against each blade, both on the same hub: gaps over the two angles. thin : half thickness of a blade [m]"""
    tilts = np.linspace(-arms.travel, arms.travel, ANGLES) if arms.travel else np.zeros(1)
    flaps = np.linspace(-blades.travel, blades.travel, ANGLES) if blades.travel else np.zeros(1)
    own, half = _bar_points(arms)
    best = Gap("bar", "blades", math.inf, math.nan, math.nan, math.nan)
    for i in range(blades.count):
        for tilt in tilts:
            places = arms.at(own, tilt=tilt)
            gaps = _to_blade(blades, i, places, tilt, flaps) - half - thin
            flap, point = np.unravel_index(int(np.argmin(gaps)), gaps.shape)
            gap_mm = 1e3 * float(gaps[flap, point])
            if gap_mm < best.gap_mm:
                out = blades.hub.out_and_up(places[point])[0]
                best = Gap("bar", "blades", gap_mm, 1e3 * float(out), math.degrees(tilt), math.degrees(flaps[flap]))
    return best


def _bar_points(arms: Arms) -> tuple[Array, Array]:
    """Points of the bar (n, 3) out along arm 1, forward, up of its hinge, and half the thickness there (n,) [m]; outside the hub."""
    inner = min(arms.hub.radius, arms.length)
    x = np.linspace(inner, arms.length, max(2, math.ceil((arms.length - arms.hub.radius) / STEP) + 1))
    rows = [np.column_stack([x, np.zeros_like(x), np.zeros_like(x)])]
    thick = [bar_half_height(arms, x)]
    if arms.span > 0.0:
        ends = (arms.centre - 0.5 * arms.span, arms.centre + 0.5 * arms.span)
        along = np.linspace(*ends, max(2, math.ceil(arms.span / STEP) + 1))
        for y in np.linspace(-0.5, 0.5, CHORDS) * arms.chord:
            up_and_ahead = np.full((along.size, 2), (y * math.cos(arms.incidence), y * math.sin(arms.incidence)))
            rows.append(np.column_stack([along, up_and_ahead]))
            thick.append(np.full_like(along, 0.5 * arms.wire))
    arm = np.vstack(rows)
    return np.vstack([arm, arm * HALF_TURN]), np.concatenate([*thick, *thick])


def _to_blade(blades: Blades, i: int, places: Array, tilt: float, flaps: Array) -> Array:
    """Distance (m, n) of places (n, 3) to the sheet of blade i at each flapping (m,), pitched by the bar and by delta-3 [m]."""
    away = (places - blades.hinge(i)).T
    x, y, z = (axis @ away for axis in blades.axes(i, flap=flaps))
    x = x + blades.offset
    on = np.clip(x, blades.root, blades.radius)
    chord, pitch = blades.planform(on)
    theta = pitch + blades.apart[i] + blades.feathering(i, tilt, flaps)[:, None]
    forward = y * np.cos(theta) + z * np.sin(theta)
    over = z * np.cos(theta) - y * np.sin(theta)
    lead = blades.axis * chord
    beside = forward - np.clip(forward, lead - chord, lead)
    return np.asarray(np.sqrt((x - on) ** 2 + beside**2 + over**2))
