"""Factor of ground effect by itself. Thrust at equal power through the right-hand side: tests/reference/test_ground_effect.py.

Broken : power 1 for 1.5: refused here.
"""

from __future__ import annotations

import numpy as np
import pytest

from paddlebar.physics.ground import induced_share


@pytest.mark.parametrize(
    ("height", "thrust"), [(0.5, 1.333), (0.75, 1.125), (1.0, 1.0667), (1.5, 1.0286), (2.0, 1.0159)]
)
def test_thrust_at_equal_power_is_cheeseman_and_bennetts(height: float, thrust: float) -> None:
    """references 1.7 [M], [C]: with P = T v and v = share sqrt(T/2 rho A), equal power asks T/T_oge = share^(-2/3). Last digit given."""
    assert induced_share(height) ** (-2.0 / 3.0) == pytest.approx(thrust, abs=4e-4)


def test_far_from_the_floor_there_is_none() -> None:
    assert induced_share(1e4) == pytest.approx(1.0, abs=1e-9)
    assert 1.0 - induced_share(20.0) == pytest.approx(1.5 / (16.0 * 400.0), rel=1e-3)


def test_it_grows_towards_the_floor_and_is_held_near_it() -> None:
    z = np.linspace(0.35, 5.0, 200)
    assert (np.diff([induced_share(h) for h in z]) > 0.0).all()
    for low in (0.35, 0.1, 0.0, -1.0):
        assert induced_share(low) == induced_share(0.35)
    assert 0.0 < induced_share(0.0) < 1.0
