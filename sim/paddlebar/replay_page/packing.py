"""Many flights in few bytes: even samples, whole numbers, second differences, planes of bytes, gzip.

Of a column every flight has the same step, a 4095th of what all of them span, so a pose is off by half of that at most; angles that grow without
bound have a step of 1 mrad. What turns or flaps with the rotor is kept at FAST samples a second, all else at SLOW.
"""

from __future__ import annotations

import base64
import gzip
import json
from collections.abc import Mapping, Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicHermiteSpline

from paddlebar.plain import plain

Array = NDArray[np.float64]
Columns = Mapping[str, Array]

FAST: Final = 60  # samples a second; a light rotor flaps some thirteen times a second
SLOW: Final = 15
LEVELS: Final = 4095
TURN_STEP: Final = 1e-3  # [rad]
UNBOUND: Final = ("azimuth", "tail_angle")
# columns that are kept often, with the rates by which they are read off the solver's samples
RATES: Final = {
    "attitude": "attitude_rate", "azimuth": "rotor_speed", "tail_angle": "tail_speed", "bar_angle": "bar_rate",
    "flap": "flap_rate", "pitch": "pitch_rate", "position": "velocity",
}  # fmt: skip
OFTEN: Final = frozenset({*RATES, *RATES.values(), "feathering"} - {"position", "velocity"})
LEFT_OUT: Final = frozenset({"time"})


def even(columns: Columns) -> dict[str, Array]:
    """Columns (n,) or (n, width) at even times: FAST or SLOW a second, from the first sample to the last."""
    time = columns["time"]
    span = float(time[-1] - time[0])
    fresh = np.concatenate([[True], np.diff(time) > 0.0])
    out = {}
    for name, values in columns.items():
        if name in LEFT_OUT:
            continue
        at = time[0] + np.linspace(0.0, span, steps(span, name) + 1)
        if name in RATES:
            found = CubicHermiteSpline(time[fresh], values[fresh], columns[RATES[name]][fresh])(at)
        else:
            flat = values.reshape(time.size, -1)
            found = np.column_stack([np.interp(at, time, flat[:, k]) for k in range(flat.shape[1])])
        out[name] = np.asarray(found, dtype=np.float64).reshape(at.size, -1)
    return out


def steps(span: float, name: str) -> int:
    """Steps of a column over a flight of so many seconds; of the slow ones a whole share of the fast ones."""
    slow = max(1, int(np.ceil(span * SLOW)))
    return slow * (FAST // SLOW) if name in OFTEN else slow


def pack(flights: Sequence[Columns], told: Any) -> str:
    """Flights, each as columns of the page, and what is told besides (JSON), as base64 of one gzip."""
    sampled = [even(each) for each in flights]
    names = list(sampled[0])
    scales = {name: _scale(name, sampled) for name in names}
    planes = [bytearray(), bytearray()]
    for each in sampled:
        for name in names:
            low, step = scales[name]
            whole = np.rint((each[name] - low) / step).astype(np.int64)
            second = np.diff(np.diff(whole, prepend=0, axis=0), prepend=0, axis=0).T.ravel()
            words = second.astype("<i2")
            if not np.array_equal(words, second):
                raise ValueError(f"{name} turns too fast to be packed")
            for k in range(2):
                planes[k] += words.tobytes()[k::2]
    head = {
        "columns": [{"name": n, "width": sampled[0][n].shape[1], "low": scales[n][0], "step": scales[n][1], "often": n in OFTEN} for n in names],
        "flights": [{"first": float(c["time"][0]), "last": float(c["time"][-1]), "slow": steps(float(c["time"][-1] - c["time"][0]), "")} for c in flights],
        "often": FAST // SLOW,
        "told": told,
    }  # fmt: skip
    text = json.dumps(plain(head), allow_nan=False, separators=(",", ":")).encode("ascii")
    raw = len(text).to_bytes(4, "little") + text + bytes(planes[0]) + bytes(planes[1])
    return base64.b64encode(gzip.compress(raw, 9, mtime=0)).decode("ascii")


def _scale(name: str, sampled: Sequence[Columns]) -> tuple[float, float]:
    """Lowest value and step."""
    if name in UNBOUND:
        return 0.0, TURN_STEP
    low = min(float(each[name].min()) for each in sampled)
    high = max(float(each[name].max()) for each in sampled)
    return low, max(high - low, 1e-12) / LEVELS
