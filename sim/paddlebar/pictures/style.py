"""One place for colours, lines, sizes and the marking of events.

Colours: scheme "muted" of P. Tol, Colour Schemes, SRON technical note SRON/EPS/TN/09-002, issue 3.2 (2021), made
to be told apart by colour-blind readers [values checked against the copy in the R package khroma, not the note itself].
For grey print no two lines of a panel differ by colour alone: they differ by dash and width too, and areas that touch
differ in lightness.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Final, Protocol

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

Array = NDArray[np.float64]

INDIGO: Final = "#332288"
CYAN: Final = "#88CCEE"
TEAL: Final = "#44AA99"
GREEN: Final = "#117733"
OLIVE: Final = "#999933"
SAND: Final = "#DDCC77"
ROSE: Final = "#CC6677"
WINE: Final = "#882255"
PURPLE: Final = "#AA4499"
PALE: Final = "#DDDDDD"
SILVER: Final = "#BBBBBB"
INK: Final = "#222222"
GRID: Final = "#E4E4E4"
EVENT: Final = "#777777"

# Lines of one panel, in the order of use: dash and width differ along with the colour.
MAIN: Final[dict[str, Any]] = {"color": INDIGO, "linestyle": "-", "linewidth": 1.5}
SECOND: Final[dict[str, Any]] = {"color": ROSE, "linestyle": (0, (5, 2)), "linewidth": 1.5}
THIRD: Final[dict[str, Any]] = {"color": GREEN, "linestyle": (0, (1.5, 1.5)), "linewidth": 1.7}
FOURTH: Final[dict[str, Any]] = {"color": OLIVE, "linestyle": (0, (6, 1.5, 1.5, 1.5)), "linewidth": 1.5}
FIFTH: Final[dict[str, Any]] = {"color": CYAN, "linestyle": "-", "linewidth": 3.0}
SIXTH: Final[dict[str, Any]] = {"color": WINE, "linestyle": (0, (9, 3)), "linewidth": 0.9}
LINES: Final = (MAIN, SECOND, THIRD, FOURTH, FIFTH, SIXTH)
# What would be, under what is: a wide light band, seen as such in any print.
REFERENCE: Final[dict[str, Any]] = {"color": SAND, "linestyle": "-", "linewidth": 5.0, "solid_capstyle": "butt"}
ZERO: Final[dict[str, Any]] = {"color": INK, "linewidth": 0.6}


TITLE_SIZE: Final = 11.0
LABEL_SIZE: Final = 9.0
SMALL_SIZE: Final = 8.0
WIDTH_IN: Final = 8.0
EVENT_ROW_IN: Final = 0.17
EVENT_ROWS: Final = 7  # at most so many rows of names; a flight with more crowded events has lines without a name
_CHARACTER_IN: Final = 0.58 * SMALL_SIZE / 72.0  # mean width of a letter of the default font, on the safe side


def line(k: int) -> dict[str, Any]:
    """Look of line k of a panel, from 0: LINES, and beyond them the same colours with another dash and width; 36 that differ."""
    n = len(LINES)
    return LINES[(k + k // n) % n] | {"color": LINES[k % n]["color"]}


class HappenedAt(Protocol):
    """An event, as far as a picture marks it."""

    @property
    def name(self) -> str:
        """Its short name, written beside its line."""

    @property
    def time_s(self) -> float:
        """When it happened [s]."""


def sheet(height_in: float, *, title: str, alt: str, width_in: float = WIDTH_IN) -> Figure:
    """An empty figure of its own (no global state), with a plain sentence as title and one as alternative text."""
    figure = Figure(figsize=(width_in, height_in), facecolor="white")
    figure.text(0.1 / width_in, 1.0 - 0.1 / height_in, title, size=TITLE_SIZE, weight="bold", va="top", color=INK)
    figure.set_label(alt)
    return figure


def alt_text(figure: Figure) -> str:
    """The sentence that stands for the picture where it cannot be seen."""
    return str(figure.get_label())


def stack(
    figure: Figure, panels: int, *, top_in: float, right_in: float = 1.15, left_in: float = 0.85, gap: float = 0.12
) -> list[Axes]:
    """``panels`` axes above each other on one time axis; margins in inches, set by hand because that is fast.

    gap : between panels, as a share of a panel's height; 0.2 has room for a key
    """
    width, height = figure.get_size_inches()
    grid = figure.subplots(
        panels,
        1,
        sharex=True,
        squeeze=False,
        gridspec_kw={
            "left": left_in / width,
            "right": 1.0 - right_in / width,
            "top": 1.0 - top_in / height,
            "bottom": 0.5 / height,
            "hspace": gap,
        },
    )
    axes: list[Axes] = list(grid[:, 0])
    for ax in axes:
        ax.set_facecolor("white")  # whatever style the caller's program has set
        dress(ax)
    figure.align_ylabels(axes)
    return axes


OwnAxes = Axes | Sequence[Axes] | None  # of the caller's to draw into


def own_axes(axes: Axes | Sequence[Axes], panels: int) -> list[Axes]:
    """The caller's axes for a picture of so many panels, dressed. Raises ValueError for another number of them."""
    given = [axes] if isinstance(axes, Axes) else list(np.ravel(np.asarray(axes, dtype=object)))
    if len(given) != panels:
        raise ValueError(f"axes: this picture takes {panels}, found {len(given)}")
    for ax in given:
        dress(ax)
    return given


def figure_of(ax: Axes) -> Figure:
    """The figure that axes stand in."""
    figure = ax.get_figure(root=True)
    assert figure is not None
    return figure


def dress(ax: Axes) -> None:
    """Grid, spines and ticks as everywhere."""
    ax.set_axisbelow(True)
    ax.grid(visible=True, color=GRID, linewidth=0.7)
    for side, spine in ax.spines.items():
        spine.set_color(INK)
        spine.set_visible(side not in ("top", "right"))
    ax.tick_params(labelsize=SMALL_SIZE, colors=INK, length=3)
    ax.margins(x=0.0)


def label(ax: Axes, *, x: str = "", y: str = "") -> None:
    """Axis labels, always with their unit in brackets."""
    if x:
        ax.set_xlabel(x, size=LABEL_SIZE, color=INK)
    if y:
        ax.set_ylabel(y, size=LABEL_SIZE, color=INK)


def key(ax: Axes, *, columns: int = 1, where: str = "best") -> None:
    """Legend of a panel. ``where`` = "above" puts it in one row over the panel, where no curve can be."""
    place: dict[str, Any] = {"loc": where}
    if where == "above":
        place = {"loc": "lower left", "bbox_to_anchor": (0.0, 1.0), "borderaxespad": 0.1}
    ax.legend(
        fontsize=SMALL_SIZE,
        facecolor="white",
        labelcolor=INK,
        ncols=columns,
        handlelength=3.2,
        columnspacing=1.4,
        edgecolor="none",
        framealpha=0.85,
        **place,
    )


def event_rows(
    events: Sequence[HappenedAt], first: float, last: float, width_in: float, right_in: float
) -> tuple[list[int], list[float]]:
    """Row and left end of each event's label so that none lies over another.

    From right to left each takes the lowest row that is free. So of two that would meet, the earlier stands higher, and
    no leader runs through a label.

    width_in : width of the panel [in]; right_in : room for labels right of it [in]
    Returns  : rows (0 lowest) and left ends [in from the panel's left edge], in the order of ``events``
    """
    span = max(last - first, 1e-9)
    rows, starts = [0] * len(events), [0.0] * len(events)
    free: list[float] = []  # leftmost end used in each row so far
    for i in sorted(range(len(events)), key=lambda i: -events[i].time_s):
        length = _CHARACTER_IN * (len(events[i].name) + 1)
        start = min((events[i].time_s - first) / span * width_in, width_in + right_in - length)
        row = next((r for r, end in enumerate(free) if start + length <= end), len(free))
        if row == len(free):
            free.append(start)
        free[row] = start
        rows[i], starts[i] = row, start
    return rows, starts


def mark_events(
    axes: Sequence[Axes], events: Sequence[HappenedAt], rows: Sequence[int], starts: Sequence[float]
) -> None:
    """A thin line through all panels at each event, its name above the uppermost."""
    if not events:
        return
    top = axes[0]
    figure = top.get_figure(root=True)
    assert figure is not None
    width, height = figure.get_size_inches()
    box = top.get_position()
    panel_w, panel_h = box.width * width, box.height * height
    for ax in axes:
        for event in events:
            ax.axvline(event.time_s, color=EVENT, linewidth=0.8, linestyle=(0, (4, 2)), zorder=1.5, clip_on=False)
    unnamed = sum(row >= EVENT_ROWS for row in rows)
    if unnamed:
        words = f"and {unnamed} more lines without a name"
        top.text(0.0, 1.0 + EVENT_ROWS * EVENT_ROW_IN / panel_h, words, transform=top.transAxes, size=SMALL_SIZE)
    for event, row, start in zip(events, rows, starts, strict=True):
        if row >= EVENT_ROWS:
            continue
        y = 1.0 + (0.05 + row * EVENT_ROW_IN) / panel_h
        at = top.get_xaxis_transform()
        if row:
            top.plot([event.time_s] * 2, [1.0, y], transform=at, color=EVENT, linewidth=0.8, clip_on=False)
        top.text(
            (start + 0.03) / panel_w, y, event.name, transform=top.transAxes, size=SMALL_SIZE, color=INK, va="bottom"
        )


def spread(wanted: Iterable[float], gap: float, low: float, high: float) -> list[float]:
    """Places as near as possible to ``wanted``, in the same order, at least ``gap`` apart, within low to high."""
    places = list(wanted)
    order = sorted(range(len(places)), key=lambda i: places[i])
    gap = min(gap, (high - low) / max(len(places) - 1, 1))
    floor = low
    for i in order:
        places[i] = max(places[i], floor)
        floor = places[i] + gap
    ceiling = high
    for i in reversed(order):
        places[i] = min(places[i], ceiling)
        ceiling = places[i] - gap
    return places
