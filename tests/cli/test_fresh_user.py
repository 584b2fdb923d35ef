"""The installed command as a program of its own: processes, pipes, signals."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

import paddlebar
from cli.conftest import messages

ROOT = Path(__file__).parents[2]
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(Path(paddlebar.__file__).parents[1])}
COMMAND = [sys.executable, "-c", "from paddlebar.cli.main import main; main(prog_name='paddlebar')"]


def command(*words: str, folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*COMMAND, *words], cwd=folder, env=ENVIRONMENT, capture_output=True, text=True, check=False)


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """What `new` leaves behind, sized once."""
    folder = tmp_path_factory.mktemp("new")
    assert command("new", "wren", folder=folder).returncode == 0
    return folder


@pytest.fixture
def folder(made, tmp_path):
    shutil.copytree(made, tmp_path, dirs_exist_ok=True)
    return tmp_path


# The tail turned round: as `new` writes it, it pushes with the rotor, and the flight is out of control within those 0.3 s.
SHORT = ("--set", "run.duration_s=0.3", "--set", "launch.hold_s=0.1", "--set", "craft.tail.thrust_to=right")


def test_new_then_fly_then_stand(folder):
    flown = command("fly", "wren-first-flight.toml", "--json", *SHORT, folder=folder)
    assert flown.returncode == 0
    assert messages(flown.stderr) == ""
    assert len(json.loads(flown.stdout)["files"]) == 6
    turned = command("stand", "wren.toml", "--rpm", "400", "--json", folder=folder)
    assert turned.returncode == 0
    assert json.loads(turned.stdout)["thrust_n"] > 0.0


def test_bad_input(folder):
    done = command("fly", "wren-first-flight.toml", "--set", "launch.tilt_rad=1", folder=folder)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == "paddlebar: --set: launch.tilt_rad: no such key; did you mean tilt_deg?\n"
    assert not (folder / "flights").exists()


def test_a_reader_that_goes_away_is_no_traceback(folder):
    words = [*COMMAND, "fly", "wren-first-flight.toml", "--no-pictures", *SHORT]
    done = subprocess.Popen(words, cwd=folder, env=ENVIRONMENT, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert done.stdout is not None
    assert done.stderr is not None
    done.stdout.close()
    assert b"Traceback" not in done.stderr.read()
    done.stderr.close()
    done.wait()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
def test_standard_output_on_a_full_disk(folder):
    with Path("/dev/full").open("w") as full:
        words = [*COMMAND, "fly", "wren-first-flight.toml", "--no-pictures", "--json", *SHORT]
        done = subprocess.run(
            words, cwd=folder, env=ENVIRONMENT, stdout=full, stderr=subprocess.PIPE, text=True, check=False
        )
    assert done.returncode == 2
    assert messages(done.stderr).startswith("paddlebar: output: cannot be written")
    assert "Traceback" not in done.stderr


@pytest.mark.skipif(os.name == "nt", reason="signals of POSIX")
def test_ctrl_c_in_the_middle_of_a_flight(folder):
    # a parent that ignores the signal (a shell's background job) would hand that down
    code = f"import signal; signal.signal(signal.SIGINT, signal.default_int_handler); {COMMAND[-1]}"
    words = [sys.executable, "-c", code, "fly", "wren-first-flight.toml", "--out", "x/y", "--set", "run.rtol=1e-12"]
    flying = subprocess.Popen(
        words,
        cwd=folder,
        env=ENVIRONMENT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    time.sleep(1.5)
    flying.send_signal(signal.SIGINT)
    out, errors = flying.communicate(timeout=60)
    assert flying.returncode == 130
    assert out == ""
    assert messages(errors).splitlines() == ["paddlebar: interrupted; what was not finished was not written"]
    assert not (folder / "x").exists()


def test_the_scenarios_that_come_with_the_program_load(tmp_path):
    """Every scenario is at least accepted; how it flies is for the invariants."""
    from paddlebar import load_scenario

    scenarios = sorted((ROOT / "scenarios").glob("*.toml"))
    assert scenarios
    for path in scenarios:
        load_scenario(path)


def compiled_for(package: Path, cache: Path) -> None:
    """Lays ready what is compiled of these sources for the same sources elsewhere: numba files code by the path of its source's folder.

    Whether a source is the same numba sees for itself, and compiles where it is not.
    """
    import numba
    from numba.core.caching import UserProvidedCacheLocator

    import paddlebar.physics  # says where it is

    own, kept = Path(paddlebar.__file__).parent, Path(numba.config.CACHE_DIR)
    for folder in (path for path in own.rglob("*") if path.is_dir()):
        was, now = (
            UserProvidedCacheLocator.get_suitable_cache_subpath(str(at / folder.relative_to(own) / "any.py"))
            for at in (own, package)
        )
        if (kept / was).is_dir():
            shutil.copytree(kept / was, cache / kept.name / now)


@pytest.mark.slow
def test_a_wheel_carries_the_sections_and_flies(tmp_path):
    """Built, unpacked elsewhere, flown from there: nothing is read from the source tree."""
    pip = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--wheel-dir", str(tmp_path), str(ROOT)]
    subprocess.run(pip, check=True, capture_output=True)
    (wheel,) = tmp_path.glob("paddlebar-*.whl")
    shutil.unpack_archive(wheel, tmp_path / "site", "zip")
    inside = {
        path.relative_to(tmp_path / "site").as_posix() for path in (tmp_path / "site").rglob("*") if path.is_file()
    }
    data = {f"paddlebar/craft/section_data/{name}.csv" for name in ("cambered_plate", "flat_plate", "thin_aerofoil")}
    assert data <= inside
    assert all(name.startswith(("paddlebar/", "paddlebar-")) for name in inside)
    compiled_for(tmp_path / "site" / "paddlebar", tmp_path / "compiled")
    environment = {**ENVIRONMENT, "PYTHONPATH": str(tmp_path / "site"), "NUMBA_CACHE_DIR": str(tmp_path / "compiled")}
    words = ["fly", str(ROOT / "scenarios/first-flight.toml"), "--json", "--no-pictures", "--out", "x", *SHORT]
    code = f"import paddlebar; assert paddlebar.__file__.startswith({str(tmp_path)!r}); " + COMMAND[-1]
    done = subprocess.run(
        [sys.executable, "-c", code, *words], cwd=tmp_path, env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["outcome"] == "still flying"
