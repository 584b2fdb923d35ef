"""A page of paper: everything on it is placed in millimetres of that paper, so that what is drawn is to scale in print."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import cache
from io import BytesIO
from itertools import accumulate
from pathlib import Path
from typing import Any, Final

from matplotlib.axes import Axes
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, findfont, get_font
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Polygon, Rectangle
from matplotlib.textpath import text_to_path

from paddlebar.record.write import put_in_place

A4_MM: Final = (210.0, 297.0)
MM_IN: Final = 25.4
MM_POINT: Final = 25.4 / 72.0
BORDER: Final = 8.0  # frame to the edge of the sheet: most printers leave less than that white
STRIP: Final = 9.0  # height of the strip with the names
GAP: Final = 3.0  # frame to what is drawn

INK: Final = "black"
MID: Final = "0.45"  # leaders, extension lines
LIGHT: Final = "0.86"  # rubber
PALE: Final = "0.95"  # plates, heads of tables
CHAIN: Final = (0, (9, 2, 1.5, 2))  # axes, circles that nothing solid fills
THICK: Final = 0.8  # outlines [point]
THIN: Final = 0.45  # dimension lines [point]
SMALL: Final = 7.0  # text [point]
BODY: Final = 8.0
HEAD: Final = 10.0
TITLE: Final = 12.0

Spot2 = tuple[float, float]
Box = tuple[float, float, float, float]  # left, low, right, high [mm of paper]
# Where a label looks for room: in the wanted place, then round it, further and further out [mm], [rad].
LADDER: Final = ((0.0, 0.0), *((2.0 * ring, 0.25 * math.pi * k) for ring in range(1, 30) for k in range(8)))
CLEAR: Final = 0.5  # words keep so far apart [mm]


class Page:
    """One A4 page. ``left``, ``right``, ``low``, ``high``: room inside the frame, above the strip of names [mm of paper]."""

    def __init__(self, title: str, craft: str, *, landscape: bool = False) -> None:
        self.width, self.height = A4_MM[::-1] if landscape else A4_MM
        self.title, self.craft, self.scale_words = title, craft, ""
        self.boxes: list[Box] = []  # of all words so far
        self.rules: list[list[Spot2]] = []  # of tables
        self.figure = Figure(figsize=(self.width / MM_IN, self.height / MM_IN), facecolor="white")
        self.ax: Axes = self.figure.add_axes((0.0, 0.0, 1.0, 1.0))
        self.ax.set_xlim(0.0, self.width)
        self.ax.set_ylim(0.0, self.height)
        self.ax.axis("off")
        self.left, self.right = BORDER + GAP, self.width - BORDER - GAP
        self.low, self.high = BORDER + STRIP + GAP, self.height - BORDER - GAP

    def text(self, x: float, y: float, words: str, size: float = SMALL, **look: Any) -> None:
        """Words at a place, left and on the base line unless told otherwise; ``clear``: on a white ground."""
        if look.pop("clear", False):
            look["bbox"] = {"facecolor": "white", "edgecolor": "none", "pad": 0.4}
        look = {"color": INK, "parse_math": False, "zorder": 8, **look}
        self.boxes.append(_box(x, y, words, size, look))
        self.ax.text(x, y, printable(words), size=size, **look)

    def label(self, x: float, y: float, words: str, size: float = SMALL, **look: Any) -> None:
        """Words in the middle of a place, or as near to it as no other words stand; on a white ground."""
        look = {"ha": "center", "va": "center", "clear": True, **look}
        for out, angle in LADDER:
            place = (x + out * math.cos(angle), y + out * math.sin(angle))
            box = _box(*place, words, size, look)
            if not any(overlap(box, other) for other in self.boxes):
                break
        self.text(*place, words, size, **look)

    def line(self, points: Sequence[Spot2], *, width: float = THIN, color: str = INK, **look: Any) -> None:
        """Straight lines from point to point."""
        look = {"solid_capstyle": "butt", "zorder": 4, **look}
        self.ax.add_artist(Line2D([x for x, _ in points], [y for _, y in points], color=color, linewidth=width, **look))

    def area(self, points: Sequence[Spot2], *, face: str = "none", width: float = THICK, **look: Any) -> None:
        """A closed outline."""
        look = {"edgecolor": INK, "zorder": 3, "joinstyle": "miter", **look}
        self.ax.add_artist(Polygon(points, closed=True, facecolor=face, linewidth=width, **look))

    def disc(self, x: float, y: float, radius: float, *, face: str = "none", width: float = THIN, **look: Any) -> None:
        """A circle."""
        look = {"edgecolor": INK, "zorder": 3, **look}
        self.ax.add_artist(Circle((x, y), radius, facecolor=face, linewidth=width, **look))

    def box(self, x: float, y: float, width: float, height: float, *, face: str = "none", **look: Any) -> None:
        """A rectangle from its lower left corner."""
        look = {"edgecolor": INK, "linewidth": THIN, "zorder": 2, **look}
        self.ax.add_artist(Rectangle((x, y), width, height, facecolor=face, **look))

    def cells(self, x: float, top: float, widths: Sequence[float], height: float) -> None:
        """The rules round a row of cells; all of a page are drawn at once."""
        right = x + sum(widths)
        self.rules += [[(x, top), (right, top)], [(x, top - height), (right, top - height)]]
        for place in (x, *(x + step for step in accumulate(widths))):
            self.rules.append([(place, top), (place, top - height)])

    def paragraph(self, x: float, top: float, words: str, width: float, size: float = BODY, **look: Any) -> float:
        """Words broken into lines of at most ``width`` mm, downwards from ``top``; where the next may begin."""
        for row in wrapped(words, width, size):
            top -= line_height(size)
            self.text(x, top + 0.25 * line_height(size), row, size, **look)
        return top

    def heading(self, x: float, top: float, words: str) -> float:
        """A bold line; where the next may begin."""
        self.text(x, top - text_height(HEAD), words, HEAD, weight="bold")
        return top - line_height(HEAD) - 0.5

    def finish(self, number: int, total: int) -> Figure:
        """Frame and strip of names."""
        if self.rules:
            self.ax.add_artist(LineCollection(self.rules, colors=INK, linewidths=0.7 * THIN, zorder=2))
        inner = self.width - 2.0 * BORDER
        self.box(BORDER, BORDER, inner, self.height - 2.0 * BORDER, linewidth=THICK)
        self.line([(BORDER, BORDER + STRIP), (BORDER + inner, BORDER + STRIP)], width=THICK)
        count = f"page {number} of {total}"
        right = f"scale {self.scale_words}, all measures in mm and deg, {count}" if self.scale_words else count
        self.text(BORDER + inner - 3.0, BORDER + 3.2, right, BODY, ha="right")
        middle = self.width - 2.0 * BORDER - 6.0 - text_width(right, BODY) - 6.0
        title = shortened(self.title, 0.62 * middle, HEAD)
        self.text(BORDER + 3.0, BORDER + 3.2, title, HEAD, weight="bold")
        used = text_width(title, HEAD, bold=True) + 5.0
        self.text(BORDER + 3.0 + used, BORDER + 3.2, shortened(self.craft, middle - used, BODY), BODY)
        self.figure.set_label(f"Build sheet of {self.craft}, {count}: {self.title}.")
        return self.figure


def overlap(a: Box, b: Box) -> bool:
    """Do two boxes meet?"""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _box(x: float, y: float, words: str, size: float, look: dict[str, Any]) -> Box:
    """What words take on the paper, a little more for safety."""
    width = text_width(words, size, bold=look.get("weight") == "bold")
    height = line_height(size) / 1.3
    w, h = (width, height) if not look.get("rotation") else (height, width)
    share = {"left": 0.0, "center": 0.5, "right": 1.0}[look.get("ha", "left")]
    up = {"top": 1.0, "center": 0.5, "center_baseline": 0.5, "bottom": 0.0}.get(look.get("va", "baseline"), 0.25)
    left, low = x - share * w, y - up * h
    return left - CLEAR, low - CLEAR, left + w + CLEAR, low + h + CLEAR


@cache
def _font(bold: bool) -> Any:
    return get_font(findfont(FontProperties(weight="bold" if bold else "normal")))


@cache
def text_width(words: str, size: float, *, bold: bool = False) -> float:
    """Width of printed words [mm]; size in points."""
    if not words:
        return 0.0
    font = FontProperties(size=size, weight="bold" if bold else "normal")
    return float(text_to_path.get_text_width_height_descent(printable(words), font, ismath=False)[0]) * MM_POINT


def text_height(size: float) -> float:
    """Height of a capital letter [mm]."""
    return 0.73 * size * MM_POINT


def line_height(size: float) -> float:
    """From one base line to the next [mm]."""
    return 1.3 * size * MM_POINT


def printable(words: str) -> str:
    """Letters that the font does not have as "?", everything on one line: a name may hold anything."""
    font = _font(False)
    return "".join(c if font.get_char_index(ord(c)) else "?" for c in " ".join(words.split()) or " ")


def shortened(words: str, width: float, size: float) -> str:
    """Words that fit into ``width`` mm, cut with dots where they do not."""
    if text_width(words, size) <= width:
        return words
    while words and text_width(words + "...", size) > width:
        words = words[:-1]
    return words + "..."


def wrapped(words: str, width: float, size: float) -> list[str]:
    """Words in lines of at most ``width`` mm."""
    rows: list[str] = []
    row = ""
    for word in words.split():
        longer = f"{row} {word}" if row else word
        if row and text_width(longer, size) > width:
            rows.append(row)
            row = shortened(word, width, size)
        else:
            row = shortened(longer, width, size) if not row else longer
    return [*rows, row] if row else rows


def numbered(pages: Iterable[Page]) -> list[Figure]:
    """All pages with frame, names and their count."""
    found = list(pages)
    return [page.finish(number, len(found)) for number, page in enumerate(found, start=1)]


def save_pdf(figures: list[Figure], path: Path, title: str) -> None:
    """One PDF of many pages, without the hour at which it was made. Raises OSError from the disk."""
    out = BytesIO()  # matplotlib's own writer of PDF loses a full disk among errors of zlib
    with PdfPages(out, metadata={"Title": title, "CreationDate": None}) as pdf:
        for figure in figures:
            pdf.savefig(figure)
    put_in_place(path, out.getvalue())
