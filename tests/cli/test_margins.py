"""``paddlebar margins``."""

from __future__ import annotations

import pytest

from cli.conftest import document, flat, one_line
from once import once

# few turns and elements: what is asked here is the command, not the craft
QUICK = ("--set", "skein.turns=300", "--set", "run.blade_elements=3")
KEYS = {
    "verdict", "worst_growth_per_s", "worst_growth_without_bar_per_s", "modes", "gain_margin", "lead_margin_deg", "along_rundown",
}  # fmt: skip
ROW = {"turns_left", "worst_growth_per_s", "climb_m_s", "rotor_rpm", "body_rate_deg_s"}
WELL = {"stabilises": 0}


@pytest.fixture(autouse=True)
def analysed_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Screen, tables and JSON are three looks at one analysis."""
    once(monkeypatch, "paddlebar.stability.analysis:margins")


def test_verdict_first_then_tables_and_pictures(run, tmp_path):
    result = run("margins", "hop.toml", *QUICK, "--averaged")
    assert result.exit_code in (0, 1)
    first = result.stdout.splitlines()[0]
    assert first.startswith("hall ten: the bar ")
    assert ("stabilises" in first) == (result.exit_code == 0)
    for words in ("it stays so", "gain", "tip mass", "along the run-down", "average over a revolution"):
        assert words in flat(result.stdout), words
    assert "nutation" not in result.stdout
    assert result.stdout.splitlines()[-1].startswith("next: paddlebar ")
    assert "eye protection" in result.stdout
    folder = tmp_path / "flights" / "hop-margins"
    assert {path.name for path in folder.iterdir()} == {"growth.png", "modes.png", "shapes.png", "averaged.png"}


def test_at_length_with_all_modes(run, untouched):
    result = run("margins", "hop.toml", *QUICK, "--no-pictures", "--full")
    for words in ("nutation", "modes with 150 turns left", "slowest mode", "halves"):
        assert words in result.stdout, words
    assert len(result.stdout.split("along the run-down")[1].splitlines()) > 11  # a row for each of nine points
    assert untouched()


def test_json_is_one_document_with_the_promised_keys(run, untouched):
    result = run("margins", "hop.toml", *QUICK, "--json", "--no-pictures")
    found = document(result)
    assert set(found) >= KEYS
    assert {"name", "growth_per_s", "frequency_hz", "time_to_double_s"} <= set(found["modes"][0])
    assert all(set(row) >= ROW for row in found["along_rundown"])
    assert found["along_rundown"][0]["turns_left"] == 300.0
    assert len(found["gain_margin"]) == len(found["lead_margin_deg"]) == 2
    assert found["files"] == []
    assert result.exit_code == (0 if found["verdict"] == "stabilises" else 1)
    assert untouched()


def test_a_craft_that_nothing_holds_is_a_bad_answer(run):
    result = run(
        "margins", "hop.toml", *QUICK, "--set", "craft.bar.kind=none", "--json", "--no-pictures",
    )  # fmt: skip
    found = document(result)
    assert found["verdict"] == "no help"
    assert found["gain_margin"] == [None, None]
    assert result.exit_code == 1


def test_a_skein_that_is_not_wound_has_no_steady_flight_to_judge(run):
    result = run("margins", "hop.toml", "--json", "--no-pictures")
    found = document(result)
    assert found["along_rundown"][0]["turns_left"] == 0.0
    assert result.exit_code == (0 if (found["worst_growth_per_s"] or 1.0) < 0.0 else 1)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--set", "craft.bar.leed_deg=90"), "lead_deg"),
        (("--set", "craft.bar.lead_deg=x"), "bar.lead_deg"),
        (("--set", "skein.turns=5000"), "turns"),
    ],
)
def test_bad_input_is_one_line_and_leaves_nothing(run, untouched, words, says):
    result = run("margins", "hop.toml", *words)
    assert result.exit_code == 2
    assert says in one_line(result)
    assert untouched()


def test_help_shows_an_example(run):
    result = run("margins", "--help")
    assert result.exit_code == 0
    assert "paddlebar margins scenarios/first-flight.toml" in result.stdout.split("Example:")[1]
