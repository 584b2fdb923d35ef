"""Rows of a csv that a builder typed: named columns in any order, remark lines with #, blank cells allowed, every cell with its line."""

from __future__ import annotations

import csv
import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path

from paddlebar.errors import BadInput
from paddlebar.files.places import read_text
from paddlebar.files.sentences import show
from paddlebar.units import stem_of


@dataclass(frozen=True)
class Line:
    """One row; cells are text without spaces around, those left blank are absent."""

    file: str
    number: int
    cells: Mapping[str, str]

    def bad(self, column: str, rule: str) -> BadInput:
        """The error (to be raised) that names file, line and column."""
        return BadInput(f"{self.file}:{self.number}: {column}: {rule}")

    def number_in(self, column: str, low: float = -math.inf, high: float = math.inf) -> float | None:
        """The number of a column, None if blank. Raises BadInput for anything else, or out of low to high."""
        text = self.cells.get(column)
        if text is None:
            return None
        try:
            value = number_of(text)
        except ValueError:
            raise self.bad(column, f"should be a number, found {show(text)}") from None
        if not math.isfinite(value) or not low <= value <= high:
            most = f" and at most {high:g}" if math.isfinite(high) else ""
            rule = f"should be at least {low:g}{most}" if math.isfinite(low) else "should be a finite number"
            raise self.bad(column, f"{rule}, found {text}")
        return value

    def needed(self, column: str, low: float = -math.inf, high: float = math.inf) -> float:
        """The number of a column that must not be blank. Raises BadInput."""
        value = self.number_in(column, low, high)
        if value is None:
            raise self.bad(column, "is missing")
        return value

    def word_in(self, column: str, allowed: Collection[str], default: str = "") -> str:
        """One of some words, or the default if blank. Raises BadInput with the nearest word."""
        text = self.cells.get(column, default)
        if text not in allowed and text != default:
            close = get_close_matches(text, list(allowed), n=1)
            guess = f"; did you mean {close[0]!r}?" if close else ""
            raise self.bad(column, f"should be {' or '.join(map(repr, allowed))}, found {show(text)}{guess}")
        return text


def number_of(text: str) -> float:
    """A number as a hand writes it; Python's own spelling 27_4 is a slip for 27.4. Raises ValueError."""
    if "_" in text:
        raise ValueError(text)
    return float(text)


def cells_of(line: str, where: str) -> list[str]:
    """Cells of one line of a csv, without spaces around. Raises BadInput for one that is none, such as one whose quotes are not closed."""
    try:
        return [cell.strip() for cell in next(csv.reader([line], strict=True))]
    except csv.Error as error:  # a cell of hundreds of kilobytes
        raise BadInput(f"{where}: row: is no row of a csv ({error})") from None


def read_lines(
    path: Path, known: Collection[str] | None = None, *, ragged: bool = False
) -> tuple[list[str], list[Line]]:
    """Header and rows.

    path    : csv, UTF-8, comma between cells;  known : columns that there may be, None: any
    ragged  : a row may leave out columns at its end, as where rows are of several kinds; elsewhere a cell was forgotten
    Raises  : BadInput, one line: no such file, no header, a column unknown (with the nearest) or twice, a row with too many cells
    """
    file = str(path)
    header: list[str] = []
    lines: list[Line] = []
    for number, line in enumerate(read_text(path, file).splitlines(), start=1):
        if not line.strip(" ,;\t") or line.lstrip().startswith("#"):
            continue
        cells = cells_of(line, f"{file}:{number}")
        if not header:
            header = cells
            _check_header(file, number, header, known)
            continue
        if len(cells) > len(header) and any(cells[len(header) :]):
            raise BadInput(
                f"{file}:{number}: row: has {len(cells)} cells for {len(header)} columns; text with a comma needs quotes, a number a point"
            )
        if len(cells) < len(header) and not ragged:
            raise BadInput(
                f"{file}:{number}: row: has {len(cells)} cells for {len(header)} columns; what is not known is left blank between its commas"
            )
        lines.append(Line(file, number, {k: c for k, c in zip(header, cells, strict=False) if c}))
    if not header:
        raise BadInput(f"{file}: holds no header")
    return header, lines


def _check_header(file: str, number: int, header: list[str], known: Collection[str] | None) -> None:
    if len(header) == 1 and ";" in header[0]:
        raise BadInput(f"{file}:{number}: header: cells should be parted by commas, found {show(header[0])}")
    for name in header:
        if header.count(name) > 1:
            raise BadInput(f"{file}:{number}: header: each column needs a name of its own, found {show(name)} twice")
        if known is not None and name not in known:
            same = [each for each in known if stem_of(each) == stem_of(name)]
            close = same or get_close_matches(name.lower(), list(known), n=1, cutoff=0.6)
            guess = f"; did you mean {close[0]}?" if close else ""
            raise BadInput(f"{file}:{number}: header: no such column {show(name)}{guess}")
