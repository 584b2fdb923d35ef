"""Thrust and torque of a 9-inch two-blade rotor at Re 19,400 to 74,500, the measured case nearest to these craft.

Source : R. W. Deters, G. K. Ananda, M. S. Selig, "Reynolds Number Effects on the Performance of Small-Scale Propellers",
         AIAA 2014-2151 (2014), blade DA4002 9 x 6.75, static and advancing tables, measured geometry; references.md 1.1,
         [P] the paper's figures, [T] the numbers (one transcription; the static ones agree in two).
Rotor  : on the stand the axis is the propeller's; its advance ratio J is climb V = J n D. Air at 15 degrees (nu 1.4607e-5).
Section: the blades have SDA1075, 12.0 % thick, which the program has not; "thin aerofoil" (RG15, 8.9 % thick, measured from
         Re 60k up) stands in, with stall delay. Nothing was fitted. So a few per cent of agreement are luck, the trend is not.
Allowed: CT 15 %, CQ 20 %, as references.md advises for measured section tables; 10 %/15 % above Re 45k. Climb: errors over the
         static value, since near zero thrust a relative error has no meaning.
         Its drag is raised by what Hoerner's form factor 1 + 2 t/c + 60 (t/c)^4 says of 12.0 against 8.9 % (from memory): 6 %. At these
         Re a thicker section loses more than that by its bubble, which no formula at hand gives: a lower bound.
Why no table of SDA1075: its coordinates are known (references.md 1.1b), a polar of it is not. No section that was measured shares its
         thickness of 12 % and its camber of 2.1 %, and a computed one errs where it matters: the surrogate put RG15's zero lift
         1.2 deg too high at Re 60k.
Seen   : static CT -2.5 ... +8.5 %, CQ -8.7 ... -1.3 %, FM +5.6 ... +17.9 % (power too low for the thrust). Without the 6 % FM was +20.4 %.
Broken : tried, failed: momentum of the rings halved or doubled, no tip loss, no stall delay, no section drag in the torque.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from paddlebar.files.scenario import Air, Run
from paddlebar.whirl_stand import StandPoint, stand, stand_range
from reference.rig import craft

pytestmark = [
    pytest.mark.reference,
    pytest.mark.phenomenon(
        "hover, thrust and torque",
        source="1.1",
        conditions="DA4002 9 x 6.75 in, 2 blades, thin aerofoil stands in for SDA1075; climb: error over static",
        why="15 and 20 % are what measured section tables allow below Re 45k, 10 and 15 % above",
    ),
]

RADIUS_MM = 114.3
DIAMETER = 2e-3 * RADIUS_MM
# r/R, c/R, beta [deg]
GEOMETRY = np.array(
    [
        (0.15, 0.1198, 42.481), (0.20, 0.1128, 44.647), (0.25, 0.1436, 41.154), (0.30, 0.1689, 37.475), (0.35, 0.1775, 34.027),
        (0.40, 0.1782, 30.549), (0.45, 0.1773, 27.875), (0.50, 0.1782, 25.831), (0.55, 0.1790, 23.996), (0.60, 0.1787, 22.396),
        (0.65, 0.1787, 21.009), (0.70, 0.1786, 19.814), (0.75, 0.1785, 18.786), (0.80, 0.1790, 17.957), (0.85, 0.1792, 17.245),
        (0.90, 0.1792, 16.657), (0.95, 0.1692, 13.973), (1.00, 0.0154, 2.117),
    ]
)  # fmt: skip
# rpm, CT, CQ, FM
STATIC = [
    (1546.7, 0.01625, 0.003631, 0.403), (1700.0, 0.01642, 0.003646, 0.408), (2053.3, 0.01665, 0.003607, 0.421),
    (2503.3, 0.01697, 0.003610, 0.433), (2946.7, 0.01712, 0.003554, 0.446), (3526.7, 0.01715, 0.003426, 0.464),
    (3940.0, 0.01741, 0.003387, 0.479), (4443.3, 0.01746, 0.003203, 0.509), (4930.0, 0.01781, 0.003233, 0.520),
    (5430.0, 0.01793, 0.003251, 0.522), (5943.3, 0.01812, 0.003288, 0.524),
]  # fmt: skip
# rpm: J, CT_p, CP_p (propeller coefficients)
CLIMB = {
    3030.0: [
        (0.2027, 0.1163, 0.0774), (0.3183, 0.1048, 0.0724), (0.4178, 0.0914, 0.0678), (0.5183, 0.0735, 0.0604),
        (0.6358, 0.0533, 0.0511), (0.7343, 0.0305, 0.0364), (0.8368, 0.0056, 0.0177), (0.8875, -0.0049, 0.0090),
    ],
    5046.0: [  # 5028 and 5064 rpm
        (0.1240, 0.1302, 0.0766), (0.2182, 0.1229, 0.0747), (0.3121, 0.1115, 0.0728), (0.4044, 0.0983, 0.0695),
        (0.5008, 0.0826, 0.0643), (0.5938, 0.0638, 0.0557), (0.6894, 0.0452, 0.0459), (0.7837, 0.0255, 0.0329),
        (0.8763, 0.0036, 0.0155), (0.9145, -0.0056, 0.0076),
    ],
}  # fmt: skip
CT_FACTOR, CP_FACTOR = 4.0 / math.pi**3, 4.0 / math.pi**4  # references.md, conventions [C]
AIR = Air(temperature_C=15.0)


def form_factor(thickness: float) -> float:
    """Drag of a section over the friction of its two sides (S. F. Hoerner, Fluid-Dynamic Drag, 1965, from memory) [1]."""
    return 1.0 + 2.0 * thickness + 60.0 * thickness**4


THICKER = form_factor(0.1199) / form_factor(0.089)  # of SDA1075 over RG15, references.md 1.1b [C]


@pytest.fixture(scope="module")
def blade():
    stations = [
        {"radius_mm": r * RADIUS_MM, "chord_mm": c * RADIUS_MM, "pitch_deg": beta} for r, c, beta in GEOMETRY.tolist()
    ]
    return craft(
        rotor={
            "radius_mm": RADIUS_MM, "root_mm": 0.15 * RADIUS_MM, "collective_deg": 0, "section": "thin aerofoil",
            "station": stations, "drag_factor": THICKER,
        }
    )  # fmt: skip


@pytest.fixture(scope="module")
def static(blade) -> list[StandPoint]:
    return stand_range(blade, [rpm for rpm, *_ in STATIC], air=AIR)


def test_reynolds_numbers_are_those_of_the_paper(evidence, static):
    """[T] Re of the chord at 0.75 R on its turning speed, given to three figures."""
    for point, published in zip(static[::5], (19_400, 44_200, 74_500), strict=True):
        evidence(
            f"Re of the chord at 0.75 R, {point.rpm:.0f} rpm",
            point.reynolds_75,
            published,
            0.004,
            why="printed to three figures",
        )


@pytest.mark.parametrize("k", range(len(STATIC)))
def test_static_thrust_and_torque(evidence, static, k):
    """[T] 15 %/20 % up to Re 45k, 10 %/15 % above: references.md 1.1, "how to use it" item 2."""
    rpm, ct, cq, _ = STATIC[k]
    high = static[k].reynolds_75 > 45e3
    evidence(f"CT at {rpm:.0f} rpm, Re {static[k].reynolds_75:.0f}", static[k].CT, ct, 0.10 if high else 0.15)
    evidence(f"CQ at {rpm:.0f} rpm, Re {static[k].reynolds_75:.0f}", static[k].CQ, cq, 0.15 if high else 0.20)


def test_figure_of_merit_rises_with_reynolds_number(evidence, static):
    """[T] Measured at every step (0.403 ... 0.524). Slope on ln Re between 0.5 and 1.6 times the measured one."""
    merit = [point.figure_of_merit for point in static]
    assert all(np.diff(merit) > 0.0)
    ln_re = np.log([point.reynolds_75 for point in static])
    computed, measured = (float(np.polyfit(ln_re, y, 1)[0]) for y in (merit, [row[3] for row in STATIC]))
    evidence(
        "slope of the figure of merit on ln Re",
        computed,
        measured,
        (-0.5, 0.6),
        why="half to 1.6 times the measured slope: another section",
    )


@pytest.mark.parametrize("k", range(len(STATIC)))
def test_figure_of_merit(evidence, static, k):
    """Allowed 20 % in FM, half of what 15 % in CT and 20 % in CQ may add up to. All too high, by 6 to 18 %: a rotor of this section is
    promised too little power."""
    rpm, _, _, fm = STATIC[k]
    evidence(
        f"figure of merit at {rpm:.0f} rpm, Re {static[k].reynolds_75:.0f}",
        static[k].figure_of_merit,
        fm,
        0.20,
        why="half of what CT and CQ may add up to",
    )


@pytest.mark.phenomenon(
    why="another section: a fifth to a third below Re 20k, 10 % above; 31 and 2 % by SDA1075's own polar"
)
def test_two_dimensional_polars_fall_short(evidence, blade, static):
    """[C] of references.md 1.1 item 3: with two-dimensional polars thrust is 31 % short at Re 16k, 23 % at 29k, 2 % at 75k.

    With another section the same defect must show where the layer is laminar, a fifth to a third, and vanish above.
    Seen: -23.6 % at 19k, -5.8 % at 74k.
    """
    off = stand_range(blade, [STATIC[0][0], STATIC[-1][0]], air=AIR, run=Run(blade_elements=40, stall_delay=False))
    evidence(
        f"CT without stall delay at {off[0].rpm:.0f} rpm, Re {off[0].reynolds_75:.0f}",
        off[0].CT,
        STATIC[0][1],
        (-1.0 / 3.0, -0.2),
    )
    evidence(
        f"CT without stall delay at {off[1].rpm:.0f} rpm, Re {off[1].reynolds_75:.0f}", off[1].CT, STATIC[-1][1], 0.10
    )
    assert off[0].CT < static[0].CT


def climb_points(blade, rpm: float) -> list[tuple[float, StandPoint, float, float, StandPoint]]:
    """J, computed point, measured CT and CQ, computed static point: a climb's errors are taken over the last."""
    still = stand(blade, rpm, air=AIR)
    found = []
    for j, ct_p, cp_p in CLIMB[rpm]:
        point = stand(blade, rpm, None, j * rpm / 60.0 * DIAMETER, air=AIR)
        found.append((j, point, ct_p * CT_FACTOR, cp_p * CP_FACTOR, still))
    return found


@pytest.mark.parametrize("rpm", CLIMB)
def test_climb_thrust(evidence, blade, rpm):
    """[T] 15 % of static thrust. Seen: +7.7 ... -11.6 % at 3030 rpm, +7.0 ... -14.2 % at 5046 rpm."""
    for j, point, ct, _, still in climb_points(blade, rpm):
        evidence(f"CT in climb, {rpm:.0f} rpm, J {j:g}", point.CT, ct, 0.15, still.CT)


@pytest.mark.parametrize("rpm", CLIMB)
def test_climb_torque_while_the_blade_lifts(evidence, blade, rpm):
    """[T] 20 % of static torque up to J 0.65 (half the zero-thrust climb and more). Seen: -0.2 ... -19.7 %."""
    for j, point, _, cq, still in climb_points(blade, rpm):
        if j < 0.65:
            evidence(f"CQ in climb, {rpm:.0f} rpm, J {j:g}", point.CQ, cq, 0.20, still.CQ)


NEAR_ZERO = [(rpm, *point) for rpm, points in CLIMB.items() for point in points if point[0] > 0.65]
MET = {(3030.0, 0.7343), (3030.0, 0.8368), (3030.0, 0.8875), (5046.0, 0.6894)}
EARLY = pytest.mark.xfail(
    raises=AssertionError,
    strict=True,
    reason="lift of the stand-in section vanishes at a lower J, and torque with it: scanned blade angles are good to 1.5 deg only",
)


@pytest.mark.parametrize(
    ("rpm", "j", "ct_p", "cp_p"), [pytest.param(*each, marks=[] if each[:2] in MET else [EARLY]) for each in NEAR_ZERO]
)
def test_climb_torque_near_zero_thrust(evidence, blade, rpm, j, ct_p, cp_p):
    """[T] Misses, kept: up to a quarter of static torque too low beyond J 0.65. The stand-in section's zero lift was 1.2 deg too high
    before it was measured, and six were missed."""
    point, still = stand(blade, rpm, None, j * rpm / 60.0 * DIAMETER, air=AIR), stand(blade, rpm, air=AIR)
    evidence(f"CQ in climb, {rpm:.0f} rpm, J {j:g}", point.CQ, cp_p * CP_FACTOR, 0.20, still.CQ)
