"""``paddlebar yaw``."""

from __future__ import annotations

import pytest

from cli.conftest import document, one_line

QUICK = (
    "yaw", "hop.toml", "--ratio", "4:5.4:3", "--pitch", "10", "--workers", "1",
    "--set", "skein.turns=120", "--set", "run.rtol=1e-4", "--set", "run.blade_elements=3",
)  # fmt: skip


def test_table_pictures_and_going_on(run, tmp_path):
    first = run(*QUICK, "--out", "y")
    assert first.exit_code in (0, 1)
    assert "tail on a cord 23 : 5 mm = 4.6" in first.stdout
    assert "ratio that balances" in first.stdout
    assert "as built the nose drifts" in first.stdout
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
