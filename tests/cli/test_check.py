"""``paddlebar check``."""

from __future__ import annotations

from pathlib import Path

import pytest

from cli.conftest import document, flat, one_line
from paddlebar import check, load_craft

KEYS = {
    "format",
    "craft",
    "sound",
    "weights",
    "balance",
    "strength",
    "drive",
    "tail",
    "shaking",
    "clearance",
    "findings",
    "cautions",
    "files",
}


def test_findings_first_and_no_more_than_a_screen(run, untouched):
    result = run("check", "craft.toml")
    assert result.exit_code == 0
    found = check(load_craft("craft.toml"))
    first, *rest = result.stdout.splitlines()
    looks = [finding for finding in found.findings if finding.severity == "look"]
    assert first == f"hall ten, 10.44 g: nothing to put right before a flight, {len(looks)} to look at"
    assert rest[0].startswith("  look  ")
    assert all(finding.sentence in flat(result.stdout) for finding in looks)
    assert all(finding.advice in flat(result.stdout) for finding in looks)
    assert "USDA" not in result.stdout
    assert untouched()


def test_all_there_is_to_say_about_a_good_craft(run, untouched):
    result = run("check", "craft.toml", "--full")
    assert result.exit_code == 0
    for word in (
        "hall ten",
        "centre of gravity",
        "buckling",
        "torsion",
        "energy held",
        "mm apart",
        "wound rubber",
        "nose weight",
        "USDA Wood Handbook",
        "keep off spinning blades",
        "carries a person",
    ):
        assert word in result.stdout, word
    assert result.stderr == ""
    assert untouched()


def test_json_is_one_document(run, untouched):
    result = run("check", "craft.toml", "--json", "--turns", "400")
    found = document(result)
    assert set(found) == KEYS
    there = check(load_craft("craft.toml"), 400.0)
    assert found["strength"]["stick_margin"] == there.strength.stick_margin
    assert [row["sentence"] for row in found["findings"]] == [finding.sentence for finding in there.findings]
    assert any("eye protection" in line for line in found["cautions"])
    assert untouched()


def test_what_would_break_costs_exit_code_one(run):
    words = ("check", "craft.toml", "--set", "part.stick.diameter_mm=1.5", "--set", "part.stick.mass_g=0.5")
    result = run(*words)
    assert result.exit_code == 1
    assert "to put right before a flight" in result.stdout.splitlines()[0]
    assert result.stdout.splitlines()[1].startswith("  stop  ")
    shown = document(run(*words, "--json"))
    assert shown["sound"] is False
    assert shown["findings"][0]["severity"] == "stop"


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (("nothing.toml",), "no such file"),
        (("hop.toml",), "hop.toml"),
        (("craft.toml", "--turns", "-3"), "turns"),
        (("craft.toml", "--turns", "nan"), "turns"),
        (("craft.toml", "--set", "skein.stick=boon"), "did you mean 'boom'"),
        (("craft.toml", "--set", "part.stick.material=blasa"), "did you mean 'balsa'"),
    ],
)
def test_bad_input_costs_one_line(run, untouched, words, expected):
    result = run("check", *words)
    assert result.exit_code == 2
    assert expected in one_line(result)
    assert untouched()


def test_help_shows_an_example(run):
    result = run("check", "--help")
    assert result.exit_code == 0
    assert "paddlebar check models/hall-ten.toml" in result.stdout


def test_the_build_sheet_is_written_whole(run, tmp_path):
    result = run("check", "craft.toml", "--sheet", "sheets/hall.pdf")
    assert result.exit_code == 0
    assert "written in sheets: hall.pdf" in result.stdout
    assert [path.name for path in (tmp_path / "sheets").iterdir()] == ["hall.pdf"]
    assert (tmp_path / "sheets/hall.pdf").read_bytes().startswith(b"%PDF")


def test_a_craft_that_would_break_gets_its_sheet_and_its_exit_code(run, tmp_path):
    words = ("--set", "part.stick.diameter_mm=1.5", "--set", "part.stick.mass_g=0.5", "--json")
    result = run("check", "craft.toml", "--sheet", "s.pdf", *words)
    assert result.exit_code == 1
    assert document(result)["files"] == ["s.pdf"]
    assert (tmp_path / "s.pdf").exists()


@pytest.mark.parametrize("name", ["sheet.txt", "sheet", "craft.toml", "craft.toml/x.pdf"])
def test_a_name_that_makes_no_sheet_is_refused(run, untouched, name):
    result = run("check", "craft.toml", "--sheet", name)
    assert result.exit_code == 2
    one_line(result)
    assert untouched()


def test_a_sheet_that_cannot_be_drawn_leaves_nothing_behind(run, untouched, monkeypatch):
    """A disk that fills up half-way, or Ctrl-C."""
    import errno

    from paddlebar.sheet import book

    def full(figures, path, title):
        path.write_bytes(b"half")
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(book, "save_pdf", full)
    result = run("check", "craft.toml", "--sheet", "new/s.pdf")
    assert result.exit_code == 2
    assert "No space left" in one_line(result)
    assert untouched()


def test_from_python(tmp_path, run):
    import paddlebar

    craft = load_craft("craft.toml")
    assert paddlebar.build_sheet(craft, "s.pdf", check(craft).findings) == [Path("s.pdf")]
    assert (tmp_path / "s.pdf").stat().st_size > 10000
    with pytest.raises(paddlebar.BadInput, match="ends in .pdf or .png, found 's.txt'"):
        paddlebar.build_sheet(craft, "s.txt")
