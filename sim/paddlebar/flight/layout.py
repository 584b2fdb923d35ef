"""The state vector in one table; indices, file attributes, tolerances, messages and the lines of the ledger all come from it.

Units are SI. Frames: *earth* is north-east-down, *body* is forward-right-down (ISO 1151-1), *rotor* angles run from
over the tail in the direction of rotation. Typical sizes (``scale``) serve only the integrator's absolute tolerance;
they are common practice for craft of 5 to 40 g, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

PER_HINGE: Final = -1  # a row of this size has one entry for each flap hinge (0, 1 or one a blade)
PER_BLADE: Final = -2  # ... one entry for each blade


@dataclass(frozen=True, slots=True)
class Entry:
    """What a row is in the energy ledger, when it is work or loss added up along the flight.

    label : its name in the ledger, in run files and in JSON
    kind  : AIR for work done on the air, LOST for energy lost in the craft
    part  : what did it, for a reader
    power : "<power>_power_mw" is its mean power in a run-down; "" where the skein's own power has it already
    """

    label: str
    kind: str
    part: str
    power: str = ""


AIR: Final = "air"
LOST: Final = "lost"


@dataclass(frozen=True, slots=True)
class Row:
    """One named quantity that varies with time.

    name      : attribute of a Flight, dataset of a run file
    size      : entries in it, or PER_HINGE / PER_BLADE
    unit      : SI unit, "1" when there is none
    frame     : what it is measured in or relative to
    long_name : words for a reader
    along     : name of the second dimension, "" for a plain number
    scale     : typical size in ``unit``; absolute tolerance = rtol * scale
    relative  : False when the coordinate grows without bound and its error must not be allowed to grow with it
    entry     : the line of the energy ledger that it is, None for all that is no work and no loss
    """

    name: str
    size: int
    unit: str
    frame: str
    long_name: str
    along: str = ""
    scale: float = 1.0
    relative: bool = True
    entry: Entry | None = None


def work(name: str, long_name: str, entry: Entry) -> Row:
    """A row of the energy ledger [J]. Nothing else has to be said for every sum, table and picture of the ledger to hold it."""
    return Row(name, 1, "J", "", long_name, "", 1.0, False, entry)


LAYOUT: Final[tuple[Row, ...]] = (
    Row("position", 3, "m", "earth, north-east-down", "place of the builder's datum", "axis", 1.0, False),
    Row("attitude", 4, "1", "body to earth", "unit quaternion, scalar first", "quaternion", 1.0),
    Row("velocity_body", 3, "m/s", "body", "velocity of the datum over the ground", "axis", 1.0),
    Row("rate_body", 3, "rad/s", "body", "angular velocity of the fuselage", "axis", 10.0),
    Row("rotor_azimuth", 1, "rad", "rotor, relative to the body", "azimuth of blade 1", "", 1.0, False),
    Row("rotor_speed", 1, "rad/s", "rotor, relative to the body", "speed of the shaft", "", 100.0),
    Row("bar_angle", 1, "rad", "hub, arm 1 up positive", "angle of the bar", "", 0.1),
    Row("bar_rate", 1, "rad/s", "hub, arm 1 up positive", "rate of the bar angle", "", 10.0),
    Row("tail_angle", 1, "rad", "body", "angle of the tail shaft", "", 1.0, False),
    Row("tail_speed", 1, "rad/s", "body", "speed of the tail shaft", "", 100.0),
    Row("inflow", 3, "m/s", "hub, down through the disc positive", "induced velocity of the rotor", "harmonic", 1.0),
    Row("tail_inflow", 1, "m/s", "tail hub", "induced velocity of the tail rotor", "", 1.0),
    Row("skein_set", 1, "1", "", "hysteresis state of the skein", "", 1.0),
    Row("tail_skein_set", 1, "1", "", "hysteresis state of the tail skein", "", 1.0),
    work("lost_hysteresis", "energy lost inside the rubber", Entry("hysteresis", LOST, "rubber")),
    work("lost_hinges", "energy lost in hinges and bar bearing", Entry("hinges", LOST, "hinges", "hinges")),
    work("lost_shaft", "energy lost in shaft bearing and cord", Entry("shaft and cord", LOST, "shaft, cord", "drive")),
    work("air_rotor", "work done on the air by the rotor", Entry("air: rotor", AIR, "rotor", "rotor")),
    work("air_bar", "work done on the air by the bar", Entry("air: bar", AIR, "bar", "bar")),
    work("air_tail", "work done on the air by the tail rotor", Entry("air: tail", AIR, "tail rotor", "tail")),
    work("air_airframe", "work done on the air by the airframe", Entry("air: airframe", AIR, "airframe", "airframe")),
    # Last, because their number depends on the head: everything before has a fixed index.
    Row("flap", PER_HINGE, "rad", "hub, blade up positive", "flap or teeter angle", "hinge", 0.1),
    Row("flap_rate", PER_HINGE, "rad/s", "hub, blade up positive", "rate of the flap or teeter angle", "hinge", 10.0),
)

# Work of forces of one's own: a state only of a craft that has some, after all others, so that no other flight knows of it.
OWN: Final = work("own_work", "energy taken by forces of one's own", Entry("own force", LOST, "own force"))

DERIVED: Final[tuple[Row, ...]] = (
    Row("height", 1, "m", "above the floor", "height of the centre of gravity"),
    Row("tilt", 1, "rad", "body up axis from the vertical", "tilt of the body"),
    Row("heading", 1, "rad", "earth, nose to the right positive, unwrapped", "heading of the nose"),
    Row("position_cg", 3, "m", "earth, north-east-down", "place of the centre of gravity", "axis"),
    Row("feathering", PER_BLADE, "rad", "hub, nose up positive", "pitch of each blade at 75 % radius", "blade"),
    Row("skein_torque", 1, "N m", "about the shaft", "torque of the skein on the shaft"),
    Row("turns_left", 1, "turn", "", "turns left in the skein"),
    Row("skein_pull", 1, "N", "along the skein", "pull of the skein on the stick"),
    Row("rotor_thrust", 1, "N", "along the shaft, up positive", "thrust of the rotor"),
    Row("rotor_torque", 1, "N m", "about the shaft, against the rotation positive", "torque of the air on the rotor"),
    Row("tail_thrust", 1, "N", "along the tail shaft", "thrust of the tail rotor"),
    Row(
        "tail_torque", 1, "N m", "about the tail shaft, against the rotation positive", "torque of the air on the tail"
    ),
    Row("lowest_point", 1, "m", "above the floor", "height of the lowest touching point"),
)


def _starts() -> dict[str, np.int64]:
    start = np.int64(0)
    found: dict[str, np.int64] = {}
    for row in LAYOUT:
        if row.size == PER_HINGE:
            found[row.name] = start  # only the first of these has a start that does not depend on the head
            break
        found[row.name] = start
        start += row.size
    return found


_START: Final = _starts()

# Numbers of the module: numba compiles them in as constants; of numpy's, since for a bare one it compiles whoever takes it anew.
POSITION: Final = _START["position"]
ATTITUDE: Final = _START["attitude"]
VELOCITY_BODY: Final = _START["velocity_body"]
RATE_BODY: Final = _START["rate_body"]
ROTOR_AZIMUTH: Final = _START["rotor_azimuth"]
ROTOR_SPEED: Final = _START["rotor_speed"]
BAR_ANGLE: Final = _START["bar_angle"]
BAR_RATE: Final = _START["bar_rate"]
TAIL_ANGLE: Final = _START["tail_angle"]
TAIL_SPEED: Final = _START["tail_speed"]
INFLOW: Final = _START["inflow"]
TAIL_INFLOW: Final = _START["tail_inflow"]
SKEIN_SET: Final = _START["skein_set"]
TAIL_SKEIN_SET: Final = _START["tail_skein_set"]
LOST_HYSTERESIS: Final = _START["lost_hysteresis"]
LOST_HINGES: Final = _START["lost_hinges"]
LOST_SHAFT: Final = _START["lost_shaft"]
AIR_ROTOR: Final = _START["air_rotor"]
AIR_BAR: Final = _START["air_bar"]
AIR_TAIL: Final = _START["air_tail"]
AIR_AIRFRAME: Final = _START["air_airframe"]
FLAP: Final = _START["flap"]  # flap_rate starts at FLAP + nf

# The ledger's lines that are states, in the order in which they are shown, air before losses; and where each stands.
_LEDGER: Final = sorted(
    ((row.entry, _START[row.name]) for row in LAYOUT if row.entry), key=lambda pair: (AIR, LOST).index(pair[0].kind)
)
ENTRIES: Final[tuple[Entry, ...]] = tuple(entry for entry, _ in _LEDGER)
WORKS: Final[tuple[np.int64, ...]] = tuple(index for _, index in _LEDGER)


def rows(nf: int) -> tuple[Row, ...]:
    """LAYOUT with the sizes filled in for ``nf`` flap hinges."""
    return tuple(replace(row, size=nf) if row.size == PER_HINGE else row for row in LAYOUT)


def state_size(nf: int, own: bool = False) -> int:
    """Length of the state vector of a craft with ``nf`` flap hinges, with or without a force of one's own."""
    return int(FLAP) + 2 * nf + own


def has_own(size: int) -> bool:
    """Whether a state vector so long holds, as its last, the work of a force of one's own: what depends on the head comes in pairs."""
    return (size - int(FLAP)) % 2 == 1


def slices(nf: int) -> dict[str, slice]:
    """Where each row stands in the state vector, ``name -> slice``."""
    found: dict[str, slice] = {}
    start = 0
    for row in rows(nf):
        found[row.name] = slice(start, start + row.size)
        start += row.size
    return found


def scales(nf: int, own: bool = False) -> NDArray[np.float64]:
    """Typical size of every state, shape ``(state_size(nf, own),)``, each in its own unit."""
    return np.concatenate([np.full(row.size, row.scale) for row in (*rows(nf), *[OWN] * own)])


def bounded(nf: int, own: bool = False) -> NDArray[np.bool_]:
    """True where the relative tolerance applies, shape ``(state_size(nf, own),)``."""
    return np.concatenate([np.full(row.size, row.relative) for row in (*rows(nf), *[OWN] * own)])


def name_of(index: int, nf: int, own: bool = False) -> Row:
    """The row that state number ``index`` belongs to (for messages)."""
    for row, where in zip(rows(nf), slices(nf).values(), strict=True):
        if where.start <= index < where.stop:
            return row
    if own and index == state_size(nf):
        return OWN
    raise IndexError(f"state {index} of {state_size(nf)}")
