"""The run file's layout: format number, dimensions and one table that writer and reader share.

    /                    filetype format complete created program_version versions(JSON)
    /flight/0000         outcome sentence controlled_s faults(JSON) complete seed scenario_toml craft_toml effective_toml
                         summary(JSON) solver(JSON) ledger(JSON, totals in J) events(JSON)
        time             (time) s; dimension scale, as are axis, quaternion, harmonic, hinge and blade
        height, ...      (time) or (time, axis ...); attributes units, frame, long_name
        ledger/*         (time) J; attribute entry = the ledger's own name
        events/*         event, name, sentence, (event): the same events for programs that read no JSON

History of the format: 1 (first; records without controlled_s and faults were written by programs that judged a flight by where it ended
alone, and are judged anew as they are read, record/judged.py).
"""

from __future__ import annotations

from typing import Final

from paddlebar.flight.layout import DERIVED, LAYOUT, Row

FILETYPE: Final = "paddlebar run"
FORMAT: Final = 1
MAX_FLIGHTS: Final = 9999
MAX_EVENTS: Final = 9999

# Labels of the short dimensions; hinge and blade are numbered from 1, as many as the craft has.
LABELS: Final[dict[str, tuple[str, ...]]] = {
    "axis": ("x", "y", "z"),
    "quaternion": ("w", "x", "y", "z"),
    "harmonic": ("uniform", "forward", "right"),
}
COUNTED: Final = ("hinge", "blade")

LONG_NAMES: Final[dict[str, str]] = {
    "time": "time from the launch",
    "axis": "axis of the frame named at each quantity (north, east, down or forward, right, down)",
    "quaternion": "component of the quaternion, scalar first",
    "harmonic": "part of the inflow: mean, slope to the nose, slope to the right",
    "hinge": "number of the flap hinge",
    "blade": "number of the blade",
}

# The states that are work or loss are stored as the ledger's entries, not twice.
RECORDED: Final[tuple[Row, ...]] = tuple(row for row in LAYOUT + DERIVED if row.entry is None)
TEXTS: Final = ("scenario_toml", "craft_toml", "effective_toml")
PACKAGES: Final = ("paddlebar", "numpy", "scipy", "numba", "h5py", "pydantic")


def slug(entry: str) -> str:
    """Dataset name of a ledger entry: ``"air: rotor"`` becomes ``air_rotor``."""
    return "_".join("".join(c if c.isalnum() else " " for c in entry).split())


def flight_name(index: int) -> str:
    """Group name of a flight, ``0000`` upward."""
    return f"{index:04d}"
