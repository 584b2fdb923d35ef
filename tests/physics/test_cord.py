"""Grip and losses of the cord drive. Published figures of the grip: tests/reference/test_belt.py.

Broken : sum of tensions T0 for 2 T0; loss along the motion: each refused here.
"""

from __future__ import annotations

import math

import pytest

from paddlebar.physics.cord import cord_grip, drive_loss, grip_torque


def test_grip_of_two_arcs_is_that_of_their_sum() -> None:
    once = cord_grip(cord_grip(0.3, 1.1, 0.25), 0.7, 0.25)
    assert once == pytest.approx(cord_grip(0.3, 1.8, 0.25), rel=1e-14)


def test_without_friction_or_contact_both_runs_pull_alike() -> None:
    assert cord_grip(0.3, math.pi, 0.0) == 0.3
    assert cord_grip(0.3, 0.0, 0.4) == 0.3
    assert cord_grip(0.0, math.pi, 0.4) == 0.0
    assert grip_torque(0.3, math.pi, 0.0, 0.0025) == 0.0


@pytest.mark.parametrize(("wrap_deg", "mu"), [(180.0, 0.3), (90.0, 0.2), (400.0, 0.5)])
def test_torque_at_the_limit_is_the_difference_of_the_two_runs(wrap_deg: float, mu: float) -> None:
    """From T2 = T1 exp(mu wrap) and T1 + T2 = 2 T0, solved here as two straight equations."""
    pretension, radius = 0.3, 0.0025
    e = math.exp(mu * math.radians(wrap_deg))
    slack = 2.0 * pretension / (1.0 + e)
    tight = 2.0 * pretension - slack
    assert tight / slack == pytest.approx(e, rel=1e-12)
    assert grip_torque(pretension, math.radians(wrap_deg), mu, radius) == pytest.approx(
        (tight - slack) * radius, rel=1e-12
    )


def test_a_cord_that_cannot_slip_carries_twice_its_pretension() -> None:
    assert grip_torque(0.3, 6.0 * math.pi, 2.0, 0.0025) == pytest.approx(2.0 * 0.3 * 0.0025, rel=1e-12)


def test_loss_is_against_the_motion_and_ends_with_it() -> None:
    """Friction + share |load|, as tanh(speed/2): 1e-4 of full at 10 rad/s, nothing at rest."""
    full = 5e-6 + 0.05 * 2e-4
    assert drive_loss(2e-4, 0.05, 5e-6, 0.0) == 0.0
    assert drive_loss(2e-4, 0.05, 5e-6, 10.0) == pytest.approx(-full * math.tanh(5.0), rel=1e-14)
    assert drive_loss(2e-4, 0.05, 5e-6, 10.0) == pytest.approx(-full, rel=1e-4)
    for load in (2e-4, -2e-4):
        for speed in (-300.0, -0.1, 0.1, 300.0):
            loss = drive_loss(load, 0.05, 5e-6, speed)
            assert loss * speed < 0.0
            assert loss == -drive_loss(load, 0.05, 5e-6, -speed)
            assert abs(loss) <= full
    assert drive_loss(2e-4, 0.0, 0.0, 300.0) == 0.0
