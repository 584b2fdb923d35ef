"""Full disks and folders that may not be written to: one line that names the file, nothing half written, older results untouched.

The limit on the size of files (RLIMIT_FSIZE) holds for root as well; a small file system of its own is mounted where that is allowed.
"""

from __future__ import annotations

import errno
import os
import re
import shlex
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from cli.conftest import one_line
from hard.commands import COMMANDS, Command, contents, prepared
from paddlebar.cli.main import main
from small_files import small_files

OLDER = b"from an earlier run"
SMALL = 2000  # bytes a file may have: less than any result has, more than a journal's first rows
VERBS = pytest.mark.parametrize("command", COMMANDS.values(), ids=COMMANDS)


def invoke(words: str, *more: str) -> Result:
    quick = re.sub(
        r"--set run\.\S+", "", words.replace("--workers 2", "--workers 1")
    )  # nobody is to catch a flight under way
    return CliRunner().invoke(main, [*quick.split(), *more], prog_name="paddlebar")


@pytest.fixture
def folder(tmp_path, run_file, monkeypatch) -> Path:
    monkeypatch.chdir(prepared(tmp_path, run_file))
    return tmp_path


def older_results(folder: Path, command: Command) -> None:
    """What an earlier run left; a study's own file is not among it, or it would be gone on with, nor anything for those that never go over a file."""
    for name in command.files:
        if command.verb not in ("new", "examples") and name != "study.h5":
            (folder / "out" / name).write_bytes(OLDER)


@pytest.mark.slow
@VERBS
def test_a_disk_that_fills_up(command, folder):
    older_results(folder, command)
    before = contents(folder)
    with small_files(SMALL):
        result = invoke(command.words)
    assert result.exit_code == 2
    line = one_line(result)
    assert line.startswith(("paddlebar: out/", "paddlebar: out: "))  # a picture that failed is gone by then
    assert os.strerror(errno.EFBIG) in line
    assert "cannot be written" in line
    after = contents(folder)
    assert {name: after.get(name) for name in before} == before
    # a study keeps what was finished before, as after Ctrl-C
    assert all(command.is_study and (folder / name).match(command.kept) for name in after.keys() - before.keys())
    assert [path for path in (folder / "out").iterdir() if path.is_dir()] == []


@pytest.mark.slow
def test_after_a_full_disk_a_study_goes_on(folder):
    """What fitted is not computed again, and the result is that of one go."""
    words = COMMANDS["rank"].words
    with small_files(SMALL):
        assert invoke(words).exit_code == 2
    kept = contents(folder / "out")
    assert list(kept) == ["study.h5.journal"]
    assert SMALL // 2 < len(kept["study.h5.journal"]) <= SMALL
    assert invoke(words).exit_code in (0, 1)
    again = contents(folder / "out")
    for path in (folder / "out").iterdir():
        path.unlink()
    assert invoke(words).exit_code in (0, 1)
    assert contents(folder / "out") == again


@contextmanager
def mounted(folder: Path, options: str) -> Iterator[None]:
    """A file system in memory at a folder, or the test is skipped."""
    folder.mkdir(exist_ok=True)
    words = ["mount", "-t", "tmpfs", "-o", options, "paddlebar-test", str(folder)]
    try:
        done = subprocess.run(words, capture_output=True, check=False)
    except OSError:
        pytest.skip("no mount here")
    if done.returncode:
        pytest.skip("mounting is not allowed here")
    try:
        yield
    finally:
        subprocess.run(["umount", str(folder)], check=True)


@pytest.mark.parametrize("size", ["16k", "60k", "200k"])
def test_a_real_full_disk(folder, size):
    """Full before the run file, in the middle of it, among the pictures."""
    with mounted(folder / "disk", f"size={size}"):
        result = invoke("fly hop.toml --out disk/x/y", "--set", "run.duration_s=1")
        assert result.exit_code == 2
        assert one_line(result).startswith("paddlebar: disk/x/y")
        assert os.strerror(errno.ENOSPC) in one_line(result)
        assert list((folder / "disk").iterdir()) == []


def test_a_disk_without_a_single_free_file(folder):
    with mounted(folder / "disk", "nr_inodes=2"):
        for words in ("fly hop.toml --out disk/x", "rank hop.toml --samples 0 --key craft.bar.gain=0.1 --out disk/x"):
            result = invoke(words, "--set", "run.duration_s=1")
            assert result.exit_code == 2
            assert "disk/x" in one_line(result)
            assert list((folder / "disk").iterdir()) == []


def read_only(folder: Path) -> Callable[[], None]:
    """Take away the right to write, root's too; returns what gives it back. Skips where that cannot be done."""
    if os.geteuid() != 0:
        folder.chmod(0o500)
        return lambda: folder.chmod(0o700)
    try:
        done = subprocess.run(["chattr", "+i", str(folder)], capture_output=True, check=False)
    except OSError:
        pytest.skip("root may write anywhere, and there is no chattr")
    if done.returncode:
        pytest.skip("root may write anywhere on this file system")
    return lambda: subprocess.run(["chattr", "-i", str(folder)], check=True) and None


@VERBS
def test_a_folder_that_may_not_be_written_to(command, folder):
    """Seen before any work is done."""
    give_back = read_only(folder / "out")
    try:
        result = invoke(command.words)
    finally:
        give_back()
    assert result.exit_code == 2
    assert one_line(result).startswith("paddlebar: out")
    assert list((folder / "out").iterdir()) == []


@VERBS
def test_a_parent_that_is_a_file(command, folder):
    before = contents(folder)
    words = shlex.join(
        word.replace("out/", "hop.toml/x/") if "out/" in word else word for word in command.words.split()
    )
    result = invoke(words.replace("--out out", "--out hop.toml/x"))
    assert result.exit_code == 2
    assert "hop.toml" in one_line(result)
    assert contents(folder) == before


def test_a_folder_of_the_name_of_a_result(folder):
    """Found when all else is ready to be moved: nothing is moved."""
    (folder / "out" / "plan.png").mkdir()
    (folder / "out" / "bar.png").write_bytes(OLDER)
    result = invoke("fly hop.toml --out out", "--set", "run.duration_s=1")
    assert result.exit_code == 2
    assert "out/plan.png" in one_line(result)
    assert contents(folder / "out") == {"bar.png": OLDER}


def test_one_file_that_may_not_be_replaced_keeps_all_others(folder, monkeypatch):
    """Moving stops in the middle: what has moved moves back, what was new goes."""
    older_results(folder, COMMANDS["fly"])
    (folder / "out" / "bar.png").unlink()
    before = contents(folder)
    replace = Path.replace

    def fail(self: Path, target: Path) -> Path:
        if Path(target).name == "plan.png" and Path(target).parent.name == "out":
            raise PermissionError(errno.EPERM, os.strerror(errno.EPERM), str(self), None, str(target))
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", fail)
    result = invoke("fly hop.toml --out out", "--set", "run.duration_s=1")
    assert result.exit_code == 2
    assert "out/plan.png: cannot be written" in one_line(result)
    assert contents(folder) == before
