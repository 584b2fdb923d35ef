"""A screen: 24 lines of 80 columns, the answer first, the next step last, and a word where something was cut."""

from __future__ import annotations

import io
import sys

import pytest

from cli.conftest import is_a_screen
from paddlebar.cli.screen import LINES, MORE, WIDE, folded, screen, table, written
from paddlebar.files.cautions import CAUTION

LONG = "a disturbance doubles in " + "half a second and again in " * 8 + "half a second"


def shown(capsys, *given, **named) -> list[str]:
    screen(*given, **named)
    return capsys.readouterr().out.splitlines()


def test_what_fits_is_shown_as_it_is(capsys):
    assert shown(capsys, ["well", "  1.2 m"], False, ["next: fly"]) == ["well", "  1.2 m", "next: fly"]


def test_what_does_not_fit_is_cut_before_the_last_lines_and_said(capsys):
    lines = shown(capsys, ["well", *(f"  row {k}" for k in range(40))], False, ["Caution", "next: fly"])
    assert len(lines) == LINES
    assert lines[0] == "well"
    assert lines[-3:] == [MORE, "Caution", "next: fly"]
    assert lines[-4] == f"  row {LINES - 5}"


def test_nothing_is_cut_for_who_wants_all(capsys):
    lines = shown(capsys, ["well", *(f"  row {k}" for k in range(40)), LONG], True, ["next: fly"])
    assert len(lines) == 43
    assert LONG in lines
    assert MORE not in lines


def test_where_all_fits_but_more_is_known_that_is_said(capsys):
    assert shown(capsys, ["well"], False, ["next: fly"], more=True) == ["well", MORE, "next: fly"]


def test_a_sentence_is_folded_whole_or_left_out(capsys):
    lines = shown(capsys, ["well", *("  row" for _ in range(19)), LONG], False, ["next: fly"])
    assert "  row" in lines
    assert not any("disturbance" in line for line in lines)
    assert lines[-2:] == [MORE, "next: fly"]


def test_folding_loses_no_word_and_breaks_no_path():
    path = "flights/" + "very-long-name-" * 8 + "/run.h5"
    parts = folded(f"  {LONG}: {path} it is")
    assert " ".join(" ".join(parts).split()) == f"{LONG}: {path} it is"
    assert all(len(part) <= WIDE for part in parts if path not in part)
    assert all(part.startswith("    ") for part in parts[1:])


def test_a_table_keeps_within_the_screen_and_loses_nothing():
    cells = ["part.nose weight.mass 0.88 to 0.93 g and so on and on", "12.5 deg/s", "tail.drive_pulley 23 to 23.5 mm"]
    lines = table(("what", "by", "to"), [cells], ("", ">"))
    assert all(len(line) <= WIDE for line in lines)
    assert sorted("".join("".join(lines[1:]).split())) == sorted("".join("".join(cells).split()))
    assert "…" not in "".join(lines)


def test_a_word_longer_than_its_column_goes_on_in_the_next_line():
    word = "x" * 300
    assert "".join(line.strip() for line in table(("",), [[word]])) == word


def test_files_of_one_folder_share_a_line(tmp_path):
    folder = tmp_path / "a"
    assert written([folder / "run.h5", folder / "bar.png"]) == [f"written in {folder}: run.h5, bar.png"]
    assert written([]) == []


def test_the_caution_of_a_screen_is_one_line():
    assert len(CAUTION) <= WIDE


@pytest.mark.parametrize(("encoding", "expected"), [("ascii", "H\\xf6he"), ("latin-1", "Höhe"), ("utf-8", "Höhe")])
def test_a_console_is_given_what_it_can_show(monkeypatch, encoding, expected):
    stream = io.TextIOWrapper(io.BytesIO(), encoding=encoding, newline="\n")
    monkeypatch.setattr(sys, "stdout", stream)
    screen(["Höhe ✓ \x1b[31m"], False)
    stream.flush()
    written_out = stream.buffer.getvalue().decode("utf-8" if encoding == "ascii" else encoding)
    assert written_out.startswith(expected)
    assert "\x1b" not in written_out


GOOD = "it flies\n  1.2 m\nCaution: eye protection\nnext: fly\n"


@pytest.mark.parametrize(
    ("shown", "wrong"),
    [
        (GOOD, []),
        ("", ["the first line is no verdict", "no caution", "no next step"]),
        ("  1.2 m\n" + GOOD, ["the first line is no verdict"]),
        (GOOD + "more\n", ["something after the next step"]),
        (GOOD.replace("  1.2 m\n", "  1.2 m\n" * 22), ["25 lines"]),
        (GOOD.replace("1.2 m", "a b " * 20), ["  " + "a b " * 20]),
        (GOOD.replace("1.2 m", "x" * 90), []),
    ],
)
def test_what_every_answer_of_these_tests_is_asked(shown, wrong):
    """Every run of a verb in these tests is looked at like this."""
    assert is_a_screen(shown) == wrong
