"""``paddlebar new``."""

from __future__ import annotations

import pytest

from cli.conftest import document, one_line
from paddlebar import load_craft, load_scenario


def test_writes_two_files_that_load(run, tmp_path):
    result = run("new", "sparrow", "--out", "a/b")
    assert result.exit_code == 0
    assert sorted(p.name for p in (tmp_path / "a/b").iterdir()) == ["sparrow-first-flight.toml", "sparrow.toml"]
    assert load_craft("a/b/sparrow.toml").name == "sparrow"
    assert load_scenario("a/b/sparrow-first-flight.toml").craft.name == "sparrow"
    assert "eye protection" in result.stdout


def test_json_names_the_files(run):
    assert document(run("new", "sparrow", "--json"))["files"] == ["sparrow.toml", "sparrow-first-flight.toml"]


@pytest.mark.parametrize("there", ["sparrow.toml", "sparrow-first-flight.toml"])
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
