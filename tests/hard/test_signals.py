"""Ctrl-C, SIGTERM and kill -9 half way through every verb: one line, no process and no half file left, and the next run works.

Each verb runs as a program of its own; the signal is sent when its work is under way (launcher.py), to the program alone, as `kill`
does it, so that its workers must be ended by it, or see for themselves that it has gone.
"""

from __future__ import annotations

import os
import signal
import subprocess
from pathlib import Path

import pytest

from cli.conftest import messages
from hard.commands import COMMANDS, PATIENCE_S, Command, begin, contents, gone, left_of, prepared, whole

pytestmark = [pytest.mark.slow, pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="processes by /proc")]

LINE = "paddlebar: interrupted; what was not finished was not written\n"
CODES = {signal.SIGINT: 130, signal.SIGTERM: 143, signal.SIGKILL: -9}
OLDER = b"from an earlier run"
SINGLE = [command for command in COMMANDS.values() if not command.is_study]
STUDIES = [command for command in COMMANDS.values() if command.is_study]


def test_every_verb_is_in_the_table():
    from paddlebar.cli.main import main

    # help works on nothing; bench is meant to be ended, and has tests of its own for that
    assert set(COMMANDS) | {"help", "bench"} == set(main.commands)


def struck(command: Command, folder: Path, number: signal.Signals) -> None:
    """Begin a command, strike it half way, and look at what it says and leaves running."""
    process = begin(command.words, folder, command.under_way)
    process.send_signal(number)
    try:
        out, error = process.communicate(timeout=PATIENCE_S)
    except subprocess.TimeoutExpired:
        pytest.fail(f"{command.verb}: {number.name} does not end it, or {left_of(process.pid)} hold its output")
    assert process.returncode == CODES[number], f"{command.verb} {number.name}: {out}{error}"
    assert out == ""
    if number != signal.SIGKILL:  # nobody can say anything after that
        assert messages(error) == LINE
    assert gone(process.pid), f"{command.verb} {number.name}: {left_of(process.pid)} left behind"


@pytest.mark.parametrize("command", SINGLE, ids=lambda command: command.verb)
def test_broken_off_it_leaves_what_was_there(command, tmp_path, run_file):
    """Older results stay to the byte, hidden files go with the program, or after kill -9 with the next run."""
    prepared(tmp_path, run_file)
    if command.verb not in ("new", "examples"):  # which never go over a file
        for name in command.files:
            (tmp_path / "out" / name).write_bytes(OLDER)
    before = contents(tmp_path / "out")
    for number in (signal.SIGINT, signal.SIGTERM):
        struck(command, tmp_path, number)
        assert contents(tmp_path / "out") == before
        assert [path for path in (tmp_path / "out").iterdir() if path.is_dir()] == []
    struck(command, tmp_path, signal.SIGKILL)
    after = contents(tmp_path / "out")
    assert {name: after.get(name) for name in before} == before
    assert all(name.startswith(".") for name in after.keys() - before.keys())
    done = whole(command.words, tmp_path)
    assert done.returncode in (0, 1), done.stderr
    assert messages(done.stderr) == ""
    left = contents(tmp_path / "out")
    assert set(command.files) <= set(left)
    assert OLDER not in left.values()
    assert [name for name in left if name.startswith(".")] == []


@pytest.mark.parametrize("command", STUDIES, ids=lambda command: command.verb)
def test_a_study_struck_three_times_goes_on_and_ends_as_if_it_never_was(command, tmp_path, run_file):
    struck_folder, calm_folder = prepared(tmp_path / "struck"), prepared(tmp_path / "calm")
    for number in CODES:
        struck(command, struck_folder, number)
        kept = {path.name for path in (struck_folder / "out").glob(command.kept)}
        there = {path.name for path in (struck_folder / "out").iterdir()}
        assert kept == there != set()
        if number != signal.SIGKILL:
            assert not any(name.endswith(".journal") for name in kept)
    done, calm = whole(command.words, struck_folder), whole(command.words, calm_folder)
    assert (done.returncode, messages(done.stderr)) == (calm.returncode, "")
    assert calm.returncode in (0, 1)
    found, wanted = contents(struck_folder / "out"), contents(calm_folder / "out")
    for each in (found, wanted):
        each.pop("improve.json", None)  # says how long it took
    assert set(command.files) <= set(wanted)
    assert found.keys() == wanted.keys()
    assert [name for name in wanted if found[name] != wanted[name]] == []


def test_ctrl_c_at_a_terminal_reaches_all_and_only_one_speaks(tmp_path):
    """The whole group of processes, workers too, and again at once, as the impatient do."""
    command = COMMANDS["map"]
    process = begin(command.words, prepared(tmp_path), command.under_way)
    os.killpg(process.pid, signal.SIGINT)
    os.killpg(process.pid, signal.SIGINT)
    out, error = process.communicate(timeout=PATIENCE_S)
    assert (process.returncode, out, messages(error)) == (130, "", LINE)
    assert gone(process.pid)


def test_a_signal_that_the_caller_ignores_is_ignored(tmp_path):
    """nohup: a closed terminal does not end it."""
    prepared(tmp_path)
    before = signal.signal(signal.SIGHUP, signal.SIG_IGN)
    try:
        process = begin(COMMANDS["fly"].words, tmp_path, COMMANDS["fly"].under_way)
    finally:
        signal.signal(signal.SIGHUP, before)
    process.send_signal(signal.SIGHUP)
    out, error = process.communicate(timeout=PATIENCE_S)
    assert (process.returncode, messages(error)) == (0, "")
    assert "run.h5" in out
