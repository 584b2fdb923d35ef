"""Room to move: the least gap between what turns and what stands, and between blades and bar, over all travel of their hinges."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from paddlebar.checks.findings import Finding, graded
from paddlebar.craft.blades import rotor_planform
from paddlebar.craft.strikes import blade_half_height_mm
from paddlebar.files.craft import Craft
from paddlebar.files.geometry import STEP_MM, Obstacle, obstacles_of, out_and_up, shaft_axis, tail_disc
from paddlebar.files.kinds import BARS, HEADS, feather_share

Array = NDArray[np.float64]

# Own choices, no source: wire bends and balsa flaps by a millimetre or two.
TO_SPARE_MM = 3.0
ANGLES = 25  # of bar and of blades from stop to stop, ends included
CHORDS = 5  # lines across a paddle


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
    found = [*_standing(craft), *_bar_and_blades(craft)]
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


def _standing(craft: Craft) -> Iterator[Gap]:
    """Blades and bar, sweeping round, against parts and tail rotor."""
    rotor, head, bar, shaft = craft.rotor, craft.head, craft.bar, craft.shaft
    axis = shaft_axis(shaft)
    things = list(obstacles_of(craft)) + ([tail_disc(craft.tail)] if craft.tail is not None else [])
    cone = math.radians(head.precone_deg)
    flap = math.radians(HEADS[head.kind].travel(head.stop_deg))
    tilt = math.radians(BARS[bar.kind].travel(bar.stop_deg))
    centre = tuple(hub + bar.height_mm * each for hub, each in zip(shaft.hub_mm, axis, strict=True))
    inner = 0.5 * shaft.hub_diameter_mm
    offset = HEADS[head.kind].hinge_offset(head.hinge_offset_mm)  # blades sweep about their hinges
    end = bar.arm_mm
    if bar.paddle_span_mm > 0.0:
        end = max(end, bar.paddle_centre_mm + 0.5 * bar.paddle_span_mm)
    for thing in things:
        places = np.array([out_and_up(point, shaft.hub_mm, axis) for point in thing.points])
        half = blade_half_height_mm(craft, places[:, 0])
        reach = (inner, rotor.root_mm, rotor.radius_mm)
        yield _nearest("blades", thing, places, reach, (cone - flap, cone + flap), half, offset)
        if BARS[bar.kind].present:
            places = np.array([out_and_up(point, (centre[0], centre[1], centre[2]), axis) for point in thing.points])
            outside = np.hypot(places[:, 0], places[:, 1])
            half = _bar_half(craft, outside)
            yield _nearest("bar", thing, places, (inner, min(inner, end), end), (-tilt, tilt), half)


def _nearest(
    what: str,
    thing: Obstacle,
    places: Array,
    reach: tuple[float, float, float],
    angles: tuple[float, float],
    half: Array,
    offset: float = 0.0,
) -> Gap:
    """Least gap of points (n, 2) out and up from the hinge to an arm that takes all angles between two; half (n,) thickness there.

    places, half : from the shaft;  reach : outline of the hub, start and end of the arm;  offset : of the hinge from the shaft [mm]
    """
    outline, inner, outer = reach[0], reach[1] - offset, reach[2] - offset
    out, up = places[:, 0] - offset, places[:, 1]
    nearest = np.clip(np.arctan2(up, out), *angles)
    reached = np.clip(out * np.cos(nearest) + up * np.sin(nearest), inner, outer)
    gaps = np.hypot(out - reached * np.cos(nearest), up - reached * np.sin(nearest)) - half - thing.half
    # what is nearer to the shaft than the hub's outline belongs to the hub
    gaps = np.where(np.hypot(places[:, 0], up) < outline, np.inf, gaps)
    k = int(np.argmin(gaps))
    return Gap(what, thing.name, float(gaps[k]), float(places[k, 0]), math.nan, math.nan)


def _bar_half(craft: Craft, out: Array) -> Array:
    """Half the height of the bar at distances from its hinge [mm]: wire, and ball or paddle where that is."""
    bar = craft.bar
    half = np.full_like(out, 0.5 * bar.wire_diameter_mm)
    if bar.tip_mass_g > 0.0:
        ball = 0.5 * bar.tip_diameter_mm
        half = np.where(np.abs(out - bar.arm_mm) <= ball, np.maximum(half, ball), half)
    if bar.paddle_span_mm > 0.0:
        high = 0.5 * bar.paddle_chord_mm * abs(math.sin(math.radians(bar.paddle_incidence_deg)))
        half = np.where(np.abs(out - bar.paddle_centre_mm) <= 0.5 * bar.paddle_span_mm, np.maximum(half, high), half)
    return np.asarray(half)


def _bar_and_blades(craft: Craft) -> Iterator[Gap]:
    """The bar against each blade, both on the same hub: gaps over the two angles."""
    bar, head, rotor = craft.bar, craft.head, craft.rotor
    if not BARS[bar.kind].present:
        return
    tilt = math.radians(BARS[bar.kind].travel(bar.stop_deg))
    stop = math.radians(HEADS[head.kind].travel(head.stop_deg))
    tilts = np.linspace(-tilt, tilt, ANGLES) if tilt else np.zeros(1)
    flaps = np.linspace(-stop, stop, ANGLES) if stop else np.zeros(1)
    points, half = _bar_points(craft)
    best = Gap("bar", "blades", math.inf, math.nan, math.nan, math.nan)
    for i in range(rotor.blades):
        behind = math.radians(bar.lead_deg) - 2.0 * math.pi * i / rotor.blades  # arm 1 ahead of this blade
        share = feather_share(bar.gain if BARS[bar.kind].tilts else 0.0, i, rotor.blades)
        for eta in tilts:
            c, s = math.cos(eta), math.sin(eta)
            x, y, z = points.T
            arm = np.column_stack([x * c - z * s, y, x * s + z * c + bar.height_mm])
            cb, sb = math.cos(behind), math.sin(behind)
            ahead = np.column_stack([arm[:, 0] * cb - arm[:, 1] * sb, arm[:, 0] * sb + arm[:, 1] * cb, arm[:, 2]])
            for flap in flaps:
                gaps = _to_blade(craft, ahead, float(flap), share * float(eta)) - half
                k = int(np.argmin(gaps))
                if gaps[k] < best.gap_mm:
                    out = float(np.hypot(ahead[k, 0], ahead[k, 1]))
                    best = Gap("bar", "blades", float(gaps[k]), out, math.degrees(eta), math.degrees(flap))
    if math.isfinite(best.gap_mm):
        yield best


def _bar_points(craft: Craft) -> tuple[Array, Array]:
    """Points of the bar [mm], (n, 3) out along arm 1, forward, up of its hinge, and half the thickness there (n,); outside the hub."""
    bar = craft.bar
    inner = 0.5 * craft.shaft.hub_diameter_mm
    count = max(2, math.ceil((bar.arm_mm - inner) / STEP_MM) + 1)
    x = np.linspace(min(inner, bar.arm_mm), bar.arm_mm, count)
    half = _bar_half(craft, x)
    rows = [np.column_stack([x, np.zeros_like(x), np.zeros_like(x)])]
    thick = [half]
    if bar.paddle_span_mm > 0.0:
        ends = (bar.paddle_centre_mm - 0.5 * bar.paddle_span_mm, bar.paddle_centre_mm + 0.5 * bar.paddle_span_mm)
        along = np.linspace(*ends, max(2, math.ceil(bar.paddle_span_mm / STEP_MM) + 1))
        slope = math.radians(bar.paddle_incidence_deg)
        for y in np.linspace(-0.5, 0.5, CHORDS) * bar.paddle_chord_mm:
            rows.append(
                np.column_stack(
                    [along, np.full_like(along, y * math.cos(slope)), np.full_like(along, y * math.sin(slope))]
                )
            )
            thick.append(np.full_like(along, 0.5 * bar.wire_diameter_mm))
    arm = np.vstack(rows)
    # the other arm is this one turned by half a turn about the shaft, so that both paddles meet the air alike
    return np.vstack([arm, arm * np.array([-1.0, -1.0, 1.0])]), np.concatenate([*thick, *thick])


def _to_blade(craft: Craft, points: Array, flap: float, pitched: float) -> Array:
    """Distance [mm] of points (n, 3), hub axes turned to the blade (out, forward, up), to the blade's sheet, half its thickness taken off."""
    rotor, head = craft.rotor, craft.head
    offset = HEADS[head.kind].hinge_offset(head.hinge_offset_mm)
    raised = math.radians(head.precone_deg) + flap
    c, s = math.cos(raised), math.sin(raised)
    x = (points[:, 0] - offset) * c + points[:, 2] * s + offset
    z = points[:, 2] * c - (points[:, 0] - offset) * s
    on = np.clip(x, rotor.root_mm, rotor.radius_mm)
    chord, pitch = rotor_planform(rotor, 1e-3 * on)
    theta = pitch + pitched - math.tan(math.radians(head.delta3_deg)) * flap
    forward = points[:, 1] * np.cos(theta) + z * np.sin(theta)
    over = z * np.cos(theta) - points[:, 1] * np.sin(theta)
    lead = rotor.feather_axis_percent / 100.0 * 1e3 * chord
    beside = forward - np.clip(forward, lead - 1e3 * chord, lead)
    return np.asarray(np.sqrt((x - on) ** 2 + beside**2 + over**2) - 0.5 * rotor.thickness_mm)
