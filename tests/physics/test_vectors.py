"""Products of three-vectors against numpy's, at numbers by chance: every term and every sign is met."""

from __future__ import annotations

import numpy as np
import pytest

from paddlebar.physics.vectors import cross, dot, symmetric_times


def test_products_are_numpys() -> None:
    rng = np.random.default_rng(1)
    for _ in range(10):
        a, b = rng.normal(size=(2, 3))
        assert cross(*a, *b) == pytest.approx(np.cross(a, b), rel=1e-12)
        assert dot(*a, *b) == pytest.approx(a @ b, rel=1e-12)


def test_symmetric_tensor_takes_its_entries_in_their_order() -> None:
    rng = np.random.default_rng(2)
    for _ in range(10):
        xx, yy, zz, xy, xz, yz, *v = rng.normal(size=9)
        want = np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]]) @ v
        assert symmetric_times(xx, yy, zz, xy, xz, yz, *v) == pytest.approx(want, rel=1e-12)
