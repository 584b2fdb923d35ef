"""Torque of a motor and the energy under it, every kind through the one entry, and what becomes of it once it has run out.

Broken : energy without the 2 pi; x^7 for x^8 in the torque alone; STEADY's energy without the absolute value; `pulls` that forgets
`runs_back`: each refused here.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad

from paddlebar.physics import motor

CURVE = (600.0, 3e-3, 0.08, 2.5)  # breaking turns, plateau N m, knee, spike
TABLE = np.array([0.0, 2.0, 2.5, 2.2, 4.0]) * 1e-3
KINDS = {"none": motor.NONE, "formula": motor.FORMULA, "table": motor.TABLE, "steady": motor.STEADY}
DRIVING = [kind for kind in KINDS if kind != "none"]


def made(kind: str, **values: Any) -> Any:
    """A motor of a kind, readable by attribute."""
    record = np.zeros(1, dtype=motor.DTYPE).view(np.recarray)[0]
    record.kind, record.half_loss = KINDS[kind], 0.2
    record.breaking, record.plateau, record.knee, record.spike = CURVE
    record.table[:] = np.interp(np.linspace(0.0, 400.0, motor.NODES), np.arange(5) * 100.0, TABLE)
    record.table_last, record.steady = 400.0, 3.3e-3
    for name, value in values.items():
        record[name] = value
    return record


def test_every_kind_of_the_entry_is_tried_here() -> None:
    assert sorted(KINDS.values()) == list(range(len(KINDS)))
    assert len(KINDS) - 1 == motor.STEADY


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("turns", [1.0, 37.0, 210.0, 399.0])
def test_energy_of_every_kind_is_the_integral_of_its_torque(kind: str, turns: float) -> None:
    """2 pi times the area over turns; the same to either side, where the torque is as much the other way. 1e-9 (quadrature)."""
    one = made(kind)
    corners = [n for n in np.linspace(0.0, 400.0, motor.NODES) if n < turns] if kind == "table" else [0.0]
    ends = [*corners, turns]
    area = sum(quad(lambda n: motor.motor_torque(one, n), a, b)[0] for a, b in zip(ends, ends[1:], strict=False))
    assert motor.motor_energy(one, turns) == pytest.approx(2.0 * math.pi * area, rel=1e-9)
    assert motor.motor_energy(one, -turns) == motor.motor_energy(one, turns)
    assert motor.motor_torque(one, -turns) == -motor.motor_torque(one, turns)
    assert (motor.motor_torque(one, turns) > 0.0) == (kind != "none")


def test_the_entry_is_the_law_of_the_kind() -> None:
    assert motor.motor_torque(made("formula"), 250.0) == motor.middle_torque(250.0, *CURVE)
    assert motor.motor_torque(made("table"), 125.0) == pytest.approx(2.125e-3, rel=1e-12)
    assert motor.motor_torque(made("steady"), 1e6) == 3.3e-3
    assert motor.motor_torque(made("none"), 250.0) == 0.0


@pytest.mark.parametrize("kind", DRIVING)
def test_run_out_it_neither_pulls_nor_holds_energy(kind: str) -> None:
    """Freewheeling or locked: nothing below no turns. One that winds itself up the other way goes on there, odd, and stores."""
    for turns in (0.0, -1.0, -50.0):
        assert motor.motor_drive(made(kind), turns, -1.0) == (0.0, 0.0)
        assert motor.motor_drive(made(kind, locks=1), turns, -1.0) == (0.0, 0.0)
        assert motor.motor_stored(made(kind), turns) == 0.0
    back = made(kind, runs_back=1)
    for set_ in (-1.0, 0.3):
        there, here = motor.motor_drive(back, -50.0, -set_), motor.motor_drive(back, 50.0, set_)
        assert there == pytest.approx([-each for each in here], rel=1e-14)
    assert motor.motor_stored(back, -50.0) == motor.motor_stored(back, 50.0) > 0.0


@pytest.mark.parametrize("kind", DRIVING)
def test_what_the_loop_takes_and_what_the_shaft_gets_are_the_middle_curve(kind: str) -> None:
    one = made(kind)
    for set_ in (-1.0, 0.0, 0.7):
        torque, lost = motor.motor_drive(one, 120.0, set_)
        assert torque == pytest.approx((1.0 + 0.2 * set_) * motor.motor_torque(one, 120.0), rel=1e-14)
        assert torque + lost == pytest.approx(motor.motor_torque(one, 120.0), rel=1e-14)


def test_no_motor_does_nothing() -> None:
    none = made("none", runs_back=1)
    assert motor.motor_drive(none, 100.0, 1.0) == (0.0, 0.0)
    assert motor.motor_stored(none, 100.0) == 0.0
    assert not motor.pulls(none, 100.0)
    assert np.zeros(1, dtype=motor.DTYPE)["kind"] == motor.NONE  # a blank record is no motor


# ---- the laws of each kind


def test_middle_curve_at_its_ends() -> None:
    """Nothing at no turns, slope plateau/(knee N) there; plateau (spike - exp(-1/knee)) at breaking; the plateau in between."""
    n, plateau, knee, spike = CURVE
    assert motor.middle_torque(0.0, *CURVE) == 0.0
    assert motor.middle_torque(1e-6, *CURVE) == pytest.approx(plateau / (knee * n) * 1e-6, rel=1e-6)
    assert motor.middle_torque(n, *CURVE) == pytest.approx(plateau * (spike - math.exp(-1.0 / knee)), rel=1e-12)
    assert motor.middle_torque(0.45 * n, *CURVE) == pytest.approx(plateau, rel=0.01)


def test_torque_never_falls_as_turns_rise() -> None:
    turns = np.linspace(0.0, CURVE[0], 400)
    assert (np.diff([motor.middle_torque(t, *CURVE) for t in turns]) > 0.0).all()


@pytest.mark.parametrize("turns", [1.0, 40.0, 300.0, 599.0])
def test_energy_is_the_integral_of_torque_and_both_ways_are_alike(turns: float) -> None:
    """2 pi times the area over turns. 1e-10 (quadrature)."""
    area, _ = quad(lambda t: motor.middle_torque(t, *CURVE), 0.0, turns, epsabs=0.0, epsrel=1e-12, limit=200)
    assert motor.middle_energy(turns, *CURVE) == pytest.approx(2.0 * math.pi * area, rel=1e-10)
    assert motor.middle_energy(-turns, *CURVE) == motor.middle_energy(turns, *CURVE)
    assert motor.middle_torque(-turns, *CURVE) == -motor.middle_torque(turns, *CURVE)


def test_table_is_met_at_its_rows_straight_between_and_held_beyond() -> None:
    for k, torque in enumerate(TABLE):
        assert motor.table_torque(100.0 * k, TABLE, 400.0) == pytest.approx(torque, rel=1e-14)
        assert motor.table_torque(-100.0 * k, TABLE, 400.0) == pytest.approx(-torque, rel=1e-14)
    assert motor.table_torque(125.0, TABLE, 400.0) == pytest.approx(2.125e-3, rel=1e-14)
    assert motor.table_torque(900.0, TABLE, 400.0) == TABLE[-1]


@pytest.mark.parametrize("turns", [0.0, 30.0, 100.0, 250.0, 400.0, 470.0])
def test_energy_of_a_table_is_the_area_under_its_straight_lines(turns: float) -> None:
    rows = sorted({turns, *(float(t) for t in range(0, 500, 100) if t < turns), 0.0})
    area = sum(
        0.5 * (motor.table_torque(a, TABLE, 400.0) + motor.table_torque(b, TABLE, 400.0)) * (b - a)
        for a, b in zip(rows, rows[1:], strict=False)
    )
    assert motor.table_energy(turns, TABLE, 400.0) == pytest.approx(2.0 * math.pi * area, rel=1e-12, abs=1e-15)
    assert motor.table_energy(-turns, TABLE, 400.0) == motor.table_energy(turns, TABLE, 400.0)
