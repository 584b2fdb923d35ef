"""A plane that stands still is found again from the angles that bar and blades make with their hub as they turn.

Broken : lead left out or reversed, blades numbered the other way, hand left out of the lean: each refused here.
"""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest

from paddlebar.craft.shape import Hub
from paddlebar.stability.floquet import STATIONS, azimuths, plane_tilt
from paddlebar.stability.modes import _leans

FORWARD, RIGHT = (
    2e-5 + 1e-5j,
    -1e-5 + 3e-5j,
)  # top of the plane forward and to the right [rad], a phasor as that of a mode
LEAD = math.radians(70.0)


def above(hand: float, azimuth: float) -> complex:
    """Height of the plane over the hub's, at unit distance: it rises against its lean. Azimuth 90 degrees is right for a counter-clockwise rotor."""
    forward, right = -math.cos(azimuth), hand * math.sin(azimuth)
    return -(FORWARD * forward + RIGHT * right)


@pytest.mark.parametrize("hand", [1.0, -1.0])
@pytest.mark.parametrize("flaps", [1, 3])
def test_the_lean_of_a_plane_that_stands_still(hand: float, flaps: int) -> None:
    rows = [("bar_angle", 0), *(("flap", k) for k in range(flaps))]
    map_ = SimpleNamespace(
        numbers=SimpleNamespace(params=[{"bar_lead": LEAD, "hand": hand}]),
        nf=flaps,
        scale=np.full(len(rows), 0.1),
        find=lambda row, part=0: rows.index((row, part)) if (row, part) in rows else -1,
    )
    leads = [LEAD, *(2.0 * math.pi * k / flaps for k in range(flaps))]
    psi = azimuths(map_, STATIONS)  # type: ignore[arg-type]
    shape = np.array([[above(hand, at + lead) / 0.1 for lead in leads] for at in psi])
    for cosine, sine in plane_tilt(map_, shape):  # type: ignore[arg-type]
        assert (cosine, sine) == pytest.approx((above(hand, 0.0), above(hand, 0.5 * math.pi)), abs=1e-18)
    found = SimpleNamespace(map=map_, shapes=np.array([[*shape, shape[0]]]))
    _, bar, disc = _leans(found, 0)  # type: ignore[arg-type]
    for plane in (bar, disc):
        assert plane[0] / plane[1] == pytest.approx(FORWARD / RIGHT, rel=1e-12)


def test_the_hub_has_its_azimuths_where_this_file_has_them() -> None:
    for hand in (1.0, -1.0):
        hub = Hub(
            np.zeros(3), np.array([0.0, 0.0, -1.0]), np.array([-1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0]), hand, 0.01
        )
        normal = np.array([FORWARD, RIGHT, -1.0])
        for azimuth in (0.0, 0.4, 2.0, 5.0):
            assert hub.out(azimuth) @ normal == pytest.approx(-above(hand, azimuth), abs=1e-18)
