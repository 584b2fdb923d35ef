"""Where compiled code is kept: a place for each state of the sources, the first that can be written, old ones thrown away."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numba
import pytest

from paddlebar import physics

DAY = 24 * 3600.0


@pytest.fixture
def package(tmp_path: Path) -> Path:
    """A package with equations, a layout, a compiled function elsewhere and a module that compiles nothing."""
    for name, text in {
        "physics/lift.py": "a = 1",
        "flight/layout.py": "b = 1",
        "ensemble/steps.py": "@njit\n",
        "flight/endings.py": "c = 1",
        "flight/result.py": "c = 1",
        "physics/motor/table.py": "d = 1",
        "studies/yaw/moments.py": "@njit\n",
        "studies/yaw/balance.py": "e = 1",
    }.items():
        (tmp_path / "package" / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "package" / name).write_text(text, encoding="utf-8")
    return tmp_path / "package"


@pytest.fixture
def nowhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """All places that the environment names lead into one empty folder; returned."""
    home = tmp_path / "home"
    for name in ("NUMBA_CACHE_DIR", "XDG_CACHE_HOME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HOME", str(home))
    (tmp_path / "temporary").mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "temporary"))
    return home


@pytest.mark.parametrize(
    ("changed", "anew"),
    [
        ("physics/lift.py", True),
        ("flight/layout.py", True),
        ("ensemble/steps.py", True),
        ("flight/endings.py", False),
        ("flight/result.py", False),
        ("physics/motor/table.py", True),
        ("studies/yaw/moments.py", True),
        ("studies/yaw/balance.py", False),
    ],
)
def test_name_changes_with_the_equations_and_with_nothing_else(package: Path, changed: str, anew: bool) -> None:
    before = physics._fingerprint(package)
    assert before == physics._fingerprint(package)
    file = package / changed
    file.write_text(file.read_text(encoding="utf-8") + "\nd = 2", encoding="utf-8")
    assert (physics._fingerprint(package) != before) is anew


def test_name_is_short_and_knows_which_file_holds_what(package: Path) -> None:
    """Sixteen digits; a renamed file is another package, and so is one that went into another folder."""
    before = physics._fingerprint(package)
    assert len(before) == 16
    (package / "physics" / "lift.py").rename(package / "physics" / "drag.py")
    renamed = physics._fingerprint(package)
    assert renamed != before
    (package / "physics" / "drag.py").rename(package / "physics" / "motor" / "drag.py")
    assert physics._fingerprint(package) not in (before, renamed)


def test_beside_the_package_then_with_the_user_then_with_the_system(package: Path, nowhere: Path) -> None:
    """A place that cannot be made (a file stands there) is passed over."""
    name = f"numba-{numba.__version__}-{physics._fingerprint(package)}"
    assert physics._cache_folder(package) == package / "__pycache__" / name
    (package / "__pycache__" / name).rmdir()
    (package / "__pycache__").rmdir()
    (package / "__pycache__").write_text("no folder", encoding="utf-8")
    assert physics._cache_folder(package) == nowhere / ".cache" / "paddlebar" / name
    assert (nowhere / ".cache" / "paddlebar" / name).is_dir()
    assert physics._cache_folder(package) == nowhere / ".cache" / "paddlebar" / name  # it is there already
    (nowhere / ".cache" / "paddlebar" / name).rmdir()
    (nowhere / ".cache" / "paddlebar").rmdir()
    (nowhere / ".cache" / "paddlebar").write_text("no folder", encoding="utf-8")
    user = os.getuid() if hasattr(os, "getuid") else "user"
    assert physics._cache_folder(package) == Path(tempfile.gettempdir()) / f"paddlebar-{user}" / name


def test_the_users_own_place_for_caches(
    package: Path, nowhere: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (package / "__pycache__").write_text("no folder", encoding="utf-8")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "caches"))
    found = physics._cache_folder(package)
    assert found is not None
    assert found.parent == tmp_path / "caches" / "paddlebar"


def test_place_that_is_told_or_none(
    package: Path, nowhere: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / "told" / "deep"))
    found = physics._cache_folder(package)
    assert found is not None
    assert found.parent == tmp_path / "told" / "deep"
    (tmp_path / "file").write_text("no folder", encoding="utf-8")
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / "file"))
    assert physics._cache_folder(package) is None


def test_place_that_may_not_be_written_is_passed_over(
    package: Path, nowhere: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever tests as root may write everywhere, so the question is answered for him."""
    monkeypatch.setattr(os, "access", lambda path, mode: "__pycache__" not in str(path))
    found = physics._cache_folder(package)
    assert found is not None
    assert found.parent == nowhere / ".cache" / "paddlebar"


def test_code_of_other_versions_is_kept_a_fortnight(package: Path, nowhere: Path) -> None:
    """Two hours short of it: kept; two over: thrown away with what is in it; its own is kept however old, and what is not numba's too."""
    own = physics._cache_folder(package)
    assert own is not None
    base = own.parent
    for name, age in (("numba-new", 13.9), ("numba-old", 14.1), (own.name, 99.0), ("other-old", 99.0)):
        (base / name).mkdir(exist_ok=True)
        (base / name / "code.nbi").write_text("x", encoding="utf-8")
        then = time.time() - age * DAY
        os.utime(base / name, (then, then))
    assert physics._cache_folder(package) == own
    assert {path.name for path in base.iterdir()} == {"numba-new", "other-old", own.name}


@pytest.mark.parametrize("compiling", [True, False])
def test_numba_is_told_the_place_when_it_compiles_and_only_then(tmp_path: Path, compiling: bool) -> None:
    """In a process of its own: what import of the equations leaves in numba's settings."""
    environment = {
        **os.environ,
        "NUMBA_CACHE_DIR": str(tmp_path),
        "NUMBA_DISABLE_JIT": "0" if compiling else "1",
        "PYTHONPATH": os.pathsep.join(path for path in sys.path if path),
    }
    command = [sys.executable, "-c", "import paddlebar.physics, numba; print(numba.config.CACHE_DIR)"]
    told = subprocess.run(command, env=environment, capture_output=True, text=True, check=True).stdout.strip()
    own = physics._cache_folder(Path(physics.__file__).parents[1])
    assert own is not None
    assert told == str(tmp_path / own.name if compiling else tmp_path)


def test_a_full_disk_costs_the_kept_code_and_not_the_answer(tmp_path: Path) -> None:
    """Files of 100 bytes at most: nothing fits, and what is not ours still fails as numba has it."""
    pytest.importorskip("resource")
    program = f"""
import resource, signal, sys
sys.dont_write_bytecode = True  # Python 3.11 takes what is cut short for whole
sys.path.insert(0, {str(tmp_path)!r})
from paddlebar.physics.cord import drive_loss
import theirs
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (100, resource.RLIM_INFINITY))
print(drive_loss(0.0, 0.5, 0.25, 100.0), len(drive_loss.door.signatures))
try:
    theirs.double(1.0)
except OSError as error:
    print(error.strerror)
"""
    (tmp_path / "theirs.py").write_text(
        "import numba\nnumba.config.CACHE_DIR = ''\n@numba.njit(cache=True)\ndef double(x):\n    return 2.0 * x\n",
        encoding="utf-8",
    )
    said = subprocess.run(
        [sys.executable, "-c", program],
        env={
            **os.environ,
            "PYTHONPATH": os.pathsep.join(path for path in sys.path if path),
            "NUMBA_DISABLE_JIT": "0",
            "NUMBA_CACHE_DIR": str(tmp_path / "ours"),
            "LC_ALL": "C",
        },
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    assert said == "-0.25 1\nFile too large\n"
    assert not [file for file in (tmp_path / "ours").rglob("*") if file.is_file() and file.stat().st_size > 0]
