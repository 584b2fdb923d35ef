"""A part as a CAD program drew it: an STL, measured once when the file that names it is read; only the measures go on from here.

The description of a flight then holds them, so that a run file can be flown again, and a study knows its own, without the STL. The
library that reads it is loaded only when there is such a part.
"""

from __future__ import annotations

import hashlib
import io
import logging
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

import numpy as np

from paddlebar.errors import BadInput
from paddlebar.files.parts import Solid

LARGEST_MB: Final = 20  # of an STL: some 400 000 triangles; own choice
LINES: Final = 200  # at most so many are drawn, and held against what turns; own choice
COARSER: Final = (256, 128, 64, 48, 32, 24, 16, 12, 8, 6, 4, 3, 2)  # cells across the whole
SAME_PLANE: Final = 1e-3  # rad between two triangles of one flat face
THIN: Final = 1e-9  # of the box's volume: less is no body


def read_solid(path: Path, shown: str) -> Solid:
    """Read, mend, measure. shown : what an error calls the file. Raises BadInput, one line, for what encloses no body."""
    try:
        if path.stat().st_size > LARGEST_MB * 1_000_000:
            raise BadInput(
                f"{shown}: has {path.stat().st_size / 1e6:.0f} MB, at most {LARGEST_MB} are read; export it coarser"
            )
        content = path.read_bytes()
    except OSError as error:
        raise BadInput(f"{shown}: cannot be read ({error.strerror or error})") from None
    try:
        return _measured(content)
    except _Broken as error:
        raise BadInput(f"{shown}: {error}") from None


class _Broken(Exception):
    """What is wrong with a mesh, without its name."""


@lru_cache(maxsize=16)  # a flight's files are read more than once
def _measured(content: bytes) -> Solid:
    mesh = _loaded(content)
    mended = _mend(mesh)
    volume = float(mesh.volume)
    size = np.asarray(mesh.extents)
    if not volume > THIN * float(np.prod(np.maximum(size, 1e-3 * size.max()))):
        raise _Broken("encloses no volume; a sheet without thickness is a plate, or give it a thickness in CAD")
    found = mesh.mass_properties
    tensor = np.asarray(found.inertia, dtype=float)
    if not (np.isfinite(tensor).all() and np.linalg.eigvalsh(tensor).min() > 0.0):
        raise _Broken("crosses itself so that it weighs less than nothing somewhere; mend it in CAD")
    hull = mesh.convex_hull
    shadows = 0.5 * np.abs(hull.face_normals * hull.area_faces[:, None]).sum(axis=0)
    upper = [tensor[i, j] for i, j in ((0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2))]
    return Solid(
        hashlib.sha256(content).hexdigest(), volume, _numbers(found.center_mass), _numbers(upper), _numbers(mesh.bounds.ravel()),
        _numbers(shadows), tuple(_numbers(end) for end in _ends(mesh)), tuple(_numbers(line) for line in _lines(mesh)), mended,
    )  # fmt: skip


def _loaded(content: bytes) -> Any:
    import trimesh  # noqa: PLC0415  only a craft with such a part needs it

    logging.getLogger("trimesh").setLevel(logging.CRITICAL)  # what is wrong is said in one line, here
    try:
        with np.errstate(all="ignore"):
            mesh = trimesh.load_mesh(io.BytesIO(content), file_type="stl", process=False)
            vertices, faces = np.asarray(mesh.vertices, dtype=float), np.asarray(mesh.faces)
    except Exception:  # whatever a library says about bytes that are anything
        raise _Broken("is no STL that can be read; export it again, binary or text") from None
    if len(faces) == 0:
        raise _Broken("holds no triangles; export it again as STL")
    if not np.isfinite(vertices).all() or np.abs(vertices).max() > 1e7:
        raise _Broken("has corners at no place, or out of the world; export it again")
    mesh = trimesh.Trimesh(vertices, faces, process=False)
    mesh.merge_vertices()
    mesh.update_faces(mesh.nondegenerate_faces())
    mesh.update_faces(mesh.unique_faces())
    mesh.remove_unreferenced_vertices()
    if len(mesh.faces) < 4:
        raise _Broken(f"holds {len(mesh.faces)} triangles, a body has four or more")
    return mesh


def _mend(mesh: Any) -> str:
    """Close small holes, turn faces; what was done. Raises _Broken for what only its maker can mend."""
    from trimesh import repair  # noqa: PLC0415

    done = []
    if not mesh.is_watertight:
        before = len(mesh.faces)
        if not repair.fill_holes(mesh):
            open_edges = len(mesh.edges) - 2 * len(mesh.face_adjacency)
            raise _Broken(
                f"has holes that are too large or too ragged to close ({abs(open_edges)} loose edges); mend it in CAD, and export it again"
            )
        done.append(f"{len(mesh.faces) - before} faces put into holes")
    if not mesh.is_winding_consistent:
        before_normals = np.array(mesh.faces)
        repair.fix_winding(mesh)
        if not mesh.is_winding_consistent or mesh.body_count > 1:
            raise _Broken(
                "has faces turned inside out, and which ones cannot be told; mend it in CAD, and export it again"
            )
        turned = int((before_normals != np.array(mesh.faces)).any(axis=1).sum())
        done.append(f"{min(turned, len(mesh.faces) - turned)} faces turned the right way out")
        if mesh.volume < 0.0:
            mesh.invert()
    elif mesh.volume < 0.0:
        mesh.invert()
        done.append("all faces turned the right way out")
    return ", ".join(done)


def _ends(mesh: Any) -> Any:
    """The corners that lie furthest along axes and diagonals, each once."""
    toward = np.array(
        [(x, y, z) for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1) if abs(x) + abs(y) + abs(z) in (1, 3)]
    )
    reach = np.asarray(mesh.vertices) @ toward.T
    return np.asarray(mesh.vertices)[np.unique(reach.argmax(axis=0))]


def _lines(mesh: Any) -> Any:
    """Edges between faces that do not lie in one plane; of a fine mesh the edges of a coarser one, LINES at most, (n, 6)."""
    corners = np.asarray(mesh.vertices)
    edges = np.asarray(mesh.face_adjacency_edges)[np.asarray(mesh.face_adjacency_angles) > SAME_PLANE]
    low, size = corners.min(axis=0), float(mesh.extents.max())
    found = corners[edges].reshape(-1, 6)
    for cells in COARSER:
        if len(found) <= LINES:
            break
        step = size / cells
        cell = np.round((corners - low) / step).astype(int)
        _, which = np.unique(cell, axis=0, return_inverse=True)
        which = which.ravel()
        count = np.bincount(which)
        middle = np.stack([np.bincount(which, corners[:, k]) / count for k in range(3)], axis=1)
        pairs = np.unique(np.sort(which[edges], axis=1), axis=0)
        found = middle[pairs[pairs[:, 0] != pairs[:, 1]]].reshape(-1, 6)
    return found


def _numbers(values: Any) -> Any:
    return tuple(float(value) for value in values)
