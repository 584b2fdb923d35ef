"""Outlines for a cutter, full size: blades, tail blades, paddles and every plate (fin, vane), each as SVG and as DXF.

On the layer CUT stands one closed line a file; on MARK what a pencil would draw. Nothing else: no frame, no words.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from os import PathLike
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final, NamedTuple

import numpy as np
from matplotlib import rc_context
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon
from numpy.typing import NDArray

from paddlebar.files.craft import Craft
from paddlebar.files.parts import PlatePart
from paddlebar.sheet.blade import Outline, outlines_to_cut
from paddlebar.sheet.page import MM_IN, THIN

Array = NDArray[np.float64]

CACHE: Final = "XDG_CACHE_HOME"
EDGE_MM: Final = 2.0  # white round the outline in an SVG
COLOURS: Final = {
    "CUT": ("red", 1),
    "MARK": ("blue", 5),
}  # of SVG and DXF; what cutters sort by, common practice, no source
NAMES: Final = ("blade", "tail-blade", "paddle")


class Piece(NamedTuple):
    """One thing to cut. name : of its files;  many : how many alike;  edge : closed line (n, 2) [mm];  marks : lines [mm]"""

    name: str
    many: int
    edge: Array
    marks: tuple[Array, ...]


def pieces(craft: Craft) -> list[Piece]:
    """What is cut from sheet, lying flat: lengths as flown, a curved blade as wide as its chord."""
    return [*_blades(craft), *_plates(craft)]


def write_cuts(craft: Craft, folder: str | PathLike[str]) -> list[Path]:
    """Write NAME.svg and NAME.dxf for every piece.

    craft   : from load_craft
    folder  : made if it is not there; files of these names are overwritten
    Returns : paths of what was written; the same craft gives the same bytes
    Raises  : OSError where it cannot be written
    """
    target = Path(folder)
    target.mkdir(parents=True, exist_ok=True)
    written = []
    for piece in pieces(craft):
        for suffix, write in ((".svg", _svg), (".dxf", _dxf)):
            path = target / f"{piece.name}{suffix}"
            write(piece, path)
            written.append(path)
    return written


def _blades(craft: Craft) -> Iterator[Piece]:
    for outline in outlines_to_cut(craft):
        edge, axis, mass = _flat(outline)
        yield Piece(outline.file, outline.many, edge, (axis, mass) if np.isfinite(mass).all() else (axis,))


def _flat(outline: Outline) -> tuple[Array, Array, Array]:
    """Edge, pitch axis and line of balance, root at the left."""
    side = 1.0 if outline.leading_up else -1.0
    leading, trailing = side * outline.ahead, side * (outline.ahead - outline.chord)
    edge = np.concatenate([np.stack([outline.r, leading], axis=1), np.stack([outline.r, trailing], axis=1)[::-1]])
    axis = np.array([[outline.r[0], 0.0], [outline.r[-1], 0.0]])
    return edge, axis, np.stack([outline.r, -side * outline.mass], axis=1)


def _plates(craft: Craft) -> Iterator[Piece]:
    taken = set(NAMES)
    for part in craft.part:
        if isinstance(part, PlatePart) and part.length_mm > 0.0 and part.width_mm > 0.0:
            base = name = re.sub(r"[^A-Za-z0-9_-]+", "-", part.name).strip("-").lower() or "plate"
            number = 1
            while name in taken:
                number += 1
                name = f"{base}-{number}"
            taken.add(name)
            a, b = part.length_mm, part.width_mm
            yield Piece(name, 1, np.array([[0.0, 0.0], [a, 0.0], [a, b], [0.0, b]]), ())


def _svg(piece: Piece, path: Path) -> None:
    low = piece.edge.min(axis=0) - EDGE_MM
    width, height = piece.edge.max(axis=0) + EDGE_MM - low
    figure = Figure(figsize=(width / MM_IN, height / MM_IN))
    figure.patch.set_visible(False)  # or a cutter cuts the sheet's own edge, too
    ax: Any = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    ax.set_xlim(low[0], low[0] + width)
    ax.set_ylim(low[1], low[1] + height)
    ax.axis("off")
    for mark in piece.marks:
        ax.add_artist(Line2D(*mark.T, color=COLOURS["MARK"][0], linewidth=THIN, gid="MARK", clip_on=False))
    ax.add_artist(
        Polygon(
            piece.edge, closed=True, fill=False, edgecolor=COLOURS["CUT"][0], linewidth=THIN, gid="CUT", clip_on=False
        )
    )
    with rc_context({"svg.hashsalt": piece.name, "path.simplify": False}):
        figure.savefig(path, format="svg", metadata={"Date": None, "Title": f"{piece.name}: cut {piece.many}"})


def _dxf(piece: Piece, path: Path) -> None:
    new, units, options = _library()
    options.write_fixed_meta_data_for_testing = True  # no hour, no random number: the same craft gives the same bytes
    drawing = new("R2010", units=units.MM)
    space = drawing.modelspace()
    for layer, (_, colour) in COLOURS.items():
        drawing.layers.add(layer, color=colour)
    space.add_lwpolyline(piece.edge.tolist(), close=True, dxfattribs={"layer": "CUT"})
    for mark in piece.marks:
        space.add_lwpolyline(mark.tolist(), dxfattribs={"layer": "MARK"})
    drawing.saveas(path)


def _library() -> tuple[Any, Any, Any]:
    """What of the library is needed. As it is loaded it keeps a list of the machine's fonts in the user's cache, which nobody here asked for."""
    with TemporaryDirectory() as away:
        before = os.environ.get(CACHE)
        os.environ[CACHE] = away
        try:
            from ezdxf import units  # noqa: PLC0415  only who cuts needs it
            from ezdxf._options import options  # noqa: PLC0415
            from ezdxf.filemanagement import new  # noqa: PLC0415
        finally:
            if before is None:
                del os.environ[CACHE]
            else:
                os.environ[CACHE] = before
    return new, units, options
