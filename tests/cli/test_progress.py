"""Progress: seen by who waits at a terminal, by nobody else."""

from __future__ import annotations

import io
import time
from contextlib import redirect_stderr

import pytest

from paddlebar.cli import progress
from paddlebar.pictures.words import number


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.fixture(autouse=True)
def at_a_terminal(monkeypatch):
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)


def test_nobody_watches_a_file():
    with redirect_stderr(io.StringIO()):
        assert type(progress.progress(quiet=False)) is progress.Silent


def test_json_is_quiet_even_at_a_terminal():
    with redirect_stderr(Terminal()):
        assert type(progress.progress(quiet=True)) is progress.Silent


def test_quick_work_shows_nothing():
    with redirect_stderr(Terminal()) as screen, progress.progress(quiet=False) as bar:
        bar.start(1)
        bar.step("flying")
    assert screen.getvalue() == ""


def test_long_work_names_its_step(monkeypatch):
    monkeypatch.setattr(progress, "PATIENCE_S", 0.01)
    with redirect_stderr(Terminal()) as screen, progress.progress(quiet=False) as bar:
        bar.start(2)
        bar.step("compiling, once")
        time.sleep(0.5)  # longer than it takes to load rich and draw
        bar.step("drawing")
        time.sleep(0.3)
    assert "compiling, once" in screen.getvalue()
    assert "drawing" in screen.getvalue()


def test_an_error_takes_the_bar_away(monkeypatch):
    monkeypatch.setattr(progress, "PATIENCE_S", 0.01)

    def interrupted() -> None:
        with progress.progress(quiet=False) as bar:
            bar.start(1)
            bar.step("flying")
            time.sleep(0.3)
            raise KeyboardInterrupt

    with redirect_stderr(Terminal()) as screen, pytest.raises(KeyboardInterrupt):
        interrupted()
    assert screen.getvalue().endswith("\x1b[2K")  # its line is wiped


def test_the_twin_has_all_that_the_bar_has():
    public = {name for name in vars(progress.Shown) if not name.startswith("_")}
    assert public <= {name for name in vars(progress.Silent) if not name.startswith("_")}


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
