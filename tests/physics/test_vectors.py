"""Three-vectors against numpy's, at numbers by chance: every term and every sign is met."""

from __future__ import annotations

import math

import numpy as np
import pytest

from paddlebar.physics.vectors import (
    ZERO,
    X,
    Y,
    Z,
    add,
    along,
    cross,
    dot,
    four,
    out_of,
    put,
    put_four,
    row,
    scale,
    size,
    sub,
    three,
    tilted,
    times,
    vec,
)


def test_sums_and_products_are_numpys() -> None:
    rng = np.random.default_rng(1)
    for _ in range(10):
        a, b = rng.normal(size=(2, 3))
        assert add(tuple(a), tuple(b)) == pytest.approx(a + b, rel=1e-12)
        assert sub(tuple(a), tuple(b)) == pytest.approx(a - b, rel=1e-12)
        assert scale(0.7, tuple(a)) == pytest.approx(0.7 * a, rel=1e-12)
        assert cross(tuple(a), tuple(b)) == pytest.approx(np.cross(a, b), rel=1e-12)
        assert dot(tuple(a), tuple(b)) == pytest.approx(a @ b, rel=1e-12)
        assert size(tuple(a)) == pytest.approx(np.linalg.norm(a), rel=1e-12)


def test_symmetric_tensor_takes_its_entries_in_their_order() -> None:
    rng = np.random.default_rng(2)
    for _ in range(10):
        xx, yy, zz, xy, xz, yz, *v = rng.normal(size=9)
        want = np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]]) @ v
        assert times((xx, yy, zz, xy, xz, yz), tuple(v)) == pytest.approx(want, rel=1e-12)


def test_components_along_axes_and_the_vector_out_of_them() -> None:
    """Axes in rows; for axes at right angles the one undoes the other."""
    rng = np.random.default_rng(3)
    axes, v = rng.normal(size=(3, 3)), rng.normal(size=3)
    rows = tuple(map(tuple, axes))
    assert along(tuple(v), rows) == pytest.approx(axes @ v, rel=1e-12)
    assert out_of(tuple(v), rows) == pytest.approx(axes.T @ v, rel=1e-12)
    square = tuple(map(tuple, np.linalg.qr(axes)[0]))
    assert out_of(along(tuple(v), square), square) == pytest.approx(v, rel=1e-12)


def test_two_axes_turned_in_their_plane() -> None:
    """A quarter turn takes the first to the second and the second to the first reversed."""
    out, up = (1.0, 0.0, 0.0), (0.0, 0.0, -1.0)
    first, second = tilted(out, up, 0.5 * math.pi)
    assert first == pytest.approx(up, abs=1e-15)
    assert second == pytest.approx((-1.0, 0.0, 0.0), abs=1e-15)
    first, second = tilted(out, up, 0.3)
    assert first == pytest.approx((math.cos(0.3), 0.0, -math.sin(0.3)), rel=1e-14)
    assert second == pytest.approx((-math.sin(0.3), 0.0, -math.cos(0.3)), rel=1e-14)


def test_entries_of_arrays() -> None:
    a = np.arange(9.0)
    assert vec(a[:3]) == (0.0, 1.0, 2.0)
    assert row(a.reshape(3, 3), 1) == (3.0, 4.0, 5.0)
    assert three(a, 4) == (4.0, 5.0, 6.0)
    assert four(a, 5) == (5.0, 6.0, 7.0, 8.0)
    put(a, 2, (-1.0, -2.0, -3.0))
    put_four(a, 5, (1.0, 0.0, 0.0, 0.5))
    assert a.tolist() == [0.0, 1.0, -1.0, -2.0, -3.0, 1.0, 0.0, 0.0, 0.5]
    assert (ZERO[X], ZERO[Y], ZERO[Z]) == (0.0, 0.0, 0.0)
