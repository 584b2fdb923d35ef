"""``match`` at the terminal: files, words, JSON, exit codes, and what a slip costs."""

from __future__ import annotations

import pytest

from cli.conftest import ROOT, document, flat, one_line
from paddlebar import load_scenario

QUICK = (
    "[skein]\nturns = 120\n[launch]\nheight_m = 1.0\nrelease = \"held\"\nhold_s = 0.5\n"
    "[run]\nduration_s = 20\nrtol = 1e-4\nblade_elements = 4\nmax_step_s = 0.05\n"
)  # fmt: skip
RECORD = (
    "kind,name,turns,at_rpm,turns_left,thrust_g,torque_mN_m,remarks\n"
    "flight,hop,120,,77,,,fell softly\nstand,scale,,350,,7.6,2.75,\nskein,meter,100,,,,4.6,\n"
)
ASK = ("--unknown", "craft.skein.energy_kJ_kg", "--unknown", "craft.rotor.collective_deg=1", "--workers", 1)


@pytest.fixture
def here(run, tmp_path):
    (tmp_path / "s.toml").write_text('craft = "craft.toml"\n' + QUICK, encoding="utf-8")
    (tmp_path / "r.csv").write_text(RECORD, encoding="utf-8")
    return tmp_path


def test_table_overlay_and_picture(run, here):
    result = run("match", "s.toml", "r.csv", *ASK, "--full")
    assert result.exit_code == 0, result.stderr
    folder = here / "flights" / "s-match"
    assert sorted(p.name for p in folder.iterdir()) == ["match.csv", "match.png", "matched.toml"]
    assert "the model fits the record: chi-square" in result.stdout
    assert "craft.rotor.collective_deg" in result.stdout
    assert "readings that would tell most next:" in result.stdout
    assert "line 2: fell softly" in result.stdout
    assert "eye protection" in result.stdout
    assert result.stderr == ""
    head = (folder / "matched.toml").read_text(encoding="utf-8").splitlines()
    assert head[0] == "# Written by paddlebar match from r.csv."
    assert (folder / "match.csv").read_text(encoding="utf-8").count("\n") == 5
    assert run("fly", folder / "matched.toml", "--no-pictures", "--out", "f").exit_code in (0, 1)


def test_json_and_the_overlay_agree(run, here):
    result = run(
        "match",
        "s.toml",
        "r.csv",
        *ASK,
        "--json",
        "--no-further",
        "--no-pictures",
        "--out",
        "m",
        "--set",
        "launch.tilt_deg=2",
    )
    found = document(result)
    assert result.stderr == ""
    assert {
        "fits",
        "p",
        "chi2",
        "unknowns",
        "correlation",
        "readings",
        "not_told_apart",
        "further",
        "changes",
        "files",
    } <= set(found)
    assert found["files"] == ["m/match.csv", "m/matched.toml"]
    matched = load_scenario(here / "m" / "matched.toml")
    assert matched == load_scenario(here / "s.toml", {**found["changes"], "launch.tilt_deg": 2})


def test_exit_1_when_the_model_does_not_fit(run, here):
    (here / "r.csv").write_text(RECORD.replace(",77,", ",40,").replace("4.6", "2.9"), encoding="utf-8")
    result = run("match", "s.toml", "r.csv", *ASK, "--no-further", "--no-pictures")
    assert result.exit_code == 1
    assert "does not fit the record" in flat(result.stdout)
    assert "farthest from the record" in flat(result.stdout)


def test_a_skein_on_a_torque_meter(run, here):
    record = ROOT / "scenarios" / "hall-skein-bench.csv"
    result = run("match", "s.toml", record, "--out", "k")
    assert result.exit_code == 0, result.stderr
    assert sorted(p.name for p in (here / "k").iterdir()) == ["matched.toml", "skein-measured.csv", "skein.png"]
    assert "J wound in" in result.stdout
    assert "it broke: breaking constant" in result.stdout
    matched = load_scenario(here / "k" / "matched.toml")
    assert matched.craft.skein.measured is not None
    found = document(run("match", "s.toml", record, "--out", "j", "--json", "--no-pictures"))
    assert found["change"]["breaking_constant"] == matched.craft.skein.breaking_constant
    assert 20.0 < found["lost_percent"] < 32.0
    flown = run("fly", here / "k" / "matched.toml", "--no-pictures", "--out", "f", "--full")
    assert "rubber (measured curve): 2.52 g" in flat(flown.stdout)


@pytest.mark.parametrize(
    ("words", "rule"),
    [
        (("match", "s.toml", "none.csv"), "none.csv: no such file"),
        (("match", "none.toml", "r.csv"), "none.toml: no such file"),
        (("match", "s.toml", "s.toml"), "no such column"),
        (
            ("match", "s.toml", "r.csv", "--unknown", "craft.bar.gian"),
            "--unknown: craft.bar.gian: no such key; did you mean gain?",
        ),
        (("match", "s.toml", "r.csv", "--unknown", "craft.bar.gain=x"), "write KEY or KEY=SPREAD"),
        (("match", "s.toml", "r.csv", "--unknown", "craft.rotor.blades"), "no count"),
        (("match", "s.toml", ROOT / "scenarios" / "hall-skein-bench.csv", "--unknown", "craft.bar.gain"), "has none"),
        (("match", "s.toml", "r.csv", "--set", "skein.turns=1e4"), "the skein breaks at"),
    ],
)
def test_bad_input_is_one_line_and_writes_nothing(run, here, words, rule):
    before = sorted(p.name for p in here.rglob("*"))
    result = run(*words)
    assert result.exit_code == 2
    assert rule in one_line(result)
    assert sorted(p.name for p in here.rglob("*")) == before


def test_a_wrong_row_names_its_line(run, here):
    (here / "r.csv").write_text("turns,change,duration_s\n100,craft.bar.gian=1,3\n", encoding="utf-8")
    assert (
        one_line(run("match", "s.toml", "r.csv"))
        == "paddlebar: r.csv:2: craft.bar.gian: no such key; did you mean gain?\n"
    )
    (here / "r.csv").write_text("turns,duration_s\n100000,3\n", encoding="utf-8")
    assert one_line(run("match", "s.toml", "r.csv")).startswith("paddlebar: r.csv:2: skein.turns: ")
