"""A user wants to see the flight."""

from __future__ import annotations

import pytest

from cli.conftest import document, one_line


@pytest.fixture
def flown(run):
    """A folder with two flights in it."""
    for name in ("a", "b"):
        assert run("fly", "hop.toml", "--no-pictures", "--out", name).exit_code in {0, 1}
    return run


def test_the_page_lies_beside_its_run_file(flown, tmp_path):
    result = flown("replay", "a")
    assert result.exit_code == 0
    assert (tmp_path / "a" / "replay.html").read_text(encoding="utf-8").startswith("<!doctype html>")
    assert "written in a: replay.html" in result.stdout
    assert "next: open a/replay.html in a browser" in result.stdout
    assert result.stderr == ""


def test_two_flights_and_a_film_told_as_json(flown, tmp_path):
    words = (
        "replay",
        "a/run.h5",
        "b",
        "--out",
        "both.html",
        "--film",
        "both.gif",
        "--from",
        "0.1",
        "--to",
        "0.2",
        "--json",
    )
    told = document(flown(*words))
    assert told["files"] == ["both.html", "both.gif"]
    assert told["page_bytes"] == (tmp_path / "both.html").stat().st_size
    assert [each["file"] for each in told["flights"]] == ["a/run.h5", "b/run.h5"]
    assert (tmp_path / "both.gif").read_bytes().startswith(b"GIF8")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("c",), "c: no such run file"),
        (("a/rum.h5",), "did you mean a/run.h5?"),
        (("nowhere/at/all.h5",), "nowhere/at/all.h5: no such run file; fly first"),
        (("hop.toml",), "hop.toml: not a run file"),
        (("a", "--flight", "2"), "should be at most 1, the file holds 1 flight; found 2"),
        (("a", "a", "a"), "one or two run files"),
        (("a", "--out", "b"), "found the folder b"),
        (("a", "--film", "x.avi"), "should end in .mp4 or .gif"),
        (("a", "--film", "x.gif", "--from", "50"), "nothing from 50 s on"),
        (("a", "--film", "x.gif", "--out", "x.gif"), "cannot both be x.gif"),
        (("a", "--out", "hop.toml/x.html"), "a file stands where a folder is wanted"),
    ],
)
def test_bad_input_is_one_line_and_writes_nothing(flown, tmp_path, words, says):
    before = sorted(tmp_path.rglob("*"))
    result = flown("replay", *words)
    assert result.exit_code == 2
    assert says in one_line(result)
    assert sorted(tmp_path.rglob("*")) == before


def test_the_page_of_a_fall_is_no_failure(flown):
    assert flown("replay", "a").exit_code == 0


def test_a_film_where_a_link_leads_to_itself_is_put_in_its_place(flown, tmp_path):
    film = tmp_path / "film.gif"
    film.symlink_to(film.name)
    result = flown("replay", "a", "--film", film.name, "--from", "0.1", "--to", "0.2", "--speed", "1")
    assert result.exit_code == 0, result.output
    assert not film.is_symlink()
    assert film.read_bytes()[:4] == b"GIF8"


def test_sliders_over_flights_of_a_scenario(run, tmp_path):
    result = run(
        "replay",
        "hop.toml",
        "--vary",
        "craft.rotor.collective_deg=8:10:2",
        "--vary",
        "skein.turns=10:20:2",
        "--out",
        "s.html",
        "--json",
    )
    assert result.exit_code == 0
    told = document(result)
    assert told["flights_flown"] == 4
    assert told["page_bytes"] == (tmp_path / "s.html").stat().st_size
    assert told["files"] == ["s.html"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("hop.toml", "--vary", "craft.bar.gian=0:1:3"), "craft.bar.gian: is no number that may be changed here"),
        (("hop.toml", "--vary", "craft.bar.gain=0:1"), "--vary: write key=LOW:HIGH:N"),
        (("hop.toml", "--vary", "craft.bar.gain=1:0:3"), "LOW below HIGH"),
        (("hop.toml", "--vary", "craft.bar.gain=0.1:0.2:12", "--vary", "skein.turns=10:40:12"), "144 flights, at most 120"),
        (("hop.toml", "--vary", "craft.bar.gain=0.1:0.2:2", "--vary", "craft.bar.gain=0.1:0.2:2"), "stands there twice"),
        (("hop.toml", "hop.toml", "--vary", "craft.bar.gain=0.1:0.2:2"), "one scenario"),
        (("hop.toml", "--vary", "craft.rotor.collective_deg=8:200:2"), "collective_deg"),
        (("hop.toml", "--vary", "craft.bar.gain=0.1:0.2:2", "--film", "f.gif"), "--film"),
        (("gone.toml", "--vary", "craft.bar.gain=0.1:0.2:2"), "gone.toml"),
    ],
)  # fmt: skip
def test_what_cannot_be_varied_costs_a_line(run, untouched, words, says):
    result = run("replay", *words)
    assert result.exit_code == 2
    assert says in one_line(result)
    assert untouched()
