"""``paddlebar yaw``."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from cli.conftest import document, flat, one_line
from paddlebar import load_scenario
from paddlebar.cli import yaw

SCENARIO = Path(__file__).parents[2] / "scenarios" / "first-flight.toml"

QUICK = (
    "yaw", "hop.toml", "--ratio", "4:5.4:3", "--pitch", "10", "--workers", "1",
    "--set", "skein.turns=120", "--set", "run.rtol=1e-4", "--set", "run.blade_elements=3",
)  # fmt: skip


def test_table_pictures_and_going_on(run, tmp_path):
    first = run(*QUICK, "--out", "y")
    assert first.exit_code in (0, 1)
    assert "tail on a cord 23 : 5 mm = 4.6" in first.stdout
    assert "ratio that balances" in first.stdout
    assert first.stdout.startswith("hall ten: as built the nose drifts ")
    assert "eye protection" in first.stdout
    names = {"study.h5", "drift.png", "spin.png", "balance.png"}
    assert {path.name for path in (tmp_path / "y").iterdir()} == names
    kept = (tmp_path / "y" / "study.h5").read_bytes()
    again = run(*QUICK, "--out", "y", "--json", "--no-pictures")
    found = document(again)
    assert (tmp_path / "y" / "study.h5").read_bytes() == kept
    assert again.exit_code == first.exit_code == int(not found["own_drift_deg_s"] < 20.0)
    assert found["files"] == ["y/study.h5"]
    assert found["ratios"] == pytest.approx([4.0, 4.7, 5.4])
    assert len(found["mean_spin_deg_s"][0][0]) == 3
    assert {"full_wind", "mid_run", "end", "mean", "best", "best_drift_deg_s", "jumps", "still"} == set(
        found["balance"]
    )
    refused = run(*QUICK, "--out", "y", "--set", "skein.turns=121")
    assert refused.exit_code == 2
    assert "another scenario" in one_line(refused)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--ratio", "x"), "--ratio"),
        (("--ratio", "4"), "two values at least"),
        (("--pitch", "1:2"), "--pitch"),
        (("--set", "craft.tail.drive=none"), "tail.drive"),
        (("--set", "craft.tail.pitch_dge=3"), "pitch_deg"),
    ],
)
def test_bad_input_is_one_line_and_leaves_nothing(run, untouched, words, says):
    result = run("yaw", "hop.toml", "--set", "skein.turns=100", *words)
    assert result.exit_code == 2
    assert says in one_line(result)
    assert untouched()


def test_help_shows_an_example(run):
    result = run("yaw", "--help")
    assert result.exit_code == 0
    assert "paddlebar yaw scenarios/first-flight.toml" in result.stdout.split("Example:")[1]


def test_every_pitch_and_diameter_of_a_grid_has_its_balance():
    """Made-up study of two pitches and one diameter: one balances, the other nowhere; words where the craft never gets there."""
    shape = (1, 2, 2)
    grid = {name: np.full(shape, 1.0) for name in (
        "mean_spin_deg_s", "spin_full_wind_deg_s", "spin_mid_run_deg_s", "spin_end_deg_s", "drift_deg_s", "body_turns", "turns_unwound",
        "rotor_turns_over_ground", "tail_power_share", "rose_m", "side_drift_m_s", "circle_radius_m",
    )}  # fmt: skip
    balance = SimpleNamespace(full_wind=4.0, mid_run=math.nan, end=5.0, mean=4.5, best=math.nan, jumps=("end",))
    found = SimpleNamespace(
        **grid, ratios=np.array([4.0, 5.0]), pitches_deg=np.array([10.0, 12.0]), diameters_mm=np.array([90.0]), own_ratio=4.6,
        own_pitch_deg=12.0, own_diameter_mm=90.0, balance_mean_ratio=np.array([[4.25, math.nan]]), balance=balance, own_drift_deg_s=math.nan, failed=1,
        flights=9, ending=np.array([[[0, 2], [0, 2]]]),
    )  # fmt: skip
    scenario = load_scenario(SCENARIO)
    shown = flat("\n".join(yaw.lines(found, scenario, full=True)))
    assert "pitch 10 deg, diameter 90 mm: 4.25, 21.2 mm" in shown
    assert "pitch 12 deg, diameter 90 mm: none of these ratios" in shown
    assert "at full wind 4.00 (20.0 mm); at mid-run none of these; late 5.00 (25.0 mm), where it jumps" in shown
    assert yaw.own_drift(found) == yaw.ENDED[2]  # a ratio of its own that is not on the grid
    found.ratios, found.ending = np.array([4.0, 4.6]), np.array([[[0, 0], [0, 1]]])
    assert "as built it falls over" in yaw.own_drift(found)
    assert yaw.next_step(found, scenario, SCENARIO, still=False).startswith(
        f"paddlebar advise {SCENARIO}  # it must stay up"
    )
    assert "1 of 9 flights failed numerically" in shown
    assert "least at ratio" not in shown
