"""Hover of a long slender three-blade rotor: the clean test of ring-by-ring momentum with tip loss.

Source : W. Castles Jr., R. B. Gray, NACA TN 2474 (1951), 6-ft untwisted rotor, Tables V (hover) and VIII (lift slope);
         references.md 1.2 [T]. Blades NACA 0015, R 0.9144 m, c 47.95 mm, sigma 0.050, section from 0.169 R, no coning.
Section: lift slope as the report has it at 0.75 R, 5.90 /rad at 1200 rpm and 6.07 at 1600; drag as tabulated for NACA 0015 at Re 160,000
         (R. E. Sheldahl, P. C. Klimas, SAND80-2114 (1981), in a public transcription [T]; such rows of that report are synthesized, and at
         the rotor's Re 256k to 341k drag is less and rises less, both from memory). No stall delay: nothing stalls.
Allowed: CT 6 % from 6.5 to 10.4 deg (references.md). The report's angles of zero thrust are uncertain by 0.3 deg, which is 4 % of CT
         at 10 deg and 7 % at 6.5 deg; two points of ten lie outside and are kept as misses.
Seen   : CT -2.1 ... +2.9 % at the eight others, median +-1.4 %; dCQ median -5 %, worst -21 %; with constant drag -11, -26 %.
Broken : tried, failed: momentum halved (all eight points), doubled (all eight), no tip loss (two points).
"""

from __future__ import annotations

import numpy as np
import pytest

from paddlebar.files.scenario import Air, Run
from paddlebar.whirl_stand import stand
from reference.rig import craft, straight_section

pytestmark = [
    pytest.mark.reference,
    pytest.mark.phenomenon(
        "hover, thrust and torque",
        source="1.2",
        conditions="3 blades NACA 0015, R 0.914 m, sigma 0.050, Re 256k to 341k; lift slope of the report",
        why="two runs at like thrust differ by as much",
    ),
]

RADIUS_MM = 914.4
SLOPES = {1200.0: 5.90, 1600.0: 6.07}  # per rad, Table VIII
DRAG = (
    0.0115,
    0.0117,
    0.0120,
    0.0124,
    0.0132,
    0.0142,
    0.0160,
    0.0176,
    0.0193,
    0.0212,
    0.0233,
    0.0256,
)  # at 0 ... 11 deg [T]
RUN = Run(blade_elements=40, stall_delay=False)
AIR = Air(temperature_C=15.0)
# run, rpm, pitch [deg], CT, dCQ; Table V [T]
POINTS = [
    (15, 1200.0, 6.68, 0.00289, 0.000137), (15, 1200.0, 8.46, 0.00400, 0.000226), (15, 1200.0, 10.29, 0.00488, 0.000342),
    (39, 1200.0, 6.99, 0.00254, 0.000138), (39, 1200.0, 8.70, 0.00414, 0.000228), (39, 1200.0, 10.34, 0.00513, 0.000323),
    (16, 1600.0, 7.18, 0.00346, 0.000194), (16, 1600.0, 8.85, 0.00421, 0.000301),
    (41, 1600.0, 8.02, 0.00374, 0.000199), (41, 1600.0, 9.53, 0.00471, 0.000321),
]  # fmt: skip
MISSES = {
    (39, 6.99): "run 39 lies 12 % under run 15 here though its pitch is 0.3 deg more",
    (16, 7.18): "just outside; 0.3 deg of zero-thrust angle would explain it, which is no proof",
}
TORQUE_MISSES = {(16, 8.85): "run 16 asks for more torque than run 41 does at like thrust"}


@pytest.fixture(scope="module")
def rotors(tmp_path_factory):
    folder = tmp_path_factory.mktemp("sections")
    return {
        rpm: craft(
            rotor={
                "blades": 3, "radius_mm": RADIUS_MM, "root_mm": 0.169 * RADIUS_MM, "chord_mm": 47.95,
                "section": straight_section(folder, slope, lambda a: DRAG[min(abs(a), len(DRAG) - 1)], f"{rpm:.0f}"),
            }
        )
        for rpm, slope in SLOPES.items()
    }  # fmt: skip


def marked(point, misses):
    why = misses.get((point[0], point[2]))
    marks = [pytest.mark.xfail(raises=AssertionError, strict=True, reason=why)] if why else []
    return pytest.param(point, marks=marks, id=f"run {point[0]}, {point[2]} deg")


@pytest.mark.phenomenon(why="angle of zero thrust uncertain by 0.3 deg: 4 to 7 % of CT")
@pytest.mark.parametrize("point", [marked(point, MISSES) for point in POINTS])
def test_hover_thrust(evidence, rotors, point):
    """[T] within 6 %."""
    run, rpm, pitch, ct, _ = point
    evidence(
        f"CT, run {run}, {pitch} deg at 0.75R, {rpm:.0f} rpm",
        stand(rotors[rpm], rpm, pitch, air=AIR, run=RUN).CT,
        ct,
        0.06,
    )


def torque(rotors, point) -> float:
    """Torque coefficient above that at zero thrust, as the report has it."""
    _, rpm, pitch, _, _ = point
    at, zero = (stand(rotors[rpm], rpm, angle, air=AIR, run=RUN) for angle in (pitch, 0.0))
    return at.CQ - zero.CQ


@pytest.mark.parametrize("point", [marked(point, TORQUE_MISSES) for point in POINTS])
def test_hover_torque(evidence, rotors, point):
    """One miss, kept: run 16 asks for more torque than run 41 at like thrust. With constant drag both its points were missed."""
    evidence(f"dCQ, run {point[0]}, {point[2]} deg at 0.75R, {point[1]:.0f} rpm", torque(rotors, point), point[4], 0.20)


def test_hover_torque_in_the_middle(evidence, rotors):
    """Torque above that at zero thrust: median of ten within 20 % (references.md). Seen: -5 %; with constant drag -11 %."""
    ratio = np.median([torque(rotors, point) / point[4] for point in POINTS])
    evidence("dCQ computed over measured, median of ten points", ratio, 1.0, 0.20)
