"""``paddlebar map``."""

from __future__ import annotations

import csv

import pytest

from cli.conftest import document, one_line

QUICK = ("--set", "skein.turns=300", "--set", "run.blade_elements=3", "--workers", "1")
GRID = ("--x", "craft.bar.lead_deg=80:120:3", "--y", "craft.bar.tip_mass_g=0.4:0.8:2")


def test_words_table_picture_and_going_on(run, tmp_path):
    first = run("map", "hop.toml", *GRID, *QUICK, "--out", "m")
    assert first.exit_code in (0, 1)
    assert first.stdout.startswith("hall ten at craft.bar.lead_deg = 102, craft.bar.tip_mass_g = 0.6: ")
    assert "of 6 points" in first.stdout
    assert "dies out for craft.bar.lead_deg" in first.stdout
    assert "<- as built" in first.stdout
    assert "eye protection" in first.stdout
    assert {path.name for path in (tmp_path / "m").iterdir()} == {"study.h5", "map.csv", "map.png"}
    kept = (tmp_path / "m" / "study.h5").read_bytes()
    again = run("map", "hop.toml", *GRID, *QUICK, "--out", "m", "--json", "--no-pictures")
    found = document(again)
    assert (tmp_path / "m" / "study.h5").read_bytes() == kept
    assert found["x"] == [80.0, 100.0, 120.0]
    assert found["y"] == [0.4, 0.8]
    assert [len(row) for row in found["growth"]] == [3, 3]
    assert found["design"] == [102.0, 0.6]
    assert again.exit_code == first.exit_code == (0 if found["design_verdict"] == "stabilises" else 1)
    with (tmp_path / "m" / "map.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 6
    assert [row["verdict"] for row in rows] == [word for row in found["verdict"] for word in row]
    refused = run("map", "hop.toml", *GRID, *QUICK, "--out", "m", "--set", "skein.turns=301")
    assert refused.exit_code == 2
    assert "another scenario" in one_line(refused)


def test_by_flights(run):
    words = (
        "--x",
        "craft.bar.gain=-0.4:0.4:2",
        "--y",
        "launch.tilt_deg=2:4:2",
        "--by",
        "flights",
        "--no-pictures",
        "--json",
    )
    found = document(run("map", "hop.toml", *words, *QUICK, "--set", "run.duration_s=2", "--out", "f"))
    assert found["by"] == "flights"
    assert found["turns_left"] is None
    assert {word for row in found["verdict"] for word in row} <= {"held", "sways", "tips over"}


@pytest.mark.parametrize(
    ("x", "says"),
    [
        ("craft.bar.kind=1:2:3", "--x: craft.bar.kind: only a number can be varied, found 'seesaw'"),
        ("craft.bar=1:2:3", "found a table"),
        ("craft.part.stick.touches=0:1:2", "found true"),
        ("craft.bar.leed_deg=1:2:3", "did you mean lead_deg?"),
        ("craft.bar.lead_deg=90:40:5", "lowest should be less than highest"),
        ("craft.bar.lead_deg=40:90:1", "how many"),
        ("craft.bar.lead_deg=40:90:2.5", "write key=lowest:highest:how many"),
        ("craft.bar.lead_deg=40:90", "write key=lowest:highest:how many"),
        ("craft.bar.lead_deg", "write key=lowest:highest:how many"),
        ("craft.bar.arm_mm=-5:90:4", "--x: craft.bar.arm_mm"),
        ("craft.rotor.blades=2:4:9", "whole numbers"),
        ("craft.bar.tip_mass_g=0.2:0.9:4", "is the key of the other axis"),
    ],
)
def test_bad_axes_are_one_line_and_leave_nothing(run, untouched, x, says):
    result = run("map", "hop.toml", "--x", x, "--y", "craft.bar.tip_mass_g=0.4:0.8:2")
    assert result.exit_code == 2
    assert says in one_line(result)
    assert untouched()


def test_help_shows_an_example(run):
    result = run("map", "--help")
    assert result.exit_code == 0
    assert "paddlebar map scenarios/first-flight.toml" in result.stdout.split("Example:")[1]
