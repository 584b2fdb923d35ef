"""Blade and paddle sections: named tables, the user's own polar, and the plate relations that fill the rest."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import PchipInterpolator

from paddlebar.errors import BadInput, printable
from paddlebar.files.craft import Polar
from paddlebar.files.csv_rows import cells_of, number_of
from paddlebar.files.places import read_text
from paddlebar.files.tables import REMARK, is_table
from paddlebar.physics.section import ALPHA_FIRST_DEG, N_ALPHA, N_RE, RE_FIRST, RE_STEP_LOG2

Array = NDArray[np.float64]

DATA = Path(__file__).parent / "section_data"
RE_NODES: Array = np.asarray(RE_FIRST * 2.0 ** (RE_STEP_LOG2 * np.arange(N_RE)), dtype=np.float64)
ALPHA_NODES_DEG: Array = np.asarray(ALPHA_FIRST_DEG + np.arange(N_ALPHA), dtype=np.float64)

COLUMNS_NEEDED = ("alpha_deg", "cl", "cd")
COLUMNS = (*COLUMNS_NEEDED, "Re", "cm")

JOIN_DEG = 20.0
SLOPE_JOIN_DEG = 6.0
LARGEST_SLOPE_STEP = 0.1
MOST_RE = 100  # Reynolds numbers of one file; own choice


@dataclass(frozen=True)
class SectionRow:
    """One named section: its file, greatest thickness and camber as shares of the chord, and where it comes from.

    rounded : file of the same with its nose rounded, "" where that makes no difference that is known
    """

    file: str
    thickness: float
    camber: float
    source: str
    rounded: str = ""


SECTIONS: dict[str, SectionRow] = {
    "cambered plate": SectionRow(
        "cambered_plate.csv",
        0.02,
        0.05,
        "thin circular arc, 5 % camber: built from thin-aerofoil theory, laminar friction, leading-edge suction and "
        "Hoerner's plate normal force [C]; with a rounded nose moved to a plate measured from Re 60k up [T]",
        "cambered_plate_rounded.csv",
    ),
    "shallow cambered plate": SectionRow(
        "shallow_cambered_plate.csv",
        0.02,
        0.03,
        "thin circular arc, 3 % camber: the same relations as the cambered plate, and in proportion to camber the same "
        "measured difference [C]",
        "shallow_cambered_plate_rounded.csv",
    ),
    "flat plate": SectionRow(
        "flat_plate.csv",
        0.02,
        0.0,
        "thin flat plate: the same relations as the cambered plate with no camber [C]; no measured table could be read",
    ),
    "thin aerofoil": SectionRow(
        "thin_aerofoil.csv",
        0.089,
        0.018,
        "RG15 (8.9 % thick, 1.8 % camber): measured in a wind tunnel at Re 60k to 300k [T]; below, fading by Re 10k, a "
        "neural surrogate of a viscous panel method, neuralfoil 0.3.3, n_crit 9 [C]",
    ),
}


def laminar_plate_drag(reynolds: ArrayLike) -> Array:
    """Friction of both sides of a flat plate, 2 * 1.328/sqrt(Re) [1].

    reynolds : Reynolds number on the chord [1]
    Source   : Blasius 1908, references.md 2.1 [C].   Checked: tests/reference/test_section_data.py
    """
    return np.asarray(2.656 / np.sqrt(np.asarray(reynolds, dtype=float)))


def plate(alpha: ArrayLike, reynolds: float, camber: float = 0.0) -> Array:
    """Coefficients of a thin circular-arc plate at every angle, (..., 3): cl, cd, cm about the quarter chord.

    alpha    : angle of the chord line to the flow in [-pi, pi] [rad]
    reynolds : on the chord [1]
    camber   : rise of the arc over the chord, 0 for a flat plate [1]

    Two flows, shared by Kirchhoff's separation point in the simple form F = 1/(1 + (alpha/alpha_s)^4):
      attached   cl = cos a (0.75 * 4 pi f cos a + eta 2 pi sin a): thin-aerofoil theory, circular arc. Shares from the
                 bounds of references.md 2.1 (slope 70-100 %: eta = 0.9 flat, 0.8 at 5 % camber; lift at 0 deg 60-90 %)
                 cd = 0.85 eta 2 pi sin^2 a: suction at the leading edge lost but for 15 %
                 cm = -0.75 pi f cos^2 a; the rest acts at the quarter chord, drifting to mid-chord as sin^2 a
      separated  cn = s C/(0.56 + 0.44 |s|), s = sin a + f cos^2 a, C = 2 - 0.7 sin^2 a; cl = cn cos a, cd = cn sin a:
                 plate normal force (S. F. Hoerner, Fluid-Dynamic Drag, 1965 [M]), 2.0 in plane flow, 1.3 broadside,
                 the figure of a 10:1 plate, since blades and paddles have ends; moment by Rayleigh's centre of
                 pressure, x/c = 1/2 - 3/4 cos a/(4 + pi |sin a|) (Phil. Mag. 1876 [M])
      friction   (1.4 + 6 f) times laminar (inside 1.0 to 1.8 of references.md 2.1), turbulent (Prandtl's 1/5 power)
                 from Re 60k to 300k; alpha_s = 8 deg flat, 9 deg cambered (7 deg on the hollow side), + 0.5 deg an
                 e-fold of Re above 2e4, between -1 and +1 deg. The angles, shares and 6 f: our choice, no source.
    An arc is the same seen from behind, so the reversed flow is the mirror image: cl(pi - a) = -cl(a), cd the same.

    Holds for : thin sharp plates, Re 2e3 to 5e5, steady flow; a few tenths in cl near the stall are not known better
    Checked   : bounds of references.md 2.0 and 2.1, tests/reference/test_section_data.py
    """
    alpha = np.asarray(alpha, dtype=float)
    behind = np.abs(alpha) > 0.5 * math.pi
    a = np.where(behind, np.copysign(math.pi, alpha) - alpha, alpha)
    sin, cos = np.sin(a), np.cos(a)

    slope = 2.0 * math.pi * (0.9 - min(2.0 * camber, 0.2))
    growth = math.radians(float(np.clip(0.5 * math.log(reynolds / 2e4), -1.0, 1.0)))
    upper = math.radians(8.0 + min(20.0 * camber, 2.0)) + growth
    lower = math.radians(8.0 - min(20.0 * camber, 2.0)) + growth
    share = 1.0 / (1.0 + (a / np.where(a > 0.0, upper, lower)) ** 4)

    laminar = float(laminar_plate_drag(reynolds))
    w = float(np.clip(math.log(reynolds / 6e4) / math.log(5.0), 0.0, 1.0))
    w *= w * (3.0 - 2.0 * w)
    friction = (1.4 + 6.0 * min(camber, 0.06)) * ((1.0 - w) * laminar + w * 2.0 * 0.074 / reynolds**0.2)

    s = sin + camber * cos**2
    cn = s * (2.0 - 0.7 * sin**2) / (0.56 + 0.44 * np.abs(s))
    centre = _centre_of_pressure(a)

    lift = cos * (3.0 * math.pi * camber * cos + slope * sin)
    drag = 0.85 * slope * sin**2
    cl = share * lift + (1.0 - share) * cn * cos
    cd = friction * cos**2 + share * drag + (1.0 - share) * cn * sin
    moment = -0.75 * math.pi * camber * cos**2 - (lift * cos + drag * sin) * 0.25 * sin**2
    cm = share * moment - (1.0 - share) * cn * (centre - 0.25)

    mirrored = -cm - 0.5 * (cl * cos + cd * sin)
    return np.stack([np.where(behind, -cl, cl), cd, np.where(behind, mirrored, cm)], axis=-1)


def _centre_of_pressure(alpha: Array) -> Array:
    """Rayleigh's centre of pressure of a plate, share of the chord from the leading edge; any angle [rad]."""
    return np.asarray(0.5 - 0.75 * np.cos(alpha) / (4.0 + math.pi * np.abs(np.sin(alpha))))


def minds_its_nose(section: object) -> bool:
    """True for a named section that is another one with its front edge rounded."""
    return isinstance(section, str) and section in SECTIONS and bool(SECTIONS[section].rounded)


def section_table(section: str | Path | Polar, nose: str = "sharp") -> Array:
    """Table of one section on the nodes of physics/section.py, (N_RE, N_ALPHA, 3): cl, cd, cm about quarter chord.

    section      : a key of SECTIONS, or the text or path of a CSV table with columns alpha_deg, cl, cd and, if wanted, Re, cm; the text as
        a description holds it, files/tables.py; or the rows of such a table
    nose         : "sharp" or "rounded"; a file, and a section that knows no difference, has one table for both
    Between rows : monotone cubic in angle, linear in log Re, held outside the Reynolds numbers of the file
    Beyond them  : the flat plate's relations, joined in value and slope and left alone 20 deg farther out
    Read once : the same array comes back while the file does not change; it cannot be written to
    Raises       : BadInput, one line that names file, line, column and rule
    """
    if isinstance(section, tuple):
        return _of_rows(section)
    if isinstance(section, str) and is_table(section):
        return _text_table(section)
    row = SECTIONS.get(str(section))
    path = Path(section)
    if row:
        path = DATA / (row.rounded if nose == "rounded" and row.rounded else row.file)
    try:
        stat = path.stat()
        return _table(path, stat.st_mtime_ns, stat.st_size)
    except OSError:
        return _table.__wrapped__(path, 0, 0)  # names what is wrong with the file


@lru_cache(maxsize=32)
def _table(path: Path, changed: int, size: int) -> Array:
    """section_table of a file as it was at a time of change."""
    return _on_nodes(_ours(path) if path.parent == DATA else _read(path, _lines(path)))


@lru_cache(maxsize=32)
def _text_table(text: str) -> Array:
    """section_table of the text of a table."""
    first = text.splitlines()[0]
    named = first.startswith(REMARK)  # then what follows is the file, from its first line on
    return _on_nodes(
        _read(Path(first.removeprefix(REMARK)) if named else Path("section"), _rows(text, 0 if named else 1))
    )


@lru_cache(maxsize=32)
def _of_rows(rows: Polar) -> Array:
    """section_table of rows that stand in the description."""
    names = COLUMNS[: len(rows[0])] if rows else COLUMNS_NEEDED
    named = ((n, dict(zip(names, row, strict=True))) for n, row in enumerate(rows, start=1))
    return _on_nodes(_grouped(named, "section: row "))


def _on_nodes(groups: dict[float, Array]) -> Array:
    """Rows by Reynolds number, on the nodes of physics/section.py."""
    log_re = np.log(np.array(sorted(groups)))
    full = np.stack([_all_round(groups[re], re) for re in sorted(groups)])
    table = np.empty((N_RE, N_ALPHA, 3))
    for k, want in enumerate(np.log(RE_NODES)):
        j = int(np.clip(np.searchsorted(log_re, want) - 1, 0, max(len(log_re) - 2, 0)))
        if len(log_re) == 1:
            table[k] = full[0]
            continue
        g = float(np.clip((want - log_re[j]) / (log_re[j + 1] - log_re[j]), 0.0, 1.0))
        table[k] = (1.0 - g) * full[j] + g * full[j + 1]
    table.flags.writeable = False
    return table


def zero_lift_angle(table: Array) -> float:
    """Zero-lift angle of attached flow [rad]: the crossing nearest 0 deg at the highest Reynolds number of a table.

    table : (N_RE, N_ALPHA, 3) as from section_table. The highest Re is taken because stall delay compares with
    potential flow, which thin layers resemble most; for the same reason it is asked of the sharp plate, whose table holds
    attached flow at small angles, where the measured plate has parted from its lower side. A table without a crossing within 20 deg gives 0.
    """
    near = np.abs(ALPHA_NODES_DEG) <= 20.0
    angle, cl = ALPHA_NODES_DEG[near], table[-1, near, 0]
    up = np.flatnonzero((cl[:-1] <= 0.0) & (cl[1:] > 0.0))
    if up.size == 0:
        return 0.0
    zeros = angle[up] - cl[up] / (cl[up + 1] - cl[up])
    return math.radians(float(zeros[np.argmin(np.abs(zeros))]))


def _all_round(rows: Array, reynolds: float) -> Array:
    """Values at ALPHA_NODES_DEG, (N_ALPHA, 3), from rows (n, 4) alpha cl cd cm of one Reynolds number."""
    angle, value = rows[:, 0], rows[:, 1:].copy()
    first, last = angle[0], angle[-1]
    grid = np.where(ALPHA_NODES_DEG > 180.0, ALPHA_NODES_DEG - 360.0, ALPHA_NODES_DEG)
    grid = np.where(grid < -180.0, grid + 360.0, grid)
    if last - first >= 360.0:
        # both ends are the same angle: what they differ by is taken out over the last ten degrees
        step = value[0] - value[-1]
        value += np.outer(_fade((180.0 - angle) / 10.0) - _fade((180.0 + angle) / 10.0), 0.5 * step)
        angle = np.concatenate([angle[-4:-1] - 360.0, angle, angle[1:4] + 360.0])
        value = np.concatenate([value[-4:-1], value, value[1:4]])
        return np.asarray(PchipInterpolator(angle, value)(grid))
    inside = PchipInterpolator(angle, value, extrapolate=False)
    out = plate(np.radians(grid), reynolds)
    gap = 360.0 - (last - first)
    for end, beyond in ((last, np.mod(grid - last, 360.0)), (first, np.mod(first - grid, 360.0))):
        sense = 1.0 if end == last else -1.0
        here, after, before = plate(np.radians([end, end + 0.01, end - 0.01]), reynolds)
        slope = sense * (inside.derivative()(end) - (after - before) / 0.02)
        slope = np.clip(slope, -LARGEST_SLOPE_STEP, LARGEST_SLOPE_STEP)
        reach = min(JOIN_DEG, 0.5 * gap)
        out += np.outer(_fade(beyond / reach), inside(end) - here)
        out += np.outer(beyond * _fade(beyond / min(SLOPE_JOIN_DEG, reach)), slope)
    known = (grid >= first) & (grid <= last)
    out[known] = inside(grid[known])
    floor = 0.5 * float(laminar_plate_drag(reynolds))
    out[~known, 1] = np.maximum(out[~known, 1], min(floor, float(value[:, 1].min())))
    return out


def _fade(u: Array) -> Array:
    """1 at u = 0, 0 from |u| = 1 on, zero slope at both."""
    u = np.clip(np.abs(u), 0.0, 1.0)
    return np.asarray((1.0 - u) ** 2 * (1.0 + 2.0 * u))


def _lines(path: Path) -> Iterator[tuple[int, list[str]]]:
    """Line number and cells of each row that is neither empty nor a # comment."""
    try:
        text = read_text(path)
    except BadInput as why:
        known = ", ".join(repr(name) for name in SECTIONS)
        reason = str(why).removeprefix(f"{path}").lstrip(": ")
        raise BadInput(f"{path}: section: should be {known} or a readable CSV file, found: {reason}") from why
    yield from _rows(text, 1, path)


def _rows(text: str, first: int, path: Path = Path("section")) -> Iterator[tuple[int, list[str]]]:
    for number, line in enumerate(text.splitlines(), start=first):
        if line.strip() and not line.lstrip().startswith("#"):
            yield number, cells_of(line, f"{path}:{number}")


def _ours(path: Path) -> dict[float, Array]:
    """What _read() gives of a table that comes with the program: tests have looked at its rows, and there are thousands."""
    with path.open(encoding="utf-8") as file:
        names = next(line for line in file if not line.startswith("#")).strip().split(",")
        rows = np.loadtxt(file, delimiter=",")
    alpha, cl, cd, cm = (rows[:, names.index(name)] for name in ("alpha_deg", "cl", "cd", "cm"))
    number = rows[:, names.index("Re")]
    return {float(re): np.column_stack([alpha, cl, cd, cm])[number == re] for re in np.unique(number)}


def _read(path: Path, lines: Iterator[tuple[int, list[str]]]) -> dict[float, Array]:
    """Rows of a polar table by Reynolds number, (n, 4) alpha_deg cl cd cm each; with no Re column all count as 2e4. path : for errors"""
    number, header = next(lines, (1, [""]))
    for column in COLUMNS_NEEDED:
        if column not in header:
            raise BadInput(
                f"{path}:{number}: {column}: column is missing, found {_plainly(', '.join(header)) or 'nothing'}"
            )

    def named() -> Iterator[tuple[int, dict[str, float]]]:
        for number, cells in lines:
            if len(cells) != len(header):
                raise BadInput(f"{path}:{number}: row: should have {len(header)} cells, found {len(cells)}")
            both = zip(header, cells, strict=True)
            yield number, {name: _number(path, number, name, cell) for name, cell in both if name in COLUMNS}

    return _grouped(named(), f"{path}:", number)


def _grouped(rows: Iterable[tuple[int, dict[str, float]]], where: str, number: int = 0) -> dict[float, Array]:
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
        cm = row["cm"] if "cm" in row else -normal * (float(_centre_of_pressure(np.array(a))) - 0.25)
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
        _must(False, f"{path}:", line, name, "should be a finite number", _plainly(cell) or "nothing")
    return value


def _plainly(text: str) -> str:
    """A file's own words for a message: not without end, and nothing that a terminal would obey."""
    return printable(text[:80])


def _must(true: bool, where: str, line: int, key: str, rule: str, found: Any) -> None:
    if not true:
        raise BadInput(f"{where}{line}: {key}: {rule}, found {found}")
