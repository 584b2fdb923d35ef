"""Flights that were flown and readings off a bench, typed into a csv: one row each, units in the names of the columns, blanks allowed.

    kind,turns,backed_off,change,duration_s,peak_height_m,body_turns,rotor_rpm,rpm_at_s,at_rpm,thrust_g,remarks

`kind`: "flight" (also when blank), "stand" (rotor turned at at_rpm) or "skein" (torque of the wound skein). `change`: what was changed for
this row, as "craft.bar.tip_mass_g=0.5; launch.tilt_deg=5"; with += by how much, "craft.rotor.collective_deg+=2" (the pitch itself may then
be an unknown). Of a slow-motion film, `frames_per_turn` and `fps` stand for rotor_rpm. Any reading may have its own standard error in a column NAME_sd.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from paddlebar.errors import BadInput
from paddlebar.files.csv_rows import Line, read_lines
from paddlebar.files.override import parse_setting
from paddlebar.files.sentences import show

FLIGHT, STAND, SKEIN = "flight", "stand", "skein"
KINDS = (FLIGHT, STAND, SKEIN)
# what a builder may write; the first five as ever, the others since flights are judged so (flight/endings.py)
OUTCOMES = (
    "landed", "tipped over", "touched ceiling", "touched wall", "still flying", "crashed", "out of control", "never let go", "broke",
)  # fmt: skip


class Quantity(NamedTuple):
    """Something that can be recorded: by which kinds of row, and its standard error when the record gives none.

    The error is hypot(absolute, share x value): a hand-held watch, a tape on the wall, a kitchen scale, and, which is more,
    what two flights alike differ by. Common practice, no source.
    """

    kinds: tuple[str, ...]
    absolute: float
    share: float
    says: str


QUANTITIES: dict[str, Quantity] = {
    "duration_s": Quantity((FLIGHT,), 0.4, 0.06, "time from letting go to the end"),
    "powered_s": Quantity((FLIGHT,), 0.7, 0.06, "time from letting go until the turns were used up"),
    "peak_height_m": Quantity((FLIGHT,), 0.15, 0.08, "greatest height above the floor"),
    "drift_m": Quantity((FLIGHT,), 0.5, 0.1, "end from start over the ground"),
    "body_turns": Quantity((FLIGHT,), 0.25, 0.1, "turns of the nose, to the right positive"),
    "turns_left": Quantity((FLIGHT,), 5.0, 0.05, "turns left in the skein at the end"),
    "rotor_rpm": Quantity((FLIGHT,), 3.0, 0.02, "rotor speed over the ground, by sound or strobe, at rpm_at_s"),
    "tipped_at_s": Quantity((FLIGHT,), 0.3, 0.05, "time from letting go until it tipped over"),
    "thrust_g": Quantity((STAND,), 0.1, 0.02, "thrust on a scale at at_rpm"),
    "torque_mN_m": Quantity((STAND, SKEIN), 0.05, 0.03, "torque that turns the shaft at at_rpm, or of the wound skein"),
}
INPUTS = (
    "kind",
    "name",
    "change",
    "turns",
    "backed_off",
    "rpm_at_s",
    "at_rpm",
    "frames_per_turn",
    "fps",
    "outcome",
    "remarks",
)
COLUMNS = (*INPUTS, *QUANTITIES, *(f"{name}_sd" for name in QUANTITIES))
# Two frames a turn and fewer: it may as well turn the other way, or faster (sampling theorem).
FEWEST_FRAMES = 2.0
FRAME_SLIP = 0.5  # of a frame, by which a turn that is counted in whole frames may be off; common practice, no source
_TIPPED = re.compile(r"tipped(?: over)?(?: (?:left|right|forward|back))? at (\d+(?:\.\d+)?) s", re.IGNORECASE)


class Reading(NamedTuple):
    """One figure of a row and its standard error, in the unit of its name."""

    quantity: str
    value: float
    sd: float


@dataclass(frozen=True)
class Row:
    """One flight or one reading.

    line, name : where it stands, what it is called;  changes : dotted keys that differ from the scenario;  shifts : by how much
    rpm_at_s   : when rotor_rpm was heard, from letting go;  at_rpm : of the stand;  turns, backed_off : of a skein on the bench
    outcome    : how it ended, "" if not recorded;  remarks : as written
    """

    line: int
    name: str
    kind: str
    changes: Mapping[str, Any]
    shifts: Mapping[str, float]
    readings: tuple[Reading, ...]
    rpm_at_s: float = math.nan
    at_rpm: float = math.nan
    turns: float = math.nan
    backed_off: float = 0.0
    outcome: str = ""
    remarks: str = ""


@dataclass(frozen=True)
class FlightRecord:
    """All rows of a record; ``text`` is the file as read."""

    file: str
    rows: tuple[Row, ...]
    text: str = ""


def standard_error(quantity: str, value: float) -> float:
    """The standard error that a reading has when the record gives none; see Quantity."""
    q = QUANTITIES[quantity]
    return math.hypot(q.absolute, q.share * value)


def read_flight_record(path: Path) -> FlightRecord:
    """Read and check. Raises BadInput, one line: file, line, column, rule, what was found."""
    _, lines = read_lines(path, COLUMNS)
    rows = tuple(_row(line) for line in lines)
    if not any(row.readings for row in rows):
        raise BadInput(f"{path}: holds no reading; columns may be {', '.join(QUANTITIES)}")
    return FlightRecord(str(path), rows, path.read_text(encoding="utf-8-sig"))


def _row(line: Line) -> Row:
    kind = line.word_in("kind", KINDS, FLIGHT)
    changes, shifts = _changes(line)
    turns, backed_off = line.number_in("turns", 0.0), line.number_in("backed_off", 0.0)
    if kind == STAND and (turns is not None or backed_off is not None):
        raise line.bad("turns", "a stand turns the rotor itself; leave it blank")
    if kind == SKEIN:
        line.needed("turns", 0.0)
    if kind == FLIGHT:
        changes |= {f"skein.{k}": v for k, v in (("turns", turns), ("backed_off", backed_off)) if v is not None}
    at_rpm = line.needed("at_rpm", 1.0) if kind == STAND else None
    for column, owner in (("at_rpm", STAND), ("outcome", FLIGHT), ("rpm_at_s", FLIGHT)):
        if kind != owner and column in line.cells:
            raise line.bad(column, f"a row of kind {kind!r} has none; leave it blank, found {show(line.cells[column])}")
    readings = _readings(line, kind)
    readings += _filmed(line, kind, readings)
    outcome = line.word_in("outcome", OUTCOMES)
    remarks = line.cells.get("remarks", "")
    told = _TIPPED.search(remarks)
    if told and kind == FLIGHT and not any(r.quantity == "tipped_at_s" for r in readings):
        readings.append(Reading("tipped_at_s", float(told[1]), standard_error("tipped_at_s", float(told[1]))))
    if any(r.quantity == "tipped_at_s" for r in readings):
        if outcome not in ("", "tipped over"):
            raise line.bad("outcome", f"it tipped over in the same row, found {show(outcome)}")
        outcome = "tipped over"
    heard = line.number_in("rpm_at_s", -600.0)
    if heard is None and any(r.quantity == "rotor_rpm" for r in readings):
        raise line.bad("rpm_at_s", "is missing (rotor_rpm was heard or filmed at what time after letting go?)")
    return Row(
        line=line.number,
        name=line.cells.get("name", f"line {line.number}"),
        kind=kind,
        changes=changes,
        shifts=shifts,
        readings=tuple(readings),
        rpm_at_s=math.nan if heard is None else heard,
        at_rpm=math.nan if at_rpm is None else at_rpm,
        turns=math.nan if turns is None else turns,
        backed_off=backed_off or 0.0,
        outcome=outcome,
        remarks=remarks,
    )


def _readings(line: Line, kind: str) -> list[Reading]:
    """What was recorded, each with its standard error."""
    readings = []
    for name, quantity in QUANTITIES.items():
        value = line.number_in(name, *((-1e4, 1e4) if name == "body_turns" else (0.0, 1e6)))
        sd = line.number_in(f"{name}_sd", 1e-9)
        if value is None:
            if sd is not None and not (name == "rotor_rpm" and "fps" in line.cells):
                raise line.bad(f"{name}_sd", f"there is no {name} in this row, found {sd:g}")
            continue
        if kind not in quantity.kinds:
            raise line.bad(name, f"a row of kind {kind!r} has none; leave it blank, found {value:g}")
        readings.append(Reading(name, value, sd if sd is not None else standard_error(name, value)))
    return readings


def _filmed(line: Line, kind: str, readings: list[Reading]) -> list[Reading]:
    """Rotor speed from a film: fps frames a second, of which one turn takes frames_per_turn."""
    frames = line.number_in("frames_per_turn", FEWEST_FRAMES, 1e5)
    rate = line.number_in("fps", 1.0, 1e6)
    if frames is None and rate is None:
        return []
    if frames is None or rate is None:
        one, other = ("fps", "frames_per_turn") if frames is None else ("frames_per_turn", "fps")
        raise line.bad(other, f"is missing ({one} needs it: a film gives rotor speed by both)")
    if kind != FLIGHT:
        raise line.bad("frames_per_turn", f"a row of kind {kind!r} has none; leave it blank, found {frames:g}")
    if any(reading.quantity == "rotor_rpm" for reading in readings):
        raise line.bad("rotor_rpm", "stands beside frames_per_turn, which says the same; leave one blank")
    rpm = 60.0 * rate / frames
    sd = line.number_in("rotor_rpm_sd", 1e-9)
    usual = math.hypot(standard_error("rotor_rpm", rpm), rpm * FRAME_SLIP / frames)
    return [Reading("rotor_rpm", rpm, usual if sd is None else sd)]


def _changes(line: Line) -> tuple[dict[str, Any], dict[str, float]]:
    """``key=value; key+=more``; whether the keys exist is asked when the row's scenario is made."""
    changes: dict[str, Any] = {}
    shifts: dict[str, float] = {}
    for part in filter(None, (each.strip() for each in line.cells.get("change", "").split(";"))):
        try:
            key, value = parse_setting(part)
            if key.endswith("+"):
                shifts[key[:-1].rstrip()] = float(value)
            else:
                changes[key] = value
        except (BadInput, TypeError, ValueError):
            rule = "should be key=value or key+=number, parted by ;"
            raise line.bad("change", f"{rule}, found {show(part)}") from None
    return changes, shifts
