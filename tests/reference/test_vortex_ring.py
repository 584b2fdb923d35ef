"""Induced velocity in descent through the vortex ring to the windmill, against measurement.

Source : W. Castles Jr., R. B. Gray, NACA TN 2474 (1951), Table I, 6-ft untwisted rotor, medians of ten runs; references.md 3.2
         ([T] the runs, [C] the medians). lambda1 = vi/vh, lambda2 = rate of descent over vh.
Kind   : the program's curve was MADE from these medians (it is no prediction). What is tested is that it arrives: through the
         division by vi, the cubic between nodes, and the equation of motion of the inflow.
Allowed: 20 % of the medians up to 1.5 (their own spread is 5 to 15 %), peak 2.0 to 2.6 at 1.3 to 1.6, no jump over 0.4 in steps
         of 0.05.
Broken : tried, failed: peak of the table lowered to 1.8, momentum theory kept through the ring, climb counted twice. The first
         curve of the program failed test_single_valued (three inflows at 2.20 to 2.36 vh) and test_no_jump (0.46).
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from paddlebar.physics.inflow import axial_flow, uniform_rate

pytestmark = [
    pytest.mark.reference,
    pytest.mark.phenomenon(
        "descent inflow",
        source="3.2",
        conditions="steady vertical descent; the curve was made from these medians",
        why="the runs' own spread is 5 to 15 %",
    ),
]

MEDIANS = [
    (0.0, 1.05), (0.20, 1.21), (0.40, 1.47), (0.60, 1.62), (0.90, 1.87), (1.05, 2.11), (1.20, 2.21), (1.35, 2.38), (1.50, 2.52),
    (1.57, 2.42), (1.65, 1.84), (1.80, 1.64), (1.94, 1.43), (2.10, 1.28), (2.35, 1.00),
]  # fmt: skip
# lowest and highest of the runs beyond the peak
SPREAD = {
    1.57: (2.26, 2.53),
    1.65: (1.50, 2.29),
    1.80: (1.42, 1.74),
    1.94: (1.22, 1.81),
    2.10: (1.09, 1.62),
    2.35: (0.97, 1.02),
}


def excess(v: float, descent: float) -> float:
    """Momentum that v takes less the thrust, v V_eff - 1, everything over vh."""
    return v * axial_flow(v, -descent, 0.0) - 1.0


def induced(descent: float) -> float:
    return brentq(excess, 0.05, 4.0, args=(descent,), xtol=1e-12)


@pytest.mark.parametrize(("descent", "median"), [row for row in MEDIANS if row[0] <= 1.5])
def test_medians(evidence, descent, median):
    """20 %. Seen: 0 at the nodes, -4.8 % in hover, where momentum theory (1) is kept."""
    evidence(f"vi/vh at {descent} vh of descent", induced(descent), median, 0.20)


@pytest.mark.parametrize(("descent", "median"), [row for row in MEDIANS if row[0] > 1.5])
def test_beyond_the_peak(evidence, descent, median):
    """Inside what single runs gave. Seen: 2.28 and 1.95 at 1.57 and 1.65, whose medians the program moved within that range (see
    physics/inflow.py); the other medians met."""
    low, high = SPREAD[descent]
    got = induced(descent)
    print(f"median {median}")
    evidence(f"vi/vh at {descent:g} vh of descent", got, (low, high), why="lowest and highest of the runs")


def test_peak(evidence):
    """2.0 to 2.6 at 1.3 to 1.6. Seen: 2.52 at 1.50."""
    descent = np.arange(0.0, 3.0, 0.005)
    v = np.array([induced(d) for d in descent])
    evidence("greatest vi/vh in descent", v.max(), (2.0, 2.6), why="about the highest median, 2.52 at 1.50")
    evidence(
        "rate of descent over vh where vi is greatest", descent[v.argmax()], (1.3, 1.6), why="about the highest median"
    )


def test_single_valued():
    """At each rate of descent the momentum rises with v, so that one v carries the thrust, from hover to fast windmilling."""
    v = np.linspace(0.02, 4.0, 4000)
    for descent in np.arange(0.0, 4.0, 0.05):
        sign = np.sign([excess(each, descent) for each in v])
        assert np.count_nonzero(np.diff(sign)) == 1, f"several inflows at {descent:.2f} vh"


def largest_step(step: float) -> float:
    return float(np.abs(np.diff([induced(d) for d in np.arange(0.0, 4.0, step)])).max())


def test_continuous():
    """A jump would stay when the steps shrink; here the largest one shrinks in proportion. Seen: 0.26 for
    steps of a quarter."""
    assert largest_step(0.00025) < 0.3 * largest_step(0.001)


def test_no_jump():
    """Steps of 0.05 vh change vi by less than 0.4 vh (references.md). Seen: 0.32, where the measured curve falls."""
    print(f"largest step {largest_step(0.05):.3f}")
    assert largest_step(0.05) < 0.4


def test_the_equation_of_motion_rests_there():
    """Steady state of uniform_rate is the curve (1e-9), and it is stable: more inflow decays."""
    rho, radius = 1.225, 0.2
    thrust = 2.0 * rho * np.pi * radius**2
    for descent in (0.3, 1.0, 1.5, 1.7, 2.0, 2.5):
        v = induced(descent)
        assert abs(uniform_rate(v, -descent, 0.0, thrust, rho, radius)) < 1e-9
        more, less = (uniform_rate(v + d, -descent, 0.0, thrust, rho, radius) for d in (0.01, -0.01))
        assert more < 0.0 < less
