"""Stall delay: closed form of Snel, Houwink and Bosschers, its limits, its smoothness."""

from __future__ import annotations

import math

import numpy as np
import pytest

from paddlebar.physics.stall_delay import FADE_FROM, FADE_TO, stall_delay


def test_closed_form_at_ten_degrees():
    """By hand: c/r 0.24, k 0.1728; potential lift 2 pi (0.174533 + 0.04) = 1.347949; 0.6 + 0.1728 * 0.747949."""
    cl, cd = stall_delay(0.6, 0.05, math.radians(10.0), -0.04, 0.24)
    assert cl == pytest.approx(0.729246, abs=2e-6)
    assert cd == 0.05


@pytest.mark.parametrize("alpha", np.radians([-170.0, -40.0, -5.0, 0.0, 12.0, 35.0, 90.0]))
def test_no_rotation_no_change(alpha):
    assert stall_delay(0.7, 0.1, alpha, -0.05, 0.0) == (0.7, 0.1)


@pytest.mark.parametrize("alpha_deg", [-180.0, -90.0, -50.0, 50.0, 70.0, 180.0])
def test_gone_at_large_angles(alpha_deg):
    assert stall_delay(0.9, 0.8, math.radians(alpha_deg), 0.0, 0.5) == (0.9, 0.8)


def test_never_more_than_potential_lift():
    """Near the axis 3 (c/r)^2 passes 1; lift must stop at the potential value."""
    alpha = math.radians(15.0)
    assert stall_delay(0.8, 0.2, alpha, -0.05, 2.0)[0] == pytest.approx(2.0 * math.pi * (alpha + 0.05), rel=1e-14)


def test_attached_potential_flow_is_left_alone():
    alpha = math.radians(3.0)
    cl = 2.0 * math.pi * (alpha + 0.05)
    assert stall_delay(cl, 0.02, alpha, -0.05, 0.3)[0] == pytest.approx(cl, rel=1e-14)


@pytest.mark.parametrize("alpha_deg", [-12.0, -3.0, 0.0, 3.0, 12.0, 25.0])
def test_never_takes_lift_away(alpha_deg):
    """A section that lifts more than 2 pi (alpha - alpha0), either way up, keeps what it has."""
    alpha = math.radians(alpha_deg)
    for zero in (-0.05, 0.0, 0.05):
        potential = 2.0 * math.pi * (alpha - zero)
        for cl in (1.5 * potential, potential, 0.4 * potential, 0.0):
            got = stall_delay(cl, 0.02, alpha, zero, 0.4)[0]
            assert abs(got) >= abs(cl) - 1e-15
            assert got == pytest.approx(cl, abs=1e-15) or abs(cl) < abs(potential)


@pytest.mark.parametrize("cl", [-0.2, 0.0, 0.2])
def test_nothing_jumps_at_the_zero_lift_angle(cl):
    """Whatever the section lifts there: as where a curved plate has parted from its hollow side. A first version jumped by k times that lift."""
    below, above = (stall_delay(cl, 0.02, -0.05 + d, -0.05, 0.4)[0] for d in (-1e-9, 1e-9))
    assert abs(above - below) < 1e-7


def test_upright_and_inverted_section_mirror():
    for alpha in np.radians(np.linspace(-60.0, 60.0, 41)):
        up = stall_delay(0.7, 0.1, alpha, 0.03, 0.3)
        down = stall_delay(-0.7, 0.1, -alpha, -0.03, 0.3)
        assert up[0] == pytest.approx(-down[0], abs=1e-14)


@pytest.mark.parametrize("corner", [FADE_FROM, FADE_TO, -FADE_FROM, -FADE_TO])
def test_value_and_slope_are_continuous_at_the_fade(corner):
    """One-sided slopes over 1e-5 rad agree to 1e-3 /rad (curvature there is about 30 /rad^2); a linear fade fails at
    1.1 /rad. Tried with the fade made linear: fails at all four."""

    def lift(alpha: float) -> float:
        return stall_delay(0.9, 0.5, alpha, -0.05, 0.3)[0]

    h = 1e-5
    below, at, above = lift(corner - h), lift(corner), lift(corner + h)
    assert abs((above - at) - (at - below)) / h < 1e-3
    assert abs(above - below) < 1e-4


def test_compiled_equals_python():
    rng = np.random.default_rng(1)
    for _ in range(200):
        args = (*rng.uniform(-1, 2, 2), rng.uniform(-3.1, 3.1), rng.uniform(-0.1, 0.1), rng.uniform(0, 1))
        assert stall_delay(*args) == pytest.approx(stall_delay.py_func(*args), rel=1e-12)
