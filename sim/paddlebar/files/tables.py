"""Tables that a file names by path: found beside the file that names them, and read at once, so that a description holds all that it needs."""

from __future__ import annotations

import math
import os
from collections.abc import Sequence
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from paddlebar.errors import BadInput
from paddlebar.files.craft import SECTIONS, Polar
from paddlebar.files.csv_rows import read_lines
from paddlebar.files.places import Key, Places, read_text
from paddlebar.files.sentences import show

SECTION_KEYS: tuple[Key, ...] = (("rotor", "section"), ("tail", "section"), ("bar", "paddle_section"))
CURVE_KEYS: tuple[Key, ...] = (("skein", "measured"), ("tail", "skein", "measured"))
FEWEST_ROWS = 4
REMARK = "# "  # before the path of the file that a section's table came from


def with_tables(raw: dict[str, Any], folder: Path, places: Places, *, sections: bool = True) -> dict[str, Any]:
    """Raw craft tables with tables of sections and measured curves read, both relative to ``folder``.

    A section's table becomes its text, behind a remark line with the path (see ``section_name``); a text is taken as it is.

    sections : False leaves the names of section tables as they are, whether there are such files or not
    """
    result = raw
    for key in SECTION_KEYS if sections else ():
        value = value_at(raw, key)
        if isinstance(value, str) and value not in SECTIONS and not is_table(value):
            path = section_path(value, folder, key, places)
            result = _put(result, key, f"{REMARK}{path}\n{read_text(Path(path))}")
    for key in SECTION_KEYS:
        value = value_at(raw, key)
        if value is not None and not isinstance(value, str):
            _check_polar(value, key, places)
    for key in CURVE_KEYS:
        value = value_at(raw, key)
        if isinstance(value, str):
            value = read_curve(beside(folder, value), value, key, places)
            result = _put(result, key, value)
        if isinstance(value, tuple):
            _check_rows([row for row in value if isinstance(row, tuple)], places.sentence(key, "").rstrip(": "), None)
    return _with_solids(result, folder, places)


def _with_solids(raw: dict[str, Any], folder: Path, places: Places) -> dict[str, Any]:
    """The STL of every mesh part, or of a change of one, measured."""
    parts = raw.get("part")

    def solid(part: Any, name: Any) -> Any:
        if not isinstance(part, dict) or not isinstance(part.get("stl"), str):
            return part
        key, typed = ("part", str(name), "stl"), part["stl"]
        path = beside(folder, typed)
        if path is None:
            raise BadInput(places.sentence(key, f"no such file, found {show(typed)}"))
        from paddlebar.files.meshes import read_solid  # noqa: PLC0415  only a craft with such a part needs it

        return {**part, "stl": tuple(read_solid(path, places.sentence(key, os.path.normpath(typed))))}

    if isinstance(parts, tuple):
        named = (part.get("name", n) if isinstance(part, dict) else n for n, part in enumerate(parts, start=1))
        return {**raw, "part": tuple(solid(part, name) for part, name in zip(parts, named, strict=True))}
    if isinstance(parts, dict):
        return {**raw, "part": {name: solid(part, name) for name, part in parts.items()}}
    return raw


def is_table(section: str) -> bool:
    """Whether a section is the text of a table, and no name."""
    return "\n" in section


def section_name(section: str | Polar) -> str:
    """A section in a few words: its name, or the file that its table came from."""
    if not isinstance(section, str):
        return "a table of its own"
    if not is_table(section):
        return section
    first = section.splitlines()[0]
    return Path(first.removeprefix(REMARK)).name if first.startswith(REMARK) else "a table of its own"


def section_path(value: str, folder: Path, key: Key, places: Places) -> str:
    """Absolute path of a section's csv file; its contents are checked by ``craft.sections``."""
    if not value.lower().endswith(".csv"):
        close = get_close_matches(value, SECTIONS, n=1, cutoff=0.5)
        guess = f"; did you mean {close[0]!r}?" if close else ""
        rule = f"input should be {', '.join(map(repr, SECTIONS))} or the path of a csv file, found {show(value)}"
        raise BadInput(places.sentence(key, rule + guess))
    path = beside(folder, value)
    if path is None:
        raise BadInput(places.sentence(key, f"no such file, found {show(value)}"))
    return os.path.realpath(path)


def beside(folder: Path, name: str) -> Path | None:
    """The file of a name that a description in `folder` gives, None if there is none, or there can be none."""
    try:
        path = folder / Path(name).expanduser()
        return path if path.is_file() else None
    except (OSError, ValueError, RuntimeError):  # too long, with a zero byte, the home of nobody
        return None


def read_curve(path: Path | None, shown: str, key: Key, places: Places) -> tuple[tuple[float, float], ...]:
    """Rows (turns, torque_mN_m) of a measured unwinding curve: a csv with these two columns."""
    if path is None:
        raise BadInput(places.sentence(key, f"no such file, found {show(shown)}"))
    file = os.path.normpath(path)
    lines = read_lines(Path(file), ("turns", "torque_mN_m"))[1]
    rows = tuple((line.needed("turns"), line.needed("torque_mN_m")) for line in lines)
    _check_rows(rows, file, [line.number for line in lines])
    return rows


def _check_rows(rows: Sequence[Any], where: str, numbers: list[int] | None) -> None:
    """Turns must increase, torque must not be negative, all finite; enough rows to draw a curve through."""
    last = -math.inf
    for at, row in enumerate(rows):
        place = f"{where}:{numbers[at]}" if numbers else f"{where}: row {at + 1}"
        if len(row) != 2 or not all(isinstance(each, int | float) and math.isfinite(each) for each in row):
            raise BadInput(f"{place}: row: should be two finite numbers (turns, torque_mN_m), found {show(row)}")
        turns, torque = row
        if turns < 0 or turns <= last:
            raise BadInput(f"{place}: turns: should increase from row to row and not be negative, found {turns}")
        if torque < 0:
            raise BadInput(f"{place}: torque_mN_m: should not be negative, found {torque}")
        last = turns
    if len(rows) < FEWEST_ROWS:
        raise BadInput(f"{where}: a measured curve should have at least {FEWEST_ROWS} rows, found {len(rows)}")


def _check_polar(rows: Any, key: Key, places: Places) -> None:
    """Rows of a section that stand in the description itself: 3 to 5 finite numbers each, as many in every row; more is asked later."""
    if not isinstance(rows, tuple):
        known = ", ".join(map(repr, SECTIONS))
        raise BadInput(places.sentence(key, f"input should be {known}, a csv file or rows of one, found {show(rows)}"))
    widths = {len(row) if isinstance(row, tuple) else 0 for row in rows}
    fine = all(isinstance(row, tuple) and all(_is_number(each) for each in row) for row in rows)
    if not (fine and len(widths) == 1 and widths <= {3, 4, 5}):
        rule = "rows should be finite numbers alpha_deg, cl, cd, or with Re, or with Re and cm, all of one length"
        raise BadInput(places.sentence(key, rule))


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def value_at(raw: Any, key: Key) -> Any:
    """What raw tables hold under a key, None for nothing."""
    for word in key:
        raw = raw.get(word) if isinstance(raw, dict) else None
    return raw


def _put(raw: dict[str, Any], key: Key, value: Any) -> dict[str, Any]:
    return {**raw, key[0]: value if len(key) == 1 else _put(raw[key[0]], key[1:], value)}
