"""The command `advise`: what it says, what it writes, and what `fly` says to try."""

from __future__ import annotations

import shlex

import pytest

from cli.conftest import document, flat
from paddlebar import fly, load_scenario
from paddlebar.files.override import parse_setting

REVERSED = (
    "--set", "skein.turns=120", "--set", "launch.height_m=1.2", "--set", "run.duration_s=2", "--set", "craft.bar.gain=-0.46",
)  # fmt: skip


def test_followed_it_writes_craft_and_flight_that_fly_as_it_says(run, tmp_path):
    found = run("advise", "hop.toml", *REVERSED, "--follow", "--out", "mended")
    assert found.exit_code == 0
    said = flat(found.stdout)
    assert said.startswith("a [short] hop: 1 step, from ")
    assert "next: paddlebar fly mended/hop-advised.toml" in said
    assert {path.name for path in (tmp_path / "mended").iterdir()} == {"advised.toml", "hop-advised.toml"}
    assert "# was" in (tmp_path / "mended" / "advised.toml").read_text()
    again = document(run("advise", "hop.toml", *REVERSED, "--follow", "--json"))
    flown = fly(load_scenario(tmp_path / "mended" / "hop-advised.toml"))
    assert flown.controlled_s == pytest.approx(again["final"]["controlled_s"], rel=1e-6)
    assert again["final"]["controlled_s"] > again["before"]["controlled_s"]
    settings = dict(parse_setting(each) for each in again["set"])
    assert settings
    assert again["steps"][-1]["after"] == again["final"]


def test_a_flight_that_went_badly_ends_with_what_to_try_and_it_does_what_it_says(run):
    found = run("fly", "hop.toml", *REVERSED, "--no-pictures")
    assert found.exit_code == 1
    said = flat(found.stdout)
    assert "try: reverse the linkage: bar.gain from -0.46 to 0.46" in said
    assert "(flown: still flying, 2.0 s in control of 2.0 s)" in said
    *_, typed = found.stdout.splitlines()  # one line, so that it can be marked and pasted
    words = shlex.split(typed.removeprefix("next: paddlebar "), comments=True)
    assert words[:2] == ["fly", "hop.toml"]
    assert run(*words, "--json", "--no-pictures").exit_code == 0
    mended = run("fly", "hop.toml", *REVERSED, "--set", "craft.bar.gain=0.46", "--json", "--no-pictures")
    assert document(mended)["controlled_s"] == pytest.approx(2.0)


def test_what_is_said_next_keeps_the_settings_that_were_typed(run):
    found = run("advise", "hop.toml", *REVERSED)
    assert found.exit_code == 0
    *_, typed = found.stdout.splitlines()
    words = shlex.split(typed.removeprefix("next: paddlebar "), comments=True)
    assert "skein.turns=120" in words
    flown = document(run(*words, "--json", "--no-pictures"))
    promised = document(run("advise", "hop.toml", *REVERSED, "--json"))["suggestions"]
    assert flown["controlled_s"] == pytest.approx(promised[0]["after"]["controlled_s"], rel=1e-6)
    assert len({tuple(each["set"]) for each in promised}) == len(promised)
