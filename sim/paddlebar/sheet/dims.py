"""Dimension lines: with arrow heads in rows beside the drawing, and running ones from the datum. None lies over another."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Final, Literal, NamedTuple

from paddlebar.pictures.style import spread
from paddlebar.sheet.page import INK, MID, SMALL, THIN, Page, Spot2, text_width

Direction = Literal["along", "up"]
ARROW: Final = 2.4  # length of an arrow head [mm of paper]
SLIM: Final = 0.42  # half its width
ROW: Final = 6.0  # from one dimension line to the next
OVER: Final = 1.2  # extension lines reach past the dimension line
PITCH: Final = 3.4  # from one running figure to the next
DOTTED: Final = (0, (1.2, 1.2))


class Measure(NamedTuple):
    """One dimension with arrow heads: the two places measured between [mm of paper], and what is written."""

    first: Spot2
    last: Spot2
    words: str


class Mark(NamedTuple):
    """One running figure: the place on paper that it belongs to, and the figure."""

    place: Spot2
    words: str


def figure(value: float) -> str:
    """A measure in mm as a drawing gives it: to a tenth, no useless noughts, no -0."""
    return f"{round(value, 1) + 0.0:g}"


def arrow(page: Page, tip: Spot2, toward: Spot2) -> None:
    """A slim filled arrow head at ``tip``, pointing away from ``toward``."""
    dx, dy = toward[0] - tip[0], toward[1] - tip[1]
    length = (dx * dx + dy * dy) ** 0.5 or 1.0
    ux, uy = dx / length, dy / length
    base = (tip[0] + ARROW * ux, tip[1] + ARROW * uy)
    left, right = (base[0] - SLIM * uy, base[1] + SLIM * ux), (base[0] + SLIM * uy, base[1] - SLIM * ux)
    page.area([tip, left, right], face=INK, width=0.1, zorder=6)


def rows_needed(measures: Sequence[Measure], direction: Direction) -> int:
    """How many rows ``measures_in_rows`` will take."""
    return 1 + max((row for row, _ in _rowed(measures, direction)), default=-1)


def measures_in_rows(page: Page, measures: Sequence[Measure], direction: Direction, start: float, step: float) -> float:
    """Draw dimensions in rows, short ones nearest to the drawing.

    direction : "along": lines run along the page, rows at y = start, start + step, ...; "up": upright lines at x
    Returns   : where the next row would lie [mm of paper]
    """
    last = -1
    for row, measure in _rowed(measures, direction):
        _draw(page, measure, direction, start + row * step)
        last = max(last, row)
    return start + (last + 1) * step


def _rowed(measures: Sequence[Measure], direction: Direction) -> list[tuple[int, Measure]]:
    axis = 0 if direction == "along" else 1
    taken: list[list[tuple[float, float]]] = []
    placed = []
    for measure in sorted(measures, key=lambda m: abs(m.last[axis] - m.first[axis])):
        low, high = _interval(measure, axis)
        row = 0
        while row < len(taken) and any(low < end and start < high for start, end in taken[row]):
            row += 1
        if row == len(taken):
            taken.append([])
        taken[row].append((low, high))
        placed.append((row, measure))
    return placed


def _interval(measure: Measure, axis: int) -> tuple[float, float]:
    """What a dimension takes of its row, arrows and words included."""
    low, high = sorted((measure.first[axis], measure.last[axis]))
    words = text_width(measure.words, SMALL) + 1.5
    if high - low >= words + 2.0 * ARROW + 1.0:
        return low - 1.0, high + 1.0
    if axis == 1:  # arrows from outside, words below: above there are often figures
        return low - ARROW - 2.0 - words, high + ARROW + 3.0
    return low - ARROW - 3.0, high + ARROW + 2.0 + words


def _draw(page: Page, measure: Measure, direction: Direction, at: float) -> None:
    axis = 0 if direction == "along" else 1
    first, last = sorted((measure.first, measure.last), key=lambda spot: spot[axis])

    def spot(along: float) -> Spot2:
        return (along, at) if axis == 0 else (at, along)

    for feature in (first, last):
        other = feature[1 - axis]
        over = at + (OVER if at > other else -OVER)
        ends = [(feature[0], other), (feature[0], over)] if axis == 0 else [(other, feature[1]), (over, feature[1])]
        page.line(ends, color="0.6", width=0.7 * THIN, linestyle=DOTTED, zorder=1)
    low, high = first[axis], last[axis]
    words = text_width(measure.words, SMALL)
    turn = 0 if axis == 0 else 90
    look: dict[str, Any] = {"ha": "center", "va": "center", "rotation": turn, "rotation_mode": "anchor", "clear": True}
    if high - low >= words + 2.0 * ARROW + 2.5:
        page.line([spot(low), spot(high)])
        arrow(page, spot(low), spot(high))
        arrow(page, spot(high), spot(low))
        page.text(*spot(0.5 * (low + high)), measure.words, SMALL, **look)
        return
    before, after = (2.0, 1.0) if axis == 0 else (1.0, 2.0)
    page.line([spot(low - ARROW - before), spot(high + ARROW + after)])
    arrow(page, spot(low), spot(low - 1.0))
    arrow(page, spot(high), spot(high + 1.0))
    beside = high + ARROW + 1.8 + 0.5 * words if axis == 0 else low - ARROW - 1.8 - 0.5 * words
    page.text(*spot(beside), measure.words, SMALL, **look)


def running_room(marks: Iterable[Mark]) -> float:
    """Width of the band that running figures take [mm of paper]."""
    return 7.0 + max((text_width(mark.words, SMALL) for mark in marks), default=0.0)


def running(
    page: Page, marks: Sequence[Mark], direction: Direction, line_at: float, origin: float, room: tuple[float, float]
) -> int:
    """Figures counted from the datum, one beside the place it belongs to, on one line with a circle at the origin.

    direction : "along": a line along the page at y = line_at, figures upright below; "up": figures left of it
    origin    : place of the datum on that line [mm of paper]
    room      : from where to where figures may stand [mm of paper]
    Returns   : how many found no room and were left out; those named first stay
    """
    axis = 0 if direction == "along" else 1
    most = int((room[1] - room[0]) / PITCH) + 1
    kept = list(marks)[:most]
    if not kept:
        return 0
    places = spread([mark.place[axis] for mark in kept], PITCH, *room)

    def spot(along: float, out: float = 0.0) -> Spot2:
        return (along, line_at - out) if axis == 0 else (line_at - out, along)

    ends = [origin, *(mark.place[axis] for mark in kept)]
    page.line([spot(min(ends)), spot(max(ends))])
    page.disc(*spot(origin), 0.9, face="white", zorder=6)
    for mark, place in zip(kept, places, strict=True):
        feature = mark.place
        foot = spot(feature[axis])
        page.line([feature, foot], color="0.6", width=0.7 * THIN, linestyle=DOTTED, zorder=1)
        if abs(feature[axis] - origin) > 0.9 + ARROW:
            arrow(page, foot, spot(origin))
        page.line([foot, spot(place, 3.2), spot(place, 4.4)], color=MID)
        look = {"rotation": 90, "ha": "center", "va": "top"} if axis == 0 else {"ha": "right", "va": "center"}
        x, y = spot(place, 5.0)
        page.text(x, y, mark.words, SMALL, clear=True, **look)
    return len(marks) - len(kept)
