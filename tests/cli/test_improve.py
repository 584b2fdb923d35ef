"""``paddlebar improve``."""

from __future__ import annotations

import csv
import os
import tomllib

import pytest

from cli.conftest import document, flat, one_line
from paddlebar import load_craft, load_scenario

QUICK = (
    "improve", "hop.toml", "--vary", "craft.bar.lead_deg=90:115", "--vary", "craft.rotor.radius_mm=190:215", "--budget", "10", "--at", "0.5",
    "--workers", "1", "--set", "skein.turns=120", "--set", "launch.height_m=1.2", "--margin", "-3", "--spin", "400",
)  # fmt: skip


@pytest.fixture(autouse=True)
def looked_at_again_in_one_place(monkeypatch):
    """Eight places for start and result take longer than all the rest."""
    monkeypatch.setattr("paddlebar.studies.improve.study.CONFIRMED_AT", (0.5,))


def test_files_table_and_going_on(run, tmp_path):
    first = run(*QUICK, "--out", "i", "--full")
    assert first.exit_code == 0, first.output
    assert first.stdout.splitlines()[-1] == "next: paddlebar fly i/improved-flight.toml"
    assert "10 designs worked out" in first.stdout
    assert "time in the air: from" in first.stdout
    assert "fastest growth along the run-down at most 3 /s (at 0.5 of the turns)" in first.stdout
    assert "what was changed, and the result with that one change undone" in first.stdout
    assert "craft.rotor.blade_mass_g" in first.stdout  # followed the radius
    assert "eye protection" in first.stdout
    names = {"study.h5", "improved.toml", "improved-flight.toml", "designs.csv", "improve.json", "improve.png"}
    assert {path.name for path in (tmp_path / "i").iterdir()} == names
    kept = (tmp_path / "i" / "study.h5").read_bytes()
    again = run(*QUICK, "--out", "i", "--json", "--no-pictures")
    found = document(again)
    assert (tmp_path / "i" / "study.h5").read_bytes() == kept
    assert found["feasible"] is True
    assert found["designs"] == 10
    assert found["files"] == [
        f"i/{name}" for name in ("study.h5", "improved.toml", "improved-flight.toml", "designs.csv", "improve.json")
    ]
    craft = load_craft(tmp_path / "i" / "improved.toml")
    values = {v["key"]: v["result"] for v in found["varied"]}
    assert (craft.bar.lead_deg, craft.rotor.radius_mm) == tuple(values.values())
    assert craft.all_up_g == found["after"]["weight_g"]
    flight = load_scenario(tmp_path / "i" / "improved-flight.toml")
    assert flight.craft == craft
    assert flight.skein.turns == 120
    text = (tmp_path / "i" / "improved.toml").read_text(encoding="utf-8")
    assert text.startswith("# INVENTED")
    assert f"radius_mm = {craft.rotor.radius_mm} # was 200" in text
    assert tomllib.loads(text)["bar"]["lead_deg"] == craft.bar.lead_deg
    with (tmp_path / "i" / "designs.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 10
    assert min(float(row["violation"]) for row in rows) == 0.0
    assert max(float(row["duration_s"]) for row in rows if row["violation"] == "0") == pytest.approx(
        found["after"]["duration_s"], rel=1e-5
    )
    assert run("fly", "i/improved-flight.toml", "--no-pictures", "--out", "f").exit_code == 0
    refused = run(*QUICK, "--out", "i", "--set", "skein.turns=121")
    assert refused.exit_code == 2
    assert "another scenario" in one_line(refused)


def test_nothing_found_is_an_answer(run, tmp_path):
    result = run(*QUICK, "--heaviest", "5", "--out", "i", "--no-pictures")
    assert result.exit_code == 1
    assert "no design keeps all demands; in the way of the nearest:" in result.stdout
    assert "at most 5 g wanted" in flat(result.stdout)
    assert (tmp_path / "i" / "designs.csv").exists()


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--vary", "craft.bar.lead_deg"), "key=lowest:highest"),
        (("--vary", "craft.bar.lead_deg=1:x"), "key=lowest:highest"),
        (("--vary", "craft.bar.led_deg=60:120"), "lead_deg"),
        (("--vary", "craft.bar.lead_deg=120:60"), "lowest should be less"),
        (("--for", "fun"), "duration, control, height, stillness, stability"),
        (("--at", "half"), "--at"),
        (("--budget", "1"), "--budget"),
        (("--share", "2"), "--share"),
        (("--set", "skein.turns=0"), "skein.turns"),
        (("--set", "craft.part.stick.material=glass"), "material"),
    ],
)
def test_bad_input_is_one_line_and_leaves_nothing(run, untouched, words, says):
    result = run("improve", "hop.toml", "--set", "skein.turns=100", *words)
    assert result.exit_code == 2
    assert says in one_line(result)
    assert untouched()


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_may_not_be_written_to_is_refused_before_anything_flies(run, tmp_path):
    (tmp_path / "closed").mkdir(mode=0o500)
    result = run(*QUICK, "--out", "closed/x")
    assert result.exit_code == 2
    assert "closed" in one_line(result)


def test_help_shows_an_example(run):
    result = run("improve", "--help")
    assert result.exit_code == 0
    assert "paddlebar improve scenarios/poor-start.toml" in result.stdout.split("Example:")[1]
