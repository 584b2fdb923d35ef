"""Where the bar tips the disc: direction and size against the closed form.

Source : references.md 4.4 [C]. Bar level in space, body nose-up by th, arm leading its blade by L, k degrees of pitch a degree of tilt:
         beta_1c = k th sin L (nose-down, restoring), beta_1s = k th cos L; 90 deg is the textbook's right-angle bar.
How    : whole right-hand side, counter-clockwise and clockwise, teetering head. The bar is free: heavy and without air or friction, it
         keeps its plane by itself (test_bar_following.py), and the blades' feathering moments pull at it as they do in flight. The body is
         turned nose-up under it and held, shaft at its speed, inflow frozen.
Allowed: amplitude 1 %, direction 0.5 deg.
Broken : tried, failed: sign of the lead (all but L = 0), sign of the gain, w x Jw left out.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from paddlebar.flight import layout
from reference.rig import Rig, craft

pytestmark = [
    pytest.mark.reference,
    pytest.mark.phenomenon(
        "bar, phase",
        source="4.4",
        conditions="bar kept level by its own inertia, body turned nose-up and held, teetering head, frozen inflow",
        why="angles not small; own choice",
    ),
]

SPEED, NOSE_UP = (
    48.0,
    math.radians(0.4),
)  # small: at A rad a bar on a turning shaft is A^2/4 slower, test_bar_following.py


def disc_tilt(
    lead_deg: float, gain: float, turns: str = "counter-clockwise", pitch_deg: float = 0.0
) -> tuple[float, float, float]:
    """(beta_1c, beta_1s) over |k| th, and how far the bar's plane left the level meanwhile [deg]."""
    rig = Rig(
        craft(
            shaft={"turns": turns},
            rotor={"chord_mm": 20, "blade_mass_g": 0.5},
            head={"kind": "teetering", "stop_deg": 85},
            bar={
                "kind": "seesaw", "lead_deg": lead_deg, "gain": gain, "arm_mm": 120, "wire_diameter_mm": 1e-6, "wire_mass_g": 0,
                "tip_mass_g": 100.0, "tip_diameter_mm": 0, "stop_deg": 85,
            },
        ),
        slope=5.0,
    )  # fmt: skip
    rig.p.el_pitch[:] = math.radians(pitch_deg)
    lead, period = math.radians(lead_deg), 2.0 * math.pi / SPEED
    # everything starts level and at rest in space; then the body is turned nose-up at a steady rate for ten turns, and stops
    rate = NOSE_UP / (10.0 * period)
    y = rig.still(SPEED)
    y[layout.RATE_BODY + 1] = rate
    y[layout.BAR_RATE] = rate * math.cos(lead)  # nose-up sinks the tail: seen from there, what stays where it is rises
    y[layout.FLAP + 1] = rate
    y = rig.run(y, 10.0 * period).y[:, -1]
    psi = y[layout.ROTOR_AZIMUTH]
    y[layout.RATE_BODY + 1] = 0.0
    y[layout.BAR_RATE] -= rate * math.cos(psi + lead)
    y[layout.FLAP + 1] -= rate * math.cos(psi)
    y[layout.ROTOR_AZIMUTH] = math.remainder(psi, 2.0 * math.pi)
    _, cos, sin = rig.flapping(y, 12.0)
    last = rig.run(y, 12.0 * period).y[:, -1]
    psi = last[layout.ROTOR_AZIMUTH] + lead
    off = last[layout.BAR_ANGLE] - NOSE_UP * math.cos(psi)
    return cos / (abs(gain) * NOSE_UP), sin / (abs(gain) * NOSE_UP), math.degrees(off)


@pytest.mark.parametrize("turns", ["counter-clockwise", "clockwise"])
@pytest.mark.parametrize("lead_deg", [90.0, 120.0, 45.0, 0.0, 270.0, -60.0])
@pytest.mark.parametrize("gain", [0.5, 1.0])
def test_direction_and_size(evidence, lead_deg, gain, turns):
    cos, sin, off = disc_tilt(lead_deg, gain, turns)
    size, direction = math.hypot(cos, sin), math.degrees(math.atan2(cos, sin))
    error = (direction - lead_deg + 180.0) % 360.0 - 180.0
    print(f"L {lead_deg}, k {gain}, {turns}: bar off level {off:+.4f} deg")
    about = f"lead {lead_deg:g} deg, gain {gain:g}, {turns}"
    evidence(f"tilt of the disc over gain times tilt of the body, {about}", size, 1.0, absolute=0.01)
    evidence(f"direction of the disc's tilt, {about}", lead_deg + error, lead_deg, absolute=0.5, unit="deg")


def test_reversed_link_destabilises(evidence):
    """Negative gain at L = 90: the disc leans back, exactly the other way."""
    cos, sin, _ = disc_tilt(90.0, -0.8)
    evidence("beta_1c over gain times tilt, reversed link", cos, -1.0, absolute=0.01)
    assert abs(sin) < 0.01


def test_collective_does_not_turn_the_phase(evidence):
    """In any wake-free run: with 8 deg of collective and no inflow the direction stays within 0.5 deg, the size within 1 %."""
    still = np.array(disc_tilt(90.0, 0.8)[:2])
    lifting = np.array(disc_tilt(90.0, 0.8, pitch_deg=8.0)[:2])
    print(f"no lift {still}, 8 deg {lifting}")
    turned = math.degrees(math.atan2(lifting[1], lifting[0]))
    evidence("direction off, 8 deg of collective", turned, 0.0, absolute=0.5, unit="deg")
    evidence(
        "tilt of the disc over gain times tilt of the body, 8 deg of collective",
        math.hypot(*lifting),
        1.0,
        absolute=0.01,
    )
