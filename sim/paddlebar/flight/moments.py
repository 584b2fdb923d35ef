"""A flight between its samples: cubics where the rate of a quantity was recorded too, straight lines elsewhere."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from paddlebar.errors import BadInput
from paddlebar.flight.labelled import RECORDED
from paddlebar.flight.pose import hermite, quaternion_rate, to_earth, turned

if TYPE_CHECKING:
    from paddlebar.flight.result import FlightData

Array = NDArray[np.float64]

# quantity -> the recorded one that is its rate
RATES: Final = {
    "rotor_azimuth": "rotor_speed",
    "bar_angle": "bar_rate",
    "tail_angle": "tail_speed",
    "flap": "flap_rate",
}


def at(flight: FlightData, time: ArrayLike) -> dict[str, Any]:
    """See FlightData.at."""
    wanted = np.asarray(time, dtype=np.float64)
    first, last = float(flight.time[0]), float(flight.time[-1])
    outside = ~((wanted >= first) & (wanted <= last))
    if outside.any():
        found = float(np.atleast_1d(wanted)[np.atleast_1d(outside)][0])
        raise BadInput(f"time: should be within the flight, {first:g} to {last:g} s, found {found:g}")
    moments, t = wanted.ravel(), flight.time
    rates: dict[str, Array] = {name: getattr(flight, rate) for name, rate in RATES.items()}
    rates["position"] = turned(to_earth(flight.attitude), flight.velocity_body)
    rates["attitude"] = quaternion_rate(flight.attitude, flight.rate_body)
    values: dict[str, Any] = {"time": wanted}
    for row in RECORDED:
        samples = getattr(flight, row.name)
        if row.name in rates:
            between = hermite(moments, t, samples, rates[row.name])
        else:
            flat = samples.reshape(t.size, -1)
            columns = [np.interp(moments, t, flat[:, k]) for k in range(flat.shape[1])]
            between = np.stack(columns, axis=1) if columns else np.empty((moments.size, 0))
        if row.name == "attitude":
            between = between / np.linalg.norm(between, axis=1)[:, None]
        values[row.name] = between.reshape(wanted.shape + samples.shape[1:])
    return {name: float(value) if value.ndim == 0 else value for name, value in values.items()}
