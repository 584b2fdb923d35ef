"""Places and directions of a file, mm [forward, right, up], in body axes (forward, right, down) [m], and back.

Checked : tests/craft/test_parts.py
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.files.parts import MeshPart, PlatePart
from paddlebar.units import to_si

Array = NDArray[np.float64]

_FILE_MM: Final = np.array([1e3, 1e3, -1e3])


def body_place(place_mm: tuple[float, ...]) -> Array:
    """A place of the file in body axes, shape (3,) [m]."""
    x, y, z = to_si("place_mm", place_mm)
    return np.array([x, y, -z])


def file_mm(places: Array) -> Array:
    """Places (..., 3) in body axes [m] as files have them."""
    return np.asarray(places * _FILE_MM)


def body_direction(direction: tuple[float, ...]) -> Array:
    """A direction [forward, right, up] of any length -> unit vector in body axes, shape (3,)."""
    x, y, z = direction
    d = np.array([x, y, -z], dtype=float)
    return np.asarray(d / np.linalg.norm(d), dtype=np.float64)


def plate_axes(part: PlatePart | MeshPart) -> tuple[Array, Array]:
    """Unit vectors along the length and normal to a plate; the length is squared up against the normal."""
    normal = body_direction(part.normal)
    along = body_direction(part.along)
    along = along - (along @ normal) * normal
    return along / np.linalg.norm(along), normal
