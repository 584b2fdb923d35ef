"""The craft drawn small, to no scale, with arrows and letters: what each letter means stands in a table below."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from paddlebar.files.craft import Craft
from paddlebar.files.strict import Spot
from paddlebar.sheet.balloons import Flat
from paddlebar.sheet.dims import arrow
from paddlebar.sheet.outline import shapes
from paddlebar.sheet.page import INK, SMALL, THIN, Page, Spot2
from paddlebar.sheet.scale import View, extent
from paddlebar.sheet.views import draw_shape

ROOM: Final = 10.0  # round the craft, for letters [mm of paper]
LEADER: Final = 4.5  # from a place to its letter [mm of paper]


class Lettered(NamedTuple):
    """letter : beside the arrow;  ends : between which places, or the one place that is meant

    aside : how far beside the places the arrow stands, right where it runs up, up where it runs along; of one place, where its letter stands
    """

    letter: str
    ends: Sequence[Spot]
    aside: Spot2


def lettering(count: int) -> Iterator[str]:
    """A to Z, then a to z, then AA and on."""
    for number in range(count):
        round_, at = divmod(number, 52)
        letter = chr(ord("A") + at) if at < 26 else chr(ord("a") + at - 26)
        yield letter * (1 + round_)


def draw_lettered(page: Page, craft: Craft, seen: Flat, found: Sequence[Lettered], corner: Spot2, size: Spot2) -> None:
    """As large as the room allows.

    seen : from where, as in views;  corner : left and upper one of the room on the paper [mm];  size : its width and height [mm]
    """
    drawn = shapes(craft)
    whole = extent(seen(point) for shape in drawn for point in shape.points)
    width, height = size[0] - 2.0 * ROOM, size[1] - 2.0 * ROOM
    scale = min(width / max(whole.width, 1.0), height / max(whole.height, 1.0), 1.0)
    left = corner[0] + ROOM + 0.5 * (width - whole.width * scale)
    high = corner[1] - ROOM - 0.5 * (height - whole.height * scale)
    view = View(scale, left - whole.left * scale, high - whole.high * scale)
    for depth, shape in enumerate(drawn):
        draw_shape(page, view, seen, shape, depth)
    for each in found:
        places = [view.at(*seen(end)) for end in each.ends]
        if len(places) == 1:
            _at(page, places[0], each)
        else:
            _between(page, places[0], places[1], each)


def _at(page: Page, place: Spot2, each: Lettered) -> None:
    long = math.hypot(*each.aside) or 1.0
    letter = (place[0] + LEADER * each.aside[0] / long, place[1] + LEADER * each.aside[1] / long)
    page.disc(*place, 0.5, face=INK, zorder=7)
    page.line([place, letter], color="0.6", width=0.7 * THIN)
    page.label(*letter, each.letter, SMALL + 1.0, weight="bold")


def _between(page: Page, first: Spot2, last: Spot2, each: Lettered) -> None:
    along = abs(first[0] - last[0]) > abs(first[1] - last[1])
    aside = (0.0, each.aside[1]) if along else (each.aside[0], 0.0)
    a, b = ((x + aside[0], y + aside[1]) for x, y in (first, last))
    for place, end in ((first, a), (last, b)):
        page.line([place, end], color="0.6", width=0.7 * THIN)
    page.line([a, b], color=INK)
    if math.dist(a, b) > 6.0:
        arrow(page, a, b)
        arrow(page, b, a)
    page.label(0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1]), each.letter, SMALL + 1.0, weight="bold")
