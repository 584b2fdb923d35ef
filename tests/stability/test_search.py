"""The search for a steady motion: the same from anywhere near, and no more work than it takes. Work is counted in revolutions, not timed."""

from __future__ import annotations

import pickle

import numpy as np
import pytest

from paddlebar.errors import CannotTrim
from paddlebar.stability.equilibrium import Guess, equilibrium
from paddlebar.stability.return_map import ReturnMap
from paddlebar.stability.search import CLOSED, fixed_point
from stability.steady import frozen, steady


@pytest.fixture
def slopes(monkeypatch):
    """Jacobians by differences that were taken, by their number of steps."""
    taken = []
    slope = ReturnMap.slope

    def counted(self, x, after, step=1e-6):
        taken.append(self.steps)
        return slope(self, x, after, step)

    monkeypatch.setattr(ReturnMap, "slope", counted)
    return taken


def test_a_neighbour_is_found_without_a_jacobian_of_its_own(slopes):
    """Half a per cent more torque. Seen to fail while scipy's question for the first Jacobian, asked twice, used the neighbour's up: 23 revolutions at least."""
    e = steady(3.4)
    assert e.slope.shape == (e.x.size, e.x.size)
    slopes.clear()
    map_ = ReturnMap(frozen(3.417))
    closest = fixed_point(map_, e.x, e.slope)
    assert closest.closed
    assert slopes == []
    assert map_.calls <= 12


def test_rough_jacobians_lead_to_the_same_place(slopes):
    """The residual is of the full map, whatever leads there."""
    e = steady(3.4)
    slopes.clear()
    closest = fixed_point(e.map, e.x + 0.05)
    assert slopes
    assert set(slopes) == {18}
    assert np.abs(closest.x - e.x).max() < CLOSED
    assert closest.residual == pytest.approx(float(np.linalg.norm(e.map.residual(closest.x))), abs=1e-15)


def test_a_hopeless_search_is_given_up(slopes):
    """Without torque there is none: some Jacobians, not some twenty."""
    start = steady(3.4)
    map_ = ReturnMap(frozen(0.0))
    slopes.clear()
    closest = fixed_point(map_, start.x)
    assert not closest.closed
    assert len(slopes) <= 8
    with pytest.raises(CannotTrim):
        equilibrium(map_, Guess(start.x, start.slope))


def test_growth_costs_one_jacobian_which_the_neighbour_begins_with(slopes):
    e = equilibrium(ReturnMap(frozen(3.4)), Guess(steady(3.4).x))
    slopes.clear()
    assert np.isfinite(e.growth)
    assert np.isfinite(e.slope).all()
    assert slopes == [e.map.steps]


def test_a_map_goes_to_another_process_without_its_address():
    """The right-hand side stands at an address of each process's own; what is sent says what to fly."""
    e = steady(3.4)
    map_ = e.map
    again = pickle.loads(pickle.dumps(map_))
    assert again is not map_
    assert again.steps == map_.steps
    np.testing.assert_array_equal(again(e.x), map_(e.x))
    assert str(map_._rates).encode() not in pickle.dumps(map_, protocol=0)
