"""Seeded turbulence near the ground as a table in time."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

ROWS = 2048
RATE = 25.0  # [1/s]; with 2048 rows the table repeats after 82 s
_FOOT = 0.3048
LOWEST = 10.0 * _FOOT  # [m] the model is given from 10 ft up; lower craft get the 10 ft values


def scales(height: float, wind_20ft: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Intensities [m/s] and lengths [m] of the along, across and vertical gusts.

    height    : above the ground [m];  wind_20ft : mean wind at 20 ft [m/s]
    Returns   : sigma (3,), L (3,)
    Source    : Dryden form at low altitude, MIL-F-8785C (1980) sec. 3.7: sigma_w = 0.1 W20, sigma_u/sigma_w = 1/(0.177 + 0.000823 h)^0.4,
        L_w = h, L_u = h/(0.177 + 0.000823 h)^1.2, h in ft; from memory
    """
    h = max(height, LOWEST) / _FOOT
    base = 0.177 + 0.000823 * h
    sigma_w = 0.1 * wind_20ft
    sigma = np.array([sigma_w / base**0.4, sigma_w / base**0.4, sigma_w])
    length = np.array([h / base**1.2, h / base**1.2, h]) * _FOOT
    return sigma, length


def spectrum(omega: NDArray[np.float64], sigma: float, length: float, speed: float, along: bool) -> NDArray[np.float64]:
    """One-sided spectrum in time of a frozen gust field carried past at a speed [m^2/s].

    omega  : [rad/s];  sigma : [m/s];  length : [m];  speed : [m/s];  along : True for the gust along the wind
    Source : Dryden spectra as in MIL-F-8785C (1980), from memory; integral over omega from 0 is sigma^2
    """
    x = omega * length / speed
    if along:
        return sigma**2 * 2.0 * length / (np.pi * speed) / (1.0 + x**2)
    return sigma**2 * length / (np.pi * speed) * (1.0 + 3.0 * x**2) / (1.0 + x**2) ** 2


def gust_table(seed: int, height: float, wind_20ft: float, speed: float, direction: float) -> NDArray[np.float64]:
    """Turbulence as north, east, down gusts, shape (ROWS, 3) [m/s], periodic, RATE rows a second.

    seed      : the same seed gives the same table on any machine
    height    : [m];  wind_20ft, speed : mean wind at 20 ft and at the craft [m/s];  direction : that the wind blows to, from north [rad]
    Left out  : waves slower than one a table (82 s): slow changes of the mean wind. In light wind near the ground that is much of
        the horizontal variance (0.5 m/s at 2 m: two thirds), in a breeze little (6 m/s: a tenth)
    Source    : sum of waves of random phase with the amplitudes of spectrum(); common practice, no source
    """
    rng = np.random.default_rng([seed, 0])
    sigma, length = scales(height, wind_20ft)
    omega = np.asarray(2.0 * np.pi * np.fft.rfftfreq(ROWS, 1.0 / RATE), dtype=np.float64)
    step = omega[1]
    gusts = np.zeros((ROWS, 3))
    for k in range(3):
        amplitude = np.sqrt(2.0 * spectrum(omega, float(sigma[k]), float(length[k]), speed, k == 0) * step)
        phase = rng.uniform(0.0, 2.0 * np.pi, omega.size)
        waves = 0.5 * ROWS * amplitude * np.exp(1j * phase)
        waves[0] = 0.0
        waves[-1] = 0.0
        gusts[:, k] = np.fft.irfft(waves, ROWS)
    along, across, vertical = gusts.T
    c, s = np.cos(direction), np.sin(direction)
    return np.ascontiguousarray(np.column_stack([along * c - across * s, along * s + across * c, vertical]))
