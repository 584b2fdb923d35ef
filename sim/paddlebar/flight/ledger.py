"""Where the energy went."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from paddlebar.flight import derive, layout, rhs

Array = NDArray[np.float64]


def close(states: Array, loads: Array, sudden: Array) -> dict[str, Array]:
    """Ledger of a flight: what the skeins let out, and where each joule of it went.

    states : (n, state_size);  loads : (n, COLUMNS) of derive.derived();  sudden : (n,) energy gone in sudden changes so far [J]
    Returns: name -> (n,) cumulative [J]. "skein" is what left the wound rubber (area under the middle of its loop, so that the
        loss of the loop shows as "hysteresis"); "residual" is what the sum of all others misses: pure numerical error, since
        kinetic, potential and stored energy come from closed forms of the state, the rest from integrals along the flight
    """
    entries = {
        "skein": loads[0, derive.STORED] - loads[:, derive.STORED],
        "kinetic": loads[:, derive.KINETIC] - loads[0, derive.KINETIC],
        "potential": loads[:, rhs.POTENTIAL] - loads[0, rhs.POTENTIAL],
        "hinge springs": loads[:, rhs.SPRING_ENERGY] - loads[0, rhs.SPRING_ENERGY],
    }
    for entry, index in zip(layout.ENTRIES, layout.WORKS, strict=True):
        entries[entry.label] = states[:, index] - states[0, index]
    if layout.has_own(states.shape[1]) and layout.OWN.entry is not None:
        entries[layout.OWN.entry.label] = states[:, -1] - states[0, -1]
    entries["parts lost"] = sudden
    entries["residual"] = entries["skein"] - sum(value for name, value in entries.items() if name != "skein")
    return entries
