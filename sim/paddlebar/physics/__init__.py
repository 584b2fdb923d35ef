"""The equations: jitted functions of floats and small arrays, SI units, one phenomenon a file; no file, plot or class.

Compiled code is kept from run to run. numba looks for changes only in the file of the function itself, not in those that it calls
from other files; so the place where it is kept is named after all sources of the package, and an edit or an upgrade compiles anew.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
import time
from pathlib import Path

import numba
from numba.core.caching import FunctionCache

_PREFIX = "numba-"
_KEEP = 14 * 24 * 3600.0  # [s] code of other versions that was made so long ago is thrown away


def _fingerprint(package: Path) -> str:
    """Short name that changes with any source that is compiled, and with the layout whose indices are compiled in."""
    digest = hashlib.sha256()
    for source in sorted(package.rglob("*.py")):
        text = source.read_bytes()
        place = source.relative_to(package)
        if place.parts[0] == "physics" or b"jit" in text or source.name == "layout.py":
            digest.update(place.as_posix().encode())
            digest.update(text)
    return digest.hexdigest()[:16]


def _cache_folder(package: Path) -> Path | None:
    """First place that can be written: what NUMBA_CACHE_DIR says, beside the package, the user's cache, the system's temporary folder."""
    # two numbas in one folder write over each other's code, and one then reads what it cannot
    name = f"{_PREFIX}{numba.__version__}-{_fingerprint(package)}"
    told = os.environ.get("NUMBA_CACHE_DIR")
    user = Path(os.environ.get("XDG_CACHE_HOME") or "~/.cache").expanduser() / "paddlebar"
    temporary = Path(tempfile.gettempdir()) / f"paddlebar-{os.getuid() if hasattr(os, 'getuid') else 'user'}"
    for base in [Path(told)] if told else [package / "__pycache__", user, temporary]:
        try:
            folder = base / name
            folder.mkdir(parents=True, exist_ok=True)
            if os.access(folder, os.W_OK):
                for old in base.glob(_PREFIX + "*"):
                    if old != folder and old.stat().st_mtime < time.time() - _KEEP:
                        shutil.rmtree(old, ignore_errors=True)
                return folder
        except OSError:
            continue
    return None


def _room_or_not(folder: Path) -> None:
    """A disk too full for compiled code costs the time to compile it again, not the flight."""
    save = FunctionCache.save_overload

    def save_if_it_fits(self: FunctionCache, sig: object, data: object) -> None:
        try:
            save(self, sig, data)
        except OSError:
            if folder not in Path(self.cache_path).parents:  # code of others is theirs to worry about
                raise

    FunctionCache.save_overload = save_if_it_fits


if not numba.config.DISABLE_JIT and (_folder := _cache_folder(Path(__file__).parents[1])) is not None:
    numba.config.CACHE_DIR = str(_folder)
    _room_or_not(_folder)
