"""Does anything that turns strike anything that stands still? Checked on the drawing, with stops and tilts.

All lengths in mm, all places from the builder's datum. Each point has a distance from the shaft (``out``) and a height
above the hinge (``up``); what an arm sweeps round the shaft is a figure in that half plane.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import NamedTuple

from paddlebar.files.craft import Craft, Shaft, Tail
from paddlebar.files.kinds import BARS, HEADS
from paddlebar.files.parts import PlatePart, PointPart, RingPart
from paddlebar.files.sentences import Problem

Vector = tuple[float, float, float]
STEP_MM = 1.0  # spacing of the points tried along an edge; finer than any wire clearance that a builder would trust
CORNERS = 72  # points on a circle (tail disc, ring)


class Obstacle(NamedTuple):
    """Something that stands still: its name for the message, points on its middle line, and half its thickness."""

    name: str
    points: list[Vector]
    half: float


@lru_cache(maxsize=8)
def craft_collisions(craft: Craft) -> tuple[Problem, ...]:
    """One problem for each of bar and blades that strikes something: the first thing struck.

    Kept for the crafts asked for last: a study changes one and the same craft a thousand times, and that one is checked each time too.
    """
    parts = list(obstacles(craft))  # type: ignore[arg-type]  # frozen models have a hash at run time; what is typed does not know
    tail = [tail_disc(craft.tail)] if craft.tail is not None else []
    return (*_bar(craft, parts + tail), *_rotor(craft, parts, tail))


def shaft_axis(shaft: Shaft) -> Vector:
    """Unit vector up along the rotor shaft, [forward, right, up]."""
    x = math.tan(math.radians(shaft.tilt_forward_deg))
    y = math.tan(math.radians(shaft.tilt_right_deg))
    length = math.sqrt(x * x + y * y + 1.0)
    return (x / length, y / length, 1.0 / length)


def _bar(craft: Craft, obstacles: list[Obstacle]) -> Iterator[Problem]:
    bar = craft.bar
    if not BARS[bar.kind].present:
        return
    axis = shaft_axis(craft.shaft)
    centre = _along(craft.shaft.hub_mm, axis, bar.height_mm)
    reach, half = bar.arm_mm, bar.tip_diameter_mm / 2.0
    if bar.paddle_span_mm > 0.0:
        reach = max(reach, bar.paddle_centre_mm + bar.paddle_span_mm / 2.0)
    tilt = math.radians(BARS[bar.kind].travel(bar.stop_deg))
    inner = craft.shaft.hub_diameter_mm / 2.0  # inside the hub's outline the builder's own drawing counts
    found = _struck(obstacles, Swept(centre, axis, inner, reach, half, -tilt, tilt))
    if found is not None:
        name, out = found
        key = "paddle_centre_mm" if reach > bar.arm_mm and bar.given("paddle_centre_mm") else "arm_mm"
        at_stop = f" when tilted up to stop_deg {bar.stop_deg:g}" if tilt else ""
        rule = f"bar longer than clearance: it strikes {name}, {out:.0f} mm from the shaft{at_stop}"
        yield Problem(("bar", key), f"{rule}, found {getattr(bar, key):g}")


def _rotor(craft: Craft, parts: list[Obstacle], tail: list[Obstacle]) -> Iterator[Problem]:
    rotor, head, axis = craft.rotor, craft.head, shaft_axis(craft.shaft)
    hub, cone = craft.shaft.hub_mm, math.radians(head.precone_deg)
    half = rotor.thickness_mm / 2.0
    stop = math.radians(HEADS[head.kind].travel(head.stop_deg))
    swept = Swept(hub, axis, rotor.root_mm, rotor.radius_mm, half, cone - stop, cone + stop)
    found = _struck(tail, swept)
    if found is not None:
        at_stop = f" when the blades reach stop_deg {head.stop_deg:g}" if stop else ""
        rule = f"rotor strikes the tail rotor, {found[1]:.0f} mm from the shaft{at_stop}"
        yield Problem(("rotor", "radius_mm"), f"{rule}, found {rotor.radius_mm:g}")
        return
    # Sticks are tried against the disc at rest only: what a blade at full flap does to a boom is another question.
    for obstacle in parts:
        before: float | None = None
        for point in obstacle.points:
            out, up = out_and_up(point, hub, axis)
            above = up - out * math.tan(cone)
            crosses = before is not None and (before < 0.0) != (above < 0.0)
            if rotor.root_mm < out < rotor.radius_mm and (crosses or abs(above) < obstacle.half + half):
                rule = f"rotor strikes {obstacle.name}, which rises into the disc {out:.0f} mm from the shaft"
                yield Problem(("rotor", "radius_mm"), f"{rule}, found {rotor.radius_mm:g}")
                return
            before = above


class Swept(NamedTuple):
    """What an arm on a hinge sweeps: hinge, shaft direction, from and to which distance [mm], between which angles."""

    centre: Vector
    axis: Vector
    inner: float
    outer: float
    tip_half: float  # half thickness of the arm's tip [mm]
    low: float  # lowest angle above the plane [rad]
    high: float


def _struck(obstacles: Iterable[Obstacle], arm: Swept) -> tuple[str, float] | None:
    """Name and distance from the shaft of the first obstacle inside what an arm sweeps, or None."""
    for obstacle in obstacles:
        for point in obstacle.points:
            out, up = out_and_up(point, arm.centre, arm.axis)
            distance = math.hypot(out, up)
            if distance < arm.inner:
                continue
            angle = math.atan2(up, out)
            nearest = min(max(angle, arm.low), arm.high)
            reached = min(distance, arm.outer)  # the place on the arm that comes nearest
            gap = math.hypot(out - reached * math.cos(nearest), up - reached * math.sin(nearest))
            thick = arm.tip_half if distance > arm.outer - 2.0 * arm.tip_half else 0.0
            if gap < obstacle.half + thick or (gap == 0.0 and distance <= arm.outer):
                return obstacle.name, out
    return None


def obstacles_of(craft: Craft) -> Iterator[Obstacle]:
    """One obstacle a part, in the order of the file: a point, both ends and what lies between, a rim, a closed outline."""
    for part in craft.part:
        name = f"part {part.name}"
        if isinstance(part, PointPart):
            yield Obstacle(name, [part.at_mm], 0.0)
        elif isinstance(part, RingPart):
            yield Obstacle(name, circle(part.at_mm, part.normal, part.diameter_mm / 2.0), part.wire_diameter_mm / 2.0)
        elif isinstance(part, PlatePart):
            yield Obstacle(name, _plate(part), part.thickness_mm / 2.0)
        else:
            yield Obstacle(name, _segment(part.from_mm, part.to_mm), part.diameter_mm / 2.0)


@lru_cache(maxsize=8)
def obstacles(craft: Craft) -> tuple[Obstacle, ...]:
    """The same, kept for the crafts asked for last: a craft that is loaded is looked at, and then flown."""
    return tuple(obstacles_of(craft))


def tail_disc(tail: Tail) -> Obstacle:
    """Rim and middle line of the tail rotor's disc, which stands upright, its axis to the right."""
    rim = circle(tail.at_mm, (0.0, 1.0, 0.0), tail.radius_mm)
    x, y, z = tail.at_mm
    inside = _segment((x - tail.radius_mm, y, z), (x + tail.radius_mm, y, z))
    return Obstacle("the tail rotor", rim + inside, 0.5)


def _plate(part: PlatePart) -> list[Vector]:
    along = _unit(part.along)
    across = _unit(_cross(part.normal, along))
    corners = [
        _along(_along(part.at_mm, along, a * part.length_mm / 2.0), across, b * part.width_mm / 2.0)
        for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1))
    ]
    return [point for first, last in zip(corners, corners[1:], strict=False) for point in _segment(first, last)]


def circle(centre: Vector, normal: Vector, radius: float) -> list[Vector]:
    """CORNERS points of a circle, the first once more at the end [mm]."""
    axis = _unit(normal)
    start = _unit(_cross(axis, (1.0, 0.0, 0.0) if abs(axis[0]) < 0.9 else (0.0, 1.0, 0.0)))
    side = _cross(axis, start)
    angles = [2.0 * math.pi * n / CORNERS for n in range(CORNERS + 1)]
    return [_along(_along(centre, start, radius * math.cos(a)), side, radius * math.sin(a)) for a in angles]


def _segment(first: Vector, last: Vector) -> list[Vector]:
    count = max(1, math.ceil(math.dist(first, last) / STEP_MM))
    return [
        (
            first[0] + (last[0] - first[0]) * n / count,
            first[1] + (last[1] - first[1]) * n / count,
            first[2] + (last[2] - first[2]) * n / count,
        )
        for n in range(count + 1)
    ]


def out_and_up(point: Vector, centre: Vector, axis: Vector) -> tuple[float, float]:
    x, y, z = (point[0] - centre[0], point[1] - centre[1], point[2] - centre[2])
    up = x * axis[0] + y * axis[1] + z * axis[2]
    return math.sqrt(max(0.0, x * x + y * y + z * z - up * up)), up


def _along(start: Vector, direction: Vector, length: float) -> Vector:
    return (start[0] + direction[0] * length, start[1] + direction[1] * length, start[2] + direction[2] * length)


def _cross(a: Vector, b: Vector) -> Vector:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def _unit(vector: Vector) -> Vector:
    length = math.hypot(*vector) or 1.0
    return (vector[0] / length, vector[1] / length, vector[2] / length)
