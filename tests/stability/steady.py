"""Crafts, steady motions and small-disturbance flights for the checks of margins."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from paddlebar.craft.build import Numbers, build
from paddlebar.files import parse_scenario
from paddlebar.files.scenario import Scenario
from paddlebar.flight import layout, rhs
from paddlebar.stability.equilibrium import Equilibrium, equilibrium
from paddlebar.stability.return_map import STEPS, ReturnMap, freeze

Array = NDArray[np.float64]

CRAFTS = Path(__file__).parent / "crafts"
SCENARIO = """\
craft = "still-ten.toml"

[skein]
turns = 400

[launch]
height_m = 50
"""


# the test craft with other heads, bars, tails: what it is otherwise
VARIANTS: dict[str, dict[str, Any]] = {
    "as built": {},
    "no bar": {"craft.bar.kind": "none"},
    "locked bar": {"craft.bar.kind": "locked"},
    "rigid": {"craft.head.kind": "rigid"},
    "flapping, two": {"craft.head.kind": "flapping", "craft.head.stop_deg": 40.0},
    "flapping, five": {"craft.head.kind": "flapping", "craft.rotor.blades": 5, "craft.head.stop_deg": 40.0},
    "no tail": {"craft.tail.drive": "none"},
    "clockwise": {"craft.shaft.turns": "clockwise", "craft.tail.thrust_to": "left", "craft.shaft.tilt_right_deg": -2.5},
}


def scenario(overrides: Mapping[str, Any] | None = None) -> Scenario:
    return parse_scenario(SCENARIO, folder=CRAFTS, overrides=dict(overrides or {}))


def frozen(torque_mn_m: float, overrides: Mapping[str, Any] | None = None) -> Numbers:
    """The test craft in still air under a constant torque."""
    numbers = freeze(build(scenario(overrides)), 200.0)
    numbers.params[0]["skein"]["steady"] = 1e-3 * torque_mn_m
    return numbers


def steady(torque_mn_m: float, overrides: Mapping[str, Any] | None = None, steps: int = STEPS) -> Equilibrium:
    return equilibrium(ReturnMap(frozen(torque_mn_m, overrides), steps))


def fly_by_revolutions(e: Equilibrium, disturbance: Array, duration: float, rtol: float = 1e-9) -> tuple[Array, Array]:
    """A flight by scipy's DOP853 from a disturbed steady motion, looked at once a revolution.

    disturbance : (n,) of the free coordinates, in scales
    Returns     : times (m,) [s], free coordinates (m, n) in scales
    """
    map_, numbers = e.map, e.map.numbers
    work = rhs.work_array()

    def f(t: float, y: Array) -> Array:
        return np.asarray(rhs.rhs(t, y, numbers.params, numbers.tables, numbers.gusts, work))

    atol = 1e-3 * rtol * layout.scales(map_.nf)
    found = solve_ivp(
        f, (0.0, duration), map_.full(e.x + disturbance), method="DOP853", rtol=rtol, atol=atol, dense_output=True
    )
    assert found.success, found.message
    azimuth = found.y[layout.ROTOR_AZIMUTH]
    times, states = [], []
    for k in range(int(azimuth[-1] / (2.0 * np.pi))):
        i = min(max(int(np.searchsorted(azimuth, 2.0 * np.pi * k)), 1), azimuth.size - 1)
        at = (
            float(
                brentq(
                    lambda t, k=k: found.sol(t)[layout.ROTOR_AZIMUTH] - 2.0 * np.pi * k,
                    found.t[i - 1],
                    found.t[i],
                    xtol=1e-13,
                )
            )
            if k
            else 0.0
        )
        times.append(at)
        states.append(map_.reduced(found.sol(at)))
    return np.array(times), np.array(states)


def log_decrement(times: Array, signal: Array, order: int) -> complex:
    """Growth and frequency of the strongest oscillation at the end of a decaying or growing signal, from the signal alone [1/s].

    Sums of exponentials by the matrix pencil (Y. Hua, T. K. Sarkar, IEEE Trans. ASSP 38 (1990) 814, from memory): a log decrement
    that also takes away the other `order - 1` exponentials. Evenly sampled.
    """
    s = np.diff(signal)  # takes a constant away
    s = s / np.abs(s).max()
    n = s.size
    rows = n // 2
    hankel = np.array([s[i : i + n - rows] for i in range(rows + 1)]).T
    _, _, v = np.linalg.svd(hankel, full_matrices=False)
    v = v[:order]
    z = np.linalg.eigvals(np.linalg.lstsq(v[:, :-1].T, v[:, 1:].T, rcond=None)[0])
    powers = z[None, :] ** np.arange(n)[:, None]
    size = np.linalg.lstsq(powers, s.astype(complex), rcond=None)[0]
    dt = float(np.mean(np.diff(times)))
    best = int(np.argmax(np.abs(size * z ** (n - 1))))
    return complex(np.log(z[best]) / dt)
