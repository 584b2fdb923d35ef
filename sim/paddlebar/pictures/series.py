"""What a picture shows as numbers: every line, band, bar and field of points read off the figure itself, so that no picture needs a second account."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import Collection, PathCollection
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator
from numpy.typing import NDArray

from paddlebar.pictures.style import alt_text

Array = NDArray[np.float64]

# What matplotlib calls what was given no name. Another name with _ before it stands in no key, but here.
_NAMELESS: Final = re.compile(r"|_child\d+|_container\d+|_nolegend_")
HEAD: Final = ("panel", "series", "x", "y")


@dataclass(frozen=True, eq=False)
class Series:
    """One thing drawn, in the units of its panel's labels.

    panel : from 1, in the order of the figure;  name : from the key, or by what the panel shows
    x_label, y_label : with unit;  x, y : (n,) as drawn, nan where the line is broken
    """

    panel: int
    name: str
    x_label: str
    y_label: str
    x: Array
    y: Array


def series(figure: Figure) -> list[Series]:
    """All that is drawn in data coordinates. Guide lines, leaders and frames of keys stand in other coordinates and are left out."""
    found: list[Series] = []
    for panel, ax in enumerate((ax for ax in figure.axes if ax.has_data()), start=1):
        x_label, y_label = _label(ax, "x"), _label(ax, "y")
        drawn = _drawn(ax)
        for k, (given, points) in enumerate(drawn, start=1):
            number = f" {k}" if len(drawn) > 1 else ""
            name = f"{y_label.split(' [')[0] or 'series'}{number}" if _NAMELESS.fullmatch(given) else given.lstrip("_")
            found.append(Series(panel, name, x_label, y_label, points[:, 0], points[:, 1]))
    return found


def write_series(figure: Figure, path: Path) -> None:
    """A row a point; before them lines with # that say what the panels are. Read it with pandas.read_csv(path, comment="#")."""
    found = series(figure)
    with path.open("w", newline="", encoding="utf-8") as file:
        file.write(f"# {_one_line(alt_text(figure))}\n")
        for panel in dict.fromkeys(each.panel for each in found):
            first = next(each for each in found if each.panel == panel)
            file.write(_one_line(f"# panel {panel}: x = {first.x_label or '-'}; y = {first.y_label or '-'}") + "\n")
        for panel, ax in enumerate((ax for ax in figure.axes if ax.has_data()), start=1):
            for side, words in _named_ticks(ax):
                file.write(_one_line(f"# panel {panel}: {side} {words}") + "\n")
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(HEAD)
        for each in found:
            name = _one_line(each.name)
            writer.writerows(
                (each.panel, name, repr(x), repr(y)) for x, y in zip(each.x.tolist(), each.y.tolist(), strict=True)
            )


def _drawn(ax: Axes) -> list[tuple[str, Array]]:
    """Name and points (n, 2) of everything on a panel that stands in its data coordinates."""
    found: list[tuple[str, Array]] = []
    for line in ax.lines:
        if line.get_transform() == ax.transData:
            found.append((str(line.get_label()), _pairs(line.get_xdata(orig=False), line.get_ydata(orig=False))))
    for patch in ax.patches:
        if patch.get_data_transform() == ax.transData:
            found.append(
                (
                    str(patch.get_label()),
                    _vertices(patch.get_patch_transform().transform_path(patch.get_path()).vertices),
                )
            )
    for group in ax.collections:
        found += [(str(group.get_label()), points) for points in _collected(group, ax)]
    return [(name, points) for name, points in found if np.isfinite(points).any()]


def _collected(group: Collection, ax: Axes) -> list[Array]:
    if isinstance(group, PathCollection):
        return [_vertices(group.get_offsets())] if group.get_offset_transform() == ax.transData else []
    if group.get_transform() != ax.transData:
        return []
    return [_vertices(path.vertices) for path in group.get_paths()]


def _pairs(x: object, y: object) -> Array:
    return np.column_stack([np.asarray(x, dtype=np.float64).ravel(), np.asarray(y, dtype=np.float64).ravel()])


def _vertices(points: object) -> Array:
    return np.asarray(np.ma.filled(np.ma.asarray(points, dtype=np.float64), np.nan), dtype=np.float64).reshape(-1, 2)


def _label(ax: Axes, side: str) -> str:
    """Label of an axis, or the one that it shares: panels above each other are labelled once, below."""
    own = getattr(ax, f"get_{side}label")()
    shared = getattr(ax, f"get_shared_{side}_axes")().get_siblings(ax)
    words = own or next((words for each in shared if (words := getattr(each, f"get_{side}label")())), "")
    return _one_line(words)


def _named_ticks(ax: Axes) -> list[tuple[str, str]]:
    """Places with names instead of numbers, such as the rows of a chart of bars."""
    found = []
    for side, axis in (("x", ax.xaxis), ("y", ax.yaxis)):
        places = axis.get_major_locator()
        if isinstance(places, FixedLocator):
            at = [float(place) for place in places()]
            words = axis.get_major_formatter().format_ticks(at)
            if any(each.strip(" \u2212-.0123456789") for each in words):
                named = (f"{place:g} = {each}" for place, each in zip(at, words, strict=True))
                found.append((side, ", ".join(named)))
    return found


def _one_line(words: str) -> str:
    return " ".join(words.split())
