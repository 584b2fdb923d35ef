"""The table to wind by: torque and energy belong together, and agree with closed forms of the files' own settings."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from paddlebar.checks.winding import SHARES, winding_table
from paddlebar.craft.rubber import allowed_turns
from paddlebar.files.craft import Skein, skein_mass_g
from paddlebar.files.load import load_craft

ROOT = Path(__file__).parents[2]


@pytest.fixture(params=["hall-ten", "printed-28"])
def skein(request: pytest.FixtureRequest) -> Skein:
    return load_craft(ROOT / "models" / f"{request.param}.toml").skein


def test_turns_are_shares_of_breaking(skein: Skein) -> None:
    assert [row.turns for row in winding_table(skein)] == pytest.approx([s * allowed_turns(skein) for s in SHARES])


def test_from_breaking_turns_it_lets_out_the_energy_of_the_file(skein: Skein) -> None:
    (row,) = winding_table(skein, [1.0])
    assert row.energy_j == pytest.approx(skein.energy_kJ_kg * skein_mass_g(skein), rel=1e-9)  # kJ/kg = J/g


def test_energy_is_the_integral_of_torque(skein: Skein) -> None:
    shares = np.linspace(0.0, 0.9, 2001)
    rows = winding_table(skein, shares)
    turned = np.array([2.0 * math.pi * row.turns for row in rows])
    torque = np.array([row.torque_nm for row in rows])
    assert rows[-1].energy_j == pytest.approx(float(np.trapezoid(torque, turned)), rel=1e-4)


def test_what_is_lost_between_winding_and_letting_out_is_the_files_loss(skein: Skein) -> None:
    for row in winding_table(skein):
        assert 1.0 - row.torque_nm / row.torque_winding_nm == pytest.approx(skein.loss_percent / 100.0, rel=1e-12)


def test_a_warm_skein_pulls_harder(skein: Skein) -> None:
    cold, warm = (winding_table(skein, [0.8], temperature)[0] for temperature in (20.0, 30.0))
    assert warm.torque_nm / cold.torque_nm == pytest.approx(1.0 + 10.0 * skein.percent_per_K / 100.0, rel=1e-9)


def test_a_measured_curve_is_followed_and_its_end_is_said(skein: Skein) -> None:
    breaking = allowed_turns(skein)
    measured = skein.model_copy(update={"measured": ((0.0, 0.0), (0.65 * breaking, 6.5))})
    rows = winding_table(measured)
    assert [row.beyond_measured for row in rows] == [False, False, True, True, True]
    assert 1e3 * rows[0].torque_nm == pytest.approx(5.0, rel=1e-3)  # half-way along a straight line
    for row in rows[2:]:  # nobody knows what it gives there
        assert all(math.isnan(each) for each in (row.torque_winding_nm, row.torque_nm, row.energy_j))
