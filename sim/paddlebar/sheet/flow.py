"""Words and tables that run down the page and on to the next."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from paddlebar.sheet.page import (
    BODY,
    HEAD,
    PALE,
    SMALL,
    Page,
    line_height,
    shortened,
    text_height,
    text_width,
    wrapped,
)

PAD: Final = 1.0  # words to the edge of a cell [mm]


class Flow:
    """Pages that are filled from top to bottom; ``top`` is where the next thing stands [mm of paper]."""

    def __init__(self, title: str, craft: str, *, landscape: bool = False) -> None:
        self.title, self.craft, self.landscape = title, craft, landscape
        self.pages: list[Page] = []
        self.turn()

    def turn(self) -> None:
        """A new page."""
        self.page = Page(self.title, self.craft, landscape=self.landscape)
        self.pages.append(self.page)
        self.top = self.page.high

    def need(self, height: float) -> None:
        """A new page unless so much height is left, or no page has so much."""
        if height > self.page.high - self.page.low:
            height = 0.25 * height
        if self.top - height < self.page.low and self.top < self.page.high:
            self.turn()

    @property
    def width(self) -> float:
        """From frame to frame [mm]."""
        return self.page.right - self.page.left

    def heading(self, words: str, keep: float = 25.0) -> None:
        """A bold line, on one page with what follows."""
        if self.top < self.page.high:
            self.top -= 3.0
        self.need(line_height(HEAD) + keep)
        self.top = self.page.heading(self.page.left, self.top, words)

    def paragraph(self, words: str, size: float = BODY, *, bold: bool = False) -> None:
        """Words over the whole width."""
        look = {"weight": "bold"} if bold else {}
        width = self.width / (1.15 if bold else 1.0)  # bold letters are wider
        self.need(len(wrapped(words, width, size)) * line_height(size))
        self.top = self.page.paragraph(self.page.left, self.top, words, width, size, **look) - 1.0

    def table(
        self,
        heads: Sequence[str],
        widths: Sequence[float],
        rows: Sequence[Sequence[str]],
        *,
        sides: str = "",
        row_mm: float = 0.0,
    ) -> None:
        """A ruled table; its head, if it has one, is repeated on the next page.

        widths : of the columns [mm];  sides : a letter a column, "<" or ">"
        row_mm : least height of a row [mm]; words too long for their column are broken into lines
        """
        sides = sides or "<" * len(widths)
        if heads:
            self._row(heads, widths, sides, 0.0, head=True)
        for row in rows:
            height = self._height(row, widths, row_mm)
            if self.top - height < self.page.low:
                self.turn()
                if heads:
                    self._row(heads, widths, sides, 0.0, head=True)
            self._row(row, widths, sides, row_mm)
        self.top -= 2.0

    def height(self, rows: Sequence[Sequence[str]], widths: Sequence[float], row_mm: float) -> float:
        """Of all rows together, the head aside [mm]."""
        return sum(self._height(row, widths, row_mm) for row in rows)

    def _height(self, row: Sequence[str], widths: Sequence[float], row_mm: float) -> float:
        lines = max(1, *(len(_cell(words, width)) for words, width in zip(row, widths, strict=True)))
        return max(row_mm, lines * line_height(SMALL) + 2.0 * PAD)

    def _row(
        self, row: Sequence[str], widths: Sequence[float], sides: str, row_mm: float, *, head: bool = False
    ) -> None:
        height = self._height(row, widths, row_mm)
        x = self.page.left
        look = {"weight": "bold"} if head else {}
        if head:
            self.page.box(x, self.top - height, sum(widths), height, face=PALE, edgecolor="none", zorder=1)
        self.page.cells(x, self.top, widths, height)
        for words, width, side in zip(row, widths, sides, strict=True):
            for number, line in enumerate(_cell(words, width, head=head)):
                y = self.top - PAD - text_height(SMALL) - 0.2 - number * line_height(SMALL)
                right = side == ">"
                place = x + width - PAD if right else x + PAD
                self.page.text(place, y, line, SMALL, ha="right" if right else "left", **look)
            x += width
        self.top -= height


def _cell(words: str, width: float, *, head: bool = False) -> list[str]:
    """Lines of a cell; a single word that is too long is cut."""
    room = (width - 2.0 * PAD) / (1.15 if head else 1.0)
    lines = [line for part in words.split("\n") for line in (wrapped(part, room, SMALL))]
    return [shortened(line, room, SMALL) if text_width(line, SMALL) > room else line for line in lines]
