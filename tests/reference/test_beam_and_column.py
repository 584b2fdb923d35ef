"""Sticks pressed, turned and bent: the handbook formulas that strength of a craft is reckoned by, against figures from elsewhere.

Source : references.md 7 [C] (L. Euler; A. G. Greenhill; secant formula; Saint-Venant), 7.2 [M] (table of torsion of rectangles).
Broken : tried, failed: ends taken as clamped (4 times the load), Greenhill's moment without the 2, alpha and beta exchanged.
"""

from __future__ import annotations

import math

import pytest
from scipy.integrate import solve_bvp

from paddlebar.craft.strength.beams import euler_load, euler_with_torque, rectangle_section, saint_venant, secant

pytestmark = [
    pytest.mark.reference,
    pytest.mark.phenomenon(
        "beam and column",
        source="7",
        conditions="square balsa stick, pinned, 250 mm, E 3.4 GPa",
        why="last digit of the figure",
    ),
]


@pytest.mark.parametrize(("side_mm", "newton"), [(3.0, 3.62), (4.0, 11.45), (5.0, 27.96)])
def test_euler_load_of_a_square_balsa_stick(evidence, side_mm, newton):
    side = 1e-3 * side_mm
    load = euler_load(3.4e9 * rectangle_section(side, side).inertia, 0.25)
    evidence(f"buckling load, {side_mm:g} mm", load, newton, absolute=0.005, unit="N")


def test_torque_alone_buckles_at_greenhills_moment(evidence):
    """The 3 mm stick, Mcr = 2 pi E I/L = .577 N m; half of each load: n/2 + n^2/4 = 1 -> n = sqrt(5) - 1."""
    stiffness = 3.4e9 * rectangle_section(3e-3, 3e-3).inertia
    evidence("buckling torque, 3 mm", euler_with_torque(0.0, 1.0, stiffness, 0.25), 0.577, absolute=0.0005, unit="N m")
    evidence(
        "buckling load, 3 mm, no torque", euler_with_torque(1.0, 0.0, stiffness, 0.25), 3.62, absolute=0.005, unit="N"
    )
    half = euler_with_torque(0.5 * euler_load(stiffness, 0.25), 0.5 * 2.0 * math.pi * stiffness / 0.25, stiffness, 0.25)
    evidence("factor to buckling under half of either load", half, math.sqrt(5.0) - 1.0, 1e-12, why="exact")
    assert euler_with_torque(0.0, 0.0, stiffness, 0.25) == math.inf


@pytest.mark.phenomenon(source="7.2", conditions="rectangle", why="last digit of the table")
@pytest.mark.parametrize(
    ("ratio", "alpha", "beta"),
    [(1.0, 0.208, 0.1406), (1.5, 0.231, 0.196), (2.0, 0.246, 0.229), (3.0, 0.267, 0.263), (10.0, 0.312, 0.312)],
)
def test_torsion_of_a_rectangle(evidence, ratio, alpha, beta):
    got = saint_venant(ratio)
    evidence(f"torsion modulus over a b^2, sides 1 : {ratio:g}", got[0], alpha, absolute=0.00055)
    evidence(f"torsion constant over a b^3, sides 1 : {ratio:g}", got[1], beta, absolute=0.00055)


def test_twist_and_shear_of_a_square_stick(evidence):
    """1 mN m in 3 mm: .178 MPa; 250 mm at G 150 MPa: .146 rad."""
    section = rectangle_section(3e-3, 3e-3)
    about = "3 mm square, 1 mN m"
    evidence("shear stress", 1e-3 / section.torsion_modulus, 0.178e6, absolute=0.0005e6, unit="Pa", conditions=about)
    twist = 1e-3 * 0.25 / (150e6 * section.torsion)
    evidence("twist of 250 mm at G 150 MPa", twist, 0.146, absolute=0.0005, unit="rad", conditions=about)


@pytest.mark.phenomenon(
    conditions="E I 0.1 N m^2, 200 mm, pressed 5 mm beside the axis", why="tolerance of the boundary-value solver"
)
@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_secant_moment_is_the_beam_equation_solved(evidence, share):
    """E I y'' = -P (y + e), y = 0 at both ends, solved by scipy's boundary-value solver."""
    stiffness, length, offset = 0.1, 0.2, 5e-3
    pull = share * euler_load(stiffness, length)
    k2 = pull / stiffness

    def slope(x, y):
        return [y[1], -k2 * (y[0] + offset)]

    found = solve_bvp(
        slope, lambda a, b: [a[0], b[0]], [0.0, 0.5 * length, length], [[0.0, offset, 0.0], [0.0, 0.0, 0.0]], tol=1e-8
    )
    middle = pull * (float(found.sol(0.5 * length)[0]) + offset)
    moment = secant(pull, offset, stiffness, length)
    evidence(f"greatest moment at {share:g} of the buckling load, secant formula", moment, middle, 1e-6, unit="N m")
