"""One revolution of the rotor relative to the body, in the coordinates that a steady motion repeats.

Heading and place are left out: a craft that circles and climbs steadily repeats everything else every revolution. The independent
variable is the rotor's azimuth, so that the map needs no event: dy/dpsi = f / Omega, fixed steps, fourth-order Runge-Kutta.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit
from numpy.typing import NDArray

from paddlebar.flight import rhs
from paddlebar.flight.layout import ROTOR_AZIMUTH, ROTOR_SPEED

Array = NDArray[np.float64]


@njit(cache=True, error_model="numpy")
def revolve(y, params, tables, gusts, work, steps, k1, k2, k3, k4, z):
    """Carry a state over one revolution of azimuth in place; time returned [s], -1 if the rotor stopped on the way."""
    h = 2.0 * math.pi / steps
    n = y.size
    time = 0.0
    start = y[ROTOR_AZIMUTH]
    for s in range(steps):
        if not y[ROTOR_SPEED] > 1.0:
            return -1.0
        rhs.rhs_into(0.0, y, params, tables, gusts, work, k1)
        a = 1.0 / y[ROTOR_SPEED]
        for i in range(n):
            k1[i] *= a
            z[i] = y[i] + 0.5 * h * k1[i]
        rhs.rhs_into(0.0, z, params, tables, gusts, work, k2)
        b = 1.0 / z[ROTOR_SPEED]
        for i in range(n):
            k2[i] *= b
            z[i] = y[i] + 0.5 * h * k2[i]
        rhs.rhs_into(0.0, z, params, tables, gusts, work, k3)
        c = 1.0 / z[ROTOR_SPEED]
        for i in range(n):
            k3[i] *= c
            z[i] = y[i] + h * k3[i]
        rhs.rhs_into(0.0, z, params, tables, gusts, work, k4)
        d = 1.0 / z[ROTOR_SPEED]
        for i in range(n):
            y[i] += h / 6.0 * (k1[i] + 2.0 * k2[i] + 2.0 * k3[i] + d * k4[i])
        time += h / 6.0 * (a + 2.0 * b + 2.0 * c + d)
        y[ROTOR_AZIMUTH] = start + (s + 1) * h
    return time
