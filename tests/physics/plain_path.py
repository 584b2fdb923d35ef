"""The right-hand side and its parts at given states, for one process that compiles them and one that does not.

As a program: python plain_path.py GIVEN.npz FOUND.npz, with NUMBA_DISABLE_JIT=1 in the environment.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from paddlebar.flight import layout, rhs
from paddlebar.physics import bodies, mechanism
from physics.given import flat

Array = NDArray[np.float64]


def _parts(p: np.void, tables: Array, y: Array) -> Array:
    """What hub, first blade, bar and tail return and what each alone adds to the mass matrix and the bias."""
    nf = int(p["flaps"])
    n = bodies.FLAP + nf
    v, w = (tuple(float(x) for x in y[s : s + 3]) for s in (layout.VELOCITY_BODY, layout.RATE_BODY))
    motion = (v, w, (0.3, -0.2, 0.1), (1.0, -2.0, 9.0))
    shaft = (float(y[layout.ROTOR_AZIMUTH]), float(y[layout.ROTOR_SPEED]))
    bar = (float(y[layout.BAR_ANGLE]), float(y[layout.BAR_RATE]))
    found: list[float] = []

    def note(work: Array, returned: object) -> None:
        found.extend(flat(returned))
        found.extend(work[: bodies.MASS + n, :n].ravel())
        found.extend(work[bodies.BIAS, :n])
        found.extend(work[bodies.TOTAL, :10])

    work = rhs.work_array()
    note(work, mechanism.add_hub(p, work, motion, shaft[1]))
    work = rhs.work_array()
    note(work, mechanism.add_blade(p, tables, work, 1, motion, shaft, (0.07, -3.0), bar, (0.9, 0.2, -0.1)))
    work = rhs.work_array()
    note(work, mechanism.add_bar(p, tables, work, motion, shaft, bar, 0.9))
    work = rhs.work_array()
    note(work, mechanism.add_tail(p, tables, work, motion, float(y[layout.TAIL_SPEED]), 0.4))
    return np.array(found)


def evaluate(params: NDArray[np.void], tables: Array, gusts: Array, states: Array) -> dict[str, Array]:
    """Rates, loads, mass matrix, bias and parts at states (n, state_size), arrays with n rows."""
    nf = (states.shape[1] - layout.FLAP) // 2
    n = bodies.FLAP + nf
    rows: dict[str, list[Array]] = {"rates": [], "loads": [], "mass": [], "bias": [], "parts": []}
    for y in states:
        work = rhs.work_array()
        rows["rates"].append(np.array(rhs.rhs(0.7, y, params, tables, gusts, work)))
        rows["loads"].append(work[bodies.DIAGNOSTIC, : rhs.LOADS].copy())
        rows["mass"].append(np.tril(work[:n, :n]).ravel())
        rows["bias"].append(work[bodies.BIAS, :n].copy())
        rows["parts"].append(_parts(params[0], tables, y))
    return {name: np.array(values) for name, values in rows.items()}


def main(given: Path, found: Path) -> None:
    """Evaluate without compiling; a record array, because plain Python reads its fields by name too."""
    assert not hasattr(rhs.rhs_into, "py_func"), "numba was to be switched off"
    with np.load(given) as file:
        answer = evaluate(file["params"].view(np.recarray), file["tables"], file["gusts"], file["states"])
    np.savez(found, **answer)  # type: ignore[arg-type]


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
