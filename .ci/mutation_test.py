"""The tests that a mutant meets, on behalf of .ci/mutation: one process that has loaded the libraries forks for each.

    python mutation_test.py serve SOCKET    until it is ended
    python mutation_test.py ask SOCKET      what cosmic-ray runs for a mutant: exit 0 if no test notices it

The module that differs from what is committed meets its own tests first, then all that can be tested uncompiled. Starting Python with numba,
scipy and sympy for each mutant would take three quarters of the time.
"""

from __future__ import annotations

import importlib
import os
import socket
import subprocess
import sys
import tempfile
from pathlib import Path

# What checks a module first, when that is not tests/physics/test_<module>.py; everything below follows for whatever survives that.
FIRST = {
    "__init__": "tests/physics/test_cache.py",
    "air": "tests/reference/test_atmosphere.py",
    "skein_limits": "tests/reference/test_rubber.py",
    "mechanism": "tests/physics/test_moving_bodies.py",
    "vectors": "tests/physics/test_bodies.py",
}
REFERENCE = (
    "atmosphere",
    "momentum",
    "vortex_ring",
    "hover_closed_forms",
    "rubber",
    "belt",
    "tail",
    "multibody_sympy",
    "dynamic_inflow",
)
WHOLE = ["tests/physics", *(f"tests/reference/test_{name}.py" for name in REFERENCE)]
# What compares with compiled code, and flights and convergence that take ten seconds and more uncompiled.
APART = "not compiled and not let_out_in_a_run_down and not with_tip_loss and not moves_the_tail and not sideways_move and not step_of_pitch and not lift_deficiency"
LONGEST = 60  # [s] a test; one that takes longer has met a mutant that never ends
LIBRARIES = (
    "numba",
    "scipy.integrate",
    "scipy.optimize",
    "scipy.spatial.transform",
    "sympy",
    "pydantic",
    "tomlkit",
    "pytest",
    "numpy.testing",
)


def own_tests() -> list[str]:
    changed = subprocess.run(["git", "diff", "--name-only", "--", "sim"], capture_output=True, text=True, check=True)
    stems = [Path(name).stem for name in changed.stdout.split()]
    return [file for stem in stems if Path(file := FIRST.get(stem, f"tests/physics/test_{stem}.py")).exists()]


class Records:
    """Plugin of pytest: parameter records that plain Python reads by attribute, so that whole crafts are tested uncompiled."""

    def pytest_configure(self) -> None:
        import numpy as np

        from paddlebar.craft import parameters

        plain = parameters.blank
        parameters.blank = lambda: plain().view(np.recarray)


def judge() -> int:
    """Exit code of pytest: 0 if all tests pass."""
    import pytest

    options = [
        "-x",
        "-q",
        "--tb=line",
        "-p",
        "no:cacheprovider",
        "-p",
        "no:xdist",
        "-k",
        APART,
        "-o",
        f"timeout={LONGEST}",
    ]
    for files in (own_tests(), WHOLE):
        if files and (code := pytest.main([*options, *files], plugins=[Records()])):
            return int(code)
    return 0


def serve(place: str) -> None:
    for name in LIBRARIES:
        importlib.import_module(name)
    with socket.socket(socket.AF_UNIX) as door:
        door.bind(place)
        door.listen()
        while True:
            asked, _ = door.accept()
            with asked, tempfile.TemporaryFile() as said:
                child = os.fork()
                if child == 0:
                    os.dup2(said.fileno(), 1)
                    os.dup2(said.fileno(), 2)
                    code = 70
                    try:
                        code = judge()
                        sys.stdout.flush()
                    finally:
                        os._exit(code)  # whatever happens, not back into the loop
                code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
                said.seek(0)
                asked.sendall(b"%d\n" % code + said.read())


def ask(place: str) -> int:
    with socket.socket(socket.AF_UNIX) as door:
        door.connect(place)
        with door.makefile("rb") as answer:
            code = int(answer.readline())
            sys.stdout.buffer.write(answer.read())
    return code


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["serve", place]:
            serve(place)
        case ["ask", place]:
            sys.exit(ask(place))
        case _:
            sys.exit(__doc__)
