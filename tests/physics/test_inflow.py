"""Inflow by itself: axial flow and its fading, one-state and three-state rates. Against measurements and published matrices:
tests/reference/test_vortex_ring.py, test_momentum.py, test_dynamic_inflow.py.

Broken : factor 2 of momentum left out; slopes turned the other way: each refused here.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from paddlebar.physics.inflow import (
    _DESCENT,
    _INDUCED,
    APPARENT_UNIFORM,
    _monotone_slopes,
    axial_flow,
    axial_flow_factor,
    descent_excess,
    hover_induced,
    inflow_rates,
    uniform_rate,
)
from paddlebar.physics.vectors import ZERO

RHO, RADIUS = 1.2, 0.2
FLOW = RHO * math.pi * RADIUS**2


def test_climb_hover_and_fast_descent_are_momentum_theory() -> None:
    assert axial_flow(0.6, 0.0, 0.0) == pytest.approx(0.6, rel=1e-15)
    assert axial_flow(0.6, 1.4, 0.0) == pytest.approx(2.0, rel=1e-15)
    assert axial_flow(0.2, -2.0, 0.0) == pytest.approx(1.8, rel=1e-15)  # V/v = -10: windmill
    assert axial_flow(0.0, -2.0, 0.0) == 2.0
    assert axial_flow(0.0, 0.0, 0.0) == 0.0


def test_ring_is_left_without_a_step() -> None:
    """At hover and where the windmill begins (V/v = -5.54): value to 1e-6 over a step of 1e-7."""
    for ratio in (0.0, -5.540):
        below, above = axial_flow_factor(ratio - 1e-7), axial_flow_factor(ratio + 1e-7)
        assert below == pytest.approx(above, abs=1e-6)
    slopes = [
        (axial_flow_factor(r + 1e-6) - axial_flow_factor(r - 1e-6)) / 2e-6 for r in (-5.5401, -5.5399, -1e-4, 1e-4)
    ]
    assert slopes == pytest.approx([-1.0, -1.0, 1.0, 1.0], abs=1e-2)


@pytest.mark.parametrize("climb", [-2.0, -0.7, -0.1, 0.0, 0.5])
def test_upside_down_rotor_is_the_same_rotor(climb: float) -> None:
    for edge in (0.0, 0.4, 3.0):
        assert axial_flow(-0.6, -climb, edge) == axial_flow(0.6, climb, edge)


def test_sideways_wind_blows_the_ring_away() -> None:
    """From the ring's flow to |V + v|, monotone, as (edgewise/v)^4: half-way at edgewise = v."""
    still = axial_flow(0.6, -0.6, 0.0)
    assert still > 0.15
    found = [axial_flow(0.6, -0.6, mu) for mu in np.linspace(0.0, 6.0, 60)]
    assert (np.diff(found) <= 0.0).all()
    assert axial_flow(0.6, -0.6, 0.6) == pytest.approx(0.5 * still, rel=1e-12)
    assert axial_flow(0.6, -0.6, 60.0) == pytest.approx(0.0, abs=1e-7)


@pytest.mark.parametrize(("climb", "edge"), [(0.0, 0.0), (1.0, 0.0), (0.0, 2.0), (0.5, 1.0)])
def test_steady_uniform_inflow_is_glauerts(climb: float, edge: float) -> None:
    """T = 2 rho A v sqrt(edge^2 + (V + v)^2)."""
    v = 0.6
    thrust = 2.0 * FLOW * v * math.hypot(edge, climb + v)
    assert uniform_rate(v, climb, edge, thrust, RHO, RADIUS) == pytest.approx(0.0, abs=1e-12)
    assert uniform_rate(v, climb, edge, 1.1 * thrust, RHO, RADIUS) > 0.0
    assert uniform_rate(-v, -climb, edge, -1.1 * thrust, RHO, RADIUS) == pytest.approx(
        -uniform_rate(v, climb, edge, 1.1 * thrust, RHO, RADIUS), rel=1e-14
    )


def test_uniform_inflow_from_rest_and_its_time_constant() -> None:
    """From rest v' = T/(8/3 rho R^3), i.e. over the apparent mass; near hover tau = (8/3 pi) R/4v = 0.2122 R/v (references 3.4)."""
    assert uniform_rate(0.0, 0.0, 0.0, 0.1, RHO, RADIUS) == pytest.approx(
        0.1 / (8.0 / 3.0 * RHO * RADIUS**3), rel=1e-12
    )
    v, d = 0.6, 1e-6
    thrust = 2.0 * FLOW * v * v
    tau = -d / uniform_rate(v + d, 0.0, 0.0, thrust, RHO, RADIUS)
    assert tau == pytest.approx(0.2122066 * RADIUS / v, rel=1e-5)
    assert abs(APPARENT_UNIFORM - 0.848826) < 1e-6


def test_three_states_without_slopes_are_the_one() -> None:
    for climb in (-0.4, 0.0, 0.8):
        rates = inflow_rates((0.6, 0.0, 0.0), (climb, 0.0, 0.0), (0.1, 0.0, 0.0), RHO, RADIUS, 0.0)
        assert rates[0] == pytest.approx(uniform_rate(0.6, climb, 0.0, 0.1, RHO, RADIUS), rel=1e-12)
        assert rates[1:] == (0.0, 0.0)


def test_turned_axes_turn_the_slopes() -> None:
    """Wind, moments and slopes turned about the shaft by any angle: the mean rate stays, the slopes' rates turn along."""
    rng = np.random.default_rng(1)
    for _ in range(40):
        v0, climb, thrust, turning = rng.uniform(0.1, 1.0), rng.uniform(-1.5, 1.0), rng.uniform(0.0, 0.2), rng.normal()
        v, u, m = rng.normal(size=(3, 2)) * [[0.1], [1.0], [0.01]]
        a = rng.uniform(0.0, 2.0 * math.pi)
        r = np.array([[math.cos(a), -math.sin(a)], [math.sin(a), math.cos(a)]])
        first = inflow_rates((v0, *v), (climb, *u), (thrust, *m), RHO, RADIUS, turning)
        other = inflow_rates((v0, *(r @ v)), (climb, *(r @ u)), (thrust, *(r @ m)), RHO, RADIUS, turning)
        assert other[0] == pytest.approx(first[0], rel=1e-10, abs=1e-10)
        assert other[1:] == pytest.approx(r @ first[1:], rel=1e-9, abs=1e-9)


def test_mirrored_flow_mirrors_the_slopes() -> None:
    first = inflow_rates((0.6, 0.05, -0.08), (0.1, 0.9, 0.4), (0.1, 2e-3, 3e-3), RHO, RADIUS, 0.7)
    other = inflow_rates((0.6, 0.05, 0.08), (0.1, 0.9, -0.4), (0.1, 2e-3, -3e-3), RHO, RADIUS, -0.7)
    assert other == pytest.approx([first[0], first[1], -first[2]], rel=1e-12)


def test_flow_stays_while_the_body_turns_under_it() -> None:
    """No load, no flow to carry it away: the slopes turn backwards in the body's axes and keep their size."""
    _, x, y = inflow_rates((0.0, 0.3, 0.2), ZERO, ZERO, RHO, RADIUS, 2.0)
    assert (x, y) == pytest.approx((2.0 * 0.2, -2.0 * 0.3), rel=1e-12)
    assert 0.3 * x + 0.2 * y == pytest.approx(0.0, abs=1e-15)


def test_nothing_moves_in_still_air() -> None:
    assert inflow_rates(ZERO, ZERO, ZERO, RHO, RADIUS, 3.0) == ZERO
    assert uniform_rate(0.0, 0.0, 0.0, 0.0, RHO, RADIUS) == 0.0


def test_induced_velocity_in_hover() -> None:
    """10 g on 0.2 m: 0.5644 m/s (references 1.6, rho 1.225); odd in the thrust; the state that keeps its own momentum."""
    assert hover_induced(0.0980665, 1.225, 0.2) == pytest.approx(0.5644, abs=5e-5)
    assert hover_induced(np.array([0.1, -0.1, 0.0]), RHO, RADIUS) == pytest.approx(
        [hover_induced(0.1, RHO, RADIUS), -hover_induced(0.1, RHO, RADIUS), 0.0]
    )
    assert uniform_rate(float(hover_induced(0.1, RHO, RADIUS)), 0.0, 0.0, 0.1, RHO, RADIUS) == pytest.approx(
        0.0, abs=1e-9
    )


@pytest.mark.parametrize(
    ("v0", "climb", "ux", "uy"),
    [(0.6, 0.0, 0.5, 0.3), (0.6, 0.8, -0.4, 0.9), (0.4, -0.1, 2.0, -1.0), (0.5, 0.3, 0.0, 0.0)],
)
def test_rates_are_those_of_the_published_matrix(v0: float, climb: float, ux: float, uy: float) -> None:
    """M v' + V L^-1 v = {T, M} with L of Pitt and Peters at any skew X = tan(chi/2) [T], inverted here by numpy, in axes along the wind.

    V_T of the uniform row, V = (mu^2 + (V + v)(V + 2v))/V_T of the harmonics; apparent masses 8/3pi and 16/45pi [M].
    """
    vx, vy, thrust, moment, turning = 0.13, -0.07, 0.09, np.array([2e-3, -3e-3]), 0.7
    mu = math.hypot(ux, uy)
    axial = axial_flow(v0, climb, mu)
    total = math.hypot(mu, axial)
    x = mu / (total + axial)
    b = 15.0 * math.pi / 64.0 * x
    gains = np.array([[0.5, b, 0.0], [-b, 2.0 * (1.0 - x * x), 0.0], [0.0, 0.0, 2.0 * (1.0 + x * x)]])
    carried = np.diag([total, *[(mu * mu + (climb + v0) * (climb + 2.0 * v0)) / total] * 2])
    wind = np.array([ux, uy]) / mu if mu else np.array([1.0, 0.0])
    turn = np.array([[wind[0], wind[1]], [-wind[1], wind[0]]])
    slopes = np.array([vx, vy])
    load = np.array([thrust, *(turn @ moment) / RADIUS])
    masses = FLOW * RADIUS * np.array([8.0 / (3.0 * math.pi), *[16.0 / (45.0 * math.pi)] * 2])
    rates = (load - FLOW * carried @ np.linalg.inv(gains) @ np.array([v0, *(turn @ slopes)])) / masses
    want = [rates[0], *(turn.T @ rates[1:] + turning * np.array([vy, -vx]))]
    found = inflow_rates((v0, vx, vy), (climb, ux, uy), (thrust, *moment), RHO, RADIUS, turning)
    assert found == pytest.approx(want, rel=1e-11)


@pytest.mark.parametrize("climb", [-0.7, -0.9, -1.1])
def test_harmonics_in_the_ring_are_carried_away_with_seven_tenths_of_the_hover_speed(climb: float) -> None:
    """Where (V + v)(V + 2v) is too small or has no meaning: v_h = sqrt(v V_T) of the same thrust, times 0.7 (own choice, as the code says)."""
    v0, slope = 0.6, 0.1
    total = axial_flow(v0, climb, 0.0)
    speed = 0.7 * math.sqrt(v0 * total)
    assert (climb + v0) * (climb + 2.0 * v0) / total < speed
    for k in (1, 2):
        slopes = (slope, 0.0) if k == 1 else (0.0, slope)
        rate = inflow_rates((v0, *slopes), (climb, 0.0, 0.0), ZERO, RHO, RADIUS, 0.0)[k]
        assert rate == pytest.approx(-0.5 * speed * slope / (16.0 / (45.0 * math.pi) * RADIUS), rel=1e-12)


def test_ring_passes_through_the_medians_between_which_it_never_swings() -> None:
    """(V/v, (v_h/v)^2) of each median of the table in the code, at 1e-12; a monotone cubic keeps between its two nodes."""
    r = [-d / v for d, v in zip(_DESCENT, _INDUCED, strict=True)]
    g = [1.0 / v**2 for v in _INDUCED]
    for ratio, factor in zip(r, g, strict=True):
        assert axial_flow_factor(ratio) == pytest.approx(factor, rel=1e-12)
    nodes = sorted([(-5.540, 4.540), *zip(r, g, strict=True), (0.0, 1.0)])
    for (left, low), (right, high) in zip(nodes[:-1], nodes[1:], strict=True):
        between = [axial_flow_factor(left + s * (right - left)) for s in np.linspace(0.0, 1.0, 41)]
        assert min(between) >= min(low, high) - 1e-12
        assert max(between) <= max(low, high) + 1e-12


def test_slopes_of_the_cubic_are_the_harmonic_mean_and_nought_at_a_turn() -> None:
    """Fritsch and Carlson by hand: slopes 1 and 3 beside a node give 1.5; 3 and -1 give none; the ends as told."""
    assert _monotone_slopes([0.0, 1.0, 2.0, 4.0], [0.0, 1.0, 4.0, 2.0], 0.25, -0.5) == pytest.approx(
        [0.25, 1.5, 0.0, -0.5]
    )
    assert _monotone_slopes([0.0, 2.0, 3.0], [1.0, 5.0, 6.0], 0.0, 0.0)[1] == pytest.approx(2.0 * 2.0 * 1.0 / 3.0)


def test_slope_is_continuous_across_the_medians() -> None:
    """One-sided slopes over 1e-7 agree to 1e-4: curvature there is at most some hundred."""
    h = 1e-7
    for d, v in zip(_DESCENT, _INDUCED, strict=True):
        below, at, above = (axial_flow_factor(-d / v + s * h) for s in (-1.0, 0.0, 1.0))
        assert (above - at) / h == pytest.approx((at - below) / h, abs=1e-4)


def test_tail_inflow_in_slanting_flow() -> None:
    """M0 v' = T - 2 rho A V_T v with V_T of both flows, here in the ring blown upon: by hand from axial_flow."""
    v, climb, edge, thrust = 0.5, -0.4, 0.3, 0.02
    total = math.hypot(edge, axial_flow(v, climb, edge))
    want = (thrust - 2.0 * FLOW * total * v) / (8.0 / (3.0 * math.pi) * FLOW * RADIUS)
    assert uniform_rate(v, climb, edge, thrust, RHO, RADIUS) == pytest.approx(want, rel=1e-12)


def test_descent_costs_more_than_its_induced_flow() -> None:
    """Nothing in hover and climb, 0.22 v from V/v = -1.22 on, half of that half way, the same for a rotor that pushes down; exact."""
    assert descent_excess(0.8, 0.0) == 0.0
    assert descent_excess(0.8, 2.0) == 0.0
    assert descent_excess(0.0, -1.0) == 0.0
    assert descent_excess(0.8, -0.8 * 1.22) == pytest.approx(0.22 * 0.8, rel=1e-14)
    assert descent_excess(0.8, -9.0) == pytest.approx(0.22 * 0.8, rel=1e-14)
    assert descent_excess(0.8, -0.8 * 0.61) == pytest.approx(0.11 * 0.8, rel=1e-14)
    assert descent_excess(-0.8, 0.5) == -descent_excess(0.8, -0.5)


def test_descent_excess_has_no_corner() -> None:
    """Slopes on either side of hover and of V/v = -1.22 agree: 1e-4."""
    for climb in (0.0, -1.22):
        below, here, above = (descent_excess(1.0, climb + d) for d in (-1e-5, 0.0, 1e-5))
        assert abs((above - here) - (here - below)) / 1e-5 < 1e-4
