"""The skein's torque curves and the set between winding and unwinding.

Broken : energy without the 2 pi; x^7 for x^8 in the torque alone; set_rate without the absolute value: each refused here.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from paddlebar.physics import skein

CURVE = (600.0, 3e-3, 0.08, 2.5)  # breaking turns, plateau N m, knee, spike
TABLE = np.array([0.0, 2.0, 2.5, 2.2, 4.0]) * 1e-3


def test_middle_curve_at_its_ends() -> None:
    """Nothing at no turns, slope plateau/(knee N) there; plateau (spike - exp(-1/knee)) at breaking; the plateau in between."""
    n, plateau, knee, spike = CURVE
    assert skein.middle_torque(0.0, *CURVE) == 0.0
    assert skein.middle_torque(1e-6, *CURVE) == pytest.approx(plateau / (knee * n) * 1e-6, rel=1e-6)
    assert skein.middle_torque(n, *CURVE) == pytest.approx(plateau * (spike - math.exp(-1.0 / knee)), rel=1e-12)
    assert skein.middle_torque(0.45 * n, *CURVE) == pytest.approx(plateau, rel=0.01)


def test_torque_never_falls_as_turns_rise() -> None:
    turns = np.linspace(0.0, CURVE[0], 400)
    assert (np.diff([skein.middle_torque(t, *CURVE) for t in turns]) > 0.0).all()


@pytest.mark.parametrize("turns", [1.0, 40.0, 300.0, 599.0])
def test_energy_is_the_integral_of_torque_and_both_ways_are_alike(turns: float) -> None:
    """2 pi times the area over turns. 1e-10 (quadrature)."""
    area, _ = quad(lambda t: skein.middle_torque(t, *CURVE), 0.0, turns, epsabs=0.0, epsrel=1e-12, limit=200)
    assert skein.middle_energy(turns, *CURVE) == pytest.approx(2.0 * math.pi * area, rel=1e-10)
    assert skein.middle_energy(-turns, *CURVE) == skein.middle_energy(turns, *CURVE)
    assert skein.middle_torque(-turns, *CURVE) == -skein.middle_torque(turns, *CURVE)


def test_table_is_met_at_its_rows_straight_between_and_held_beyond() -> None:
    for k, torque in enumerate(TABLE):
        assert skein.table_torque(100.0 * k, TABLE, 400.0) == pytest.approx(torque, rel=1e-14)
        assert skein.table_torque(-100.0 * k, TABLE, 400.0) == pytest.approx(-torque, rel=1e-14)
    assert skein.table_torque(125.0, TABLE, 400.0) == pytest.approx(2.125e-3, rel=1e-14)
    assert skein.table_torque(900.0, TABLE, 400.0) == TABLE[-1]


@pytest.mark.parametrize("turns", [0.0, 30.0, 100.0, 250.0, 400.0, 470.0])
def test_energy_of_a_table_is_the_area_under_its_straight_lines(turns: float) -> None:
    rows = sorted({turns, *(float(t) for t in range(0, 500, 100) if t < turns), 0.0})
    area = sum(
        0.5 * (skein.table_torque(a, TABLE, 400.0) + skein.table_torque(b, TABLE, 400.0)) * (b - a)
        for a, b in zip(rows, rows[1:], strict=False)
    )
    assert skein.table_energy(turns, TABLE, 400.0) == pytest.approx(2.0 * math.pi * area, rel=1e-12, abs=1e-15)
    assert skein.table_energy(-turns, TABLE, 400.0) == skein.table_energy(turns, TABLE, 400.0)


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
        torque = skein.middle_torque(y[1], *CURVE) * skein.hysteresis_factor(y[0], half)
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
    assert put == pytest.approx(skein.middle_energy(400.0, *CURVE) - skein.middle_energy(100.0, *CURVE), rel=1e-9)


def test_pull_is_that_of_strands_at_45_degrees() -> None:
    """Q = 2/3 a F tan 45 deg turned round, a the radius of the bundle; never a push, in proportion to torque, as 1/a in size."""
    section = math.pi * 2e-3**2
    assert skein.pull(3e-3, section) == pytest.approx(3e-3 / (2.0 / 3.0 * 2e-3), rel=1e-12)
    assert skein.pull(-3e-3, section) == skein.pull(3e-3, section)
    assert skein.pull(6e-3, section) == pytest.approx(2.0 * skein.pull(3e-3, section), rel=1e-14)
    assert skein.pull(3e-3, 4.0 * section) == pytest.approx(0.5 * skein.pull(3e-3, section), rel=1e-14)
    assert skein.pull(0.0, section) == 0.0
