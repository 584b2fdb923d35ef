"""A user at a terminal: runs the command in a folder of its own."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from paddlebar.cli.main import main

ROOT = Path(__file__).parents[2]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Result]:
    """``run("fly", "x.toml")`` in an empty folder that holds one scenario, hop.toml, and its craft, craft.toml."""
    monkeypatch.chdir(tmp_path)
    shutil.copy(ROOT / "models" / "hall-ten.toml", tmp_path / "craft.toml")
    # A fifth of a second, not wound: it falls to the floor, softly enough to have landed, whatever the craft's figures become.
    (tmp_path / "hop.toml").write_text(
        'craft = "craft.toml"\ntitle = "a [short] hop"\n[skein]\nturns = 0\n[launch]\nheight_m = 0.42\n'
        "[run]\nduration_s = 0.6\nrtol = 1e-4\nblade_elements = 3\n",
        encoding="utf-8",
    )

    def command(*words: object) -> Result:
        return CliRunner().invoke(main, [str(word) for word in words], prog_name="paddlebar")

    return command


@pytest.fixture(autouse=True)
def nobody_waits_long(monkeypatch: pytest.MonkeyPatch) -> None:
    """A slow machine must not add lines about progress to what is asked here; test_progress.py asks about those."""
    monkeypatch.setattr("paddlebar.cli.progress.PATIENCE_S", 3600.0)


@pytest.fixture
def untouched(tmp_path: Path) -> Callable[[], bool]:
    """Tells whether the folder holds what the fixture ``run`` put there and nothing else."""

    def same() -> bool:
        return sorted(path.name for path in tmp_path.rglob("*")) == ["craft.toml", "hop.toml"]

    return same


def document(result: Result) -> Any:
    """The one JSON document on standard output; anything else there is an error."""
    return json.loads(result.stdout)


def one_line(result: Result) -> str:
    """The one line on standard error, with nothing on standard output and no traceback behind."""
    assert result.stdout == ""
    assert result.stderr.count("\n") == 1, result.stderr
    assert result.stderr.startswith("paddlebar: ")
    assert isinstance(result.exception, SystemExit), result.exception
    return str(result.stderr)


def messages(errors: str) -> str:
    """What stands on standard error beside the lines about progress."""
    return "".join(
        re.sub(r"^paddlebar: \d+ s, \d+ of \d+ done: .*\n", "", line) for line in errors.splitlines(keepends=True)
    )


def flat(shown: str) -> str:
    """A screen as one line, so that a sentence is found wherever it was folded."""
    return " ".join(shown.split())
