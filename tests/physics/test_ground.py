"""Factor of ground effect by itself. Thrust at equal power through the right-hand side: tests/reference/test_ground_effect.py.

Broken : power 1 for 1.5: refused here.
"""

from __future__ import annotations

import numpy as np
import pytest

from paddlebar.physics.ground import induced_share


@pytest.mark.parametrize(("height", "thrust"), [(0.75, 1.125), (1.0, 1.0667), (1.5, 1.0286), (2.0, 1.0159)])
def test_thrust_at_equal_power_is_cheeseman_and_bennetts(height: float, thrust: float) -> None:
    """references 1.7 [M], [C]: with P = T v and v = share sqrt(T/2 rho A), equal power asks T/T_oge = share^(-2/3). Last digit given."""
    assert induced_share(height) ** (-2.0 / 3.0) == pytest.approx(thrust, abs=4e-4)


def test_far_from_the_floor_there_is_none() -> None:
    assert induced_share(1e4) == pytest.approx(1.0, abs=1e-9)
    assert 1.0 - induced_share(20.0) == pytest.approx(1.5 / (16.0 * 400.0), rel=1e-3)


def test_it_grows_towards_the_floor_and_is_held_near_it() -> None:
    z = np.linspace(0.117, 5.0, 400)
    assert (np.diff([induced_share(h) for h in z]) > 0.0).all()
    for low in (0.117, 0.1, 0.0, -1.0):
        assert induced_share(low) == induced_share(0.117)
    assert 0.5 < induced_share(0.0) < 0.6


@pytest.mark.parametrize("joint", [0.5, 0.75])
def test_curve_and_law_join_without_a_corner(joint: float) -> None:
    below, here, above = (induced_share(joint + d) for d in (-1e-6, 0.0, 1e-6))
    assert abs((above - here) - (here - below)) / 1e-6 < 1e-4
    assert abs(above - below) < 1e-5
