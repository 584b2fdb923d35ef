"""A mesh part in place: its axes, its centre, its inertia, its lines; SI, body axes.

Checked : tests/craft/test_mesh_part.py
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.places import body_place, plate_axes
from paddlebar.files.parts import MeshPart
from paddlebar.units import to_si

Array = NDArray[np.float64]


def axes(part: MeshPart) -> Array:
    """The mesh's own x, y, z in body axes, as columns (3, 3): x as `along` says, z as `normal`; y turned over where it is mirrored."""
    x, z = plate_axes(part)
    y = np.cross(z, x)
    return np.column_stack([x, -y if part.mirrored else y, z])


def placed(part: MeshPart, own: Array) -> Array:
    """Points (..., 3) of the mesh, its own unit and axes, in body axes [m]."""
    return np.asarray(body_place(part.at_mm) + to_si("scale_mm", part.scale_mm) * own @ axes(part).T)


def centre(part: MeshPart) -> Array:
    """Its centre of gravity."""
    return placed(part, np.array(part.stl.centre))


def inertia(part: MeshPart) -> Array:
    """About its centre of gravity [kg m^2]: as of one density, whatever it weighs."""
    xx, yy, zz, xy, xz, yz = part.stl.inertia
    own = np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]])
    turn, scale = axes(part), to_si("scale_mm", part.scale_mm)
    return np.asarray(to_si("mass_g", part.mass_g) / part.stl.volume * scale**2 * turn @ own @ turn.T)


def lines(part: MeshPart) -> Array:
    """Its edges, (n, 2, 3)."""
    return placed(part, np.array(part.stl.lines).reshape(-1, 2, 3))


def ends(part: MeshPart) -> Array:
    """The points of it that reach out furthest, (n, 3)."""
    return placed(part, np.array(part.stl.ends))


def shadows(part: MeshPart) -> Array:
    """Areas of its convex hull along its own x, y, z [m^2]."""
    return np.asarray(to_si("scale_mm", part.scale_mm) ** 2 * np.array(part.stl.shadows))


def box_path(part: MeshPart) -> Array:
    """One line along all twelve edges of the box round it, (16, 3)."""
    low, high = np.array(part.stl.box).reshape(2, 3)
    walk = [
        "000",
        "100",
        "110",
        "010",
        "000",
        "001",
        "101",
        "100",
        "101",
        "111",
        "110",
        "111",
        "011",
        "010",
        "011",
        "001",
    ]
    return placed(part, np.array([[(low, high)[int(c)][k] for k, c in enumerate(word)] for word in walk]))
