"""Pitch from bar and flapping: one straight line in two angles. What it does to a rotor: tests/reference/test_flapping.py, test_bar_phase.py.

Broken : delta-3 with the other sign: refused here.
"""

from __future__ import annotations

import math

import pytest

from paddlebar.physics.linkage import feathering


def test_bar_alone_pitches_by_the_gain() -> None:
    assert feathering(0.5, 0.1, 0.0, 0.2) == pytest.approx(0.05, rel=1e-15)
    assert feathering(-0.5, 0.1, 0.0, 0.2) == pytest.approx(-0.05, rel=1e-15)  # the opposite blade


def test_rising_blade_loses_pitch_with_positive_delta_three() -> None:
    """delta3 45 deg: one degree of pitch for one of flapping."""
    assert feathering(0.0, 0.3, math.tan(math.radians(45.0)), 0.1) == pytest.approx(-0.1, rel=1e-15)


def test_it_is_linear_so_that_rates_obey_it_too() -> None:
    k, c = 0.46, math.tan(math.radians(20.0))
    before, after = feathering(k, 0.10, c, 0.05), feathering(k, 0.10 + 3e-3, c, 0.05 - 2e-3)
    assert after - before == pytest.approx(feathering(k, 3e-3, c, -2e-3), rel=1e-12)
    assert feathering(k, 0.0, c, 0.0) == 0.0


def test_no_gain_no_coupling_no_pitch() -> None:
    assert feathering(0.0, 0.7, 0.0, -0.4) == 0.0
