"""The air against the standard atmosphere.

Source : ISO 2533:1975 from its definition, references.md 10 [C]; density ratios agree with a published table [T]. H is geopotential height.
Allowed: 1e-4 (the table's own digits).
Broken : exponent 5.2; Sutherland's 120 for 110.4: each refused here.
"""

from __future__ import annotations

import pytest

from evidence import Recorder
from paddlebar.craft.build import build
from paddlebar.files.scenario import Air, Launch, Scenario, Winding
from paddlebar.physics.air import density, standard, viscosity
from reference.rig import craft

pytestmark = [
    pytest.mark.reference,
    pytest.mark.phenomenon("atmosphere", source="10", conditions="geopotential height", why="the table's own digits"),
]

TABLE = [
    (0.0, 288.15, 101325.0, 1.22500, 1.78938e-5, 1.46072e-5),
    (500.0, 284.90, 95460.8, 1.16727, 1.77366e-5, 1.51949e-5),
    (1000.0, 281.65, 89874.6, 1.11164, 1.75785e-5, 1.58130e-5),
    (1500.0, 278.40, 84556.0, 1.05807, 1.74195e-5, 1.64635e-5),
    (2000.0, 275.15, 79495.2, 1.00649, 1.72596e-5, 1.71483e-5),
    (3000.0, 268.65, 70108.5, 0.90912, 1.69372e-5, 1.86303e-5),
]
ROOM = [
    (10.0, 1.2466, 1.4159e-5),
    (15.0, 1.2250, 1.4607e-5),
    (20.0, 1.2041, 1.5060e-5),
    (25.0, 1.1839, 1.5518e-5),
    (30.0, 1.1644, 1.5982e-5),
]


@pytest.mark.parametrize(("height", "t", "p", "rho", "mu", "nu"), TABLE)
def test_standard_atmosphere(
    evidence: Recorder, height: float, t: float, p: float, rho: float, mu: float, nu: float
) -> None:
    temperature, pressure = standard(height)
    evidence(f"temperature at {height:.0f} m", temperature, t, 1e-4, unit="K")
    evidence(f"pressure at {height:.0f} m", pressure, p, 1e-4, unit="Pa")
    evidence(f"density at {height:.0f} m", density(temperature, pressure), rho, 1e-4, unit="kg/m^3")
    evidence(f"viscosity at {height:.0f} m", viscosity(temperature), mu, 1e-4, unit="Pa s")
    evidence(
        f"kinematic viscosity at {height:.0f} m",
        viscosity(temperature) / density(temperature, pressure),
        nu,
        1e-4,
        unit="m^2/s",
    )


@pytest.mark.phenomenon(conditions="a scenario's air.temperature_C at its default pressure")
@pytest.mark.parametrize(("celsius", "rho", "nu"), ROOM)
def test_room_air_of_a_scenario(evidence: Recorder, celsius: float, rho: float, nu: float) -> None:
    """Through the files: temperature_C at the default pressure."""
    p = build(
        Scenario(craft=craft(), skein=Winding(turns=0.0), launch=Launch(height_m=2.0), air=Air(temperature_C=celsius))
    ).params[0]
    evidence(f"density of room air at {celsius:g} C", float(p["rho"]), rho, 1e-4, unit="kg/m^3")
    evidence(f"kinematic viscosity of room air at {celsius:g} C", float(p["nu"]), nu, 1e-4, unit="m^2/s")


def test_gas_law() -> None:
    """Density doubles with pressure and halves with temperature; viscosity does not ask for pressure, and rises with warmth."""
    assert density(300.0, 2e5) == pytest.approx(2.0 * density(300.0, 1e5), rel=1e-14)
    assert density(600.0, 1e5) == pytest.approx(0.5 * density(300.0, 1e5), rel=1e-14)
    assert viscosity(300.0) > viscosity(280.0)
