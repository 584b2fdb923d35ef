"""An interrupted write leaves nothing that looks whole, and an older file as it was."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from paddlebar.flight.result import Flight
from paddlebar.record.read import read_run
from paddlebar.record.write import put_in_place, write_run


def stop(error: BaseException) -> object:
    def raiser(*_arguments: object, **_named: object) -> None:
        raise error

    return raiser


INTERRUPTIONS = {
    "disk full": ("os.fsync", OSError(errno.ENOSPC, "No space left on device")),
    "Ctrl-C while writing": ("os.fsync", KeyboardInterrupt()),
    "Ctrl-C before the rename": ("pathlib.Path.replace", KeyboardInterrupt()),
    "Ctrl-C while building": ("paddlebar.record.write._write_events", KeyboardInterrupt()),
    "no right to rename": ("pathlib.Path.replace", PermissionError(errno.EACCES, "Permission denied")),
}


@pytest.mark.parametrize("case", INTERRUPTIONS)
def test_interrupted_write_leaves_the_old_file(
    tmp_path: Path, flight: Flight, monkeypatch: pytest.MonkeyPatch, case: str
) -> None:
    target = tmp_path / "run.h5"
    write_run(target, [flight])
    before = target.read_bytes()
    place, error = INTERRUPTIONS[case]
    with monkeypatch.context() as patch:
        patch.setattr(place, stop(error))
        with pytest.raises(type(error)):
            write_run(target, [flight, flight])
    assert target.read_bytes() == before
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize("case", INTERRUPTIONS)
def test_interrupted_first_write_leaves_nothing(
    tmp_path: Path, flight: Flight, monkeypatch: pytest.MonkeyPatch, case: str
) -> None:
    place, error = INTERRUPTIONS[case]
    with monkeypatch.context() as patch:
        patch.setattr(place, stop(error))
        with pytest.raises(type(error)):
            write_run(tmp_path / "run.h5", [flight])
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_disk_that_is_really_full(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(Path, "open", lambda _self, *_a, **_k: open("/dev/full", "wb"))  # noqa: PTH123, SIM115
        with pytest.raises(OSError, match="No space left"):
            put_in_place(tmp_path / "run.h5", b"x" * 100_000)
    assert list(tmp_path.iterdir()) == []


def test_a_missing_folder_is_an_ordinary_error(tmp_path: Path, flight: Flight) -> None:
    with pytest.raises(FileNotFoundError):
        write_run(tmp_path / "nowhere" / "run.h5", [flight])


def test_new_files_have_the_usual_rights_and_links_stay_links(tmp_path: Path, flight: Flight) -> None:
    (tmp_path / "real").mkdir()
    link = tmp_path / "run.h5"
    link.symlink_to(tmp_path / "real" / "run.h5")
    write_run(link, [flight])
    assert link.is_symlink()
    mask = os.umask(0)
    os.umask(mask)
    assert (tmp_path / "real" / "run.h5").stat().st_mode & 0o777 == 0o666 & ~mask
    assert len(read_run(link)) == 1
