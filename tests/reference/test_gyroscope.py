"""The turning rotor as a gyroscope: the moment that turning it takes, the two-a-turn shake of two blades, nutation of a free body.

Source : references.md 3.6. A rotor of spin inertia I turned at a steady rate q across its shaft asks for I Omega q on the third axis; two thin blades have it only on
         average: -2 I Omega q sin^2 psi and -I Omega q sin 2 psi, from L = I e x de/dt [C]. A free body under a spinning rotor nutates at I_r Omega/I_t [M].
How    : whole right-hand side in a vacuum; the moment is what holds the body (as in test_tail.py), nutation is flown. Floquet's exponents of the
         same nutation: test_floquet_closed_forms.py; the propeller moment of a feathered blade: test_flapping.py.
Broken : tried, failed: w x Jw left out of the bodies (every moment but those that are nil, and nutation).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from paddlebar.flight import layout
from paddlebar.physics import bodies
from reference.rig import Rig, craft
from reference.test_floquet_closed_forms import spinning

pytestmark = [
    pytest.mark.reference,
    pytest.mark.phenomenon(
        "gyroscope",
        source="3.6",
        conditions="vacuum, shaft at 48 rad/s, body turned nose-up at 0.1 rad/s",
        why="blades 1 mm wide, not thin",
    ),
]

SPEED, RATE = 48.0, 0.1
RADIAL = {
    "feather_axis_percent": 75,
    "mass_axis_percent": 75,
}  # else the mass lies 0.2 mm behind the line through the shaft: 0.3 %
THIN = 2.0 * 1e-3 * 0.2**2 / 3.0  # two rods of 1 g, 200 mm, about the shaft


def holding(blades: int, mass_g: float, azimuth: float) -> np.ndarray:
    """Moment that holds a body which turns nose-up at RATE under rigid thin blades, body axes, forward, right, down [N m]."""
    rig = Rig(craft(rotor={"blades": blades, "blade_mass_g": mass_g, "chord_mm": 1, **RADIAL}, head={"kind": "rigid"}))
    rig.vacuum()
    y = rig.still(SPEED)
    y[layout.RATE_BODY + 1] = RATE
    y[layout.ROTOR_AZIMUTH] = azimuth
    rig.rates(0.0, y)
    return np.array(rig.work[bodies.BIAS, 3:6])


@pytest.mark.parametrize("azimuth_deg", [0.0, 30.0])
def test_moment_that_turns_four_blades(evidence, azimuth_deg):
    """Counter-clockwise seen from above spins upwards: nose-up asks for a roll to the left, the same at every azimuth. 1e-4."""
    moment = holding(4, 0.5, math.radians(azimuth_deg))
    evidence(
        f"roll moment I Omega q, four blades at {azimuth_deg:g} deg", moment[0], -THIN * SPEED * RATE, 1e-4, unit="N m"
    )
    assert abs(moment[1]) < 1e-4 * THIN * SPEED * RATE


@pytest.mark.parametrize("azimuth_deg", [0.0, 45.0, 90.0, 120.0])
def test_two_blades_shake_twice_a_turn(evidence, azimuth_deg):
    """Blades along the axis of the turn ask for twice the mean, blades across it for nothing. 1e-4 of the mean."""
    psi, mean = math.radians(azimuth_deg), THIN * SPEED * RATE
    moment = holding(2, 1.0, psi)
    evidence(
        f"roll moment of two blades at {azimuth_deg:g} deg",
        moment[0],
        -2.0 * mean * math.sin(psi) ** 2,
        1e-4,
        mean,
        unit="N m",
    )
    evidence(
        f"pitch moment of two blades at {azimuth_deg:g} deg",
        moment[1],
        -mean * math.sin(2.0 * psi),
        1e-4,
        mean,
        unit="N m",
    )


@pytest.mark.phenomenon(
    conditions="free body under four rigid blades in a vacuum, flown", why="rates are small, not infinitely so"
)
@pytest.mark.parametrize("across_body", [4e-4, 5e-5])
def test_nutation_flown(evidence, across_body):
    """A push of 0.01 rad/s goes round the body at I_r Omega/I_t; phase over three rounds, 1e-4."""
    rig, polar, across = spinning(4, across_body)
    wanted = SPEED * polar / across
    y = rig.still(SPEED)
    y[layout.RATE_BODY] = 0.01
    times = np.linspace(0.0, 6.0 * math.pi / wanted, 200)
    found = rig.run(y, times[-1], times).y
    phase = np.unwrap(np.arctan2(found[layout.RATE_BODY + 1], found[layout.RATE_BODY]))
    evidence(
        f"nutation, {wanted / SPEED:.2f} of the rotor's speed",
        abs(phase[-1] - phase[0]) / times[-1],
        wanted,
        1e-4,
        unit="rad/s",
    )
