"""What moves a craft through time, compiled and as plain Python: the same flights, revolutions and moments."""

from __future__ import annotations

import os
import subprocess
import sys

import numpy as np
import pytest

from flight import plain_flight

# One bit in exp or log (another compiler's own) grows with the flight; not one bit of difference was seen here in 0.05 to 0.2 s.
ROUNDING = 1e-9


@pytest.fixture(scope="module")
def both(tmp_path_factory) -> tuple[dict[str, np.ndarray], dict[str, np.ndarray]]:
    """Compiled, plain."""
    file = tmp_path_factory.mktemp("plain") / "found.npz"
    environment = {
        **os.environ,
        "NUMBA_DISABLE_JIT": "1",
        "PYTHONPATH": os.pathsep.join(path for path in sys.path if path),
    }
    subprocess.run([sys.executable, plain_flight.__file__, str(file)], env=environment, check=True)
    with np.load(file) as plain:
        return plain_flight.answers(), dict(plain)


@pytest.mark.slow
def test_plain_python_flies_as_the_compiled_code_does(both):
    """Ends, loads, events, samples, tally by either solver; the plain stepper is called again every four steps and must not notice."""
    compiled, plain = both
    assert compiled.keys() == plain.keys()
    for name, values in compiled.items():
        assert values.shape == plain[name].shape, name
        size = np.abs(values).max(initial=0.0)
        assert plain[name] == pytest.approx(values, rel=ROUNDING, abs=ROUNDING * size, nan_ok=True), name
