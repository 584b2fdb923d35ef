"""Where everything of a craft is that does not turn: parts, skeins, disc of the tail rotor, points that may touch.

SI, body axes (forward, right, down) from the builder's datum; what ends in ``_mm`` is as files have it: mm, [forward, right, up].
What turns stands in shape.py.
Checked : tests/craft/test_standing.py, tests/craft/test_parts.py
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft import mesh_part
from paddlebar.craft.places import body_direction, body_place, plate_axes
from paddlebar.files.craft import Craft, Tail
from paddlebar.files.parts import MeshPart, PlatePart, PointPart, RingPart, RodPart, TubePart
from paddlebar.units import to_si

Array = NDArray[np.float64]
AnyPart = PointPart | RodPart | TubePart | PlatePart | RingPart | MeshPart

STEP: Final = 1e-3  # [m] between points along an edge; finer than any wire clearance that a builder would trust
CORNERS: Final = 72  # of a circle
TAIL_HALF: Final = 0.5e-3  # [m] half of what the disc of a tail rotor is taken to be thick


def across(normal: Array) -> tuple[Array, Array]:
    """Two unit vectors (..., 3) across directions (..., 3) and each other: where a circle starts, and where it goes from there."""
    aside = np.where(np.abs(normal[..., :1]) < 0.9, [1.0, 0.0, 0.0], [0.0, 1.0, 0.0])
    first = np.cross(aside, normal)
    first /= np.linalg.norm(first, axis=-1)[..., None]
    return first, np.cross(first, normal)


def circle(centre: Array, normal: Array, radius: float, corners: int = CORNERS) -> Array:
    """Points (..., corners + 1, 3) round axes (..., 3) through centres (..., 3), the first once more at the end."""
    turn = np.arange(corners + 1) * 2.0 * np.pi / corners
    first, second = across(normal)
    ring = np.cos(turn)[:, None] * first[..., None, :] + np.sin(turn)[:, None] * second[..., None, :]
    return np.asarray(centre[..., None, :] + radius * ring)


def segment(first: Array, last: Array) -> Array:
    """Points (n, 3) on the way from one place to another, STEP apart or nearer, both ends included."""
    count = max(1, math.ceil(float(np.linalg.norm(last - first)) / STEP - 1e-9))
    return np.asarray(first + (np.arange(count + 1) / count)[:, None] * (last - first))


def plate_corners(part: PlatePart) -> Array:
    """Its four corners in order round it, (4, 3)."""
    along, normal = plate_axes(part)
    a = 0.5 * to_si("length_mm", part.length_mm) * along
    b = 0.5 * to_si("width_mm", part.width_mm) * np.cross(normal, along)
    return np.asarray(body_place(part.at_mm) + np.array([b - a, a + b, a - b, -a - b]))


def ring_points(part: RingPart) -> list[tuple[Array, Array]]:
    """Four points of a ring with the tangent there."""
    e, t = across(body_direction(part.normal))
    centre, radius = body_place(part.at_mm), 0.5 * to_si("diameter_mm", part.diameter_mm)
    return [(centre + radius * out, along) for out, along in ((-e, t), (t, e), (e, -t), (-t, -e))]


@dataclass(frozen=True, eq=False)
class Outline:
    """Something that stands still: its name for a message, points (n, 3) on its middle line in order, and half its thickness [m]."""

    name: str
    points: Array
    half: float


def corners(part: AnyPart) -> Array:
    """The places (n, 3) between which a part is drawn: one; both ends; a rim or an edge, closed."""
    match part:
        case PointPart():
            return body_place(part.at_mm)[None, :]
        case RingPart():
            radius = 0.5 * to_si("diameter_mm", part.diameter_mm)
            return circle(body_place(part.at_mm), body_direction(part.normal), radius)
        case PlatePart():
            edge = plate_corners(part)
            return np.concatenate([edge, edge[:1]])
        case RodPart() | TubePart():
            return np.array([body_place(part.from_mm), body_place(part.to_mm)])
        case MeshPart():
            return mesh_part.box_path(part)


def outline(part: AnyPart) -> Outline:
    """A part: what lies between its corners STEP apart; of a rim the corners alone."""
    if isinstance(part, MeshPart):
        edges = mesh_part.lines(part)
        return Outline(f"part {part.name}", np.concatenate([segment(a, b) for a, b in edges]), 0.0)
    found = corners(part)
    key = {"ring": "wire_diameter_mm", "plate": "thickness_mm", "point": ""}.get(part.kind, "diameter_mm")
    if isinstance(part, RodPart | TubePart | PlatePart):
        found = np.concatenate([segment(a, b) for a, b in zip(found[:-1], found[1:], strict=True)])
    return Outline(f"part {part.name}", found, 0.5 * to_si(key, getattr(part, key)) if key else 0.0)


@lru_cache(maxsize=8)
def outlines(craft: Craft) -> tuple[Outline, ...]:
    """All parts in the order of the file, kept for the crafts asked for last: a craft that is loaded is looked at, and then flown."""
    return tuple(outline(part) for part in craft.part)


def contact_points(part: AnyPart) -> list[Array]:
    """Points of a part that may touch floor, ceiling or walls."""
    if not part.touches:
        return []
    match part:
        case PointPart():
            return [body_place(part.at_mm)]
        case RodPart() | TubePart():
            return [body_place(part.from_mm), body_place(part.to_mm)]
        case PlatePart():
            return list(plate_corners(part))
        case RingPart():
            return [place for place, _ in ring_points(part)]
        case MeshPart():
            return list(mesh_part.ends(part))


@dataclass(frozen=True, eq=False)
class TailDisc:
    """The tail rotor. place : of its hub;  axis : unit vector of its thrust;  one, two : across it, right-handed with it"""

    place: Array
    axis: Array
    one: Array
    two: Array
    radius: float

    def at(self, own: Array) -> Array:
        """Places (..., 3) of points (..., 2) of its plane, these from its hub along ``one`` and ``two``."""
        return np.asarray(self.place + own[..., :1] * self.one + own[..., 1:] * self.two)

    def rim(self) -> Array:
        """The circle of its tips, closed."""
        return circle(self.place, np.abs(self.axis), self.radius)  # the same one whichever way it pushes

    def outline(self) -> Outline:
        """Rim, and the line across it fore and aft."""
        ends = self.at(np.array([[-self.radius, 0.0], [self.radius, 0.0]]))
        return Outline("the tail rotor", np.concatenate([self.rim(), segment(*ends)]), TAIL_HALF)

    def contact_points(self) -> list[Array]:
        """Points of its rim that may touch."""
        return [self.place + self.radius * d for d in (self.one, self.two, -self.one, -self.two)]


def tail_of(tail: Tail) -> TailDisc:
    """The tail rotor: its disc stands upright, its axis lies across the craft."""
    axis = np.array([0.0, 1.0 if tail.thrust_to == "right" else -1.0, 0.0])
    one = np.array([1.0, 0.0, 0.0])
    return TailDisc(body_place(tail.at_mm), axis, one, np.cross(axis, one), to_si("radius_mm", tail.radius_mm))


def contacts(craft: Craft) -> list[Array]:
    """All points of a craft that may touch floor, ceiling or walls: of its parts, in the order of the file, and of its tail rotor."""
    found = [point for part in craft.part for point in contact_points(part)]
    return found + (tail_of(craft.tail).contact_points() if craft.tail is not None else [])


@dataclass(frozen=True, eq=False)
class SkeinLine:
    """A skein between its hooks. ends : (2, 3);  section : of all strands, unstretched [m^2]"""

    ends: Array
    section: float

    @property
    def radius(self) -> float:
        """Of its strands as one round bundle [m]."""
        return math.sqrt(self.section / math.pi)


def skeins(craft: Craft) -> list[SkeinLine]:
    """The skein, and the tail's own where there is one."""
    from paddlebar.craft.rubber import section_of  # noqa: PLC0415  a picture is drawn without the compiler

    own = craft.tail.skein if craft.tail is not None else None
    return [
        SkeinLine(np.array([body_place(hook) for hook in skein.hooks_mm]), section_of(skein))
        for skein in (craft.skein, own)
        if skein is not None
    ]
