"""Numbered circles beside a view, one an item of the parts list, each with a leader to its item."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Final, NamedTuple

from paddlebar.files.craft import Craft, weights_g
from paddlebar.files.strict import Spot
from paddlebar.pictures.style import spread
from paddlebar.sheet.outline import Shape
from paddlebar.sheet.page import INK, MID, SMALL, THIN, Page, Spot2, text_height
from paddlebar.sheet.scale import Extent, View

RADIUS: Final = 2.1  # [mm of paper]
PITCH: Final = 2.0 * RADIUS + 1.2  # from one to the next in a row
FIRST: Final = 7.5  # height of the first row, with its distance from the view
NEXT: Final = 5.4  # of each further row
LEAST: Final = 60.0  # a row may always be so long

Flat = Callable[[Spot], Spot2]


class Pointed(NamedTuple):
    """An item and the place of the view that its leader ends at [mm of the craft]."""

    number: int
    at: Spot2


def item_numbers(craft: Craft) -> dict[str, int]:
    """Number of each item, in the order of the parts list."""
    return {item: number for number, item in enumerate(weights_g(craft), start=1)}


def pointed(
    craft: Craft, drawn: Sequence[Shape], flat: Flat, size: Extent, shown: Callable[[Shape], bool]
) -> tuple[list[Pointed], list[Pointed]]:
    """Items with a number above the view and those below, whichever is nearer, from left to right."""
    anchors: dict[str, Spot2] = {}
    for shape in drawn:
        first = shape.item not in anchors and shape.look != "centre"
        if shown(shape) and (first or (shape.item == "hub" and shape.look == "plate")):
            anchors[shape.item] = _anchor(shape, [flat(point) for point in shape.points])
    numbers = item_numbers(craft)
    every = sorted(
        (Pointed(numbers[item], at) for item, at in anchors.items() if item in numbers), key=lambda each: each.at[0]
    )
    middle = 0.5 * (size.low + size.high)
    return [each for each in every if each.at[1] >= middle], [each for each in every if each.at[1] < middle]


def rows_of(items: Sequence[Pointed], width: float) -> int:
    """How many rows they take beside a view so wide [mm of paper]."""
    return max(1, math.ceil(len(items) * PITCH / max(width, LEAST)))


def height_of(rows: int) -> float:
    """Of so many rows [mm of paper]."""
    return FIRST + (rows - 1) * NEXT


def draw_balloons(page: Page, view: View, items: Sequence[Pointed], size: Extent, *, above: bool) -> None:
    """All of one side of the view."""
    left, right = (view.at(u, 0.0)[0] for u in (size.left, size.right))
    right += 3.0
    left = max(page.left + 3.0, min(left, right - LEAST))
    rows = rows_of(items, size.width * view.scale)
    edge = view.at(0.0, size.high if above else size.low)[1]
    away = 1.0 if above else -1.0
    for row in range(rows):
        some = items[row::rows]
        y = edge + away * (FIRST - RADIUS + row * NEXT)
        spots = [view.at(*item.at) for item in some]
        for item, spot, x in zip(some, spots, spread([spot[0] for spot in spots], PITCH, left, right), strict=True):
            page.line([spot, (x, y - away * RADIUS)], color=MID, width=THIN, zorder=6.5)
            page.disc(*spot, 0.45, face=INK, zorder=6.6)
            page.disc(x, y, RADIUS, face="white", zorder=7)
            page.text(x, y - 0.5 * text_height(SMALL), str(item.number), SMALL, ha="center")


def _anchor(shape: Shape, points: Sequence[Spot2]) -> Spot2:
    """Where the leader ends: a third along a stick, on the rim of a ring, off the middle of a plate, where so much else is."""
    if shape.look in ("rod", "rubber"):
        (x1, y1), (x2, y2) = points
        return x1 + 0.36 * (x2 - x1), y1 + 0.36 * (y2 - y1)
    if shape.look == "ring":
        return points[9]
    if shape.look == "plate" and shape.item != "hub":
        (x1, y1), (x2, y2) = points[0], points[len(points) // 2]
        return 0.8 * x1 + 0.2 * x2, 0.8 * y1 + 0.2 * y2
    x, y = ([p[i] for p in points] for i in (0, 1))
    return sum(x) / len(x), sum(y) / len(y)
