"""Blade and paddle sections: named tables, the user's own polar, and the plate relations that fill the rest."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from paddlebar.craft.plate import laminar_plate_drag, plate
from paddlebar.craft.section_rows import COLUMNS, COLUMNS_NEEDED, grouped, lines_of, own_table, read_table, rows_of
from paddlebar.files.craft import Polar
from paddlebar.files.tables import REMARK, is_table
from paddlebar.physics.section import ALPHA_FIRST_DEG, N_ALPHA, N_RE, RE_FIRST, RE_STEP_LOG2

Array = NDArray[np.float64]

DATA = Path(__file__).parent / "section_data"
RE_NODES: Array = np.asarray(RE_FIRST * 2.0 ** (RE_STEP_LOG2 * np.arange(N_RE)), dtype=np.float64)
ALPHA_NODES_DEG: Array = np.asarray(ALPHA_FIRST_DEG + np.arange(N_ALPHA), dtype=np.float64)

JOIN_DEG = 20.0
SLOPE_JOIN_DEG = 6.0
LARGEST_SLOPE_STEP = 0.1


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
    return _on_nodes(own_table(path) if path.parent == DATA else read_table(path, lines_of(path)))


@lru_cache(maxsize=32)
def _text_table(text: str) -> Array:
    """section_table of the text of a table."""
    first = text.splitlines()[0]
    named = first.startswith(REMARK)  # then what follows is the file, from its first line on
    path = Path(first.removeprefix(REMARK)) if named else Path("section")
    return _on_nodes(read_table(path, rows_of(text, 0 if named else 1, path)))


@lru_cache(maxsize=32)
def _of_rows(rows: Polar) -> Array:
    """section_table of rows that stand in the description."""
    names = COLUMNS[: len(rows[0])] if rows else COLUMNS_NEEDED
    named = ((n, dict(zip(names, row, strict=True))) for n, row in enumerate(rows, start=1))
    return _on_nodes(grouped(named, "section: row "))


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
