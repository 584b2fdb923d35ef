"""``paddlebar rank``."""

from __future__ import annotations

import csv
import functools

import pytest

from cli.conftest import document, flat, one_line
from paddlebar.studies.map.study import by_floquet as ground
from paddlebar.studies.rank.outcomes import NAMES

QUICK = (
    "rank", "hop.toml", "--key", "craft.rotor.collective_deg=0.5", "--key", "craft.bar.gain=0.02", "--workers", "1",
    "--set", "skein.turns=120", "--set", "launch.height_m=1.5",
)  # fmt: skip


@pytest.fixture(scope="module", autouse=True)
def remembered():
    """The search for the design's steady motions, each once: it takes seconds, and these tests ask for the same ones."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ground, "design", functools.cache(ground.design))
        yield


def test_tables_pictures_and_going_on(run, tmp_path):
    first = run(*QUICK, "--samples", "2", "--out", "r")
    assert first.exit_code in (0, 1)
    assert "2 numbers, 13 flights" in flat(run(*QUICK, "--samples", "2", "--out", "full", "--full").stdout)
    for words in (
        "hall ten as built: landed",
        "helps most",
        "not converged: more samples",
        "eye protection",
    ):
        assert words in flat(first.stdout), words
    assert {path.name for path in (tmp_path / "r").iterdir()} == {"study.h5", "rank.csv", "tornado.png", "shares.png"}
    with (tmp_path / "r" / "rank.csv").open() as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 2 * len(NAMES)
    again = run(*QUICK, "--samples", "2", "--out", "r", "--json", "--no-pictures")
    found = document(again)
    assert again.exit_code == first.exit_code == int(not found["sound"])
    assert found["flown"] == 0
    assert found["files"] == ["r/study.h5", "r/rank.csv"]
    assert found["keys"] == ["craft.rotor.collective_deg", "craft.bar.gain"]
    assert len(found["slopes"]["slope"]) == len(found["indices"]["total_interval"]) == 2
    refused = run(*QUICK, "--samples", "2", "--out", "r", "--seed", "2")
    assert refused.exit_code == 2
    assert "another seed" in one_line(refused)


def test_slopes_alone(run, tmp_path):
    result = run(*QUICK, "--samples", "0", "--out", "r")
    assert "measure" not in result.stdout
    assert "converged" not in result.stdout
    assert not (tmp_path / "r" / "shares.png").exists()


def test_a_craft_that_falls_over_is_exit_code_1(run):
    result = run(*QUICK, "--samples", "0", "--out", "r", "--set", "craft.bar.gain=-0.46", "--set", "launch.height_m=30")
    assert result.exit_code == 1
    assert "tipped over" in result.stdout or "UNSTABLE" in result.stdout


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--key", "x"), "key=tolerance"),
        (("--key", "craft.bar.gain=much"), "key=tolerance"),
        (("--key", "craft.bar.gian=1"), "gain"),
        (("--samples", "12"), "power of two"),
        (("--set", "craft.bar.gian=1"), "gain"),
    ],
)
def test_bad_input_is_one_line_and_leaves_nothing(run, untouched, words, says):
    result = run("rank", "hop.toml", *words)
    assert result.exit_code == 2
    assert says in one_line(result)
    assert untouched()


def test_help_shows_an_example(run):
    result = run("rank", "--help")
    assert result.exit_code == 0
    assert "paddlebar rank scenarios/first-flight.toml" in result.stdout.split("Example:")[1]
