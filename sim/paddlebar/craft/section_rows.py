"""Rows of a section's table, checked: from a file, from text, from a description."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.plate import centre_of_pressure
from paddlebar.errors import BadInput
from paddlebar.files.craft import SECTIONS
from paddlebar.files.csv_rows import cells_of, number_of
from paddlebar.files.places import read_text

Array = NDArray[np.float64]

COLUMNS_NEEDED = ("alpha_deg", "cl", "cd")
COLUMNS = (*COLUMNS_NEEDED, "Re", "cm")
MOST_RE = 100  # Reynolds numbers of one file; own choice
_SHOWN = 80  # signs of a file's own words in a message


def lines_of(path: Path) -> Iterator[tuple[int, list[str]]]:
    """Line number and cells of each row of a file that is neither empty nor a # comment."""
    try:
        text = read_text(path)
    except BadInput as why:
        known = ", ".join(repr(name) for name in SECTIONS)
        reason = str(why).removeprefix(f"{path}").lstrip(": ")
        raise BadInput(f"{path}: section: should be {known} or a readable CSV file, found: {reason}") from why
    yield from rows_of(text, 1, path)


def rows_of(text: str, first: int, path: Path) -> Iterator[tuple[int, list[str]]]:
    """As lines_of(), of a text whose first line has the number `first`; path : for errors."""
    for number, line in enumerate(text.splitlines(), start=first):
        if line.strip() and not line.lstrip().startswith("#"):
            yield number, cells_of(line, f"{path}:{number}")


def own_table(path: Path) -> dict[float, Array]:
    """What read_table() gives of a table that comes with the program: tests have looked at its rows, and there are thousands."""
    with path.open(encoding="utf-8") as file:
        names = next(line for line in file if not line.startswith("#")).strip().split(",")
        rows = np.loadtxt(file, delimiter=",")
    alpha, cl, cd, cm = (rows[:, names.index(name)] for name in ("alpha_deg", "cl", "cd", "cm"))
    number = rows[:, names.index("Re")]
    return {float(re): np.column_stack([alpha, cl, cd, cm])[number == re] for re in np.unique(number)}


def read_table(path: Path, lines: Iterator[tuple[int, list[str]]]) -> dict[float, Array]:
    """Rows of a polar table by Reynolds number, (n, 4) alpha_deg cl cd cm each; with no Re column all count as 2e4. path : for errors"""
    number, header = next(lines, (1, [""]))
    for column in COLUMNS_NEEDED:
        if column not in header:
            raise BadInput(
                f"{path}:{number}: {column}: column is missing, found {', '.join(header)[:_SHOWN] or 'nothing'}"
            )

    def named() -> Iterator[tuple[int, dict[str, float]]]:
        for number, cells in lines:
            if len(cells) != len(header):
                raise BadInput(f"{path}:{number}: row: should have {len(header)} cells, found {len(cells)}")
            both = zip(header, cells, strict=True)
            yield number, {name: _number(path, number, name, cell) for name, cell in both if name in COLUMNS}

    return grouped(named(), f"{path}:", number)


def grouped(rows: Iterable[tuple[int, dict[str, float]]], where: str, number: int = 0) -> dict[float, Array]:
    """Checked rows by Reynolds number, (n, 4) alpha_deg cl cd cm each.

    rows : number of the line or row, and its values by name;  where : what stands before that number in an error
    ."""
    found: dict[float, list[list[float]]] = {}
    last_line: dict[float, int] = {}
    for line, row in rows:
        number = line
        _must(row["cd"] >= 0.0, where, number, "cd", "should be at least 0", row["cd"])
        _must(abs(row["alpha_deg"]) <= 180.0, where, number, "alpha_deg", "should be -180 to 180", row["alpha_deg"])
        re = row.get("Re", 2e4)
        _must(re > 0.0, where, number, "Re", "should be more than 0", re)
        group = found.setdefault(re, [])
        if group:
            rule = f"should rise from row to row, after {group[-1][0]:g}"
            _must(row["alpha_deg"] > group[-1][0], where, number, "alpha_deg", rule, row["alpha_deg"])
        a = math.radians(row["alpha_deg"])
        # no moment given: the plate's centre of pressure
        normal = row["cl"] * math.cos(a) + row["cd"] * math.sin(a)
        cm = row["cm"] if "cm" in row else -normal * (float(centre_of_pressure(np.array(a))) - 0.25)
        group.append([row["alpha_deg"], row["cl"], row["cd"], cm])
        last_line[re] = number
    _must(len(found) <= MOST_RE, where, number, "Re", f"should have at most {MOST_RE} different values", len(found))
    if not found:
        raise BadInput(f"{where}{number}: rows: should be at least 3, found 0")
    for re, group in found.items():
        _must(len(group) >= 3, where, last_line[re], "rows", f"should be at least 3 at Re {re:g}", len(group))
    return {re: np.array(group) for re, group in found.items()}


def _number(path: Path, line: int, name: str, cell: str) -> float:
    try:
        value = number_of(cell)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        _must(False, f"{path}:", line, name, "should be a finite number", cell[:_SHOWN] or "nothing")
    return value


def _must(true: bool, where: str, line: int, key: str, rule: str, found: Any) -> None:
    if not true:
        raise BadInput(f"{where}{line}: {key}: {rule}, found {found}")
