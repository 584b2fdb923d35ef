"""Hub, blades, bar and tail as moving bodies: the compiled path against plain Python, kinematics against numpy.

Tried once on broken code, each failed here: the centripetal term with the other sign; the plain path run on code other than the compiled.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from paddlebar.craft.build import Numbers, all_up_mass
from paddlebar.flight import rhs
from paddlebar.physics import bodies, mechanism
from paddlebar.physics.vectors import ZERO
from physics import plain_path
from reference.still_craft import numbers_of, random_craft, random_state

Array = NDArray[np.float64]

WIND = {"air.wind_m_s": 2.0, "air.wind_from_deg": 30.0, "air.turbulence": True, "launch.height_m": 2.0}
PADDLES = {
    "craft.bar.paddle_span_mm": 30,
    "craft.bar.paddle_chord_mm": 20,
    "craft.bar.paddle_centre_mm": 60,
    "craft.bar.paddle_mass_g": 0.1,
}
ROUNDING = 1e-12


def craft(name: str) -> Numbers:
    match name:
        case "teetering":
            return numbers_of({**WIND, **PADDLES, "craft.head.delta3_deg": 15.0})
        case "flapping":
            return numbers_of(
                {
                    **WIND,
                    "craft.head.kind": "flapping",
                    "craft.head.hinge_offset_mm": 8.0,
                    "craft.rotor.blades": 3,
                    "craft.shaft.turns": "clockwise",
                }
            )
        case "no bar, no cord":
            return numbers_of(
                {**WIND, "craft.head.kind": "rigid", "craft.bar.kind": "none", "craft.tail.drive": "none"}
            )
    return random_craft(np.random.default_rng(2), "teetering", 2, -1.0, False)


@pytest.mark.parametrize("name", ["teetering", "flapping", "no bar, no cord", "random"])
def test_plain_python_gives_what_the_compiled_code_gives(name: str, tmp_path: Path) -> None:
    """Right-hand side, loads, mass matrix, bias and each part alone, at six states, with and without NUMBA_DISABLE_JIT.

    Not one bit of difference was seen here. Asked is 1e-12 of the largest entry of each kind at that state: another compiler may have its
    own exp and log, which differ in the last bit (1.1e-16), and the solution of the mass matrix (condition up to 1e4) amplifies that.
    """
    numbers = craft(name)
    p = numbers.params[0]
    rng = np.random.default_rng([3, len(name)])
    states = np.array([random_state(rng, int(p["flaps"]), p) for _ in range(6)])
    compiled = plain_path.evaluate(numbers.params, numbers.tables, numbers.gusts, states)
    given, found = tmp_path / "given.npz", tmp_path / "found.npz"
    np.savez(given, params=numbers.params, tables=numbers.tables, gusts=numbers.gusts, states=states)
    environment = {
        **os.environ,
        "NUMBA_DISABLE_JIT": "1",
        "PYTHONPATH": os.pathsep.join(path for path in sys.path if path),
    }
    subprocess.run([sys.executable, plain_path.__file__, str(given), str(found)], env=environment, check=True)
    with np.load(found) as plain:
        for kind, values in compiled.items():
            error = np.abs(values - plain[kind])
            size = np.abs(values).max(axis=1, keepdims=True)
            assert float((error / size).max()) < ROUNDING, kind


def test_point_acceleration_is_the_second_derivative_of_the_place() -> None:
    """A body turned by its own rate law, place differentiated twice by central differences: h^2 and rounding leave 1e-6 of about 100 m/s^2."""
    rng = np.random.default_rng(4)
    for _ in range(20):
        a, b, w, r = rng.normal(size=(4, 3)) * np.array([[3.0], [20.0], [5.0], [0.2]])
        h = 1e-4
        # to second order in time the turn from now is exp(w t + b t^2 / 2): the next term of its vector is of third order and odd
        turned = [Rotation.from_rotvec(w * t + 0.5 * b * t * t).apply(r) + 0.5 * a * t * t for t in (-h, 0.0, h)]
        want = (turned[0] - 2.0 * turned[1] + turned[2]) / h**2
        got = np.array(mechanism.point_acceleration(tuple(a), tuple(b), tuple(w), tuple(r)))
        assert got == pytest.approx(want, abs=2e-6 * np.abs(want).max() + 1e-6)
        assert got == pytest.approx(a + np.cross(b, r) + np.cross(w, np.cross(w, r)), rel=1e-13, abs=1e-13)


@pytest.mark.parametrize("name", ["teetering", "flapping", "no bar, no cord"])
def test_every_body_is_in_the_equations_once(name: str) -> None:
    """The total mass in the mass matrix is that of the craft, and the matrix is positive definite."""
    numbers = craft(name)
    p = numbers.params[0]
    y = random_state(np.random.default_rng(6), int(p["flaps"]), p)
    work = rhs.work_array()
    rhs.rhs(0.0, y, numbers.params, numbers.tables, numbers.gusts, work)
    free = [k for k in range(bodies.FLAP + int(p["flaps"])) if not p["locked"][k]]
    lower = work[np.ix_(free, free)]
    matrix = np.tril(lower) + np.tril(lower, -1).T
    assert matrix[0, 0] == pytest.approx(all_up_mass(numbers.params), rel=1e-14)
    assert np.linalg.eigvalsh(matrix).min() > 0.0


def test_a_hub_alone_turns_with_its_polar_inertia() -> None:
    """Shaft entry of the mass matrix = polar inertia; its product with the body rate along the shaft is the same, with the sign of the hand."""
    for hand in (1.0, -1.0):
        p = random_craft(np.random.default_rng(8), "rigid", 2, hand, cord=False).params[0]
        work = rhs.work_array()
        mechanism.add_hub(p, work, (ZERO, ZERO, ZERO, ZERO), 50.0)
        assert work[bodies.SHAFT, bodies.SHAFT] == pytest.approx(p["hub_polar"], rel=1e-14)
        assert work[bodies.SHAFT, 3:6] == pytest.approx(hand * p["hub_polar"] * p["shaft_axis"], rel=1e-12, abs=1e-22)
        assert work[bodies.SHAFT, :3] == pytest.approx(np.zeros(3), abs=1e-18)
