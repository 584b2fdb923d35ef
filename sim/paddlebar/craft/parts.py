"""Parts list -> mass, first moment and inertia; and where the air acts on them. Where they are stands in standing.py."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft import mesh_part
from paddlebar.craft.places import body_direction, body_place, plate_axes
from paddlebar.craft.standing import AnyPart, ring_points
from paddlebar.files.craft import Craft, skein_mass_g
from paddlebar.files.parts import MeshPart, PlatePart, PointPart, RingPart, RodPart, TubePart
from paddlebar.physics.airframe import LUMP, PLATE, ROD
from paddlebar.units import to_si

Vector = NDArray[np.float64]

ROD_CD = (
    1.2  # cylinder across the wind, Re 1e3 to 1e5 (1.0 to 1.2) and thin wire (1.2 to 1.5); references section 2.1 [M]
)
PLATE_CD = 1.2  # broadside plate; references section 2.1 [M]
LUMP_CD = 1.0  # bluff lump; common practice, no source
_GAUSS = (
    (0.5 - 0.5 / 3.0**0.5, 0.5),
    (0.5 + 0.5 / 3.0**0.5, 0.5),
)  # two-point rule: exact for drag growing as distance cubed


@dataclass(frozen=True)
class Station:
    """Where the air acts: kind (PLATE, ROD, LUMP), place [m], axis [1], drag area cd S [m^2]."""

    kind: int
    place: Vector
    axis: Vector
    drag_area: float


@dataclass
class MassProperties:
    """Mass [kg], first moment [kg m] and inertia [kg m^2] about the datum, body axes."""

    mass: float = 0.0
    moment: Vector = field(default_factory=lambda: np.zeros(3))
    inertia: Vector = field(default_factory=lambda: np.zeros((3, 3)))

    def add(self, mass: float, place: Vector, own: Vector | None = None) -> None:
        """Add a body: its mass, centre and inertia about its own centre (parallel-axis theorem)."""
        self.mass += mass
        self.moment = self.moment + mass * place
        self.inertia = self.inertia + mass * (place @ place * np.eye(3) - np.outer(place, place))
        if own is not None:
            self.inertia = self.inertia + own


def rod_inertia(mass: float, along: Vector, outer: float = 0.0, inner: float = 0.0) -> Vector:
    """Inertia of a straight rod or tube about its centre; along is its whole length as a vector [m], radii [m] (handbook formulas)."""
    length = float(np.linalg.norm(along))
    axis = along / length
    square = outer**2 + inner**2
    axial, across = 0.5 * mass * square, mass * (length**2 / 12.0 + square / 4.0)
    return across * np.eye(3) + (axial - across) * np.outer(axis, axis)


def plate_inertia(mass: float, along: Vector, normal: Vector, length: float, width: float, thickness: float) -> Vector:
    """Inertia of a flat box about its centre; unit vectors along and normal, measures in m (handbook formula)."""
    side = np.cross(normal, along)
    parts = ((along, width**2 + thickness**2), (side, length**2 + thickness**2), (normal, length**2 + width**2))
    return sum((mass / 12.0 * square * np.outer(e, e) for e, square in parts), np.zeros((3, 3)))


def add_mass(part: AnyPart, total: MassProperties) -> None:
    """Add one part of the fuselage to the total."""
    mass = to_si("mass_g", part.mass_g)
    match part:
        case PointPart():
            total.add(mass, body_place(part.at_mm))
        case RodPart() | TubePart():
            start, end = body_place(part.from_mm), body_place(part.to_mm)
            outer = 0.5e-3 * part.diameter_mm
            inner = 0.0
            if isinstance(part, TubePart):
                inner = outer - 1e-3 * part.wall_mm if part.wall_mm is not None else outer
            total.add(mass, 0.5 * (start + end), rod_inertia(mass, end - start, outer, inner))
        case PlatePart():
            along, normal = plate_axes(part)
            size = (1e-3 * part.length_mm, 1e-3 * part.width_mm, 1e-3 * part.thickness_mm)
            total.add(mass, body_place(part.at_mm), plate_inertia(mass, along, normal, *size))
        case RingPart():
            normal = body_direction(part.normal)
            polar = mass * (0.5e-3 * part.diameter_mm) ** 2
            total.add(mass, body_place(part.at_mm), 0.5 * polar * (np.eye(3) + np.outer(normal, normal)))
        case MeshPart():
            total.add(mass, mesh_part.centre(part), mesh_part.inertia(part))


def stations(part: AnyPart) -> list[Station]:
    """Where the air acts on a part."""
    if not part.drag:
        return []
    given = part.drag_coefficient
    match part:
        case PointPart():
            area = (LUMP_CD if given is None else given) * to_si("drag_area_mm2", part.drag_area_mm2)
            return [Station(LUMP, body_place(part.at_mm), np.array([1.0, 0.0, 0.0]), area)] if area > 0.0 else []
        case RodPart() | TubePart():
            return rod_stations(
                body_place(part.from_mm),
                body_place(part.to_mm),
                1e-3 * part.diameter_mm,
                ROD_CD if given is None else given,
            )
        case PlatePart():
            along, normal = plate_axes(part)
            length = 1e-3 * part.length_mm
            area = (PLATE_CD if given is None else given) * length * 1e-3 * part.width_mm
            centre = body_place(part.at_mm)
            return [Station(PLATE, centre + (s - 0.5) * length * along, normal, w * area) for s, w in _GAUSS]
        case RingPart():
            piece = (
                np.pi
                * part.diameter_mm
                * 1e-3
                / 4.0
                * part.wire_diameter_mm
                * 1e-3
                * (ROD_CD if given is None else given)
            )
            return [Station(ROD, place, tangent, piece) for place, tangent in ring_points(part)]
        case MeshPart():  # its hull's shadow along each of its own axes, as a plate that faces that way
            cd, place = LUMP_CD if given is None else given, mesh_part.centre(part)
            faces = zip(mesh_part.axes(part).T, mesh_part.shadows(part), strict=True)
            return [Station(PLATE, place, axis, cd * area) for axis, area in faces]


def rod_stations(start: Vector, end: Vector, diameter: float, cd: float) -> list[Station]:
    """A straight rod as two stations; places in m."""
    along = end - start
    length = float(np.linalg.norm(along))
    return [Station(ROD, start + s * along, along / length, w * cd * diameter * length) for s, w in _GAUSS]


def fuselage(craft: Craft) -> MassProperties:
    """Everything that does not turn: parts and skeins."""
    total = MassProperties()
    for part in craft.part:
        add_mass(part, total)
    skeins = [craft.skein]
    if craft.tail is not None and craft.tail.skein is not None:
        skeins.append(craft.tail.skein)
    for skein in skeins:
        start, end = (body_place(hook) for hook in skein.hooks_mm)
        mass = 1e-3 * skein_mass_g(skein)
        total.add(mass, 0.5 * (start + end), rod_inertia(mass, end - start))
    return total
