"""Scale of a drawing, the bar that proves it in print, and where a place of the craft lands on the paper."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from paddlebar.sheet.page import SMALL, THIN, Page, Spot2

# The usual scales of drawings (the series of ISO 5455, from memory), and 1:2.5, which scale rulers have.
SCALES: Final = (5.0, 2.0, 1.0, 0.5, 0.4, 0.2, 0.1, 0.05, 0.02, 0.01)
BAR_MM: Final = 100.0  # length of the scale bar on paper
BAR_HEIGHT: Final = 1.6
BAR_ROOM: Final = 13.0  # height that bar and words take
BAR_PARTS: Final = 10


@dataclass(frozen=True)
class View:
    """Drawing to scale: (0, 0) of what is drawn lies at (x0, y0) on the paper [mm]."""

    scale: float
    x0: float
    y0: float

    def at(self, u: float, v: float) -> Spot2:
        """Place on the paper of a place of the drawing [mm]."""
        return self.x0 + u * self.scale, self.y0 + v * self.scale


@dataclass(frozen=True)
class Extent:
    """Smallest upright rectangle round what is drawn [mm]."""

    left: float
    low: float
    right: float
    high: float

    @property
    def width(self) -> float:
        """From left to right [mm]."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From low to high [mm]."""
        return self.high - self.low


def extent(points: Iterable[Spot2]) -> Extent:
    """Extent of points, at least one."""
    found = list(points)
    return Extent(*(f(p[i] for p in found) for f, i in ((min, 0), (min, 1), (max, 0), (max, 1))))


def fitting(width: float, height: float, room_width: float, room_height: float, *, largest: float = 1.0) -> float:
    """The largest scale at which a drawing [mm] fits into a room on paper [mm]; the smallest of all if none does."""
    for scale in SCALES:
        if scale <= largest and width * scale <= room_width and height * scale <= room_height:
            return scale
    return SCALES[-1]


def scale_words(scale: float) -> str:
    """1:2, 2:1."""
    return f"{scale:g}:1" if scale >= 1.0 else f"1:{1.0 / scale:g}"


def scale_bar(page: Page, scale: float, x: float, y: float) -> None:
    """A bar of 100 mm on paper, lettered in mm of the craft, its left lower end at (x, y)."""
    step = BAR_MM / BAR_PARTS
    for part in range(BAR_PARTS):
        face = "black" if part % 2 == 0 else "white"
        page.box(x + part * step, y, step, BAR_HEIGHT, face=face, linewidth=THIN, gid=f"scale bar {part}")
    for part in (0, BAR_PARTS // 2, BAR_PARTS):
        page.text(x + part * step, y + BAR_HEIGHT + 1.0, f"{part * step / scale:g}", SMALL, ha="center")
    words = f"{scale_words(scale)}: this bar is 100 mm long on paper; if not, print at 100 %, not fitted to the page"
    page.text(x, y - 3.4, words, SMALL)
    page.scale_words = scale_words(scale)


def beside_the_bar(page: Page, words: str) -> None:
    """Words in the room right of the scale bar."""
    x = page.left + 4.0 + BAR_MM + 16.0
    page.paragraph(x, page.low + BAR_ROOM - 1.0, words, page.right - x, SMALL)
