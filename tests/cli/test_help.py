"""A new user asks what there is."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import paddlebar
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
