"""Prandtl's tip loss by itself. Through a rotor: tests/reference/test_hover_closed_forms.py, test_castles_gray.py.

Broken : factor 2/pi left out; f with blades for blades/2: each refused here.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from paddlebar.physics.tip_loss import tip_loss


def test_by_hand() -> None:
    """2 blades, r/R 0.9, sin phi 0.1: f = 0.1/0.09 = 1.1111, exp(-f) = 0.329193, F = 2/pi 1.235347 = 0.786446."""
    assert tip_loss(2, 0.9, 0.1) == pytest.approx(0.786446, abs=2e-6)


def test_half_of_the_lift_is_left_where_the_exponential_is_cos_45() -> None:
    f = 0.5 * math.log(2.0)
    sine = 0.5 * 3 * 0.05 / (0.95 * f)
    assert tip_loss(3, 0.95, sine) == pytest.approx(0.5, rel=1e-12)


def test_between_nothing_at_the_tip_and_all_inboard() -> None:
    share = np.linspace(0.05, 1.0, 400)
    found = np.array([tip_loss(2, s, 0.15) for s in share])
    assert found[0] == 1.0
    assert found[-1] == pytest.approx(0.0, abs=1e-12)
    assert (np.diff(found) <= 0.0).all()


def test_more_blades_and_flatter_wakes_lose_less() -> None:
    assert tip_loss(2, 0.9, 0.1) < tip_loss(3, 0.9, 0.1) < tip_loss(6, 0.9, 0.1) < 1.0
    assert tip_loss(2, 0.9, 0.2) < tip_loss(2, 0.9, 0.1) < tip_loss(2, 0.9, 0.05)


def test_sense_of_the_flow_is_no_matter_and_no_flow_no_loss() -> None:
    assert tip_loss(2, 0.9, -0.1) == tip_loss(2, 0.9, 0.1)
    assert tip_loss(2, 0.9, 0.0) == 1.0
    assert math.isfinite(tip_loss(2, 1.0, 0.0))


@pytest.mark.parametrize("s", [1e-4, 0.05])
def test_no_step_where_it_is_called_one(s: float) -> None:
    """Taken as 1 from f = 20 on: what is left out there is 2/pi exp(-20) = 1.3e-9."""
    share = 1.0 / (1.0 + 20.0 * s)
    assert tip_loss(2, share * (1.0 + 1e-9), s) == pytest.approx(1.0, abs=2e-9)


def test_flattest_flow_is_that_of_a_sine_of_a_ten_thousandth() -> None:
    """Held there so that still air divides by something: at r/R 0.9999, f = 1e-4/(0.9999 1e-4) = 1.0001 whatever smaller sine."""
    want = 2.0 / math.pi * math.acos(math.exp(-1.0 / 0.9999))
    for sine in (0.0, 1e-5, -1e-5, 1e-4):
        assert tip_loss(2, 0.9999, sine) == pytest.approx(want, rel=1e-9)
    assert tip_loss(2, 0.9999, 3e-4) < 0.7 * want


def test_factor_is_prandtls_up_to_where_it_is_called_one() -> None:
    """1 - F = 2/pi exp(-f) for large f: seen at f = 10 (2.9e-5) and 17 (2.6e-8), to 1e-3 of it."""
    for f, allowed in ((10.0, 1e-3), (17.0, 1e-3)):
        share = 1.0 / (1.0 + 0.05 * f)
        assert 1.0 - tip_loss(2, share, 0.05) == pytest.approx(2.0 / math.pi * math.exp(-f), rel=allowed)
