"""Pictures of a rank: a tornado a figure, and whose part in the spread is how large."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.ticker import MaxNLocator

from paddlebar.craft.knob import short, sized
from paddlebar.pictures import style
from paddlebar.pictures.saving import Look, save
from paddlebar.studies.figures import Judged
from paddlebar.studies.rank.outcomes import OUTPUTS

if TYPE_CHECKING:
    from paddlebar.studies.rank.study import Rank

SHOWN: Final = 10  # bars of a panel, the longest
COLUMNS: Final = 2
WIDTH_IN: Final = 11.0
LESS: Final[dict[str, Any]] = {"color": style.SAND, "height": 0.78}
MORE: Final[dict[str, Any]] = {"color": style.INDIGO, "height": 0.4}
OTHERWISE: Final[dict[str, Any]] = {"hatch": "////", "edgecolor": "white", "linewidth": 0.0}
EDGE: Final[dict[str, Any]] = {"color": style.WINE, "linewidth": 1.2, "linestyle": (0, (4, 2))}
SHARES: Final = (
    -0.25,
    1.25,
)  # a part in the spread is from 0 to 1; estimates beyond are error and run out of the panel
LABEL_IN: Final = 2.15  # left of a panel, for the names
LETTERS: Final = 32  # that fit there
ROW_IN: Final = 0.2
HEAD_IN, FOOT_IN, TOP_IN, KEY_IN, END_IN = 0.3, 0.5, 0.4, 0.35, 0.3


def draw_tornado(found: Rank, name: str = "") -> Figure:
    """What each parameter, moved by its tolerance alone, does to each figure; longest bars on top.

    found   : from rank();  name : of the craft
    Returns : a figure of its own
    """
    first = found.advice[0]
    title = f"{name or 'The craft'}: no number moved by its tolerance adds time in the air"
    if first.helps:
        title = f"{name or 'The craft'}: {short(first.helps)} to {sized(first.helps, first.to, '.4g')} adds most time in the air, {first.gain:.1f} s"
    figure, panels = _panels(found, title, "Bars of each figure for each parameter lower and higher by its tolerance.")

    def draw(ax: Axes, output: Judged, j: int) -> None:
        size = np.nan_to_num(
            np.maximum(np.abs(found.low[:, j] - found.built[j]), np.abs(found.high[:, j] - found.built[j]))
        )
        order = np.argsort(-size, kind="stable")[: min(SHOWN, len(found.keys))]
        for row, k in enumerate(order):
            for values, ending, look in (
                (found.low, found.low_ending[k], LESS),
                (found.high, found.high_ending[k], MORE),
            ):
                value = float(values[k, j])
                if math.isfinite(value) and math.isfinite(found.built[j]):
                    other = OTHERWISE if ending != found.built_ending else {}
                    ax.barh(row, value - found.built[j], left=found.built[j], **look, **other)
        ax.xaxis.set_major_locator(MaxNLocator(6))
        if math.isfinite(found.built[j]):
            ax.axvline(found.built[j], **style.ZERO)
        if output.name == "growth_per_s" and found.sound:
            ax.axvline(0.0, **EDGE)
        _name_rows(ax, [_name(found, k) for k in order])
        _head(ax, f"{output.words} [{output.unit}], {_wish(output)}")

    _fill(panels, draw)
    marks: list[Artist] = [
        Patch(facecolor=style.SAND, label="less by its tolerance"),
        Patch(facecolor=style.INDIGO, label="more by its tolerance"),
        Line2D([], [], color=style.INK, linewidth=0.9, label=f"as built: {found.built_ending}"),
    ]
    if {*found.low_ending, *found.high_ending} != {found.built_ending}:
        marks.append(Patch(facecolor=style.EVENT, **OTHERWISE, label="the flight ends otherwise"))
    if found.sound:
        marks.append(Line2D([], [], **EDGE, label="growth zero: unstable to the right"))
    _key(figure, marks)
    return figure


def draw_shares(found: Rank, name: str = "") -> Figure:
    """First and total indices with their intervals; largest on top.

    found   : from rank();  name : of the craft
    Returns : a figure of its own
    """
    first = found.advice[0]
    title = f"{name or 'The craft'}: no spread of the time in the air to share out"
    if first.measure:
        sure = "" if found.indices.converged[0] else ", not converged"
        title = f"{name or 'The craft'}: the error of {short(first.measure)} spreads the time in the air most ({found.samples} samples{sure})"
    figure, panels = _panels(found, title, "Total and first-order indices of each figure, with bootstrap intervals.")
    i = found.indices

    def draw(ax: Axes, output: Judged, j: int) -> None:
        said = f"converged, alone sum to {i.sum_first[j]:.2f}" if i.converged[j] else "NOT converged"
        _head(ax, f"{output.words}: {said if math.isfinite(i.sum_first[j]) else 'no indices'}")
        order = np.argsort(-np.nan_to_num(i.total[:, j]), kind="stable")[: min(SHOWN, len(found.keys))]
        for row, k in enumerate(order):
            if not math.isfinite(i.total[k, j]):
                continue
            ax.plot(i.total_interval[k, j], [row, row], color=style.INDIGO, linewidth=2.2, solid_capstyle="butt")
            ax.plot(i.total[k, j], row, "o", color=style.INDIGO, markersize=6)
            ax.plot(i.first_interval[k, j], [row + 0.28] * 2, color=style.ROSE, linewidth=1.0, solid_capstyle="butt")
            ax.plot(i.first[k, j], row + 0.28, "D", color=style.ROSE, markersize=4, markerfacecolor="white")
        ax.axvline(0.0, **style.ZERO)
        ax.set_xlim(*SHARES)
        _name_rows(ax, [_name(found, k) for k in order])

    _fill(panels, draw)
    marks = [
        Line2D(
            [],
            [],
            color=style.INDIGO,
            marker="o",
            linewidth=2.2,
            label="part in the spread, together with others (total)",
        ),
        Line2D(
            [], [], color=style.ROSE, marker="D", markerfacecolor="white", linewidth=1.0, label="alone (first order)"
        ),
        Line2D(
            [], [], color=style.EVENT, linewidth=1.6, label="line: 95 % interval by bootstrap, may run out of the panel"
        ),
    ]
    _key(figure, marks)
    return figure


def save_pictures(
    found: Rank, folder: Path, name: str = "", look: Look | None = None, *, data: bool = False
) -> list[Path]:
    """Draw them into an existing folder, if asked with what they show as tables; their paths. Without samples there are no shares to draw."""
    figures = {"tornado": draw_tornado(found, name)}
    if found.samples:
        figures["shares"] = draw_shares(found, name)
    return save(figures, folder, look, data=data)


def _wish(output: Judged) -> str:
    return {"more": "more is better", "less": "less is better"}.get(output.better, "nearer to nothing is better")


def _panels(found: Rank, title: str, alt: str) -> tuple[Figure, list[Axes]]:
    """A sheet with a panel an output, room for the names left of each."""
    down = math.ceil(len(OUTPUTS) / COLUMNS)
    panel = max(min(SHOWN, len(found.keys)), 3) * ROW_IN
    height = TOP_IN + KEY_IN + down * (HEAD_IN + panel + FOOT_IN)
    figure = style.sheet(height, title=title, alt=f"{alt} {title}.", width_in=WIDTH_IN)
    wide = WIDTH_IN / COLUMNS
    panels = []
    for n in range(len(OUTPUTS)):
        row, column = divmod(n, COLUMNS)
        bottom = height - TOP_IN - KEY_IN - row * (HEAD_IN + panel + FOOT_IN) - HEAD_IN - panel
        place = (
            (column * wide + LABEL_IN) / WIDTH_IN,
            bottom / height,
            (wide - LABEL_IN - END_IN) / WIDTH_IN,
            panel / height,
        )
        panels.append(figure.add_axes(place))
    return figure, panels


def _fill(panels: list[Axes], draw: Callable[[Axes, Judged, int], None]) -> None:
    for j, (ax, output) in enumerate(zip(panels, OUTPUTS, strict=True)):
        style.dress(ax)
        ax.margins(x=0.04)
        draw(ax, output, j)


def _head(ax: Axes, words: str) -> None:
    """A panel's title; it begins above the names, where there is room."""
    left = -LABEL_IN / (WIDTH_IN / COLUMNS - LABEL_IN - END_IN)
    ax.set_title(words, x=left + 0.02, ha="left", size=style.LABEL_SIZE, weight="bold", color=style.INK)


def _name(found: Rank, k: int) -> str:
    """A parameter and its tolerance; of a long name both ends, as much as there is room for."""
    name, size = short(found.keys[k]), f"  ±{sized(found.keys[k], found.tolerances[k])}"
    room = LETTERS - len(size)
    return (name if len(name) <= room else f"{name[: room // 2 - 1]}…{name[-(room - room // 2) :]}") + size


def _name_rows(ax: Axes, names: list[str]) -> None:
    ax.set_yticks(range(len(names)), names, size=style.SMALL_SIZE)
    ax.set_ylim(len(names) - 0.4, -0.6)
    ax.grid(visible=False, axis="y")
    ax.tick_params(axis="y", length=0)


def _key(figure: Figure, marks: Sequence[Artist]) -> None:
    height = float(figure.get_size_inches()[1])
    figure.legend(
        handles=marks, loc="upper left", bbox_to_anchor=(0.0, 1.0 - TOP_IN / height), ncols=len(marks),
        fontsize=style.SMALL_SIZE, frameon=False, columnspacing=1.4, borderaxespad=0.2,
    )  # fmt: skip
