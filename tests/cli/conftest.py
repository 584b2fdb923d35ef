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
from paddlebar.cli.verbs import VERBS

ROOT = Path(__file__).parents[2]
ANSWERS = [verb for verb in VERBS if verb != "help"]  # which shows a page


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Result]:
    """``run("fly", "x.toml")`` in an empty folder that holds one scenario, hop.toml, and its craft, craft.toml.

    Whatever is asked, an answer on a screen is one screen (``is_a_screen``).
    """
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.chdir(tmp_path)
    shutil.copy(ROOT / "models" / "hall-ten.toml", tmp_path / "craft.toml")
    # A fifth of a second, not wound: it falls to the floor, softly enough to have landed, whatever the craft's figures become.
    (tmp_path / "hop.toml").write_text(
        'craft = "craft.toml"\ntitle = "a [short] hop"\n[skein]\nturns = 0\n[launch]\nheight_m = 0.42\n'
        "[run]\nduration_s = 0.6\nrtol = 1e-4\nblade_elements = 3\n",
        encoding="utf-8",
    )

    def command(*words: object) -> Result:
        result = CliRunner().invoke(main, [str(word) for word in words], prog_name="paddlebar")
        crashed = not isinstance(result.exception, SystemExit | None)
        answered = result.exit_code in (0, 1) and not crashed and str(words[0]) in ANSWERS
        if answered and not {"--json", "--full", "--help"} & set(words):
            assert is_a_screen(result.stdout) == []
        return result

    return command


def is_a_screen(shown: str) -> list[str]:
    """What is wrong with an answer: more than 24 lines of 80 columns, no verdict first, no caution, no next step last. A path may be longer."""
    lines = shown.splitlines()
    starts = [k for k, line in enumerate(lines) if line.startswith("next: ")]
    wrong = {
        f"{len(lines)} lines": len(lines) > 24,
        "the first line is no verdict": not lines
        or not lines[0].strip()
        or lines[0].startswith((" ", "next: ", "written")),
        "no caution": "eye protection" not in shown,
        "no next step": len(starts) != 1,
        "something after the next step": bool(starts) and len(lines) > starts[-1] + 1,
    }
    wide = [
        line
        for line in lines
        if len(line) > 80 and not line.startswith("next: ") and max(len(word) for word in line.split()) < 60
    ]
    return [what for what, so in wrong.items() if so] + wide


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
    """The one line on standard error beside progress, with nothing on standard output and no traceback behind."""
    assert result.stdout == ""
    said = messages(result.stderr)
    assert said.count("\n") == 1, result.stderr
    assert said.startswith("paddlebar: ")
    assert isinstance(result.exception, SystemExit), result.exception
    return said


def messages(errors: str) -> str:
    """What stands on standard error beside the lines about progress."""
    return "".join(
        re.sub(r"^paddlebar: \d+ s, \d+ of \d+ done: .*\n", "", line) for line in errors.splitlines(keepends=True)
    )


def flat(shown: str) -> str:
    """A screen as one line, so that a sentence is found wherever it was folded."""
    return " ".join(shown.split())
