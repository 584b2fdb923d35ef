"""A user wants one page to keep or to pass on."""

from __future__ import annotations

import pytest

from cli.conftest import document, one_line


@pytest.fixture
def flown(run):
    assert run("fly", "hop.toml", "--no-pictures", "--out", "a").exit_code in {0, 1}
    return run


def test_the_page_lies_beside_its_run_file(flown, tmp_path):
    result = flown("report", "a", "--no-margins")
    assert result.exit_code == 0
    assert (tmp_path / "a" / "report.html").read_text(encoding="utf-8").startswith("<!doctype html>")
    assert "Why did it end?" in result.stdout
    assert "written in a: report.html" in result.stdout
    assert "next: open a/report.html in a browser" in result.stdout
    assert "Caution" in result.stdout
    assert result.stderr == ""


def test_page_and_paper_told_as_json(flown, tmp_path):
    told = document(flown("report", "a/run.h5", "--no-margins", "--out", "x.html", "--pdf", "p/x.pdf", "--json"))
    assert told["files"] == ["x.html", "p/x.pdf"]
    assert told["page_bytes"] == (tmp_path / "x.html").stat().st_size
    assert (tmp_path / "p" / "x.pdf").read_bytes().startswith(b"%PDF-")
    assert told["outcome"] == "landed"
    assert told["same_when_flown_again"] is True
    assert told["verdict"] is None
    assert {"do", "why", "rests_on"} == set(told["advice"][0])
    assert any(each["function"] == "physics.blade.element_load" for each in told["sources"])


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("c",), "c: no such run file"),
        (("a/rum.h5",), "did you mean a/run.h5?"),
        (("hop.toml",), "hop.toml: not a run file"),
        (("a", "--flight", "2"), "should be at most 1, the file holds 1 flight; found 2"),
        (("a", "--out", "a"), "--out: should be the name of a file, found the folder a"),
        (("a", "--pdf", "a"), "--pdf: should be the name of a file, found the folder a"),
        (("a", "--out", "x", "--pdf", "x"), "cannot both be x"),
        (("a", "--out", "a/run.h5"), "would replace the run file"),
        (("a", "--pdf", "hop.toml/x.pdf"), "a file stands where a folder is wanted"),
    ],
)
def test_bad_input_is_one_line_and_writes_nothing(flown, tmp_path, words, says):
    before = sorted(tmp_path.rglob("*"))
    result = flown("report", *words, "--no-margins")
    assert result.exit_code == 2
    assert says in one_line(result)
    assert sorted(tmp_path.rglob("*")) == before


def test_help_shows_an_example(run):
    result = run("report", "--help")
    assert "paddlebar report " in result.stdout.split("Example:")[1]


def test_pictures_as_tables_on_request_and_gone_when_not_asked_for_again(run, tmp_path):
    told = document(run("fly", "hop.toml", "--out", "b", "--data", "--json"))
    assert "b/height.csv" in told["files"]
    assert (tmp_path / "b" / "height.csv").is_file()
    told = document(run("fly", "hop.toml", "--out", "b", "--json"))
    assert "b/height.csv" not in told["files"]
    assert not (tmp_path / "b" / "height.csv").exists()


def test_the_stand_as_a_table(run, tmp_path):
    told = document(run("stand", "craft.toml", "--rpm", "300:500:3", "--out", "s", "--data", "--json"))
    assert told["files"] == ["s/stand.png", "s/stand.csv"]
    rows = (tmp_path / "s" / "stand.csv").read_text(encoding="utf-8").splitlines()
    assert any(f",{told['rpm'][1]!r}," in row for row in rows)
