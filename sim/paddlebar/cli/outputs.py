"""Files of a verb: all of them whole in their folder, or none."""

from __future__ import annotations

import errno
import os
import secrets
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path


def check_folder(folder: Path) -> None:
    """Raise OSError now if ``folder`` cannot be made or written to later; touches nothing."""
    there = folder
    while not there.exists() and there != there.parent:
        there = there.parent
    if not there.is_dir():
        raise NotADirectoryError(errno.ENOTDIR, "a file stands where a folder is wanted", str(there))
    if not os.access(there, os.W_OK | os.X_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(there))


@contextmanager
def staged(folder: Path) -> Iterator[Path]:
    """A hidden folder inside ``folder`` to write into. At the end its files move up, each in one step.

    Whatever goes wrong, Ctrl-C included: hidden folder and folders made for it are gone again, older files stay as
    they were. An OSError is raised anew with the name of ``folder``, since a full disk names no file.
    """
    made = [each for each in (folder, *folder.parents) if not each.exists()]  # deepest first
    hidden = folder / f".{secrets.token_hex(4)}.part"
    try:
        hidden.mkdir(parents=True)
        yield hidden
        for file in sorted(hidden.iterdir()):
            file.replace(folder / file.name)
        hidden.rmdir()
    except BaseException as error:
        shutil.rmtree(hidden, ignore_errors=True)
        for each in made:
            with suppress(OSError):  # not empty: somebody else put something there
                each.rmdir()
        if isinstance(error, OSError) and error.errno != errno.EPIPE:
            raise OSError(error.errno, error.strerror or str(error), str(folder)) from error
        raise
