"""The craft as outlines in space: places [forward, right, up] in mm from the builder's datum, blade 1 over the tail."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft import mesh_part
from paddlebar.craft.blades import rotor_planform
from paddlebar.craft.places import file_mm
from paddlebar.craft.shape import arms_of, blades_of
from paddlebar.craft.standing import circle, outline, skeins, tail_of
from paddlebar.files.craft import Craft, Rotor
from paddlebar.files.parts import MeshPart, PlatePart, PointPart, RingPart
from paddlebar.files.strict import Spot

Array = NDArray[np.float64]
Look = Literal["lump", "rod", "plate", "ring", "blade", "ball", "rubber", "centre"]
STATIONS = 24  # along a blade's edge


@dataclass(frozen=True)
class Shape:
    """One outline.

    item   : name in the parts list;  look : how it is drawn
    points : places [mm];  width : thickness of a rod or ball's diameter, 0 where there is none [mm]
    """

    item: str
    look: Look
    points: list[Spot]
    width: float = 0.0


def shapes(craft: Craft) -> list[Shape]:
    """Everything, far to near as it may be drawn."""
    return [*_parts(craft), *_skeins(craft), *_rotor(craft), *_bar(craft), *_tail(craft)]


def edges(rotor: Rotor) -> tuple[Array, Array, Array, Array]:
    """Distance from the shaft [mm], chord [mm], pitch [rad] along a blade, and how far its leading edge is ahead of the pitch axis [mm]."""
    places = {rotor.root_mm, rotor.radius_mm, *(s.radius_mm for s in rotor.station)}
    r = np.unique(np.concatenate([np.linspace(rotor.root_mm, rotor.radius_mm, STATIONS), np.array(sorted(places))]))
    r = r[(r >= rotor.root_mm) & (r <= rotor.radius_mm)]
    chord, pitch = rotor_planform(rotor, 1e-3 * r)
    return r, 1e3 * chord, pitch, rotor.feather_axis_percent / 100.0 * 1e3 * chord


def _parts(craft: Craft) -> Iterator[Shape]:
    for part in craft.part:
        found = outline(part)
        points, width = spots(found.points), 2e3 * found.half
        if isinstance(part, PointPart):
            yield Shape(found.name, "lump", points)
        elif isinstance(part, RingPart):
            yield Shape(found.name, "ring", points, width)
        elif isinstance(part, MeshPart):
            yield Shape(found.name, "plate", spots(mesh_part.box_path(part)), 0.5)  # the box round it
        elif isinstance(part, PlatePart):
            yield Shape(found.name, "plate", points, width)
        else:
            yield Shape(found.name, "rod", [points[0], points[-1]], width)


def _skeins(craft: Craft) -> Iterator[Shape]:
    for item, skein in zip(("skein", "tail skein"), skeins(craft), strict=False):
        yield Shape(item, "rubber", spots(skein.ends), 2e3 * skein.radius)


def _rotor(craft: Craft) -> Iterator[Shape]:
    rotor, blades, arms = craft.rotor, blades_of(craft), arms_of(craft)
    hub = blades.hub
    top = spots(hub.place if arms is None else arms.hinge)
    lowest = min(craft.skein.hooks_mm, key=lambda hook: math.dist(hook, craft.shaft.hub_mm))
    yield Shape("hub", "rod", [lowest, *top])
    if hub.radius > 0.0:
        yield Shape("hub", "plate", spots(circle(hub.place, hub.axis, hub.radius)), 1.0)
    x = 1e-3 * edges(rotor)[0]
    for i in range(blades.count):
        edge = np.concatenate([blades.line(i, x, 0.0), blades.line(i, x, 1.0)[::-1]])
        yield Shape("blades", "blade", spots(edge), rotor.thickness_mm)
        yield Shape("blades", "centre", spots(np.array([hub.place, blades.line(i, x[:1], blades.axis)[0]])))


def _bar(craft: Craft) -> Iterator[Shape]:
    bar, arms = craft.bar, arms_of(craft)
    if arms is None:
        return
    yield Shape("bar", "rod", spots(arms.tips()), bar.wire_diameter_mm)
    for tip, corners in zip(arms.tips(), arms.paddles(), strict=True):
        if bar.tip_mass_g > 0.0:
            yield Shape("bar", "ball", spots(tip), bar.tip_diameter_mm)
        if bar.paddle_span_mm > 0.0:
            yield Shape("bar", "blade", spots(corners), bar.wire_diameter_mm)


def _tail(craft: Craft) -> Iterator[Shape]:
    tail = craft.tail
    if tail is None:
        return
    disc = tail_of(tail)
    yield Shape("tail rotor", "centre", spots(disc.rim()))
    half = 0.5 * tail.chord_mm  # drawn flat: which way it is set is said in words (thrust_to)
    own = np.array([(tail.root_mm, half), (tail.radius_mm, half), (tail.radius_mm, -half), (tail.root_mm, -half)])
    for number in range(tail.blades):
        angle = 2.0 * math.pi * number / tail.blades
        c, s = math.cos(angle), math.sin(angle)
        yield Shape("tail rotor", "blade", spots(disc.at(1e-3 * own @ np.array([[c, s], [-s, c]]))))


def spots(places: Array) -> list[Spot]:
    """Places (3,) or (n, 3) in body axes [m] as the drawing has them."""
    return [(x, y, z) for x, y, z in file_mm(np.atleast_2d(places)).tolist()]
