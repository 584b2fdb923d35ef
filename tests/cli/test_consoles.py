"""The command on consoles and in environments that are not as usual: other encodings, a C locale, no compiler wanted, as a module."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import paddlebar
from cli.conftest import ROOT, flat, messages

SIM = str(Path(paddlebar.__file__).parents[1])
TITLE = "Flug in der Höhe ✓"
CONSOLES = {
    "ascii": {"PYTHONIOENCODING": "ascii"},
    "latin-1": {"PYTHONIOENCODING": "latin-1"},
    "C locale": {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
    "C locale as it comes": {"LC_ALL": "C"},
}


@pytest.fixture
def folder(tmp_path):
    shutil.copy(ROOT / "models" / "hall-ten.toml", tmp_path / "craft.toml")
    text = (tmp_path / "craft.toml").read_text(encoding="utf-8").replace("nose weight", "Bleigewicht Nasenlänge ✓")
    (tmp_path / "craft.toml").write_text(text, encoding="utf-8")
    (tmp_path / "hop.toml").write_text(
        f'craft = "craft.toml"\ntitle = "{TITLE}"\n[skein]\nturns = 0\n[launch]\nheight_m = 0.6\n[run]\nduration_s = 0.2\nrtol = 1e-4\n',
        encoding="utf-8",
    )
    return tmp_path


def command(folder: Path, *words: str, **more: str) -> subprocess.CompletedProcess[bytes]:
    environment = {
        key: value for key, value in os.environ.items() if not key.startswith(("PYTHON", "LC_", "LANG", "NUMBA_DIS"))
    }
    environment |= {"PYTHONPATH": SIM, **more}
    return subprocess.run(
        [sys.executable, "-m", "paddlebar", *words], cwd=folder, env=environment, capture_output=True, check=False
    )


@pytest.mark.parametrize("console", CONSOLES)
def test_a_title_that_the_console_cannot_write(folder, console):
    done = command(folder, "fly", "hop.toml", "--no-pictures", **CONSOLES[console])
    assert done.returncode == 0, done.stderr
    assert messages(done.stderr.decode()) == ""
    first = done.stdout.splitlines()[0]
    assert first.startswith(b"Flug in der H")
    assert first.endswith(b": still flying")
    assert b"\\u2713" in first or "✓".encode() in first


@pytest.mark.parametrize("console", CONSOLES)
@pytest.mark.parametrize("verb", ["fly", "check"])
def test_a_document_is_whole_on_any_console(folder, console, verb):
    words = ("fly", "hop.toml", "--no-pictures", "--out", "Höhe") if verb == "fly" else ("check", "craft.toml")
    done = command(folder, *words, "--json", **CONSOLES[console])
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert isinstance(told["format"], int)
    if verb == "check":
        assert "Bleigewicht Nasenlänge ✓" in [row["name"] for row in told["weights"]]
    else:
        assert (folder / told["files"][0]).is_file() or console.startswith(
            "C locale"
        )  # the name as bytes the locale cannot read


@pytest.mark.parametrize("console", ["ascii", "latin-1"])
def test_tables_on_any_console(folder, console):
    done = command(folder, "check", "craft.toml", "--full", **CONSOLES[console])
    assert done.returncode == 0, done.stderr
    assert b"Bleigewicht Nasenl" in done.stdout


def test_numba_told_not_to_compile_is_a_line_and_no_traceback(folder):
    """Equations are compiled all the same: uncompiled they have no fields to read."""
    done = command(folder, "fly", "hop.toml", "--no-pictures", NUMBA_DISABLE_JIT="1")
    assert done.returncode == 0, done.stderr
    assert messages(done.stderr.decode()) == "paddlebar: NUMBA_DISABLE_JIT is not heeded: equations are compiled\n"
    assert "still flying" in flat(done.stdout.decode())


def test_as_a_module_it_is_the_same_command(folder):
    assert command(folder, "--version").stdout.decode() == f"paddlebar {paddlebar.__version__}\n"
    done = command(folder, "fly", "nothing.toml")
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr == b"paddlebar: nothing.toml: no such file\n"
    assert command(folder, "fly", "--help").stdout.startswith(b"Usage: paddlebar fly ")
