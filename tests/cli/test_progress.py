"""Progress: a bar for who waits at a terminal, a line now and then for who does not, nothing for what is quick."""

from __future__ import annotations

import inspect
import io
import re
import time
from contextlib import redirect_stderr

import pytest

from cli.conftest import messages
from paddlebar.cli import progress
from paddlebar.pictures.words import number
from paddlebar.progress import SILENT, Progress, closes_progress
from told import Told


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.fixture(autouse=True)
def at_a_terminal(monkeypatch):
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)


@pytest.fixture
def impatient(monkeypatch, nobody_waits_long):
    monkeypatch.setattr(progress, "PATIENCE_S", 0.01)
    monkeypatch.setattr(progress, "EVERY_S", 0.1)


@pytest.mark.parametrize("stream", [io.StringIO, Terminal])
def test_quick_work_shows_nothing(stream):
    with redirect_stderr(stream()) as screen, progress.progress() as bar:
        bar.start(1)
        bar.step("flying")
    assert screen.getvalue() == ""


def until(screen: io.StringIO, words: str) -> None:
    end = time.monotonic() + 30.0
    while words not in screen.getvalue():
        assert time.monotonic() < end, screen.getvalue()
        time.sleep(0.01)


def test_long_work_names_its_step_at_a_terminal(impatient):
    with redirect_stderr(Terminal()) as screen, progress.progress() as bar:
        bar.start(2)
        bar.step("compiling, once")
        until(screen, "compiling, once")
        bar.step("drawing")
        until(screen, "drawing")


def test_without_a_terminal_it_is_lines(impatient):
    with redirect_stderr(io.StringIO()) as screen, progress.progress() as bar:
        bar.start(2)
        bar.start(5)  # parts of a work each tell their own
        bar.step("finding steady flight")
        until(screen, "0 of 7 done: finding steady flight\n")
        bar.step("x" * 200)
        bar.step("y" * 200)
        until(screen, "2 of 7 done: yyy")
    lines = screen.getvalue().splitlines()
    assert all(re.fullmatch(r"paddlebar: \d+ s, \d of 7 done: \S.*", line) for line in lines)
    assert all(len(line) <= 80 for line in lines)
    assert messages(screen.getvalue()) == ""
    time.sleep(0.3)
    assert screen.getvalue().splitlines() == lines  # it has ended


def test_nobody_reads_any_more(impatient):
    """The reader of a pipe has gone: the work goes on."""

    class Closed(io.StringIO):
        def write(self, _: str) -> int:
            raise BrokenPipeError

    with redirect_stderr(Closed()), progress.progress() as bar:
        bar.start(1)
        time.sleep(0.2)
        bar.step("flying")


def test_an_error_takes_the_bar_away(impatient):
    def interrupted(screen: io.StringIO) -> None:
        with progress.progress() as bar:
            bar.start(1)
            bar.step("flying")
            until(screen, "flying")
            raise KeyboardInterrupt

    with redirect_stderr(Terminal()) as screen, pytest.raises(KeyboardInterrupt):
        interrupted(screen)
    assert screen.getvalue().endswith("\x1b[2K")  # its line is wiped


@pytest.mark.parametrize("other", [SILENT, progress.Lines(io.StringIO()), progress.Bar(io.StringIO()), Told()])
def test_all_have_what_work_tells(other):
    for name in ("start", "step", "close"):
        assert list(inspect.signature(getattr(other, name)).parameters) == [
            each for each in inspect.signature(getattr(Progress, name)).parameters if each != "self"
        ]


def test_work_tells_its_end_whatever_ends_it():
    @closes_progress
    def work(*, progress: Progress = SILENT) -> int:
        progress.step("on")
        return 3

    told = Told()
    assert (work(progress=told), told.closed) == (3, 1)
    assert work() == 3
    broken = Told(break_at=1)
    with pytest.raises(KeyboardInterrupt):
        work(progress=broken)
    assert broken.closed == 1


@pytest.mark.parametrize(
    ("value", "form", "expected"),
    [
        (1.234, ".2f", "1.23"),
        (None, ".2f", "-"),
        (float("nan"), ".1f", "-"),
        (-0.001, "+.1f", "0.0"),
        (12.0, "+.1f", "+12.0"),
    ],
)
def test_figures(value, form, expected):
    assert number(value, form) == expected


def test_while_equations_are_compiled_it_counts_them(impatient, monkeypatch):
    """What is shown is numba's own count: a function compiled while the screen is looked at, and one more done after it."""
    from numba import njit

    from paddlebar.physics import compiling

    def works():
        return 1

    works.__module__ = "paddlebar.physics.made_up"
    before = len(compiling._WATCH.done)
    with redirect_stderr(io.StringIO()) as screen, progress.progress() as bar:
        bar.start(2)
        bar.step("flying")
        compiling._WATCH.on_start(None)
        until(screen, f"{before} of {compiling._WATCH.known} done: compiling, only this once; not all are needed\n")
        compiling._WATCH.deep -= 1
        compiling.counted(njit(works))()
        assert compiling.under_way() is None
        until(screen, "0 of 2 done: flying\n")
    assert len(compiling._WATCH.done) == before + 1
    compiling._WATCH.known -= 1
    assert max(map(len, screen.getvalue().splitlines())) <= 80
