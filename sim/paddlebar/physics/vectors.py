"""Products of three-vectors as plain floats, so that the compiler keeps them in registers."""

from __future__ import annotations

from numba import njit


@njit(cache=True, error_model="numpy")
def cross(ax, ay, az, bx, by, bz):
    """Vector product a x b of two vectors in one right-handed frame [unit of a times unit of b]."""
    return ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx


@njit(cache=True, error_model="numpy")
def dot(ax, ay, az, bx, by, bz):
    """Scalar product of two vectors in one frame [unit of a times unit of b]."""
    return ax * bx + ay * by + az * bz


@njit(cache=True, error_model="numpy")
def symmetric_times(jxx, jyy, jzz, jxy, jxz, jyz, x, y, z):
    """Symmetric tensor (its six entries, signs of the matrix) times a vector [unit of J times unit of the vector]."""
    return jxx * x + jxy * y + jxz * z, jxy * x + jyy * y + jyz * z, jxz * x + jyz * y + jzz * z
