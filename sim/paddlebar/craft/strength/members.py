"""Which parts bear the loads: the stick along the skein, the boom to the tail; their cross-sections and materials.

Found by where they lie, so that a craft file need not say it; `stick` in [skein] overrules.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from paddlebar.craft.strength.beams import Section, rectangle_section, tube_section
from paddlebar.craft.strength.materials import MATERIALS, Stuff, likely
from paddlebar.files.craft import Craft, Rotor, Skein
from paddlebar.files.parts import MeshPart, PlatePart, PointPart, RingPart, RodPart, TubePart
from paddlebar.files.strict import Spot

LongPart = RodPart | TubePart | PlatePart
AnyPart = LongPart | PointPart | RingPart | MeshPart

# Own choices: what lies less than this much along the skein is no stick, and a boom ends this near to the tail rotor.
LEAST_OVERLAP, LEAST_COSINE = 0.6, math.cos(math.radians(20.0))
BOOM_END_MM = 20.0


@dataclass(frozen=True)
class Member:
    """A part that bears load.

    part     : its name;  start, end : of its middle line, builder's places [mm];  section : None where a measure is absent or 0
    density  : from its weighed mass and its volume [kg/m^3], nan without a volume
    material : None when none is named and none is of that density;  assumed : taken from the density, not named
    """

    part: str
    start: Spot
    end: Spot
    section: Section | None
    density: float
    material: Stuff | None
    assumed: bool


def volume_mm3(part: AnyPart) -> float:
    """Volume of a part from its measures [mm^3]; nan for a lump and for a tube of unknown wall."""
    match part:
        case RodPart():
            area = part.diameter_mm**2 * (1.0 if part.cross_section == "square" else math.pi / 4.0)
            return area * math.dist(part.from_mm, part.to_mm)
        case TubePart() if part.wall_mm is not None:
            return math.pi * part.wall_mm * (part.diameter_mm - part.wall_mm) * math.dist(part.from_mm, part.to_mm)
        case PlatePart():
            return part.length_mm * part.width_mm * part.thickness_mm
        case RingPart():
            return math.pi * part.diameter_mm * math.pi / 4.0 * part.wire_diameter_mm**2
        case _:
            return math.nan


def density(mass_g: float, volume: float) -> float:
    """Mass [g] over volume [mm^3] in kg/m^3; nan without a volume."""
    return 1e6 * mass_g / volume if volume > 0.0 else math.nan


def stuff(named: str | None, found: float) -> tuple[Stuff | None, bool]:
    """Material of a part of density `found` [kg/m^3], and whether it was guessed from that density."""
    if named is not None:
        return MATERIALS[named] if math.isnan(found) else MATERIALS[named].of_density(found), False
    return (None if math.isnan(found) else likely(found)), True


def member(part: LongPart) -> Member:
    """A long part as a rod that bears load."""
    start, end = _ends(part)
    found = density(part.mass_g, volume_mm3(part))
    material, guessed = stuff(part.material, found)
    return Member(part.name, start, end, _section(part), found, material, guessed)


def blade_volume_mm3(rotor: Rotor) -> float:
    """Volume of one blade: planform times thickness, straight between root and tip or between stations [mm^3]."""
    if rotor.station:
        places = [(s.radius_mm, s.chord_mm) for s in rotor.station]
        first, last = (rotor.root_mm, places[0][1]), (rotor.radius_mm, places[-1][1])
        line = [first, *(each for each in places if rotor.root_mm < each[0] < rotor.radius_mm), last]
    else:
        line = [(rotor.root_mm, rotor.chord_mm), (rotor.radius_mm, rotor.tip_chord_mm)]
    area = sum(0.5 * (b[0] - a[0]) * (a[1] + b[1]) for a, b in zip(line, line[1:], strict=False))
    return area * rotor.thickness_mm


def stick_of(craft: Craft, skein: Skein | None = None) -> LongPart | None:
    """The part that bears a skein's pull (None: the main one's): named by its `stick`, or the nearest of those that lie along it."""
    skein = craft.skein if skein is None else skein
    long = [part for part in craft.part if isinstance(part, LongPart)]
    if skein.stick is not None:
        return next(part for part in long if part.name == skein.stick)
    first, last = skein.hooks_mm
    found: tuple[float, LongPart] | None = None
    for part in long:
        overlap, cosine, offset = _along(*_ends(part), first, last)
        if overlap >= LEAST_OVERLAP and cosine >= LEAST_COSINE and (found is None or offset < found[0]):
            found = offset, part
    return None if found is None else found[1]


def boom_of(craft: Craft, stick: LongPart | None) -> LongPart | None:
    """The part that carries the tail rotor: of those that are not the stick, the one with an end nearest to it."""
    if craft.tail is None:
        return None
    at, reach = craft.tail.at_mm, BOOM_END_MM + craft.tail.radius_mm
    near = [
        (min(math.dist(end, at) for end in _ends(part)), index, part)
        for index, part in enumerate(craft.part)
        if isinstance(part, RodPart | TubePart) and part is not stick
    ]
    nearest = min(near, default=None)
    return nearest[2] if nearest is not None and nearest[0] <= reach else None


def offset_from_skein(stick: Member, skein: Skein) -> float:
    """Distance of the stick's middle line from the line between the hooks, half-way [mm]; inf if it does not lie beside it."""
    return _along(stick.start, stick.end, *skein.hooks_mm)[2]


def meeting_point(boom: Member, stick: Member) -> Spot:
    """The place on the boom that is nearest to the stick, where it is taken to be glued on [mm]. Nearest points of two segments."""
    d = _minus(boom.end, boom.start)
    e = _minus(stick.end, stick.start)
    r = _minus(boom.start, stick.start)
    a, b, c = _dot(d, d), _dot(d, e), _dot(e, e)
    below = a * c - b * b
    # parallel ones have no nearest place of their own: the boom's start is as good as any
    s = _share((b * _dot(e, r) - c * _dot(d, r)) / below) if below > 1e-9 * a * c else 0.0
    t = _share((_dot(e, r) + s * b) / c)
    s = _share((t * b - _dot(d, r)) / a)
    return (boom.start[0] + s * d[0], boom.start[1] + s * d[1], boom.start[2] + s * d[2])


def _share(value: float) -> float:
    return min(1.0, max(0.0, value))


def _minus(a: Spot, b: Spot) -> Spot:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def _dot(a: Spot, b: Spot) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _ends(part: LongPart) -> tuple[Spot, Spot]:
    if not isinstance(part, PlatePart):
        return part.from_mm, part.to_mm
    half = 0.5 * part.length_mm / math.hypot(*part.along)
    x, y, z = part.at_mm
    a, b, c = (half * each for each in part.along)
    return (x - a, y - b, z - c), (x + a, y + b, z + c)


def _section(part: LongPart) -> Section | None:
    if 0.0 in ((part.width_mm, part.thickness_mm) if isinstance(part, PlatePart) else (part.diameter_mm,)):
        return None
    match part:
        case RodPart(cross_section="square"):
            return rectangle_section(1e-3 * part.diameter_mm, 1e-3 * part.diameter_mm)
        case RodPart():
            return tube_section(1e-3 * part.diameter_mm)
        case PlatePart():
            return rectangle_section(1e-3 * part.width_mm, 1e-3 * part.thickness_mm)
        case TubePart():
            if not part.wall_mm:
                return None
            return tube_section(1e-3 * part.diameter_mm, 1e-3 * (part.diameter_mm - 2.0 * part.wall_mm))


def _along(start: Spot, end: Spot, first: Spot, last: Spot) -> tuple[float, float, float]:
    """How a segment lies to the skein: share of the skein beside it [1], cosine [1], distance at mid-overlap [mm]."""
    span, own = math.dist(first, last), math.dist(start, end)
    if span == 0.0 or own == 0.0:
        return 0.0, 0.0, math.inf
    u = [(b - a) / span for a, b in zip(first, last, strict=True)]
    d = [(b - a) / own for a, b in zip(start, end, strict=True)]
    cosine = math.fsum(a * b for a, b in zip(u, d, strict=True))
    s, e = (math.fsum((p - q) * w for p, q, w in zip(place, first, u, strict=True)) for place in (start, end))
    low, high = max(0.0, min(s, e)), min(span, max(s, e))
    if high <= low:
        return 0.0, abs(cosine), math.inf
    share = (0.5 * (low + high) - s) / (e - s) if e != s else 0.5
    middle = [a + share * (b - a) for a, b in zip(start, end, strict=True)]
    across = [m - q - 0.5 * (low + high) * w for m, q, w in zip(middle, first, u, strict=True)]
    return (high - low) / span, abs(cosine), math.hypot(*across)
