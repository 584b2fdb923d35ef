"""``paddlebar examples``, and verbs that take what comes with the program by its bare name."""

from __future__ import annotations

from cli.conftest import document, flat, one_line


def test_writes_them_out_and_says_how_many(run, tmp_path):
    result = run("examples", "given")
    assert result.exit_code == 0
    assert "flights" in result.stdout.splitlines()[0]
    assert (tmp_path / "given/scenarios/first-flight.toml").is_file()
    assert (tmp_path / "given/models/hall-ten.toml").is_file()
    assert (tmp_path / "given/notebooks/04-bar.ipynb").is_file()
    assert "next: paddlebar fly given/scenarios/first-flight.toml" in flat(result.stdout)
    assert "exists already" in one_line(run("examples", "given"))


def test_json_names_what_was_written(run):
    answer = document(run("examples", "--json"))
    assert "examples/scenarios/first-flight.toml" in answer["files"]
    assert {each["what"] for each in answer["examples"]} == {"craft", "flight", "lesson"}


def test_a_verb_takes_a_bare_name(run, tmp_path):
    result = run("check", "hall-ten")
    assert result.exit_code in (0, 1)
    assert "hall-ten" in result.stdout or "all" in result.stdout.splitlines()[0]
    flown = run("fly", "first-flight", "--set", "run.duration_s=0.3", "--set", "run.rtol=1e-4", "--no-pictures")
    assert flown.exit_code in (0, 1), flown.stderr  # so short a flight answers little
    assert (tmp_path / "flights/first-flight/run.h5").is_file()


def test_a_name_mistyped(run, untouched):
    assert "did you mean first-flight?" in one_line(run("fly", "first-fligth"))
    assert "did you mean hall-ten?" in one_line(run("check", "hall-tan"))
    assert untouched()
