"""A rubber skein on a torque meter: turns against torque, winding and unwinding, typed into a csv.

    branch,turns,torque_mN_m          winding rows with turns rising, unwinding rows with turns falling
    branch,turns,reading,weight_g,arm_mm     the same in the meter's own units, with one row `calibration`

Further rows: `sample` (mass_g, length_mm, temperature_C of what was wound, if it is not the craft's own skein), `broke` (turns).
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from paddlebar.errors import BadInput
from paddlebar.files.csv_rows import Line, read_lines
from paddlebar.units import GRAM_FORCE

COLUMNS = ("branch", "turns", "torque_mN_m", "reading", "weight_g", "arm_mm", "mass_g", "length_mm", "temperature_C", "remarks")  # fmt: skip
BRANCHES = ("winding", "unwinding", "broke", "calibration", "sample")
FEWEST_ROWS = 4  # of each branch, as many as a measured curve of the craft needs
_FULL_ROUND = 0.15  # share of the turns within which a branch must come down to none; own choice

Rows = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class SkeinRecord:
    """What was read off the meter.

    winding, unwinding : (turns, torque) rows, turns rising in both; torque [mN m], or in own units when `relative`
    relative           : no calibration: shape without level
    broke              : turns at which it broke, or None
    mass_g, length_mm  : of the sample, None: the craft's own skein;  temperature_C : of the room, or None
    remarks            : (line, text), kept to be shown
    """

    file: str
    winding: Rows
    unwinding: Rows
    relative: bool
    broke: float | None = None
    mass_g: float | None = None
    length_mm: float | None = None
    temperature_C: float | None = None
    remarks: tuple[tuple[int, str], ...] = ()


def is_skein_record(path: Path) -> bool:
    """Whether a csv has the column `branch`, which records of flights have not. Raises BadInput if it cannot be read."""
    return "branch" in read_lines(path, ragged=True)[0]


def read_skein_record(path: Path) -> SkeinRecord:
    """Read and check. Raises BadInput, one line: file, line, column, rule, what was found."""
    header, lines = read_lines(path, COLUMNS, ragged=True)
    file = str(path)
    both = {"torque_mN_m", "reading"} & set(header)
    if "turns" not in header or len(both) != 1:
        raise BadInput(
            f"{file}: header: should hold turns and one of torque_mN_m and reading, found {','.join(header)}"
        )
    column = both.pop()
    rows: dict[str, list[tuple[float, float]]] = {"winding": [], "unwinding": []}
    single: dict[str, Line] = {}
    for line in lines:
        branch = line.word_in("branch", BRANCHES)
        if not branch:
            raise line.bad("branch", f"is missing (one of {', '.join(BRANCHES)})")
        if branch in rows:
            rows[branch].append(_row(line, column, rows[branch], 1.0 if branch == "winding" else -1.0))
        elif branch in single:
            raise line.bad("branch", f"only one row {branch}, found another in line {single[branch].number}")
        else:
            single[branch] = line
    for branch, found in rows.items():
        if len(found) < FEWEST_ROWS:
            raise BadInput(f"{file}: {branch}: should have at least {FEWEST_ROWS} rows, found {len(found)}")
        if min(found)[0] > _FULL_ROUND * max(found)[0]:
            rule = f"should go down to less than {100 * _FULL_ROUND:.0f} % of its turns (the knee is there)"
            raise BadInput(f"{file}: {branch}: {rule}, found {min(found)[0]:g} of {max(found)[0]:g}")
    factor = _calibration(single.get("calibration"), column)
    sample = single.get("sample")
    known: dict[str, float | None] = {"mass_g": None, "length_mm": None, "temperature_C": None}
    if sample is not None:
        known = {
            "mass_g": sample.number_in("mass_g", 0.01, 1000.0),
            "length_mm": sample.number_in("length_mm", 10.0, 5000.0),
            "temperature_C": sample.number_in("temperature_C", -30.0, 60.0),
        }
        if (known["mass_g"] is None) != (known["length_mm"] is None):
            raise sample.bad("mass_g" if known["mass_g"] is None else "length_mm", "is missing (a sample needs both)")
    broke = single["broke"].needed("turns", 1.0) if "broke" in single else None
    top = max(rows["winding"])[0]
    if broke is not None and broke < top:
        raise single["broke"].bad(
            "turns", f"should be at least the {top:g} turns that it was wound to, found {broke:g}"
        )
    return SkeinRecord(
        file=file,
        winding=tuple((n, q * (factor or 1.0)) for n, q in rows["winding"]),
        unwinding=tuple((n, q * (factor or 1.0)) for n, q in reversed(rows["unwinding"])),
        relative=factor is None,
        broke=broke,
        remarks=tuple((line.number, line.cells["remarks"]) for line in lines if "remarks" in line.cells),
        **known,
    )


def _row(line: Line, column: str, before: list[tuple[float, float]], sense: float) -> tuple[float, float]:
    turns, torque = line.needed("turns", 0.0), line.needed(column, 0.0)
    if before and sense * (turns - before[-1][0]) <= 0.0:
        way = "rise" if sense > 0.0 else "fall"
        raise line.bad(
            "turns",
            f"should {way} from row to row while {line.cells['branch']}, found {turns:g} after {before[-1][0]:g}",
        )
    return turns, torque


def _calibration(line: Line | None, column: str) -> float | None:
    """mN m for one of the meter's own units: weight x gravity x arm / reading (lever law); 1 if it reads mN m, None if unknown."""
    if column == "torque_mN_m":
        if line is not None:
            raise line.bad("branch", "torque_mN_m needs no calibration; name the column reading if it is in own units")
        return 1.0
    if line is None:
        return None
    weight, arm = line.needed("weight_g", 1e-3), line.needed("arm_mm", 1e-3)
    return weight * GRAM_FORCE * arm / line.needed("reading", 1e-9)  # kg m/s2 mm = mN m
