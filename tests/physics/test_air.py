"""The air at states that can be checked by hand. The standard atmosphere: tests/reference/test_atmosphere.py."""

from __future__ import annotations

import math

import pytest

from paddlebar.physics.air import ZERO_CELSIUS, density, standard, viscosity


def test_density_is_the_gas_law() -> None:
    """p/(R T), R 287.05287 J/(kg K): 101325 Pa at 15 C is 1.2250 kg/m^3 (references 10)."""
    assert density(ZERO_CELSIUS + 15.0, 101325.0) == pytest.approx(1.2250, abs=5e-6)
    assert density(1.0, 287.05287) == pytest.approx(1.0, rel=1e-14)


def test_viscosity_is_sutherlands() -> None:
    """1.458e-6 T^1.5/(T + 110.4): at 110.4 K half of 1.458e-6 sqrt(T); at 400 K by hand 2.2850e-5."""
    assert viscosity(110.4) == pytest.approx(0.5 * 1.458e-6 * math.sqrt(110.4), rel=1e-12)
    assert viscosity(400.0) == pytest.approx(1.458e-6 * 8000.0 / 510.4, rel=1e-12)


def test_standard_air_is_in_hydrostatic_balance() -> None:
    """dp/dH = -rho g with g 9.80665: what makes the exponent g/(L R) = 5.25588, to its last digit."""
    assert standard(0.0) == (288.15, 101325.0)
    for height in (0.0, 1000.0, 5000.0):
        low, high = standard(height - 1.0)[1], standard(height + 1.0)[1]
        assert (low - high) / 2.0 == pytest.approx(density(*standard(height)) * 9.80665, rel=1e-6)
        assert standard(height)[0] == pytest.approx(288.15 - 6.5e-3 * height, rel=1e-14)
