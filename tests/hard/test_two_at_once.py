"""Two programs that write to one folder: of single results one whole set stays; a study belongs to whoever came first."""

from __future__ import annotations

import os
import signal
import threading
from pathlib import Path

import pytest
from click.testing import CliRunner

from cli.conftest import messages, one_line
from hard.commands import COMMANDS, PATIENCE_S, begin, contents, gone, prepared, whole
from paddlebar.cli import outputs
from paddlebar.cli.main import main
from paddlebar.cli.outputs import staged
from paddlebar.record.held import alone_in

pytest.importorskip("fcntl")


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(prepared(tmp_path))
    return tmp_path


@pytest.mark.slow
def test_two_flights_into_one_folder_leave_one_of_them(folder):
    """Both run from the same moment on, with other pictures each; run file and pictures of one of them are there, none of the other."""
    words = [f"fly hop.toml --out out --data --set run.duration_s=1 --set {more}" for more in
             ("launch.height_m=1.1 --set pictures.draw=['height','plan']", "launch.height_m=0.9 --set pictures.draw=['yaw','bar']")]  # fmt: skip
    alone = []
    for k, each in enumerate(words):
        assert whole(each.replace("--out out", f"--out alone-{k}"), folder).returncode == 0
        alone.append({name: text for name, text in contents(folder / f"alone-{k}").items() if name != "run.h5"})
    for _ in range(3):
        both = [begin(each, folder) for each in words]
        for process in both:
            assert messages(process.communicate(timeout=PATIENCE_S)[1]) == ""
            assert process.returncode == 0
        found = contents(folder / "out")
        assert found.pop("run.h5").startswith(b"\x89HDF")
        assert found in alone


def test_moving_is_one_step_for_everybody_else(folder, monkeypatch):
    """While one moves its files the other waits; then its whole set takes the place."""
    out, order = folder / "out", list[str]()
    bring = outputs._bring

    def told(hidden: Path, *rest: object) -> None:
        order.append(f"{hidden.name} moves")
        bring(hidden, *rest)
        order.append(f"{hidden.name} has moved")

    monkeypatch.setattr(outputs, "_bring", told)

    def write(which: str, count: int) -> None:
        for _ in range(20):
            with staged(out, "a", ["a", "b", "c"]) as hidden:
                for name in "abc"[:count]:
                    (hidden / name).write_text(which)

    threads = [threading.Thread(target=write, args=each) for each in (("first", 3), ("second", 2))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(PATIENCE_S)
    assert len(order) == 80
    assert all(a.split()[0] == b.split()[0] for a, b in zip(order[::2], order[1::2], strict=True))
    assert contents(out) in ({"a": b"first", "b": b"first", "c": b"first"}, {"a": b"second", "b": b"second"})


def test_a_program_at_work_keeps_its_hidden_folder(folder):
    """Only what nobody holds is swept away: what was left by kill -9."""
    left = folder / "out" / ".0badcafe.part"
    left.mkdir()
    (left / "run.h5").write_bytes(b"half")
    with staged(folder / "out") as first:
        assert not left.exists()
        with staged(folder / "out") as second:
            assert first.is_dir()
            (second / "x").write_text("x")
        (first / "y").write_text("y")
    assert contents(folder / "out") == {"x": b"x", "y": b"y"}


def test_who_waits_for_a_folder_can_be_broken_off(folder):
    def later() -> None:
        os.kill(os.getpid(), signal.SIGINT)

    with alone_in(folder):
        timer = threading.Timer(0.2, later)
        timer.start()
        with pytest.raises(KeyboardInterrupt), alone_in(folder):
            pytest.fail("two are alone")
        timer.join()


@pytest.mark.slow
@pytest.mark.parametrize("verb", [name for name, command in COMMANDS.items() if command.is_study])
def test_a_study_at_work_is_refused_to_everybody_else(folder, verb):
    """In one line, soon, and the first one's file is not touched."""
    command = COMMANDS[verb]
    first = begin(command.words, folder, command.under_way)
    os.killpg(first.pid, signal.SIGSTOP)  # so that it is at work for as long as this takes
    try:
        before = contents(folder / "out")
        words = command.words.replace("--workers 2", "--workers 1").split()
        second = CliRunner().invoke(main, words, prog_name="paddlebar")
        after = contents(folder / "out")
    finally:
        os.killpg(first.pid, signal.SIGCONT)
    assert second.exit_code == 2
    line = one_line(second)
    assert line.startswith("paddlebar: out/")
    assert "is being worked on by another paddlebar" in line
    assert after == before
    if verb != "match":  # the quickest one comes to its end, the others are spared that
        first.terminate()
    first.communicate(timeout=PATIENCE_S)
    assert first.returncode == (0 if verb == "match" else 143)
    assert gone(first.pid)
