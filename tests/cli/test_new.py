"""``paddlebar new``."""

from __future__ import annotations

import pytest

from cli.conftest import document, flat, one_line
from paddlebar import check, load_craft, load_scenario
from paddlebar.ensemble.many import fly_brief

NAMES = ["sparrow-first-flight.toml", "sparrow-measure.pdf", "sparrow.toml"]


def test_writes_two_files_that_load_and_a_form_to_print(run, tmp_path):
    result = run("new", "sparrow", "--out", "a/b")
    assert result.exit_code == 0
    assert sorted(p.name for p in (tmp_path / "a/b").iterdir()) == NAMES
    assert load_craft("a/b/sparrow.toml").name == "sparrow"
    assert load_scenario("a/b/sparrow-first-flight.toml").craft.name == "sparrow"
    assert "eye protection" in flat(result.stdout)
    assert "carries a person" in flat(result.stdout)  # the cautions in full
    last = result.stdout.splitlines()[-2:]
    assert flat(" ".join(last)).endswith(
        "next: paddlebar check a/b/sparrow.toml && paddlebar fly a/b/sparrow-first-flight.toml"
    )
    assert (tmp_path / "a/b/sparrow-measure.pdf").read_bytes().startswith(b"%PDF")


def test_what_it_writes_flies(run):
    """Nothing edited: it climbs, keeps its nose, and comes down upright with its rubber nearly run down; check finds nothing to put right."""
    run("new", "sparrow", "--no-form")
    scenario = load_scenario("sparrow-first-flight.toml")
    brief = fly_brief(scenario)
    assert brief.outcome == "landed"
    assert brief.flew_well, brief.faults
    assert brief.controlled_s > 40.0
    assert brief.peak_height_m > 3.0
    assert brief.turns_left < 0.25 * scenario.skein.turns
    assert check(load_craft("sparrow.toml")).sound


def test_the_form_may_be_left_out(run, tmp_path):
    assert run("new", "sparrow", "--no-form", "--out", "a").exit_code == 0
    assert sorted(p.name for p in (tmp_path / "a").iterdir()) == ["sparrow-first-flight.toml", "sparrow.toml"]


def test_json_names_the_files(run):
    assert document(run("new", "sparrow", "--json"))["files"] == [
        "sparrow.toml",
        "sparrow-first-flight.toml",
        "sparrow-measure.pdf",
    ]


@pytest.mark.parametrize("there", NAMES)
def test_never_overwrites_and_never_writes_half(run, tmp_path, there):
    (tmp_path / there).write_text("mine")
    result = run("new", "sparrow")
    assert result.exit_code == 2
    assert there in one_line(result)
    assert (tmp_path / there).read_text() == "mine"
    assert len(list(tmp_path.iterdir())) == 3  # with hop.toml and craft.toml


@pytest.mark.parametrize("name", ["", "a/b", "../x", "x y", ".x", "-"])
def test_a_name_that_makes_no_file_name_is_refused(run, untouched, name):
    result = run("new", "--", name)
    assert result.exit_code == 2
    one_line(result)
    assert untouched()


def test_a_file_where_the_folder_should_be(run, untouched):
    result = run("new", "sparrow", "--out", "hop.toml")
    assert result.exit_code == 2
    assert "hop.toml" in one_line(result)
    assert untouched()
