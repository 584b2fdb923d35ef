"""Side view and plan, to scale, each item numbered as in the parts list, every place dimensioned from the datum."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any, Final

import numpy as np

from paddlebar.craft.shape import arms_of, blades_of
from paddlebar.files.craft import Craft
from paddlebar.files.kinds import BARS
from paddlebar.files.parts import Part, RodPart, TubePart
from paddlebar.files.strict import Spot
from paddlebar.sheet.balloons import Flat, Pointed, draw_balloons, height_of, pointed, rows_of
from paddlebar.sheet.dims import (
    ROW,
    Mark,
    Measure,
    figure,
    measures_in_rows,
    rows_needed,
    running,
    running_room,
)
from paddlebar.sheet.outline import Shape, shapes, spots
from paddlebar.sheet.page import (
    CHAIN,
    INK,
    LIGHT,
    MID,
    PALE,
    THICK,
    THIN,
    Page,
    Spot2,
)
from paddlebar.sheet.scale import BAR_ROOM, SCALES, Extent, View, beside_the_bar, extent, scale_bar

NARROW: Final = 8.0  # what keeps so near to the middle plane has no number of its own in the plan [mm]
SLENDER: Final = 0.45  # rods thinner than this on paper are drawn as one line [mm]


def from_the_right(place: Spot) -> Spot2:
    """Side view: nose to the right, up is up."""
    return place[0], place[2]


def from_above(place: Spot) -> Spot2:
    """Plan: nose to the right, the craft's right side downwards."""
    return place[0], -place[1]


def side_view(craft: Craft) -> Page:
    """The craft seen from its right side."""
    top, tips = rotor_places(craft)
    solid = [point for shape in shapes(craft) for point in shape.points]
    lowest, highest = (f(solid, key=lambda p: p[2]) for f in (min, max))
    upper, lower = craft.skein.hooks_mm
    centre = craft.shaft.hub_mm
    along = [(tips[0], tips[1], f"rotor {figure(2.0 * craft.rotor.radius_mm)} across")] if len(tips) > 1 else []
    ends = [f(solid, key=lambda p: p[0]) for f in (min, max)]
    along.append((ends[0], ends[1], f"in all {figure(ends[1][0] - ends[0][0])}"))
    if craft.tail is not None:
        arm = abs(craft.tail.at_mm[0] - centre[0])
        along.append((craft.tail.at_mm, centre, f"tail arm {figure(arm)}"))
    upright = [(lowest, highest, f"in all {figure(highest[2] - lowest[2])}")]
    if abs(upper[2] - lower[2]) > 1.0:
        upright.append((upper, lower, f"hooks {figure(abs(upper[2] - lower[2]))}"))
    if BARS[craft.bar.kind].present and abs(craft.bar.height_mm) > 0.1:
        upright.append((centre, top, f"bar {figure(abs(craft.bar.height_mm))}"))
    words = "Seen from the right, nose to the right. Blade 1 over the tail. Figures below and at the left: from the datum (crossed circle)."
    return _view(craft, from_the_right, "Side view", words, along, upright)


def plan_view(craft: Craft) -> Page:
    """The craft seen from above."""
    solid = [point for shape in shapes(craft) for point in shape.points]
    ends, sides = ([f(solid, key=lambda p: p[i]) for f in (min, max)] for i in (0, 1))
    along = [(ends[0], ends[1], f"in all {figure(ends[1][0] - ends[0][0])}")]
    upright = [(sides[0], sides[1], f"in all {figure(sides[1][1] - sides[0][1])}")]
    words = f"Seen from above, nose to the right; the rotor turns {craft.shaft.turns}. Blade 1 over the tail."
    if BARS[craft.bar.kind].present:
        words += f" Arm 1 of the bar is {craft.bar.lead_deg:g} deg ahead of blade 1."
    return _view(craft, from_above, "Plan", words, along, upright)


def rotor_places(craft: Craft) -> tuple[Spot, list[Spot]]:
    """Hinge of the bar, and the tips of the blades that lie fore and aft, where there are two opposite each other."""
    blades, arms = blades_of(craft), arms_of(craft)
    tip = np.array([blades.radius])
    fore_and_aft = (0, blades.count // 2) if blades.count % 2 == 0 else ()
    tips = [spot for i in fore_and_aft for spot in spots(blades.line(i, tip, blades.axis))]
    return spots(blades.hub.place if arms is None else arms.hinge)[0], tips


def _places(craft: Craft) -> Iterable[Spot]:
    """Places that are measured from the datum, the more important first."""
    yield craft.shaft.hub_mm
    yield from craft.skein.hooks_mm
    if craft.tail is not None:
        yield craft.tail.at_mm
        if craft.tail.skein is not None:
            yield from craft.tail.skein.hooks_mm
    for part in craft.part:
        yield from (place for _, place in part_places(part))


def part_places(part: Part) -> list[tuple[str, Spot]]:
    """Where a part is, by the names of its keys."""
    if isinstance(part, RodPart | TubePart):
        return [("from_mm", part.from_mm), ("to_mm", part.to_mm)]
    return [("at_mm", part.at_mm)]


def _view(
    craft: Craft,
    flat: Flat,
    title: str,
    words: str,
    along: Sequence[tuple[Spot, Spot, str]],
    upright: Sequence[tuple[Spot, Spot, str]],
) -> Page:
    drawn = shapes(craft)
    size = extent(flat(point) for shape in drawn for point in shape.points)
    items = pointed(craft, drawn, flat, size, _wide if flat is from_above else lambda _: True)
    page, view, room_left = _layout(craft, flat, title, size, items, along, upright)
    low, high = view.at(0.0, size.low)[1], view.at(0.0, size.high)[1]
    left, right = view.at(size.left, 0.0)[0], view.at(size.right, 0.0)[0]
    width = size.width * view.scale
    for depth, shape in enumerate(drawn):
        draw_shape(page, view, flat, shape, depth)
    _datum(page, view)
    for some, above in zip(items, (True, False), strict=True):
        draw_balloons(page, view, some, size, above=above)
    line_at = low - height_of(rows_of(items[1], width)) - 2.0
    marks = _marks(craft, view, flat, 0)
    missing = running(page, marks, "along", line_at, view.x0, (page.left + room_left, page.right))
    below = line_at - running_room(marks)
    rows = [Measure(view.at(*flat(a)), view.at(*flat(b)), text) for a, b, text in along]
    measures_in_rows(page, rows, "along", below - 2.0, -ROW)
    marks = _marks(craft, view, flat, 1)
    missing += running(page, marks, "up", left - 4.0, view.y0, (low, max(high, low + 1.0)))
    rows = [Measure(view.at(*flat(a)), view.at(*flat(b)), text) for a, b, text in upright]
    measures_in_rows(page, rows, "up", right + 6.0, ROW)
    if missing:
        words += f" {missing} more places stand in the parts list."
    beside_the_bar(page, words)
    scale_bar(page, view.scale, page.left + 4.0, page.low + 5.0)
    return page


def _layout(
    craft: Craft,
    flat: Flat,
    title: str,
    size: Extent,
    items: tuple[list[Pointed], list[Pointed]],
    along: Sequence[tuple[Spot, Spot, str]],
    upright: Sequence[tuple[Spot, Spot, str]],
) -> tuple[Page, View, float]:
    """The largest scale, on the page's better side, at which the view and all that stands round it fit."""
    for scale in SCALES[2:]:
        for landscape in (True, False):
            page = Page(title, craft.name, landscape=landscape)
            trial = View(scale, 0.0, 0.0)
            rows = [
                [Measure(trial.at(*flat(a)), trial.at(*flat(b)), text) for a, b, text in each]
                for each in (along, upright)
            ]
            across, up = _marks(craft, trial, flat, 0), _marks(craft, trial, flat, 1)
            left = 4.0 + running_room(up)
            right = 6.0 + ROW * rows_needed(rows[1], "up")
            above, under = (height_of(rows_of(some, size.width * scale)) for some in items)
            below = under + 4.0 + running_room(across) + ROW * rows_needed(rows[0], "along") + BAR_ROOM
            width, height = page.right - page.left - left - right, page.high - page.low - above - 1.0 - below
            if (size.width * scale <= width and size.height * scale <= height) or scale == SCALES[-1] and not landscape:
                x = page.left + left + 0.5 * (width - size.width * scale) - size.left * scale
                y = page.low + below + 0.6 * (height - size.height * scale) - size.low * scale
                return page, View(scale, x, y), left
    raise AssertionError("the last scale is always taken")


def _marks(craft: Craft, view: View, flat: Flat, axis: int) -> list[Mark]:
    """Running figures along one direction of the paper, one for each measure that differs by 0.1 mm; deepest feature first."""
    found: dict[str, Spot2] = {}
    for place in _places(craft):
        spot = flat(place)
        value = spot[axis] if not (axis == 1 and flat is from_above) else -spot[axis]
        words = figure(value)
        at = view.at(*spot)
        if words not in found or at[1 - axis] < found[words][1 - axis]:
            found[words] = at
    return [Mark(at, words) for words, at in found.items()]


def draw_shape(page: Page, view: View, flat: Flat, shape: Shape, depth: int) -> None:
    """One outline as it looks, the later ones above."""
    points = [view.at(*flat(point)) for point in shape.points]
    order: dict[str, Any] = {"zorder": 2.0 + 0.01 * depth}
    match shape.look:
        case "lump":
            page.disc(*points[0], 0.9, face=INK, **order)
        case "ball":
            page.disc(*points[0], max(0.5 * shape.width * view.scale, 0.6), face="0.3", **order)
        case "rod":
            _rod(page, points, shape.width * view.scale, "white", order)
        case "rubber":
            _rod(page, points, max(shape.width * view.scale, 0.8), LIGHT, order)
        case "ring":
            page.line(points, width=max(THICK, shape.width * view.scale / 25.4 * 72.0), **order)
        case "centre":
            page.line(points, color=MID, linestyle=CHAIN, **order)
        case "plate":
            page.area(points, face=PALE, zorder=1.2 + 0.001 * depth)
        case "blade":
            page.area(points, width=THIN, **order)  # not filled: what lies below it is to be seen


def _rod(page: Page, points: Sequence[Spot2], thick: float, face: str, order: dict[str, Any]) -> None:
    """A stick with its thickness; seen from its end, a disc."""
    (x1, y1), (x2, y2) = points
    length = math.hypot(x2 - x1, y2 - y1)
    if length < 0.2:
        page.disc(x1, y1, max(0.5 * thick, 0.3), face=face, **order)
    elif thick < SLENDER:
        page.line(points, width=THICK, **order)
    else:
        nx, ny = -(y2 - y1) / length * 0.5 * thick, (x2 - x1) / length * 0.5 * thick
        corners = [(x1 + nx, y1 + ny), (x2 + nx, y2 + ny), (x2 - nx, y2 - ny), (x1 - nx, y1 - ny)]
        page.area(corners, face=face, width=THIN, **order)


def _datum(page: Page, view: View) -> None:
    """The mark of the builder's datum."""
    x, y = view.at(0.0, 0.0)
    page.disc(x, y, 1.5, face="none", width=THICK, zorder=7)
    page.line([(x - 2.6, y), (x + 2.6, y)], zorder=7)
    page.line([(x, y - 2.6), (x, y + 2.6)], zorder=7)


def _wide(shape: Shape) -> bool:
    """Does the plan show more of it than the side view?"""
    return shape.item in ("hub", "tail rotor") or max(abs(point[1]) for point in shape.points) > NARROW
