"""Attitude by quaternion: rotation matrix and rate against closed forms and another library.

Broken : one sign of the matrix; pull on the length with the other sign: each refused here.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.spatial.transform import Rotation

from paddlebar.physics.attitude import plain_rate, plain_rotation, quaternion_rate, rotation

HALF = math.sqrt(0.5)


def matrix(q: np.ndarray) -> np.ndarray:
    return np.array(rotation(tuple(q)))


@pytest.mark.parametrize(
    ("q", "nose", "right"),
    [
        ((1, 0, 0, 0), (1, 0, 0), (0, 1, 0)),
        ((HALF, 0, 0, HALF), (0, 1, 0), (-1, 0, 0)),  # yaw to the right: the nose points east
        ((HALF, 0, HALF, 0), (0, 0, -1), (0, 1, 0)),  # nose up
        ((HALF, HALF, 0, 0), (1, 0, 0), (0, 0, 1)),  # right side down
        ((0, 1, 0, 0), (1, 0, 0), (0, -1, 0)),  # on its back
    ],
)
def test_quarter_turns(q: tuple[float, ...], nose: tuple[int, ...], right: tuple[int, ...]) -> None:
    found = matrix(np.array(q, dtype=float))
    assert found[:, 0] == pytest.approx(nose, abs=1e-15)
    assert found[:, 1] == pytest.approx(right, abs=1e-15)


def test_matrix_is_scipys_and_does_not_ask_for_the_length() -> None:
    rng = np.random.default_rng(1)
    for _ in range(50):
        q = rng.normal(size=4)
        found = matrix(q)
        assert found == pytest.approx(Rotation.from_quat(np.roll(q, -1)).as_matrix(), abs=1e-14)
        assert found @ found.T == pytest.approx(np.eye(3), abs=1e-14)
        assert np.linalg.det(found) == pytest.approx(1.0, rel=1e-14)
        assert matrix(-3.7 * q) == pytest.approx(found, abs=1e-14)


def turned(q: np.ndarray, rate: np.ndarray, span: float) -> np.ndarray:
    def f(_: float, y: np.ndarray) -> tuple[float, ...]:
        return tuple(quaternion_rate(tuple(y), tuple(rate)))

    return np.asarray(solve_ivp(f, (0.0, span), q, method="DOP853", rtol=1e-12, atol=1e-14).y[:, -1])


@pytest.mark.parametrize("rate", [(3.0, 0.0, 0.0), (0.0, -2.0, 0.0), (0.0, 0.0, 4.0), (1.0, -2.0, 0.5)])
def test_constant_rate_in_body_axes(rate: tuple[float, ...]) -> None:
    """R(t) = R(0) exp(rate t), over three seconds, i.e. up to two turns. 1e-9."""
    q = np.array([0.5, -0.5, 0.1, 0.7])
    q /= np.linalg.norm(q)
    w = np.array(rate)
    want = matrix(q) @ Rotation.from_rotvec(3.0 * w).as_matrix()
    assert matrix(turned(q, w, 3.0)) == pytest.approx(want, abs=1e-9)


def test_length_comes_back_to_one_and_attitude_does_not_notice() -> None:
    """|q|' = 5 (1 - |q|^2) |q| has |q|^-2 - 1 falling as exp(-10 t) [C]."""
    w = np.array([1.0, -2.0, 0.5])
    q = np.array([0.5, -0.5, 0.1, 0.7])
    q /= np.linalg.norm(q)
    long = turned(1.2 * q, w, 0.3)
    assert 1.0 / (long @ long) - 1.0 == pytest.approx((1.0 / 1.44 - 1.0) * math.exp(-3.0), rel=1e-8)
    assert matrix(long) == pytest.approx(matrix(turned(q, w, 0.3)), abs=1e-10)


def test_at_rest_nothing_turns() -> None:
    assert quaternion_rate((1.0, 0.0, 0.0, 0.0), (0.0, 0.0, 0.0)) == (0.0, 0.0, 0.0, 0.0)


def test_rate_is_half_the_quaternion_product_at_any_attitude() -> None:
    """q (0, omega)/2 by scipy's product of rotations, length one; every term is met, axis by axis as well."""
    rng = np.random.default_rng(3)
    for w in (*np.eye(3), *rng.normal(size=(10, 3))):
        q = rng.normal(size=4)
        q /= np.linalg.norm(q)
        x = Rotation.from_quat(np.roll(q, -1))
        h = 1e-4  # central difference: h^2/24 of the third derivative, 1e-9 here
        ahead, behind = (np.roll((x * Rotation.from_rotvec(s * h * w)).as_quat(), 1) for s in (1.0, -1.0))
        ahead, behind = ahead * np.sign(ahead @ q), behind * np.sign(behind @ q)
        assert quaternion_rate(tuple(q), tuple(w)) == pytest.approx((ahead - behind) / (2.0 * h), abs=1e-7)


def test_columns_of_many_samples_are_taken_at_once() -> None:
    """The plain functions, of arrays: each sample as by itself."""
    rng = np.random.default_rng(4)
    q, w = rng.normal(size=(4, 6)), rng.normal(size=(3, 6))
    axes, rates = np.array(plain_rotation(q)), np.array(plain_rate(q, w))
    for k in range(6):
        assert axes[:, :, k] == pytest.approx(matrix(q[:, k]), rel=1e-14)
        assert rates[:, k] == pytest.approx(quaternion_rate(tuple(q[:, k]), tuple(w[:, k])), rel=1e-14)
