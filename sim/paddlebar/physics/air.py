"""The air itself: density and viscosity."""

from __future__ import annotations

GAS_CONSTANT = 287.05287  # J/(kg K), ISO 2533:1975, references section 10
ZERO_CELSIUS = 273.15


def density(temperature: float, pressure: float) -> float:
    """Density of dry air, p / (R T).

    temperature : [K];  pressure : [Pa]
    Returns     : [kg/m^3]
    Source      : ISO 2533:1975, references section 10 [C]
    Checked     : tests/reference/test_atmosphere.py
    """
    return pressure / (GAS_CONSTANT * temperature)


def viscosity(temperature: float) -> float:
    """Dynamic viscosity of air, Sutherland's law 1.458e-6 T^1.5 / (T + 110.4).

    temperature : [K]
    Returns     : [Pa s]
    Source      : ISO 2533:1975, references section 10 [C]
    Checked     : tests/reference/test_atmosphere.py
    """
    return float(1.458e-6 * temperature**1.5 / (temperature + 110.4))


def standard(geopotential_height: float) -> tuple[float, float]:
    """Temperature and pressure of the standard atmosphere below 11 km.

    geopotential_height : [m]
    Returns : ([K], [Pa])
    Source  : ISO 2533:1975, references section 10 [C]
    Checked : tests/reference/test_atmosphere.py
    """
    temperature = 288.15 - 0.0065 * geopotential_height
    return temperature, 101325.0 * (temperature / 288.15) ** 5.255880
