"""What cosmic-ray runs for a mutant, on behalf of .ci/mutation: exit 0 if no test notices it.

The module that differs from what is committed meets its own tests first; what survives meets all of tests/physics and, of tests/reference,
what is about that module and can be run uncompiled.

Also a plugin of pytest (-p mutation_test): parameter records that plain Python reads by attribute, so that whole crafts are tested uncompiled.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

# What checks a module first, when that is not tests/physics/test_<module>.py.
FIRST = {
    "__init__": "tests/physics/test_cache.py",
    "mechanism": "tests/physics/test_moving_bodies.py",
}
REFERENCE = {
    "air": ["atmosphere"],
    "annular": ["hover_closed_forms"],
    "blade": ["hover_closed_forms"],
    "bodies": ["multibody_sympy"],
    "cord": ["belt"],
    "inflow": ["momentum", "vortex_ring", "dynamic_inflow"],
    "mechanism": ["multibody_sympy"],
    "section": ["hover_closed_forms"],
    "skein": ["rubber"],
    "skein_limits": ["rubber"],
    "tail": ["tail"],
    "tip_loss": ["hover_closed_forms"],
    "vectors": ["multibody_sympy"],
}
# What compares with compiled code; flights and convergence that take ten seconds and more uncompiled.
APART = "compiled let_out_in_a_run_down with_tip_loss moves_the_tail sideways_move step_of_pitch lift_deficiency teetering-2-100"
LONGEST = 60  # [s] a test; one that takes longer has met a mutant that never ends
OPTIONS = [
    *("-x", "-q", "--tb=line", "--assert=plain", "-o", f"timeout={LONGEST}", "-k", f"not {APART.replace(' ', ' and not ')}"),
    *(part for plugin in ("no:cacheprovider", "no:xdist", "no:hypothesispytest", "mutation_test") for part in ("-p", plugin)),
]  # fmt: skip


def main() -> int:
    changed = subprocess.run(["git", "diff", "--name-only", "--", "sim"], capture_output=True, text=True, check=True)
    modules = [Path(name).stem for name in changed.stdout.split()]
    own = [file for name in modules if Path(file := FIRST.get(name, f"tests/physics/test_{name}.py")).exists()]
    about = modules or REFERENCE  # nothing changed: all must pass
    rest = [
        "tests/physics",
        *sorted({f"tests/reference/test_{ref}.py" for name in about for ref in REFERENCE.get(name, [])}),
    ]
    environment = {
        **os.environ,
        "NUMBA_DISABLE_JIT": "1",
        "OPENBLAS_NUM_THREADS": "1",
        "MPLBACKEND": "Agg",
        "PYTHONPATH": str(Path(__file__).parent),
    }
    for files in (own, rest):
        if files:
            command = [sys.executable, "-m", "pytest", *OPTIONS, *files]
            if code := subprocess.run(command, env=environment, check=False).returncode:
                return code
    return 0


def pytest_configure() -> None:
    """Runs before any test is imported."""
    import numpy as np

    from paddlebar.craft import parameters

    plain = parameters.blank
    parameters.blank = lambda: plain().view(np.recarray)


if __name__ == "__main__":
    sys.exit(main())
