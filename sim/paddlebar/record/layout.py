"""The run file's layout: format number, dimensions and one table that writer and reader share.

    /                    Conventions filetype format complete created program_version versions(JSON)
    /flight/0000         outcome sentence controlled_s faults(JSON) complete seed scenario_toml craft_toml effective_toml
                         summary(JSON) solver(JSON) ledger(JSON, totals in J) events(JSON)
        time             (time) s; dimension scale, as are axis, quaternion, harmonic, hinge and blade
        height, ...      (time) or (time, axis ...); attributes units, frame, long_name
        ledger/time      the same time once more, so that each group opens by itself
        ledger/*         (time) J; attribute entry = the ledger's own name
        events/*         (event) time_s, name, sentence: the same events for programs that read no JSON

Names, labels and attributes are those of flight/labelled.py. What is true or false is a whole number, since netCDF knows nothing else.

History of the format: 1 (first; records without controlled_s and faults were written by programs that judged a flight by where it ended
alone, and are judged anew as they are read, record/judged.py); 2 (time in the group ledger too, the time of an event is time_s
everywhere, complete a whole number).
"""

from __future__ import annotations

from typing import Final

FILETYPE: Final = "paddlebar run"
FORMAT: Final = 2
MAX_FLIGHTS: Final = 9999
MAX_EVENTS: Final = 9999

PACKAGES: Final = ("paddlebar", "numpy", "scipy", "numba", "h5py", "pydantic")


def flight_name(index: int) -> str:
    """Group name of a flight, ``0000`` upward."""
    return f"{index:04d}"
