"""Hinge moments against closed forms: damped oscillation, Coulomb friction, bounce on a Hunt-Crossley stop.

Broken : friction with the other sign; stop exponent 1.25 for 1.5; energy of the stop 0.5 for 0.4; stop that pulls: each refused here.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from paddlebar.physics.hinge import SLIDE, dry_friction, hinge_moment, stop_moment

FAR = 1e9  # [rad] a stop that is never met


def test_friction_is_odd_and_coulombs_away_from_rest() -> None:
    assert dry_friction(2e-3, 0.0, 0.3) == 0.0
    for rate in (0.01, 0.3, 5.0, 40.0):
        assert dry_friction(2e-3, rate, 0.3) == -dry_friction(2e-3, -rate, 0.3)
        assert dry_friction(2e-3, rate, 0.3) < 0.0
    assert dry_friction(2e-3, 3.0, 0.3) == pytest.approx(-2e-3, rel=1e-8)
    assert dry_friction(0.0, 3.0, 0.3) == 0.0


def test_friction_turns_over_within_the_slide() -> None:
    """Slope limit/slide at rest; 76 % (tanh 1) of the limit at one slide."""
    assert dry_friction(1.0, 1e-7, 0.3) == pytest.approx(-1e-7 / 0.3, rel=1e-9)
    assert dry_friction(1.0, 0.3, 0.3) == pytest.approx(-0.761594155956, rel=1e-11)


@pytest.mark.parametrize("damper", [0.0, 2e-5, 9e-5])
def test_spring_and_damper_swing_as_the_closed_form_says(damper: float) -> None:
    """I x'' = -k x - c x': x = a exp(-d t) (cos w t + d/w sin w t), d = c/2I, w^2 = k/I - d^2 [C]. 1e-8 of the first swing."""
    inertia, spring, first = 1e-5, 1e-3, 0.4
    d = damper / (2.0 * inertia)
    w = math.sqrt(spring / inertia - d * d)

    def rate(_: float, y: np.ndarray) -> list[float]:
        return [y[1], hinge_moment(y[0], y[1], spring, damper, 0.0, FAR, 1.0, 0.1)[0] / inertia]

    t = np.linspace(0.0, 2.0, 50)
    found = solve_ivp(rate, (0.0, 2.0), [first, 0.0], method="DOP853", t_eval=t, rtol=1e-11, atol=1e-13)
    want = first * np.exp(-d * t) * (np.cos(w * t) + d / w * np.sin(w * t))
    assert np.abs(found.y[0] - want).max() < 1e-8 * first


def test_friction_takes_the_same_angle_from_each_swing() -> None:
    """Coulomb: each half swing loses 2 F/k, in a straight line [C]. Rates up to 1e4 rad/s, so that the rounding (0.3 rad/s) shows
    in 1 part in 1e4 only; 1e-3 of the loss."""
    inertia, spring, friction, first = 1.0, 1e8, 2e6, 1.0

    def rate(_: float, y: np.ndarray) -> list[float]:
        return [y[1], hinge_moment(y[0], y[1], spring, 0.0, friction, FAR, 1.0, 0.1)[0] / inertia]

    half = math.pi / math.sqrt(spring / inertia)
    found = solve_ivp(
        rate, (0.0, 5.0 * half), [first, 0.0], t_eval=half * np.arange(6), rtol=1e-9, atol=1e-9, max_step=half / 200
    )
    loss = 2.0 * friction / spring
    assert np.abs(found.y[0]) == pytest.approx(first - loss * np.arange(6), abs=5e-3 * loss)


def test_stop_is_silent_until_it_is_met() -> None:
    for angle in (-0.5, -0.2, 0.0, 0.3, 0.5):
        assert stop_moment(angle, 3.0, 0.5, 10.0, 0.1) == (0.0, 0.0, 0.0)
    assert stop_moment(0.5 + 1e-9, 3.0, 0.5, 10.0, 0.1)[0] == pytest.approx(0.0, abs=1e-11)  # no step when it is met


def test_both_stops_are_alike_and_push_back() -> None:
    for depth, rate in ((0.01, 2.0), (0.02, -2.0), (0.001, 0.0)):
        upper = stop_moment(0.5 + depth, rate, 0.5, 10.0, 0.1)
        lower = stop_moment(-0.5 - depth, -rate, 0.5, 10.0, 0.1)
        assert upper[0] == -lower[0]
        assert upper[0] < 0.0
        assert upper[1:] == lower[1:]


def test_stop_at_rest_is_hertzs_and_its_energy_the_integral() -> None:
    """k d^1.5 at rest; energy k d^2.5/2.5."""
    moment, energy, loss = stop_moment(0.53, 0.0, 0.5, 10.0, 0.1)
    assert moment == pytest.approx(-10.0 * 0.03**1.5, rel=1e-12)
    assert energy == pytest.approx(quad(lambda a: -stop_moment(a, 0.0, 0.5, 10.0, 0.1)[0], 0.5, 0.53)[0], rel=1e-8)
    assert loss == 0.0


def test_stop_never_pulls_and_never_gives() -> None:
    """Fast on the way out (1 + c d' < 0) it lets go; what it takes is never negative."""
    rng = np.random.default_rng(1)
    assert stop_moment(0.55, -20.0, 0.5, 10.0, 0.1)[0] == 0.0
    for angle, rate in zip(rng.uniform(-0.6, 0.6, 500), rng.uniform(-40.0, 40.0, 500), strict=True):
        moment, energy, loss = stop_moment(angle, rate, 0.5, 10.0, 0.1)
        assert moment * angle <= 0.0
        assert energy >= 0.0
        assert loss >= 0.0


def bounce(speed: float, damping: float) -> tuple[float, float]:
    """Speed after a bounce, and the largest change of kinetic + stored + lost energy over the kinetic energy at first."""
    inertia, stiffness, stop = 1e-5, 1.3, 0.4

    def rate(_: float, y: np.ndarray) -> list[float]:
        moment, _, loss = hinge_moment(y[0], y[1], 0.0, 0.0, 0.0, stop, stiffness, damping)
        return [y[1], moment / inertia, loss]

    def out(_: float, y: np.ndarray) -> float:
        return float(y[0] - stop)

    out.terminal, out.direction = True, -1.0  # type: ignore[attr-defined]
    found = solve_ivp(
        rate, (0.0, 1.0), [stop, speed, 0.0], method="DOP853", events=out, rtol=1e-11, atol=1e-15, max_step=1e-3
    )
    assert found.status == 1
    stored = [hinge_moment(a, r, 0.0, 0.0, 0.0, stop, stiffness, damping)[1] for a, r in found.y[:2].T]
    total = 0.5 * inertia * found.y[1] ** 2 + stored + found.y[2]
    return -float(found.y[1, -1]), float(np.abs(total / total[0] - 1.0).max())


@pytest.mark.parametrize(("speed", "damping"), [(5.0, 0.1), (0.5, 0.1), (20.0, 0.1), (5.0, 0.0), (3.0, 0.4)])
def test_bounce_keeps_what_hunt_and_crossley_say(speed: float, damping: float) -> None:
    """k d^1.5 (1 + c d') has the closed return speed u of v: c v - ln(1 + c v) = -c u - ln(1 - c u) [C], whatever inertia and k.

    1e-6; energy booked to 1e-8. Seen: 3.74 of 5 rad/s at the stops' own c of 0.1, i.e. 75 % of speed, 56 % of energy.
    """
    back, drift = bounce(speed, damping)
    assert drift < 1e-8
    if damping == 0.0:
        assert back == pytest.approx(speed, rel=1e-8)
        return
    c = damping
    left = c * speed - math.log1p(c * speed)
    want = brentq(lambda u: -c * u - math.log1p(-c * u) - left, 0.0, (1.0 - 1e-12) / c, xtol=1e-13)
    print(f"bounce at {speed} rad/s: {back:.5f}, closed form {want:.5f}, share {back / speed:.4f}")
    assert back == pytest.approx(want, rel=1e-6)
    assert back < speed


def test_gentle_bounce_loses_as_the_first_order_says() -> None:
    """1 - e = (2/3) c v for small c v (Hunt and Crossley 1975, from memory: lambda = 3/2 alpha k)."""
    back, _ = bounce(0.01, 0.1)
    assert (1.0 - back / 0.01) / (2.0 / 3.0 * 0.1 * 0.01) == pytest.approx(1.0, rel=2e-3)


def test_whole_hinge_is_the_sum_and_books_its_power() -> None:
    """Work of the joint goes into the store or is lost: -moment rate = d(energy)/dt + loss, at any state. 1e-7 of the largest."""
    rng = np.random.default_rng(2)
    given = (3e-3, 2e-5, 1e-4, 0.3, 1.3, 0.1)
    for angle, rate in zip(rng.uniform(-0.35, 0.35, 200), rng.uniform(-8.0, 8.0, 200), strict=True):
        moment, _, loss = hinge_moment(angle, rate, *given)
        h = 1e-6
        stored = (hinge_moment(angle + h, rate, *given)[1] - hinge_moment(angle - h, rate, *given)[1]) / (2.0 * h)
        assert -moment * rate == pytest.approx(stored * rate + loss, abs=1e-7 * (abs(moment * rate) + 1e-3))
        assert loss >= 0.0
    assert hinge_moment(0.0, 0.0, *given) == (0.0, 0.0, 0.0)
    assert SLIDE < 1.0
