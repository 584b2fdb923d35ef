"""A new user asks what there is."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import click
import pytest

import paddlebar
from paddlebar.cli import manual
from paddlebar.cli.verbs import VERBS

SIM = Path(paddlebar.__file__).parents[1]


@pytest.mark.parametrize("verb", VERBS)
def test_help_of_each_verb_shows_an_example(run, verb):
    result = run(verb, "--help")
    assert result.exit_code == 0
    assert "Example:" in result.stdout
    assert f"paddlebar {verb} " in result.stdout.split("Example:")[1]
    assert result.stderr == ""


def test_help_of_the_command_names_every_verb(run):
    result = run("--help")
    assert result.exit_code == 0
    listed = [line.split()[0] for line in result.stdout.split("Commands:")[1].splitlines() if line.strip()]
    assert listed == list(VERBS)
    assert all(says in result.stdout for says in VERBS.values())


def test_version(run):
    assert run("--version").stdout == f"paddlebar {paddlebar.__version__}\n"


def test_an_unknown_verb_is_answered_by_the_nearest(run, untouched):
    result = run("flyy", "hop.toml")
    assert result.exit_code == 2
    assert "flyy" in result.stderr
    assert "'fly'" in result.stderr
    assert untouched()


def test_no_verb_is_no_success(run):
    result = run()
    assert result.exit_code == 2
    assert "Commands:" in result.stderr + result.stdout


@pytest.mark.parametrize("words", [("fly",), ("stand",), ("new",), ("fly", "hop.toml", "--otu", "x")])
def test_a_missing_or_strange_argument_is_bad_input(run, untouched, words):
    result = run(*words)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert untouched()


@pytest.mark.parametrize("statement", ["import paddlebar", "import paddlebar.cli.main"])
def test_starting_loads_nothing_heavy(statement):
    """No numpy, numba or matplotlib for import and --help: what keeps both under half a second on any machine."""
    heavy = ("numpy", "numba", "scipy", "matplotlib", "h5py", "pydantic", "rich")
    code = f"import sys; sys.path.insert(0, {str(SIM)!r}); {statement}; print([m for m in {heavy} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"


# ---- the verb: pages of the manual


def test_without_a_topic_every_page_has_its_line(run):
    result = run("help")
    assert result.exit_code == 0
    lines = [" ".join(line.split()) for line in result.stdout.splitlines()]
    for page in manual.pages().values():
        assert f"{page.topic} {page.title}" in lines
    assert max(map(len, result.stdout.splitlines())) <= manual.WIDTH


@pytest.mark.parametrize("topic", manual.pages())
def test_a_page_is_plain_text_of_eighty_columns(run, untouched, topic):
    """Into a pipe: no codes, nothing cut off, and its title is the first thing that is read."""
    result = run("help", topic)
    assert result.exit_code == 0, result.stderr
    assert result.stderr == ""
    page = manual.pages()[topic]
    assert result.stdout.splitlines()[0].strip() == page.title
    assert page.summary.replace("`", "")[:60] in result.stdout
    assert max(map(len, result.stdout.splitlines())) <= manual.WIDTH
    assert "\x1b" not in result.stdout
    assert "\u2026" not in result.stdout  # a table's word that was cut off
    assert ".md" not in result.stdout.replace("README.md", "").replace("evidence.md", "")  # links are told as commands
    assert untouched()


@pytest.mark.parametrize(
    ("topic", "near"),
    [
        ("rubbr", "did you mean rubber?"),
        ("Bar", "did you mean bar?"),
        ("pulley", "did you mean yaw?"),
        ("xyzzy", "paddlebar help lists the pages"),
        ("", "paddlebar help lists the pages"),
        ("stand", "paddlebar stand --help tells of the command"),
    ],
)
def test_an_unknown_topic_is_one_line_with_the_nearest(run, untouched, topic, near):
    result = run("help", topic)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert result.stderr.startswith(f"paddlebar: help: {topic}")
    assert near in result.stderr
    assert result.stderr.count("\n") == 1
    assert untouched()


def test_a_long_page_goes_through_the_pager_on_a_terminal(run, monkeypatch):
    shown = []
    monkeypatch.setattr(click, "echo_via_pager", shown.append)
    monkeypatch.setattr("paddlebar.cli.help.on_a_terminal", lambda: True)
    assert run("help", "bar").stdout == ""
    assert "Will my bar hold it upright?" in shown[0]
    monkeypatch.setattr("shutil.get_terminal_size", lambda: (80, 500))
    assert "Will my bar hold it upright?" in run("help", "bar").stdout


def test_a_console_of_few_signs_gets_the_page_all_the_same():
    code = f"import sys; sys.path.insert(0, {str(SIM)!r}); from paddlebar.cli.main import main; main(['help', 'bar'])"
    environment = {**os.environ, "PYTHONIOENCODING": "ascii"}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, env=environment)
    assert done.stderr == b""
    assert b"\n * Run-down." in done.stdout


def test_the_page_of_keys_lists_every_key(run):
    from paddlebar.files.key_table import rows

    said = "".join(run("help", "keys").stdout.split())
    for row in (*rows("craft"), *rows("scenario")):
        assert f"{row.key.rpartition('.')[2]}({''.join(row.allowed.split())}" in said, row
        assert "".join(row.words.replace("`", "").split()) in said, row


@pytest.mark.parametrize("kind", ["craft", "scenario"])
def test_a_schema_is_json_and_nothing_else(run, kind):
    from paddlebar.files import schema

    result = run("help", "keys", "--schema", kind)
    assert result.exit_code == 0
    assert json.loads(result.stdout) == getattr(schema, f"{kind}_schema")()
    assert result.stderr == ""


@pytest.mark.parametrize(
    "words", [("help", "--schema", "craft"), ("help", "bar", "--schema", "craft"), ("help", "keys", "--schema", "boat")]
)
def test_a_schema_of_something_else_is_refused(run, untouched, words):
    result = run(*words)
    assert result.exit_code == 2
    assert "--schema" in result.stderr
    assert result.stdout == ""
    assert untouched()
