"""The search by itself, on grounds whose answer is known in closed form.

Broken : prior left out; slopes of the wrong sign; bends ignored; no coarse rounds; one start only; twice the bits: each refused here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import pytest

from paddlebar.files.flight_record import FLIGHT, Reading, Row
from paddlebar.studies.match import fit
from paddlebar.studies.match.information import directions, gain, reach
from paddlebar.studies.match.predictions import Forward
from paddlebar.studies.match.unknowns import Unknown

Array = np.ndarray


class Ground(Forward):
    """A forward model that is any function of z; slopes and limits are those of the real one."""

    def __init__(self, function: Callable[[Array], Array], n: int, low: float = -4.0, high: float = 4.0) -> None:
        self._function = function
        self.mean, self.sd = np.zeros(n), np.ones(n)
        self.low, self.high = np.full(n, low), np.full(n, high)
        self._reading = np.arange(function(np.zeros(n)).size)

    def _points(self, points: Sequence[Array]) -> list[Array]:
        return [np.asarray(self._function(np.asarray(z)), dtype=float) for z in points]


def rows(values: Array, sd: float = 1.0, name: str = "duration_s") -> list[Row]:
    return [Row(1, "", FLIGHT, {}, {}, tuple(Reading(name, float(v), sd) for v in values))]


def test_straight_lines_give_the_closed_form():
    """z = (A'A + 1)^-1 A'y, S at it, and slopes that are A."""
    rng = np.random.default_rng(3)
    a, y = rng.normal(size=(8, 3)), rng.normal(size=8)
    found = fit.search(Ground(lambda z: a @ z, 3), rows(y))
    exact = np.linalg.solve(a.T @ a + np.eye(3), a.T @ y)
    assert found.converged
    assert found.z == pytest.approx(exact, abs=1e-3)
    assert found.slopes == pytest.approx(a, abs=1e-9)
    assert found.sum == pytest.approx(np.sum((a @ exact - y) ** 2) + exact @ exact, rel=1e-4)


def test_a_limit_is_kept_and_the_others_still_fit():
    """The first wants to go below its limit: it stays there, the second takes what it would have."""
    a = np.array([[3.0, 1.0], [1.0, 4.0], [2.0, -1.0]])
    ground = Ground(lambda z: a @ z, 2)
    ground.low = np.array([0.0, -4.0])
    y = a @ np.array([-1.0, 0.8])
    found = fit.search(ground, rows(y, 0.3))
    b, s = a[:, 1] / 0.3, y / 0.3
    assert found.z[0] == pytest.approx(0.0, abs=1e-9)
    assert found.z[1] == pytest.approx(b @ s / (b @ b + 1.0), abs=5e-3)
    assert found.slopes * 0.3 == pytest.approx(a, abs=1e-9)


def test_a_jump_within_reach_is_an_error_of_its_own():
    """A reading that leaps by 40 errors where the others put the answer says little; the interval is that of the others."""
    smooth = lambda z: np.array([2.0 * z[0], 40.0 * float(z[0] > 0.31)])  # noqa: E731
    found = fit.search(Ground(smooth, 1), rows(np.array([0.6, 40.0])))
    assert found.sds[1] > 5.0
    assert found.sds[0] == 1.0
    assert 1.0 / np.sqrt(found.slopes[:, 0] @ found.slopes[:, 0] + 1.0) > 0.15


def test_small_valleys_are_stepped_over():
    """A straight slope with a ripple one error high and eight valleys within reach: the answer is that of the slope, to half a ripple."""
    ripple = lambda z: 4.0 * z + np.sin(25.0 * z)  # noqa: E731
    found = fit.search(Ground(ripple, 1), rows(np.array([6.0])))
    assert found.z[0] == pytest.approx(4.0 * 6.0 / 17.0, abs=0.12)


def test_another_valley_is_looked_for():
    """The search from the prior's mean comes to rest on a ridge, S 150; a look to either side finds the valley of S 2.5."""
    circle = lambda z: np.array([6.0 * np.cos(2.0 * z[0]), 6.0 * np.sin(2.0 * z[0]), 1.5 * z[0]])  # noqa: E731
    found = fit.search(Ground(circle, 1), rows(circle(np.array([-1.6]))))
    assert found.z[0] == pytest.approx(-1.59, abs=0.02)
    assert found.sum < 3.0


def test_readings_that_the_model_has_not_count_as_missed():
    def half(z: Array) -> Array:
        return np.array([z[0], np.nan])

    found = fit.search(Ground(half, 1), rows(np.array([0.5, 3.0])))
    assert found.sum == pytest.approx(fit.MISSED**2 + 0.125, rel=1e-3)


def test_information_of_two_readings_in_closed_form():
    """Prior 1, slope 3, error 1: 1/2 log2(1 + 9); the same again then brings 1/2 log2(1 + 9/10)."""
    assert gain(np.array([3.0]), 1.0, np.eye(1)) == pytest.approx(0.5 * np.log2(10.0))
    assert gain(np.array([3.0]), 1.0, np.array([[0.1]])) == pytest.approx(0.5 * np.log2(1.9))


def test_a_pair_that_only_shows_as_a_sum_is_said():
    """One reading of x + y: the sum is known, the difference as wide as before, in words with the units of each."""
    unknowns = [Unknown("craft.a", 5.0, 2.0, 0.0, 10.0), Unknown("craft.b", 1.0, 0.1, 0.0, 2.0)]
    j = np.array([[20.0, 20.0]])
    cov = np.linalg.inv(j.T @ j + np.eye(2))
    (found,) = directions(unknowns, cov)
    assert found.left == pytest.approx(1.0)
    assert abs(dict(found.parts)["craft.a"]) == pytest.approx(2.0 / np.sqrt(2.0))
    assert dict(found.parts)["craft.a"] * dict(found.parts)["craft.b"] < 0.0
    assert found.sentence.startswith("not told apart: ")
    (alone,) = directions(unknowns, np.diag([0.01, 0.9]))
    assert alone.sentence.startswith("the record says little about craft.b")
    assert list(directions(unknowns, np.diag([0.01, 0.02]))) == []


def test_differences_are_asked_for_where_the_answer_is_uncertain():
    steps = reach(np.diag([1e-6, 0.01, 0.9]))
    assert sorted(np.linalg.norm(steps, axis=0)) == pytest.approx([0.02, 0.1, 0.9**0.5])
