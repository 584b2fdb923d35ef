"""Seeded turbulence near the ground as a table in time."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

ROWS = 2048
RATE = 25.0  # [1/s]; with 2048 rows the table repeats after 82 s
_FOOT = 0.3048
INDOOR_GUSTS = (
    0.05  # [m/s] of each component: middle of 0.03 to 0.08 in ventilated rooms, references section 10.2 [A], [C]
)
INDOOR_LENGTH = 1.0  # [m] of the eddies in a room: own choice, no figure found
INDOOR_DRIFT = (
    0.1  # [m/s] at which they are carried past at least: middle of the mean speeds of those rooms, 0.05 to 0.25
)
LEAST_DRIFT = 0.5  # [m/s] likewise outdoors: own choice
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


def below(omega: float, length: float, speed: float, along: bool) -> float:
    """Share of the variance that lies below a frequency [1]: the integral of spectrum() from 0.

    omega  : [rad/s];  length : [m];  speed : [m/s];  along : True for the gust along the wind
    Source : in closed form, (2/pi) atan x along, (2 atan x - x/(1 + x^2))/pi else, x = omega L/V [C]
    """
    x = omega * length / speed
    return float(2.0 * np.arctan(x) - (0.0 if along else x / (1.0 + x * x))) / float(np.pi)


def gust_table(seed: int, height: float, wind_20ft: float, speed: float, direction: float) -> NDArray[np.float64]:
    """Turbulence over open ground, as air_table gives it with the intensities and lengths of scales().

    height    : [m];  wind_20ft, speed : mean wind at 20 ft and at the craft [m/s];  seed, direction : see air_table
    """
    return air_table(seed, *scales(height, wind_20ft), speed, direction)


def air_table(
    seed: int, sigma: NDArray[np.float64], length: NDArray[np.float64], speed: float, direction: float
) -> NDArray[np.float64]:
    """Turbulence as north, east, down gusts, shape (ROWS, 3) [m/s], periodic, RATE rows a second.

    seed      : the same seed gives the same table on any machine
    sigma, length : root mean square [m/s] and length [m] of the gusts along, across and upright, arrays (3,)
    speed     : at which they are carried past [m/s];  direction : that the wind blows to, from north [rad]
    Mean      : waves slower than one a table (82 s) stand in it as one chance value an axis, of just the variance that they have: over many
        seeds the gusts have sigma^2, and the mean wind of one flight is not quite the mean wind of the day
    Source    : sum of waves of random phase with the amplitudes of spectrum(); common practice, no source
    """
    rng, slow = np.random.default_rng([seed, 0]), np.random.default_rng([seed, 1])
    omega = np.asarray(2.0 * np.pi * np.fft.rfftfreq(ROWS, 1.0 / RATE), dtype=np.float64)
    step = omega[1]
    gusts = np.zeros((ROWS, 3))
    for k in range(3):
        amplitude = np.sqrt(2.0 * spectrum(omega, float(sigma[k]), float(length[k]), speed, k == 0) * step)
        phase = rng.uniform(0.0, 2.0 * np.pi, omega.size)
        waves = 0.5 * ROWS * amplitude * np.exp(1j * phase)
        waves[0] = 0.0
        waves[-1] = 0.0
        # up to the fastest wave, less what the waves hold: what is slower than they are, and what the first of them are too coarse for
        whole = float(sigma[k]) ** 2 * below(float(omega[-1]), float(length[k]), speed, k == 0)
        unseen = np.sqrt(max(whole - 0.5 * float(np.sum(amplitude[1:-1] ** 2)), 0.0))
        gusts[:, k] = np.fft.irfft(waves, ROWS) + unseen * slow.standard_normal()
    along, across, vertical = gusts.T
    c, s = np.cos(direction), np.sin(direction)
    return np.ascontiguousarray(np.column_stack([along * c - across * s, along * s + across * c, vertical]))


def room_table(seed: int, strength: float, wind: float, direction: float) -> NDArray[np.float64]:
    """Turbulence in a room, as air_table: alike in all directions.

    strength : root mean square of each component [m/s];  wind : mean speed of the air [m/s];  seed, direction : see air_table
    Source   : strength and speed from measured boundary layers in ventilated rooms, references section 10.2 [A], [C]; the length, and
        Dryden's form, are own choices
    """
    same = np.ones(3)
    return air_table(seed, strength * same, INDOOR_LENGTH * same, max(wind, INDOOR_DRIFT), direction)
