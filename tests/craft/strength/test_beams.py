"""Handbook formulas of rods against figures worked by hand and printed tables."""

from __future__ import annotations

import math

import pytest

from paddlebar.craft.strength.beams import (
    euler_load,
    pressed_and_bent,
    rectangle_section,
    secant,
    tube_section,
)


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
