"""The set between winding and unwinding, what a loop loses, the pull. Torque: test_motor.py.

Broken : set_rate without the absolute value: refused here.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from paddlebar.physics import motor, skein

CURVE = (600.0, 3e-3, 0.08, 2.5)  # breaking turns, plateau N m, knee, spike


@pytest.mark.parametrize(("first", "sense"), [(-1.0, 1.0), (1.0, -1.0), (0.3, -1.0), (0.3, 1.0)])
def test_set_runs_over_exponentially_in_turns(first: float, sense: float) -> None:
    """z = s + (z0 - s) exp(-n/settle) with s the sense of turning [C], at any speed, also an uneven one."""

    def rate(t: float, y: np.ndarray) -> list[float]:
        speed = sense * 8.0 * (1.0 + 0.9 * math.sin(5.0 * t))
        return [skein.set_rate(y[0], speed, 24.0), speed]

    found = solve_ivp(rate, (0.0, 6.0), [first, 0.0], method="DOP853", rtol=1e-11, atol=1e-13)
    turned = abs(found.y[1])
    assert found.y[0] == pytest.approx(sense + (first - sense) * np.exp(-turned / 24.0), abs=1e-9)
    assert np.abs(found.y[0]).max() <= 1.0 + 1e-12


def test_set_rests_when_the_shaft_does() -> None:
    for z in (-1.0, 0.2, 1.0):
        assert skein.set_rate(z, 0.0, 24.0) == 0.0
    assert skein.set_rate(1.0, 5.0, 24.0) == 0.0
    assert skein.set_rate(-1.0, -5.0, 24.0) == 0.0


def work(start: float, turns: float, first: float, half: float, settle: float, speed: float) -> tuple[float, float]:
    """Work put in over `turns` (negative: unwinding) from a set, middle curve CURVE, and the set afterwards."""

    def rate(_: float, y: np.ndarray) -> list[float]:
        n = math.copysign(speed, turns)
        torque = motor.middle_torque(y[1], *CURVE) * skein.hysteresis_factor(y[0], half)
        return [skein.set_rate(y[0], n, settle), n, 2.0 * math.pi * torque * n]

    found = solve_ivp(rate, (0.0, abs(turns) / speed), [first, start, 0.0], method="DOP853", rtol=1e-11, atol=1e-14)
    return float(found.y[2, -1]), float(found.y[0, -1])


def test_loss_of_a_closed_loop_does_not_ask_for_speed() -> None:
    """Wound up by 200 turns and let out again: the same loss at 1 and at 50 turns a second. 1e-8."""
    losses = []
    for speed in (1.0, 50.0):
        put, z = work(200.0, 200.0, -1.0, 0.2, 24.0, speed)
        got, _ = work(400.0, -200.0, z, 0.2, 24.0, speed)
        losses.append(put + got)
    assert losses[0] > 0.0
    assert losses[0] == pytest.approx(losses[1], rel=1e-8)


@pytest.mark.parametrize("turns", [1.0, 10.0, 100.0, 400.0])
def test_repeated_loop_takes_and_never_gives(turns: float) -> None:
    """Around 150 ... 150 + turns until the loop closes; loss over what was put in between 0 and 2h/(1 + h), the widest loop."""
    z, put, got = -1.0, 0.0, 0.0
    for _ in range(60 if turns < 24.0 else 4):
        put, z = work(150.0, turns, z, 0.2, 24.0, 20.0)
        got, z = work(150.0 + turns, -turns, z, 0.2, 24.0, 20.0)
    share = (put + got) / put
    print(f"loop of {turns} turns: loses {100 * share:.2f} % of what was put in")
    assert 0.0 < share < 2.0 * 0.2 / 1.2


def test_no_loss_means_one_curve() -> None:
    put, z = work(100.0, 300.0, -1.0, 0.0, 24.0, 20.0)
    got, _ = work(400.0, -300.0, z, 0.0, 24.0, 20.0)
    assert put + got == pytest.approx(0.0, abs=1e-9 * put)
    assert put == pytest.approx(motor.middle_energy(400.0, *CURVE) - motor.middle_energy(100.0, *CURVE), rel=1e-9)


def test_pull_is_that_of_strands_at_45_degrees() -> None:
    """Q = 2/3 a F tan 45 deg turned round, a the radius of the bundle; never a push, in proportion to torque, as 1/a in size."""
    section = math.pi * 2e-3**2
    assert skein.pull(3e-3, section) == pytest.approx(3e-3 / (2.0 / 3.0 * 2e-3), rel=1e-12)
    assert skein.pull(-3e-3, section) == skein.pull(3e-3, section)
    assert skein.pull(6e-3, section) == pytest.approx(2.0 * skein.pull(3e-3, section), rel=1e-14)
    assert skein.pull(3e-3, 4.0 * section) == pytest.approx(0.5 * skein.pull(3e-3, section), rel=1e-14)
    assert skein.pull(0.0, section) == 0.0
