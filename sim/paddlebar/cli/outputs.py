"""Files of a verb: all of them whole in their folder, or none."""

from __future__ import annotations

import errno
import os
import secrets
import shutil
from collections.abc import Collection, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from paddlebar.ensemble.workers import uninterrupted
from paddlebar.record.held import alone_in, held, opened

HIDDEN = ".{}.part"
BEFORE = "before"


def check_folder(folder: Path) -> None:
    """Raise OSError now if ``folder`` cannot be made or written to later; touches nothing."""
    there = folder
    while not there.exists() and there != there.parent:
        there = there.parent
    if not there.is_dir():
        raise NotADirectoryError(errno.ENOTDIR, "a file stands where a folder is wanted", str(there))
    if not os.access(there, os.W_OK | os.X_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(there))


def same_place(one: Path, other: Path) -> bool:
    """Whether two names lead to one file, links followed; one that leads to itself is no error here, as it is for Path.resolve()."""
    return os.path.realpath(one) == os.path.realpath(other)


@contextmanager
def staged(folder: Path, owner: str = "", others: Collection[str] = ()) -> Iterator[Path]:
    """A hidden folder inside ``folder`` to write into. At the end its files move up, all of them or none.

    owner, others : where the folder holds a file ``owner`` by then, names of the same set that were not written this time go

    Whatever goes wrong, Ctrl-C included: hidden folder and folders made for it are gone again, older files stay as
    they were. An OSError is raised anew with the name that the file was to have. Of two
    programs that write to one folder at a time, the set of the one that ends last stays, whole. What one that was killed left behind
    is taken away by the next.
    """
    made = [each for each in (folder, *folder.parents) if not each.exists()]  # deepest first
    hidden = folder / HIDDEN.format(secrets.token_hex(4))
    mark: int | None = None
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with alone_in(folder):
            hidden.mkdir()
            mark = opened(hidden)
            if mark is not None:
                held(mark)
            _sweep(folder)
        yield hidden
        with uninterrupted(), alone_in(folder):
            _bring(hidden, folder, owner, others)
        shutil.rmtree(hidden, ignore_errors=True)
    except BaseException as error:
        about = _about(error, folder, hidden)
        shutil.rmtree(hidden, ignore_errors=True)
        for each in made:
            with suppress(OSError):  # not empty: somebody else put something there
                each.rmdir()
        if isinstance(error, OSError) and error.errno not in (errno.EPIPE, None):
            raise OSError(error.errno, error.strerror or str(error), str(about)) from error
        raise
    finally:
        if mark is not None:
            os.close(mark)


def _sweep(folder: Path) -> None:
    """Take away what killed programs left: hidden folders that nobody holds."""
    for left in folder.glob(HIDDEN.format("?" * 8)):
        fileno = opened(left)
        if fileno is None:
            continue
        if held(fileno):
            shutil.rmtree(left, ignore_errors=True)
        os.close(fileno)


def _bring(hidden: Path, folder: Path, owner: str, others: Collection[str]) -> None:
    """All files up. What stood there has a second name until the last one has moved, and comes back if that fails."""
    names = sorted(file.name for file in hidden.iterdir())
    before = hidden / BEFORE
    before.mkdir()
    moved: list[str] = []
    gone = sorted(set(others) - set(names)) if owner and (folder / owner).exists() else []
    try:
        for name in [*names, *gone]:
            if (folder / name).is_dir():
                raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(folder / name))
            with suppress(OSError):  # nothing there, or a disk without second names
                os.link(folder / name, before / name, follow_symlinks=False)
        for name in names:
            (hidden / name).replace(folder / name)
            moved.append(name)
        for name in gone:
            (folder / name).unlink(missing_ok=True)
            moved.append(name)
    except OSError:
        for name in moved:
            with suppress(OSError):
                if (before / name).exists():
                    (before / name).replace(folder / name)
                else:
                    (folder / name).unlink(missing_ok=True)
        raise


def _about(error: BaseException, folder: Path, hidden: Path) -> Path:
    """Which file an error is about, by the name that the user knows; a full disk names none, it is the one written last."""
    if isinstance(error, OSError) and error.filename:
        path = Path(str(error.filename))
    else:
        written = [file for file in hidden.glob("*") if file.is_file()]
        path = max(written, key=lambda file: file.stat().st_mtime_ns, default=folder)
    return folder / path.name if hidden in path.parents or path.parent == folder else folder
