"""How far a flight can be trusted as numbers: the same flight at a hundredth of its tolerance in steps half as long, and what differs.

What a solver is told to keep to is the error of one step; how that adds up over a flight depends on the craft: a steady one forgets,
a tumbling one multiplies. So it is measured. Two flights that differ because one of them is wrong by e differ by about e.
Source : comparison with a run of tighter tolerance, common practice.   Checked: tests/flight/test_error.py
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicHermiteSpline

from paddlebar.files.scenario import Scenario
from paddlebar.flight.fly import fly_scenario
from paddlebar.flight.result import FlightData
from paddlebar.physics.attitude import plain_rate, plain_rotation

Array = NDArray[np.float64]

TIGHTER = 0.01  # times the tolerance of the flight
SHORTER = (
    0.5  # times the longest step: where that rules and not the tolerance, a flight must not be compared with itself
)
TIGHTEST = 1e-12  # below that rounding is all that is left


def error_estimate(flight: FlightData, scenario: Scenario) -> dict[str, Any]:
    """Differences from the same flight at a hundredth of the tolerance in steps half as long, largest over the time that both last.

    flight, scenario : a flight and what it was flown from
    Returns          : `rtol` compared with; `position_m` of the datum, `attitude_deg` angle between the attitudes, `duration_s`, and `outcome` of
        the other flight; nan where that failed at once. Attitudes of a craft that tumbles are soon apart altogether: that is its motion, not the solver
    """
    rtol = max(TIGHTER * scenario.run.rtol, TIGHTEST)
    finer = scenario.run.model_copy(update={"rtol": rtol, "max_step_s": SHORTER * scenario.run.max_step_s})
    other = fly_scenario(scenario.model_copy(update={"run": finer}))
    place, turn = apart(flight, other)
    return {
        "rtol": rtol,
        "position_m": place,
        "attitude_deg": math.degrees(turn),
        "duration_s": abs(float(flight.time[-1] - other.time[-1])),
        "outcome": other.outcome,
    }


def apart(a: FlightData, b: FlightData) -> tuple[float, float]:
    """Largest distance of the datum [m] and largest angle between the attitudes [rad] of two flights, at the times of the first.

    nan, nan where the other failed before its first step.
    """
    if b.time.size < 2:
        return math.nan, math.nan
    time = a.time[a.time <= b.time[-1]]
    there, attitude = _between(b, time)
    count = time.size
    place = float(np.linalg.norm(a.position[:count] - there, axis=1).max())
    along = np.abs(np.sum(a.attitude[:count] * attitude, axis=1))
    along /= np.linalg.norm(a.attitude[:count], axis=1) * np.linalg.norm(attitude, axis=1)
    half = np.arccos(np.clip(along, 0.0, 1.0)).max()
    return place, 2.0 * float(half)


def _between(flight: FlightData, time: Array) -> tuple[Array, Array]:
    """Position (m, 3) [m] and attitude (m, 4) at some times: cubics through the samples with the rates that the state holds."""
    keep = np.append(
        np.diff(flight.time) > 0.0, True
    )  # a sudden change leaves two samples at one moment; the later counts
    attitude, moving, turning = flight.attitude[keep], flight.velocity_body[keep], flight.rate_body[keep]
    axes = np.array(plain_rotation(attitude.T))  # (3 of the earth, 3 of the body, samples)
    v = np.einsum("ebn,nb->ne", axes, moving)
    rate = np.array(plain_rate(attitude.T, turning.T)).T
    known = flight.time[keep]
    place = CubicHermiteSpline(known, flight.position[keep], v)(time)
    return np.asarray(place), np.asarray(CubicHermiteSpline(known, attitude, rate)(time))
