"""The bar alone on a turning shaft: plane fixed in space, following time, damping of paddles, flat bars.

Source : references.md 4.1 [C], items 1 to 5: I b'' + c b' + I Omega^2 sin b cos b = 0 for a slender seesaw bar; following time 2 I/c; paddles
         c = 1/2 rho a c_p Omega 2 (r2^4 - r1^4)/4, tau = 16/(gamma_bar Omega).
How    : whole right-hand side; body held, at rest or at a steady rate, shaft at its speed, blades of next to no mass and no air, so that only
         the bar is left.
Broken : tried, failed: paddle damping halved, hinge damper halved, w x Jw left out, sign of the lead (steady rate).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import ellipk

from paddlebar.flight import layout
from reference.rig import Rig, craft

pytestmark = [
    pytest.mark.reference,
    pytest.mark.phenomenon(
        "bar, following rate",
        source="4.1",
        conditions="seesaw bar, 2 x 1 g at 80 mm, Omega 48 rad/s, body held",
        why="own choice",
    ),
]

SPEED = 48.0
PERIOD = 2.0 * math.pi / SPEED
ROWS = [layout.BAR_ANGLE, layout.BAR_RATE]
# two grams at 80 mm, wire of no mass and no drag: I = 1.28e-5
ARM, TIP = 0.080, 1e-3
INERTIA = 2.0 * TIP * ARM**2
PLAIN = {
    "kind": "seesaw", "lead_deg": 90, "gain": 0, "arm_mm": 80, "wire_diameter_mm": 1e-6, "wire_mass_g": 0, "tip_mass_g": 1.0,
    "tip_diameter_mm": 0, "stop_deg": 85,
}  # fmt: skip


def rig(air: bool = False, **bar) -> Rig:
    found = Rig(craft(rotor={"blade_mass_g": 1e-7}, bar={**PLAIN, **bar}), slope=4.0)
    if not air:
        found.vacuum()
    found.p.el_half_area[:] = 0.0
    found.p.paddle_slope = 1.0  # the slope of the table is meant for the paddle as it is
    return found


def start(of: Rig, tilt: float) -> np.ndarray:
    """Bar plane tilted against the shaft so that arm 1 (which leads blade 1 by 90 deg) is up by `tilt` at azimuth 0, at rest in space."""
    y = of.still(SPEED)
    y[layout.BAR_ANGLE] = tilt
    return y


def plane(found, lead: float = math.pi / 2.0) -> tuple[np.ndarray, np.ndarray]:
    """Tilt of the bar's plane about two axes fixed to the body: bar angle = a cos(psi + lead) + b sin(psi + lead)."""
    y = found.y
    psi = y[layout.ROTOR_AZIMUTH] + lead
    rate = y[layout.BAR_RATE] / SPEED
    return y[layout.BAR_ANGLE] * np.cos(psi) - rate * np.sin(psi), y[layout.BAR_ANGLE] * np.sin(psi) + rate * np.cos(
        psi
    )


def test_frequency_is_the_shafts(evidence):
    """Item 1. No damping, no air: small-amplitude frequency Omega exactly. 1e-9."""
    roots = np.linalg.eigvals(rig().jacobian(start(rig(), 0.0), ROWS, 1e-6))
    evidence(
        "frequency of the free bar over Omega",
        np.abs(roots.imag).max() / SPEED,
        1.0,
        absolute=1e-9,
        why="exact; differences",
    )
    assert np.abs(roots.real).max() < 1e-9 * SPEED


def test_plane_stays_put_in_space(evidence):
    """Item 1. Over 100 turns the plane of a bar tilted by 0.3 deg drifts less than 0.01 deg. Seen: 0.0013 deg."""
    of = rig()
    tilt = math.radians(0.3)
    a, b = plane(of.run(start(of, tilt), 100.0 * PERIOD, np.linspace(0.0, 100.0 * PERIOD, 401)))
    drift = np.degrees(np.hypot(a - a[0], b - b[0]))
    evidence(
        "drift of the bar's plane over 100 turns, tilt 0.3 deg",
        drift.max(),
        0.0,
        absolute=0.01,
        unit="deg",
        why="a tilted bar creeps by A^2/4 a turn: 0.0012 deg here, and own choice",
    )


@pytest.mark.parametrize("degrees", [5.0, 15.0, 30.0])
def test_period_at_large_tilt(evidence, degrees):
    """The whole closed form, b'' + Omega^2 sin b cos b = 0: a pendulum in 2b, period 4 K(sin^2 A)/Omega (quarter periods K). 1e-6.

    A bar on a turning shaft is thus slower by A^2/4 when it tilts far: its plane creeps round.
    """
    of = rig()
    y = start(of, math.radians(degrees))
    period = 4.0 * ellipk(math.sin(math.radians(degrees)) ** 2) / SPEED
    found = of.run(y, 10.0 * period, np.array([10.0 * period]))
    evidence(
        f"tilt after ten periods 4 K/Omega from {degrees:g} deg",
        found.y[layout.BAR_ANGLE, -1],
        y[layout.BAR_ANGLE],
        1e-6,
        unit="rad",
        why="solver's tolerance",
    )
    assert abs(found.y[layout.BAR_RATE, -1]) < 1e-4 * SPEED * y[layout.BAR_ANGLE]


@pytest.mark.parametrize("damping_mn_m_s", [0.01, 0.05, 0.2])
def test_damper_in_the_hinge(evidence, damping_mn_m_s):
    """Item 2. Roots -c/2I +- i Omega (1 - (c/2I Omega)^2)^0.5; 1e-6. Following time 2 I/c as seen from the ground; 1 %."""
    of = rig(damping_mN_m_s=damping_mn_m_s)
    c = 1e-3 * damping_mn_m_s
    decay = 0.5 * c / INERTIA
    roots = np.linalg.eigvals(of.jacobian(start(of, 0.0), ROWS, 1e-6))
    want = complex(-decay, SPEED * math.sqrt(1.0 - (decay / SPEED) ** 2))
    assert roots.real == pytest.approx(want.real, rel=1e-6)
    assert np.abs(roots.imag).max() == pytest.approx(want.imag, rel=1e-6)
    evidence(
        f"root of the damped bar, {damping_mn_m_s:g} mN m s",
        complex(roots[roots.imag.argmax()]),
        want,
        1e-6,
        unit="1/s",
        why="differences",
    )
    # two moments a whole number of swings apart and about a following time: in between, the size of a damped swing beats
    swing = 2.0 * math.pi / math.sqrt(SPEED**2 - decay**2)
    count = max(1, round(2.0 * INERTIA / c / swing))
    times = swing * np.array([1.0, 1.0 + count])
    a, b = plane(of.run(start(of, math.radians(0.5)), times[-1], times))
    size = np.hypot(a, b)
    evidence(
        f"following time, damper {damping_mn_m_s:g} mN m s",
        (times[1] - times[0]) / math.log(size[0] / size[1]),
        2.0 * INERTIA / c,
        0.01,
        unit="s",
    )


PADDLES = {"paddle_span_mm": 30, "paddle_chord_mm": 15, "paddle_centre_mm": 80, "paddle_mass_g": 0}


def following_time(of: Rig, inflow: float = 0.0) -> float:
    y = start(of, 0.0)
    y[layout.INFLOW] = inflow
    return -1.0 / float(np.mean(np.linalg.eigvals(of.jacobian(y, ROWS)).real))


def test_following_time_of_paddles(evidence):
    """Item 3. The example: paddles 15 mm chord from 65 to 95 mm, a 4, Omega 48, rho 1.225: gamma_bar .7304, tau .456 s; 1 %."""
    of = rig(air=True, **PADDLES)
    gamma = 2.0 * 1.225 * 4.0 * 0.015 * (0.095**4 - 0.065**4) / INERTIA
    assert gamma == pytest.approx(0.7304, abs=1e-3)
    evidence("following time of paddles 15 x 30 mm at 80 mm", following_time(of), 0.456, 0.01, unit="s")


@pytest.mark.parametrize("inflow", [0.2, 0.5])
def test_wake_leaves_following_time_alone(evidence, inflow):
    """Item 3. To first order the inflow does not matter. 3 %: it is second order in inflow angle, here 0.05 and 0.13."""
    of = rig(air=True, **PADDLES)
    evidence(
        f"following time at {inflow:g} m/s of inflow over that in still air",
        following_time(of, inflow) / following_time(of),
        1.0,
        0.03,
        why="second order in the inflow angle",
    )


def test_short_paddle_follows_more_slowly(evidence):
    """Item 3 with the lift slope of a short wing (Helmbold, references.md 2.1 [C]): aspect ratio 2 has 2.603 of 2 pi; 1 %."""
    long_, short = rig(air=True, **PADDLES), rig(air=True, **PADDLES)
    short.p.paddle_slope = 2.603 / (2.0 * math.pi)
    fresh = Rig(craft(rotor={"blade_mass_g": 1e-7}, bar={**PLAIN, **PADDLES}), slope=4.0)
    assert fresh.p.paddle_slope == pytest.approx(short.p.paddle_slope, rel=1e-3)
    evidence(
        "following time, aspect ratio 2 over infinite",
        following_time(short) / following_time(long_),
        2.0 * math.pi / 2.603,
        0.01,
        source="4.1, 2.1",
    )


@pytest.mark.parametrize("incidence", [0.0, 30.0, 60.0])
def test_flat_paddles_change_the_frequency(evidence, incidence):
    """Item 4. frequency/Omega = ((Iz - Ix)/Iy)^0.5 with principal inertias: 1 while bar and paddles lie in one plane. 1e-6.

    Paddles 2 x 1 g, span 30, chord 15 mm at 80 mm, turned by their incidence; what the two tilts share in Iyz cancels.
    """
    of = rig(**{**PADDLES, "paddle_mass_g": 1.0, "paddle_incidence_deg": incidence})
    s, c = math.sin(math.radians(incidence)), math.cos(math.radians(incidence))
    m, chord, span = 2e-3, 0.015, 0.030
    ix = m * chord**2 / 12.0
    iy = INERTIA + m * (ARM**2 + (span**2 + (s * chord) ** 2) / 12.0)
    iz = INERTIA + m * (ARM**2 + (span**2 + (c * chord) ** 2) / 12.0)
    roots = np.linalg.eigvals(of.jacobian(start(of, 0.0), ROWS, 1e-6))
    want = math.sqrt((iz - ix) / iy)
    evidence(
        f"frequency over Omega of flat paddles at {incidence:g} deg",
        np.abs(roots.imag).max() / SPEED,
        want,
        1e-6,
        why="differences",
    )
    assert want == 1.0 if incidence == 0.0 else want < 1.0


def test_steady_rate_of_the_shaft(evidence):
    """Item 5. Shaft rate q: the bar trails by q tau, plus q/Omega across, in 3.5 item 2's form; 1 %.

    Nose-up rate: trailing is high over the tail (cos psi), q/Omega is up at psi = 90. Paddles of the example, tau .456 s.
    """
    of = rig(air=True, **PADDLES)
    q = 0.02
    y = start(of, 0.0)
    y[layout.RATE_BODY + 1] = q
    span = 8.0 * 0.456
    a, b = plane(of.run(y, span, np.array([span])), math.pi / 2.0)
    # plane() speaks of arm 1 at azimuth psi + lead, so its cosine is the part over the tail
    evidence("trail of the bar over the shaft's rate q", a[-1] / q, following_time(of), 0.01, unit="s")
    evidence("tilt of the bar across the rate, times Omega/q", b[-1] * SPEED / q, 1.0, 0.01)
