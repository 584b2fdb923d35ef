"""From body axes to space at the samples of a flight and between them, and the planes that arms sweep there.

What points where in body axes is for craft/shape.py.
Source  : kinematics of rigid bodies, any dynamics textbook; common practice, no source.
Checked : tests/replay_page/test_replay_data.py, tests/pictures/test_bar_picture.py.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def swept_normal(arms: list[Array], rates: list[Array], up: Array) -> Array:
    """Unit normal, on the side of ``up``, of the plane that the arms sweep at each moment, (n, 3).

    arms, rates : each (n, 3), direction of an arm and its velocity in one frame; of several the mean plane, so that coning cancels
    up          : (n, 3) or (3,), the shaft; stands for the normal where nothing moves
    """
    normal = np.sum([np.cross(arm, rate) for arm, rate in zip(arms, rates, strict=True)], axis=0)
    normal = normal * np.where((normal * up).sum(axis=1) < 0.0, -1.0, 1.0)[:, None]
    size = np.linalg.norm(normal, axis=1)[:, None]
    return np.asarray(np.where(size > 0.0, normal / np.where(size > 0.0, size, 1.0), up), dtype=np.float64)


def hermite(at: Array, t: Array, values: Array, rates: Array) -> Array:
    """Cubic through samples with their recorded rates, (n, ...) -> (m, ...); the solver's samples are too few to join.

    Source : cubic Hermite basis; common practice, no source.   Checked: tests/pictures/test_bar_picture.py
    """
    if t.size == 1:
        return np.repeat(values, at.size, axis=0)
    i = np.clip(np.searchsorted(t, at, side="right") - 1, 0, t.size - 2)
    h = t[i + 1] - t[i]
    s = (at - t[i]) / h
    shape = (-1,) + (1,) * (values.ndim - 1)
    s, h = s.reshape(shape), h.reshape(shape)
    late = s * s * (3.0 - 2.0 * s)
    out = values[i] + late * (values[i + 1] - values[i])
    out = out + h * s * (1.0 - s) * ((1.0 - s) * rates[i] - s * rates[i + 1])
    return np.asarray(out, dtype=np.float64)


def quaternion_rate(q: Array, rate: Array) -> Array:
    """Rate of the attitude (n, 4), scalar first, from the body's rate (n, 3) [rad/s]; (n, 4) [1/s]."""
    w, x, y, z = q.T
    p, r_q, r = rate.T
    rows = [-x * p - y * r_q - z * r, w * p + y * r - z * r_q, w * r_q + z * p - x * r, w * r + x * r_q - y * p]
    return 0.5 * np.stack(rows, axis=1)


def to_earth(q: Array) -> Array:
    """Rotation matrices body to earth of attitudes (n, 4), (n, 3, 3)."""
    w, x, y, z = (q / np.linalg.norm(q, axis=1)[:, None]).T
    flat = [
        1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y),
        2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x),
        2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y),
    ]  # fmt: skip
    return np.stack(flat, axis=1).reshape(-1, 3, 3)


def turned(rotation: Array, vectors: Array) -> Array:
    """Vectors (n, 3) or (3,) turned by (n, 3, 3), (n, 3)."""
    spread = np.broadcast_to(vectors, (rotation.shape[0], 3))
    return np.asarray(np.einsum("nij,nj->ni", rotation, spread), dtype=np.float64)
