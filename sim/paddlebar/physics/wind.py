"""Air in motion at a place and a time: steady, sheared, gust, turbulence."""

from __future__ import annotations

import math

import numpy as np

from paddlebar.physics.compiled import jitted

_NORTH, _EAST, _DOWN = np.int64(0), np.int64(1), np.int64(2)  # columns of the gusts, see section.py


@jitted
def shear(height, reference, exponent):
    """Wind at a height over that at the reference height, the power law (h/h_ref)^exponent.

    height, reference : above the floor [m]; height held at 0.05 m and above
    exponent  : 0 for none, about 1/7 over short grass [1]
    Returns   : factor on the reference wind [1]
    Source    : power law of the surface wind; common practice, no source
    Checked   : tests/physics/test_wind.py
    """
    if exponent == 0.0:
        return 1.0
    return (max(height, 0.05) / reference) ** exponent


@jitted
def gust_share(time, start, length):
    """Share of the gust's peak at a time, (1 - cos(2 pi t / length)) / 2 while it lasts.

    time, start, length : [s]
    Returns   : 0 ... 1 [1]
    Source    : discrete 1-cosine gust, as in MIL-F-8785C (1980) sec. 3.7.2.3, from memory (full period here: it also ends)
    Checked   : tests/physics/test_wind.py
    """
    s = (time - start) / length
    if s <= 0.0 or s >= 1.0:
        return 0.0
    return 0.5 - 0.5 * math.cos(2.0 * math.pi * s)


@jitted
def table_gust(table, column, x):
    """One component of tabulated turbulence at x steps from its first row [m/s]; wraps. Source : Catmull-Rom cubic, common practice."""
    n = table.shape[0]
    i = int(math.floor(x))
    f = x - i
    a = table[(i - 1) % n, column]
    b = table[i % n, column]
    c = table[(i + 1) % n, column]
    d = table[(i + 2) % n, column]
    return b + 0.5 * f * (c - a + f * (2.0 * a - 5.0 * b + 4.0 * c - d + f * (3.0 * (b - c) + d - a)))


@jitted
def wind(time, height, p, gusts):
    """Velocity of the air over the ground.

    time, height : [s], above the floor [m]
    p       : parameters (wind_*, gust_*, turbulence_*);  gusts : (n, 3) turbulence in time, north east down [m/s]
    Returns : north, east, down [m/s]
    Source  : sum of shear, gust_share and the turbulence made in craft/turbulence.py
    Checked : tests/physics/test_wind.py
    """
    factor = shear(height, p.wind_reference, p.wind_shear)
    gust = gust_share(time, p.gust_start, p.gust_length)
    north = p.wind_north * factor + p.gust_north * gust
    east = p.wind_east * factor + p.gust_east * gust
    down = 0.0
    if p.turbulence_rate > 0.0:
        x = time * p.turbulence_rate
        north += table_gust(gusts, _NORTH, x)
        east += table_gust(gusts, _EAST, x)
        down += table_gust(gusts, _DOWN, x)
    return north, east, down
