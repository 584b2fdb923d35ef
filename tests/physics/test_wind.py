"""Air in motion: shear, gust, tabulated turbulence, and their sum.

Broken : gust with 1 + cos; table whose first row has no forerunner: each refused here.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from paddlebar.physics.wind import gust_share, shear, table_gust, wind
from physics.given import record

STILL = np.zeros((4, 3))


def test_shear_is_a_power_of_height() -> None:
    """(h/h_ref)^n: by hand 2^(1/7) = 1.104090; 1 at the reference; heights multiply."""
    assert shear(4.0, 2.0, 1.0 / 7.0) == pytest.approx(1.104090, abs=5e-7)
    assert shear(2.0, 2.0, 0.3) == 1.0
    assert shear(7.0, 2.0, 0.0) == 1.0
    assert shear(8.0, 4.0, 0.2) * shear(4.0, 2.0, 0.2) == pytest.approx(shear(8.0, 2.0, 0.2), rel=1e-14)


def test_shear_below_the_floor_is_that_of_five_centimetres() -> None:
    for height in (-3.0, 0.0, 0.05):
        assert shear(height, 2.0, 0.2) == shear(0.05, 2.0, 0.2)
    assert shear(0.05, 2.0, 0.2) > 0.0


def test_gust_closed_form() -> None:
    """Nothing before and after, 1/2 at the quarters, 1 in the middle, half the length as area, level at both ends."""
    assert [gust_share(t, 1.0, 2.0) for t in (-5.0, 1.0, 3.0, 9.0)] == [0.0, 0.0, 0.0, 0.0]
    assert [gust_share(t, 1.0, 2.0) for t in (1.5, 2.0, 2.5)] == pytest.approx([0.5, 1.0, 0.5], abs=1e-15)
    assert quad(gust_share, 1.0, 3.0, args=(1.0, 2.0))[0] == pytest.approx(1.0, rel=1e-12)
    assert gust_share(1.0 + 1e-5, 1.0, 2.0) < 1e-9
    for t in (1.2, 1.7, 1.9):
        assert gust_share(t, 1.0, 2.0) == pytest.approx(gust_share(4.0 - t, 1.0, 2.0), abs=1e-15)


def table(n: int = 16) -> np.ndarray:
    return np.random.default_rng(1).normal(size=(n, 3))


def test_table_is_met_at_its_rows_and_repeats() -> None:
    gusts = table()
    for column in range(3):
        for x in range(-16, 48):
            assert table_gust(gusts, column, float(x)) == gusts[x % 16, column]
        for x in np.linspace(0.0, 16.0, 77):
            assert table_gust(gusts, column, x + 32.0) == pytest.approx(table_gust(gusts, column, x), abs=1e-12)


def test_table_wraps_with_value_and_slope() -> None:
    """Across every row, that of the wrap included: value and slope from both sides; slope (next - last)/2. 1e-5 for the step."""
    gusts = table()
    h = 1e-6
    for x in range(17):
        left, here, right = (table_gust(gusts, 0, x + d) for d in (-h, 0.0, h))
        slope = 0.5 * (gusts[(x + 1) % 16, 0] - gusts[(x - 1) % 16, 0])
        assert (here - left) / h == pytest.approx(slope, abs=1e-4)
        assert (right - here) / h == pytest.approx(slope, abs=1e-4)


def test_table_of_a_parabola_is_the_parabola() -> None:
    """Catmull-Rom keeps polynomials to the second order; away from the wrap."""
    k = np.arange(16.0)
    gusts = np.column_stack([np.full(16, 2.0), 3.0 - k, 0.5 * k * k])
    for x in np.linspace(2.0, 12.0, 41):
        got = [table_gust(gusts, c, x) for c in range(3)]
        assert got == pytest.approx([2.0, 3.0 - x, 0.5 * x * x], abs=1e-12)


def test_table_of_a_wave_comes_closer_with_the_cube_of_the_step() -> None:
    error = []
    for n in (16, 32, 64):
        wave = np.sin(2.0 * np.pi * np.arange(n) / n)
        gusts = np.column_stack([wave, wave, wave])
        x = np.linspace(0.0, n, 997)
        error.append(max(abs(table_gust(gusts, 0, s) - math.sin(2.0 * math.pi * s / n)) for s in x))
    order = np.diff(np.log2(error))
    assert order == pytest.approx([-3.0, -3.0], abs=0.4)


def test_still_air() -> None:
    assert wind(3.0, 2.0, record(wind_reference=2.0, gust_length=1.0), STILL) == (0.0, 0.0, 0.0)


def test_wind_is_the_sum_of_its_parts() -> None:
    gusts = table()
    given = {
        "wind_north": 2.0, "wind_east": -1.0, "wind_reference": 2.0, "wind_shear": 0.2, "gust_north": 0.5, "gust_east": 3.0,
        "gust_start": 1.0, "gust_length": 2.0, "turbulence_rate": 25.0,
    }  # fmt: skip
    found = wind(1.5, 4.0, record(**given), gusts)
    factor = 2.0**0.2
    turbulent = [table_gust(gusts, c, 1.5 * 25.0) for c in range(3)]
    want = np.array([2.0 * factor + 0.25, -factor + 1.5, 0.0]) + turbulent
    assert found == pytest.approx(want, rel=1e-12)
    assert wind(1.5, 4.0, record(**{**given, "turbulence_rate": 0.0}), gusts)[2] == 0.0


def test_turned_wind_is_the_wind_turned() -> None:
    """Wind and gust turned by 50 deg: the same components turned. Still air from above."""
    c, s = math.cos(math.radians(50.0)), math.sin(math.radians(50.0))
    turn = np.array([[c, -s], [s, c]])
    steady, gust = np.array([2.0, -1.0]), np.array([0.5, 3.0])
    found = []
    for r in (np.eye(2), turn):
        v, g = r @ steady, r @ gust
        p = record(
            wind_north=v[0], wind_east=v[1], wind_reference=2.0, wind_shear=0.2, gust_north=g[0], gust_east=g[1],
            gust_start=1.0, gust_length=2.0,
        )  # fmt: skip
        found.append(wind(1.4, 3.0, p, STILL))
    assert turn @ found[0][:2] == pytest.approx(found[1][:2], rel=1e-12)
