"""Seeded turbulence: scales, spectrum, seeds, directions. Statistics of the table: tests/reference/test_turbulence_spectrum.py.

Broken : lengths in feet; along-wind spectrum without its 2: each refused here.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from paddlebar.craft.parameters import blank
from paddlebar.craft.surroundings import fill_air
from paddlebar.craft.turbulence import LOWEST, ROWS, gust_table, room_table, scales, spectrum
from paddlebar.files.scenario import Air

FOOT = 0.3048


def test_scales_become_isotropic_at_a_thousand_feet() -> None:
    """0.177 + 0.000823 x 1000 = 1.000: all three intensities 0.1 W20 and all lengths 1000 ft (where the low-altitude form ends)."""
    sigma, length = scales(1000.0 * FOOT, 5.0)
    assert sigma == pytest.approx([0.5, 0.5, 0.5], rel=1e-12)
    assert length == pytest.approx(np.full(3, 1000.0 * FOOT), rel=1e-12)


def test_scales_by_hand_at_twenty_feet() -> None:
    """0.19346: sigma_u/sigma_w = 1.9292; L_u = 20/0.139348 = 143.53 ft."""
    sigma, length = scales(20.0 * FOOT, 4.0)
    assert sigma[2] == pytest.approx(0.4, rel=1e-12)
    assert sigma[0] / sigma[2] == pytest.approx(1.9292, rel=1e-4)
    assert length[0] / FOOT == pytest.approx(143.53, rel=1e-3)
    assert length[2] / FOOT == pytest.approx(20.0, rel=1e-12)


def test_below_ten_feet_the_ten_foot_values_hold() -> None:
    for height in (0.0, 1.0, LOWEST):
        for a, b in zip(scales(height, 3.0), scales(LOWEST, 3.0), strict=True):
            assert a == pytest.approx(b)
    assert not scales(1.0, 0.0)[0].any()


@pytest.mark.parametrize("along", [True, False])
def test_spectrum_holds_the_variance(along: bool) -> None:
    """Integral over omega from 0 to infinity is sigma^2."""
    whole = quad(lambda w: float(spectrum(np.array(w), 0.7, 20.0, 3.0, along)), 0.0, math.inf)[0]
    assert whole == pytest.approx(0.49, rel=1e-7)


def test_spectrum_at_its_ends() -> None:
    """At rest 2 sigma^2 L/pi V along, half of it across; far out along falls to 1/x^2 of it, across to 3/x^2 of its own."""
    low = [float(spectrum(np.array(0.0), 1.0, 20.0, 4.0, along)) for along in (True, False)]
    assert low == pytest.approx([2.0 * 5.0 / math.pi, 5.0 / math.pi], rel=1e-12)
    high = [float(spectrum(np.array(2e4), 1.0, 20.0, 4.0, along)) for along in (True, False)]
    assert high == pytest.approx([low[0] / 1e10, 3.0 * low[1] / 1e10], rel=1e-4)


def test_same_seed_same_air_other_seed_other_air() -> None:
    first, again, other = (gust_table(seed, 2.0, 3.0, 2.0, 0.3) for seed in (7, 7, 8))
    assert np.array_equal(first, again)
    assert abs(np.corrcoef(first[:, 0], other[:, 0])[0, 1]) < 0.5
    assert first.shape == (ROWS, 3)
    assert np.isfinite(first).all()


def test_wind_to_another_quarter_turns_the_gusts() -> None:
    """Horizontal gusts turn with the wind, upright ones stay; a full turn changes nothing. 1e-12."""
    base = gust_table(3, 2.0, 3.0, 2.0, 0.0)
    for angle in (0.4, math.pi / 2.0, 3.0):
        c, s = math.cos(angle), math.sin(angle)
        found = gust_table(3, 2.0, 3.0, 2.0, angle)
        assert found[:, :2] == pytest.approx(base[:, :2] @ np.array([[c, s], [-s, c]]), abs=1e-12)
        assert np.array_equal(found[:, 2], base[:, 2])
    assert gust_table(3, 2.0, 3.0, 2.0, 2.0 * math.pi) == pytest.approx(base, abs=1e-12)


def test_gusts_grow_with_the_wind_and_end_with_it() -> None:
    assert gust_table(3, 2.0, 6.0, 2.0, 0.0) == pytest.approx(2.0 * gust_table(3, 2.0, 3.0, 2.0, 0.0), abs=1e-12)
    assert not gust_table(3, 2.0, 0.0, 2.0, 0.0).any()


def test_air_of_a_room_is_alike_in_all_directions() -> None:
    """0.05 m/s each over many seeds (3 %: scatter of 1000 chance means), whatever the wind does with it."""
    found = np.array([room_table(seed, 0.05, 0.0, 0.4) for seed in range(1000)])
    assert np.sqrt((found**2).mean(axis=(0, 1))) == pytest.approx(np.full(3, 0.05), rel=0.03)
    assert np.array_equal(
        room_table(3, 0.05, 0.02, 0.0), room_table(3, 0.05, 0.05, 0.0)
    )  # carried past at 0.1 m/s at least
    assert room_table(3, 0.10, 0.2, 0.0) == pytest.approx(2.0 * room_table(3, 0.05, 0.2, 0.0), abs=1e-12)


def gusts_of(**air: object) -> np.ndarray:
    return fill_air(blank(), Air(turbulence=True, **air), 1.5)[3]


def test_strength_is_taken_by_its_number() -> None:
    """Outdoors the gusts along the wind have what is asked, the others keep their share of it; a room needs no wind."""
    base, strong = gusts_of(wind_m_s=1.0, turbulence_m_s=0.2), gusts_of(wind_m_s=1.0, turbulence_m_s=0.4)
    assert strong == pytest.approx(2.0 * base, abs=1e-12)
    plain = gusts_of(wind_m_s=1.0)
    asked = float(scales(1.5, 1.0)[0][0])
    assert gusts_of(wind_m_s=1.0, turbulence_m_s=asked) == pytest.approx(plain, abs=1e-12)
    assert not gusts_of(wind_m_s=0.0).any()
    assert gusts_of(wind_m_s=0.0, turbulence_m_s=0.1).any()
    assert gusts_of(turbulence_like="indoors").any()
    assert gusts_of(turbulence_like="indoors") == pytest.approx(
        gusts_of(turbulence_like="indoors", turbulence_m_s=0.05)
    )
