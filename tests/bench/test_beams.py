"""Handbook formulas of rods against figures worked by hand and printed tables."""

from __future__ import annotations

import math

import pytest
from scipy.integrate import solve_bvp

from paddlebar.bench.beams import (
    euler_load,
    euler_with_torque,
    pressed_and_bent,
    rectangle_section,
    saint_venant,
    secant,
    tube_section,
)


@pytest.mark.reference
@pytest.mark.parametrize(("side_mm", "newton"), [(3.0, 3.62), (4.0, 11.45), (5.0, 27.96)])
def test_euler_load_of_a_square_balsa_stick(side_mm, newton):
    """references section 7 [C]: pinned, 250 mm, E 3.4 GPa. Printed to the last digit shown."""
    side = 1e-3 * side_mm
    assert euler_load(3.4e9 * rectangle_section(side, side).inertia, 0.25) == pytest.approx(newton, abs=0.005)


@pytest.mark.reference
def test_torque_alone_buckles_at_greenhills_moment():
    """references section 7 [C]: the 3 mm stick of the row above, Mcr = 2 pi E I/L = .577 N m."""
    stiffness = 3.4e9 * rectangle_section(3e-3, 3e-3).inertia
    assert euler_with_torque(0.0, 1.0, stiffness, 0.25) == pytest.approx(0.577, abs=0.0005)
    assert euler_with_torque(1.0, 0.0, stiffness, 0.25) == pytest.approx(3.62, abs=0.005)
    # half of each: n/2 + n^2/4 = 1 -> n = sqrt(5) - 1
    half = euler_with_torque(0.5 * euler_load(stiffness, 0.25), 0.5 * 2.0 * math.pi * stiffness / 0.25, stiffness, 0.25)
    assert half == pytest.approx(math.sqrt(5.0) - 1.0, rel=1e-12)
    assert euler_with_torque(0.0, 0.0, stiffness, 0.25) == math.inf


@pytest.mark.reference
@pytest.mark.parametrize(
    ("ratio", "alpha", "beta"),
    [(1.0, 0.208, 0.1406), (1.5, 0.231, 0.196), (2.0, 0.246, 0.229), (3.0, 0.267, 0.263), (10.0, 0.312, 0.312)],
)
def test_torsion_of_a_rectangle(ratio, alpha, beta):
    """Table of Timoshenko and Goodier, Theory of Elasticity, from memory [M]; the square also in references section 7 [C]."""
    assert saint_venant(ratio) == pytest.approx((alpha, beta), abs=0.00055)


@pytest.mark.reference
def test_twist_and_shear_of_a_square_stick():
    """references section 7 [C]: 1 mN m in 3 mm: .178 MPa; 250 mm at G 150 MPa: .146 rad."""
    section = rectangle_section(3e-3, 3e-3)
    assert 1e-3 / section.torsion_modulus == pytest.approx(0.178e6, abs=0.0005e6)
    assert 1e-3 * 0.25 / (150e6 * section.torsion) == pytest.approx(0.146, abs=0.0005)


def test_a_thin_strip_is_weak_about_its_flat_side():
    """12 x 2 mm by hand: I = 12 x 8/12 = 8 mm4, W = 12 x 4/6 = 8 mm3, whichever side comes first."""
    flat = rectangle_section(12e-3, 2e-3)
    assert (flat.area, flat.inertia, flat.modulus) == pytest.approx((24e-6, 8e-12, 8e-9))
    assert rectangle_section(2e-3, 12e-3) == flat


def test_round_rod_and_tube_by_hand():
    """4 mm rod: I = pi 256/64 = 12.566 mm4, W = 6.283 mm3, J = 25.13 mm4; tube 4/3: I = pi (256 - 81)/64 = 8.590 mm4."""
    rod, tube = tube_section(4e-3), tube_section(4e-3, 3e-3)
    assert rod.inertia == pytest.approx(12.566e-12, rel=1e-4)
    assert rod.modulus == pytest.approx(6.283e-9, rel=1e-4)
    assert (rod.torsion, rod.torsion_modulus) == pytest.approx((25.133e-12, 12.566e-9), rel=1e-4)
    assert (tube.inertia, tube.area) == pytest.approx((8.590e-12, 5.498e-6), rel=1e-4)


@pytest.mark.reference
@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_secant_moment_is_the_beam_equation_solved(share):
    """E I y'' = -P (y + e), y = 0 at both ends, solved by scipy's boundary-value solver; its tolerance sets ours."""
    stiffness, length, offset = 0.1, 0.2, 5e-3
    pull = share * euler_load(stiffness, length)
    k2 = pull / stiffness

    def slope(x, y):
        return [y[1], -k2 * (y[0] + offset)]

    found = solve_bvp(
        slope, lambda a, b: [a[0], b[0]], [0.0, 0.5 * length, length], [[0.0, offset, 0.0], [0.0, 0.0, 0.0]], tol=1e-8
    )
    middle = pull * (float(found.sol(0.5 * length)[0]) + offset)
    assert secant(pull, offset, stiffness, length) == pytest.approx(middle, rel=1e-6)


def test_secant_has_no_bound_at_the_buckling_load():
    assert secant(euler_load(0.1, 0.2), 1e-3, 0.1, 0.2) == math.inf
    assert secant(1.0, 0.0, 0.1, 0.2) == 0.0


MATERIAL = {"youngs": 3.4e9, "compression": 14.9e6, "bending": 21.6e6}


def test_a_pressed_and_bent_stick_by_hand():
    """4 x 4 mm: A 16 mm2, W 10.667 mm3. Moment alone 50 mN m: 4.6875 MPa, factor 4.608. Short column, 5 N in the middle: 47.7."""
    section = rectangle_section(4e-3, 4e-3)
    bent = pressed_and_bent(section, pull=0.0, offset=0.0, moment=0.05, length=0.2, **MATERIAL)
    assert bent == pytest.approx(21.6 / 4.6875, rel=1e-9)
    short = pressed_and_bent(section, pull=5.0, offset=0.0, moment=0.0, length=0.01, **MATERIAL)
    assert short == pytest.approx(14.9 * 16.0 / 5.0, rel=1e-9)


def test_the_factor_is_the_load_that_breaks():
    """At n times the loads the stick is used up exactly; the factor stays below the buckling load and falls with the offset."""
    section = rectangle_section(4e-3, 4e-3)
    stiffness = MATERIAL["youngs"] * section.inertia
    factors = []
    for offset in (0.0, 1e-3, 5e-3, 20e-3):
        n = pressed_and_bent(section, pull=5.0, offset=offset, moment=0.02, length=0.2, **MATERIAL)
        assert n <= euler_load(stiffness, 0.2) / 5.0
        factors.append(n)
        if offset > 0.0:
            moment = n * 0.02 + secant(n * 5.0, offset, stiffness, 0.2)
            used = n * 5.0 / (section.area * 14.9e6) + moment / (section.modulus * 21.6e6)
            assert used == pytest.approx(1.0, rel=1e-6)
    assert factors == sorted(factors, reverse=True)
    assert len(set(factors)) == 4
