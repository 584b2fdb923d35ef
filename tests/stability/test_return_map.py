"""From a flight's state to a place where the search for a steady motion begins."""

from __future__ import annotations

import math

import numpy as np
import pytest

from paddlebar.flight import layout
from paddlebar.stability.search import CLOSED
from stability.steady import steady


@pytest.mark.parametrize("passed", [0, 1, 10, 35])
def test_a_state_on_its_way_round_arrives_at_azimuth_zero(passed):
    """Some steps of a revolution, and some whole ones of a flight, after azimuth zero; between two steps the nearer one is taken."""
    e = steady(3.4)
    y = e.state
    e.map.advance(y, passed)
    y[layout.ROTOR_AZIMUTH] += 3 * 2.0 * math.pi
    before = y.copy()
    assert e.map.arrived(y) == pytest.approx(e.x, abs=10.0 * CLOSED)
    assert np.array_equal(y, before)
    y[layout.ROTOR_AZIMUTH] += 0.4 * 2.0 * math.pi / e.map.steps
    assert e.map.arrived(y) == pytest.approx(e.x, abs=10.0 * CLOSED)


def test_a_rotor_that_stands_arrives_nowhere():
    e = steady(3.4)
    y = e.state
    y[layout.ROTOR_SPEED] = 0.5
    assert np.isnan(e.map.arrived(y)).all()
