"""Lookup of section coefficients: nodes, ends, smoothness, compiled against plain."""

from __future__ import annotations

import math

import numpy as np
import pytest

from paddlebar.physics.section import ALPHA_FIRST_DEG, N_ALPHA, N_RE, RE_FIRST, RE_STEP_LOG2, coefficients

ALPHA = ALPHA_FIRST_DEG + np.arange(N_ALPHA)
LOG_RE = math.log(RE_FIRST) + RE_STEP_LOG2 * math.log(2.0) * np.arange(N_RE)


@pytest.fixture(scope="module")
def tables():
    """Two sections: a periodic smooth one that depends on Re, and noise that repeats after 360 degrees."""
    a = np.radians(ALPHA)
    smooth = np.stack([np.sin(2 * a), 1 - np.cos(2 * a), -0.3 * np.sin(a)], axis=-1)
    smooth = smooth[None] * (1.0 + 0.1 * np.arange(N_RE)[:, None, None])
    noise = np.random.default_rng(3).uniform(-1, 1, (N_RE, 360, 3))[:, np.arange(N_ALPHA) % 360]
    return np.stack([smooth, noise])


def test_nodes_are_returned_as_they_are(tables):
    """1e-5: the lookup keeps one part in 1e6 of a step away from the last node."""
    for i in range(1, N_ALPHA - 1, 7):
        for k in (0, 5, N_RE - 1):
            got = coefficients(tables, 1, math.radians(ALPHA[i]), LOG_RE[k])
            assert got == pytest.approx(tables[1, k, i], abs=1e-5)


def test_cubic_is_of_third_order_in_angle(tables):
    """sin 2a between one-degree nodes: the Catmull-Rom remainder is about (2 pi/180)^3 |sin| / 12 < 4e-6."""
    for alpha in np.radians(np.arange(-179.5, 180.0, 3.0)):
        cl, cd, _ = coefficients(tables, 0, alpha, LOG_RE[0])
        assert cl == pytest.approx(math.sin(2 * alpha), abs=4e-6)
        assert cd == pytest.approx(1 - math.cos(2 * alpha), abs=4e-6)


def test_linear_in_log_re(tables):
    got = coefficients(tables, 0, 0.3, 0.25 * LOG_RE[4] + 0.75 * LOG_RE[5])
    low, high = coefficients(tables, 0, 0.3, LOG_RE[4]), coefficients(tables, 0, 0.3, LOG_RE[5])
    assert got == pytest.approx(0.25 * np.array(low) + 0.75 * np.array(high), rel=1e-12)


def test_reynolds_number_is_held_at_both_ends(tables):
    assert coefficients(tables, 0, 0.3, 0.0) == coefficients(tables, 0, 0.3, LOG_RE[0])
    assert coefficients(tables, 0, 0.3, 30.0) == pytest.approx(coefficients(tables, 0, 0.3, LOG_RE[-1]), rel=1e-6)
    assert coefficients(tables, 0, 0.3, -math.inf) == coefficients(tables, 0, 0.3, LOG_RE[0])


def test_both_ends_of_the_circle_agree(tables):
    """1e-5 as above."""
    for which in (0, 1):
        left, right = coefficients(tables, which, -math.pi, 10.0), coefficients(tables, which, math.pi, 10.0)
        assert left == pytest.approx(right, abs=1e-5)


def test_slope_is_continuous_at_nodes(tables):
    """On noise, second differences are about 5 per degree^2: one-sided slopes over 1e-4 deg may differ by 1e-3; linear
    interpolation differs by about 1."""
    h = math.radians(1e-4)
    for i in range(3, N_ALPHA - 3, 11):
        a = math.radians(ALPHA[i])
        f = [np.array(coefficients(tables, 1, a + s * h, 10.0)) for s in (-1, 0, 1)]
        assert np.abs(f[2] - 2 * f[1] + f[0]).max() / 1e-4 < 5e-3


def test_compiled_equals_python(tables):
    rng = np.random.default_rng(2)
    for _ in range(100):
        args = (tables, int(rng.integers(2)), rng.uniform(-math.pi, math.pi), rng.uniform(6, 14))
        assert coefficients(*args) == pytest.approx(coefficients.py_func(*args), rel=1e-12, abs=1e-14)


def test_nodes_in_the_middle_are_met_at_rounding(tables):
    """Away from both ends of the table nothing is held: value of the node to 1e-9 (degrees to radians and back are 1e-14 of 180)."""
    for i in (2, 90, 181, 300):
        for k in (1, 8, 15):
            got = coefficients(tables, 1, math.radians(ALPHA[i]), LOG_RE[k])
            assert got == pytest.approx(tables[1, k, i], abs=1e-9)


def test_last_octave_and_last_degree_are_straight_up_to_their_ends(tables):
    """What is kept away from the last node is a millionth of a step: a thousandth before it all is as in the middle."""
    k = N_RE - 1
    low, high = (np.array(coefficients(tables, 1, 0.3, LOG_RE[n])) for n in (k - 1, k))
    got = np.array(coefficients(tables, 1, 0.3, LOG_RE[k] - 1e-3 * (LOG_RE[1] - LOG_RE[0])))
    assert got == pytest.approx(high + 1e-3 * (low - high), abs=5e-6)
    ends = [coefficients(tables, 1, side * math.pi * (1.0 - 1e-5 / 180.0), LOG_RE[3]) for side in (-1.0, 1.0)]
    assert ends[0] == pytest.approx(tables[1, 3, 1], abs=5e-5)
    assert ends[1] == pytest.approx(tables[1, 3, N_ALPHA - 2], abs=5e-5)


def test_what_is_no_number_takes_the_first_node_and_nothing_out_of_the_table(tables):
    """An angle or Reynolds number that is nan must not become an index."""
    assert coefficients(tables, 1, math.nan, LOG_RE[3]) == pytest.approx(tables[1, 3, 1], abs=1e-12)
    assert coefficients(tables, 1, math.radians(ALPHA[90]), math.nan) == pytest.approx(tables[1, 0, 90], abs=1e-9)


def test_nodes_reach_a_degree_beyond_half_a_turn_either_way_and_from_2000_to_512000():
    """A cubic needs a neighbour on either side of every angle that there is; models fly at 5,000 to 60,000."""
    assert (ALPHA[0], ALPHA[-1]) == (-181.0, 181.0)
    assert np.exp(LOG_RE[[0, -1]]) == pytest.approx([2000.0, 512000.0], rel=1e-12)
