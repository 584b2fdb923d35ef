"""The craft as outlines in space: places [forward, right, up] in mm from the builder's datum, blade 1 over the tail."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.blades import rotor_planform
from paddlebar.craft.build import axes
from paddlebar.craft.parts import skein_section
from paddlebar.files.craft import Craft, Rotor
from paddlebar.files.geometry import Vector, circle, obstacles_of
from paddlebar.files.kinds import BARS
from paddlebar.files.parts import PlatePart, PointPart, RingPart
from paddlebar.files.units import to_si

Array = NDArray[np.float64]
Look = Literal["lump", "rod", "plate", "ring", "blade", "ball", "rubber", "centre"]
STATIONS = 24  # along a blade's edge
UP = np.array([1.0, 1.0, -1.0])  # body axes point down, files up


@dataclass(frozen=True)
class Shape:
    """One outline.

    item   : name in the parts list;  look : how it is drawn
    points : places [mm];  width : thickness of a rod or ball's diameter, 0 where there is none [mm]
    """

    item: str
    look: Look
    points: list[Vector]
    width: float = 0.0


@dataclass(frozen=True)
class Hub:
    """Hub centre [mm] and unit vectors [forward, right, up]: up the shaft, aft and right across it; hand +1: anticlockwise from above."""

    centre: Array
    axis: Array
    aft: Array
    right: Array
    hand: float

    def out(self, azimuth: float) -> tuple[Array, Array]:
        """Unit vectors outwards at an azimuth [rad] (0 over the tail, in the sense of rotation), and ahead across it."""
        chi = self.hand * azimuth
        outward = self.aft * math.cos(chi) + self.right * math.sin(chi)
        return outward, self.hand * (self.right * math.cos(chi) - self.aft * math.sin(chi))


def hub_of(craft: Craft) -> Hub:
    """The hub's frame."""
    shaft = craft.shaft
    found = axes(to_si("tilt_forward_deg", shaft.tilt_forward_deg), to_si("tilt_right_deg", shaft.tilt_right_deg))
    axis, aft, right = (UP * each for each in found)
    return Hub(np.array(shaft.hub_mm, float), axis, aft, right, 1.0 if shaft.turns == "counter-clockwise" else -1.0)


def shapes(craft: Craft) -> list[Shape]:
    """Everything, far to near as it may be drawn."""
    hub = hub_of(craft)
    return [*_parts(craft), *_skeins(craft), *_rotor(craft, hub), *_bar(craft, hub), *_tail(craft)]


def edges(rotor: Rotor) -> tuple[Array, Array, Array, Array]:
    """Distance from the shaft [mm], chord [mm], pitch [rad] along a blade, and how far its leading edge is ahead of the pitch axis [mm]."""
    places = {rotor.root_mm, rotor.radius_mm, *(s.radius_mm for s in rotor.station)}
    r = np.unique(np.concatenate([np.linspace(rotor.root_mm, rotor.radius_mm, STATIONS), np.array(sorted(places))]))
    r = r[(r >= rotor.root_mm) & (r <= rotor.radius_mm)]
    chord, pitch = rotor_planform(rotor, 1e-3 * r)
    return r, 1e3 * chord, pitch, rotor.feather_axis_percent / 100.0 * 1e3 * chord


def _parts(craft: Craft) -> Iterator[Shape]:
    for part, outline in zip(craft.part, obstacles_of(craft), strict=True):
        points, width = outline.points, 2.0 * outline.half
        if isinstance(part, PointPart):
            yield Shape(outline.name, "lump", points)
        elif isinstance(part, RingPart):
            yield Shape(outline.name, "ring", points, width)
        elif isinstance(part, PlatePart):
            yield Shape(outline.name, "plate", points, width)
        else:
            yield Shape(outline.name, "rod", [points[0], points[-1]], width)


def _skeins(craft: Craft) -> Iterator[Shape]:
    thick = 2e3 * math.sqrt(skein_section(craft) / math.pi)
    yield Shape("skein", "rubber", list(craft.skein.hooks_mm), thick)
    if craft.tail is not None and craft.tail.skein is not None:
        thick = 2e3 * math.sqrt(skein_section(craft, tail=True) / math.pi)
        yield Shape("tail skein", "rubber", list(craft.tail.skein.hooks_mm), thick)


def _rotor(craft: Craft, hub: Hub) -> Iterator[Shape]:
    rotor, head, shaft = craft.rotor, craft.head, craft.shaft
    top = hub.centre + hub.axis * (craft.bar.height_mm if BARS[craft.bar.kind].present else 0.0)
    lowest = min(craft.skein.hooks_mm, key=lambda hook: math.dist(hook, shaft.hub_mm))
    yield Shape("hub", "rod", [_spot(lowest), _spot(top)])
    if shaft.hub_diameter_mm > 0.0:
        yield Shape("hub", "plate", circle(shaft.hub_mm, _spot(hub.axis), shaft.hub_diameter_mm / 2.0), 1.0)
    r, chord, pitch, ahead = edges(rotor)
    cone = math.radians(head.precone_deg)
    for number in range(rotor.blades):
        outward, forward = hub.out(2.0 * math.pi * number / rotor.blades)
        along = outward * math.cos(cone) + hub.axis * math.sin(cone)
        upward = hub.axis * math.cos(cone) - outward * math.sin(cone)
        middle = hub.centre + np.outer(r, along)
        tilted = np.outer(np.cos(pitch), forward) + np.outer(np.sin(pitch), upward)
        leading = middle + ahead[:, None] * tilted
        trailing = middle - (chord - ahead)[:, None] * tilted
        outline = np.concatenate([leading, trailing[::-1]])
        yield Shape("blades", "blade", [_spot(p) for p in outline], rotor.thickness_mm)
        yield Shape("blades", "centre", [_spot(hub.centre), _spot(middle[0])])


def _bar(craft: Craft, hub: Hub) -> Iterator[Shape]:
    bar = craft.bar
    if not BARS[bar.kind].present:
        return
    hinge = hub.centre + hub.axis * bar.height_mm
    outward, _ = hub.out(math.radians(bar.lead_deg))
    ends = [hinge + side * bar.arm_mm * outward for side in (1.0, -1.0)]
    yield Shape("bar", "rod", [_spot(end) for end in ends], bar.wire_diameter_mm)
    for number, side in enumerate((0.0, math.pi)):
        outward, forward = hub.out(math.radians(bar.lead_deg) + side)
        if bar.tip_mass_g > 0.0:
            yield Shape("bar", "ball", [_spot(ends[number])], bar.tip_diameter_mm)
        if bar.paddle_span_mm > 0.0:
            pitch = math.radians(bar.paddle_incidence_deg)
            half = 0.5 * bar.paddle_chord_mm * (forward * math.cos(pitch) + hub.axis * math.sin(pitch))
            inner, outer = (bar.paddle_centre_mm + s * 0.5 * bar.paddle_span_mm for s in (-1.0, 1.0))
            corners = [hinge + x * outward + s * half for x, s in ((inner, 1), (outer, 1), (outer, -1), (inner, -1))]
            yield Shape("bar", "blade", [_spot(corner) for corner in corners], bar.wire_diameter_mm)


def _tail(craft: Craft) -> Iterator[Shape]:
    tail = craft.tail
    if tail is None:
        return
    x, y, z = tail.at_mm
    yield Shape("tail rotor", "centre", circle(tail.at_mm, (0.0, 1.0, 0.0), tail.radius_mm))
    half = 0.5 * tail.chord_mm  # drawn flat: which way it is set is said in words (thrust_to)
    for number in range(tail.blades):
        angle = 2.0 * math.pi * number / tail.blades
        c, s = math.cos(angle), math.sin(angle)
        corners = ((tail.root_mm, half), (tail.radius_mm, half), (tail.radius_mm, -half), (tail.root_mm, -half))
        yield Shape("tail rotor", "blade", [(x + r * c - q * s, y, z + r * s + q * c) for r, q in corners])


def _spot(place: Any) -> Vector:
    x, y, z = (float(each) for each in place)
    return x, y, z
