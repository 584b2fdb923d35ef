"""Recorded against predicted, before and after a match; and what was believed of each unknown against what was found."""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from paddlebar.pictures import style
from paddlebar.studies.match.study import Match
from paddlebar.studies.match.words import verdict

BEFORE: Final[dict[str, Any]] = {
    "color": style.ROSE,
    "marker": "o",
    "markerfacecolor": "none",
    "linestyle": "none",
    "markersize": 5,
}
AFTER: Final[dict[str, Any]] = {"color": style.INDIGO, "marker": "D", "linestyle": "none", "markersize": 4.5}
MOST_OFF: Final = 8.0  # standard errors that are drawn; what is farther off gets an arrow
ROW_IN: Final = 0.2


def draw_match(found: Match, title: str = "") -> Figure:
    """Left: each reading, how far the model is from it in standard errors, before and after. Right: unknowns before and after.

    found   : from match();  title : above it
    Returns : a figure of its own
    Raises  : ValueError when the match has no reading
    """
    if not found.readings:
        raise ValueError("no reading to draw")
    n = len(found.readings)
    height = max(1.5 + ROW_IN * n, 1.9 + 0.42 * len(found.unknowns))
    head = f"{title}: recorded against model" if title else "Recorded against model"
    figure = style.sheet(
        height, title=head, alt=f"{verdict(found)}. Readings and unknowns, before and after the fit.", width_in=10.5
    )
    top, bottom = 1.0 - 0.72 / height, 0.5 / height
    left = figure.add_axes((0.235, bottom, 0.345, top - bottom))
    right = figure.add_axes((0.79, bottom, 0.19, top - bottom))
    _readings(left, found)
    _unknowns(right, found)
    figure.text(0.1 / 10.5, 1.0 - 0.33 / height, verdict(found), size=style.SMALL_SIZE, va="top", color=style.INK)
    return figure


def _readings(ax: Axes, found: Match) -> None:
    style.dress(ax)
    rows = np.arange(len(found.readings))[::-1]
    ax.axvspan(-1.0, 1.0, color=style.PALE, zorder=0.5, linewidth=0)
    ax.axvline(0.0, **style.ZERO)
    for y, r in zip(rows, found.readings, strict=True):
        for value, look in ((r.before, BEFORE), (r.after, AFTER)):
            if math.isnan(value):
                continue
            off = (value - r.recorded) / r.reckoned
            if abs(off) > MOST_OFF:
                mark = {"marker": ">" if off > 0.0 else "<"}
                ax.plot([math.copysign(MOST_OFF, off)], [y], **{**look, **mark}, clip_on=False, zorder=3)
            else:
                ax.plot([off], [y], **look, zorder=3)
    ax.plot([], [], **BEFORE, label="before")
    ax.plot([], [], **AFTER, label="fitted")
    ax.set_xlim(-MOST_OFF, MOST_OFF)
    ax.set_ylim(-0.7, len(rows) - 0.3)
    names = [f"{_short(r.name)}: {r.quantity} {r.recorded:.4g}" for r in found.readings]
    ax.set_yticks(rows, names, size=style.SMALL_SIZE)
    style.label(ax, x="model minus record [standard errors]; shaded: within one")
    style.key(ax, columns=2, where="above")


def _unknowns(ax: Axes, found: Match) -> None:
    """Each in spreads of its prior from where it began; the figures beside."""
    style.dress(ax)
    n = len(found.unknowns)
    for k, u in enumerate(found.unknowns):
        y = n - 1 - k
        ax.plot([-1.645, 1.645], [y, y], color=style.SAND, linewidth=7.0, solid_capstyle="butt", zorder=1)
        low, high = ((each[k] - u.mean) / u.sd for each in (found.low, found.high))
        ax.plot([low, high], [y, y], color=style.INDIGO, linewidth=2.2, solid_capstyle="butt", zorder=2)
        ax.plot([(found.values[k] - u.mean) / u.sd], [y], **AFTER, zorder=3)
    labels = [f"{_tail(u.key.removeprefix('craft.'))}\n{v:.4g} ({a:.4g} to {b:.4g})"
              for u, v, a, b in zip(found.unknowns, found.values, found.low, found.high, strict=True)]  # fmt: skip
    ax.set_yticks(range(n - 1, -1, -1), labels, size=style.SMALL_SIZE)
    ax.set_ylim(-0.6, n - 0.4)
    reach = max(
        2.0,
        *(
            abs((each - u.mean) / u.sd)
            for u, a, b in zip(found.unknowns, found.low, found.high, strict=True)
            for each in (a, b)
        ),
    )
    ax.set_xlim(-1.05 * reach, 1.05 * reach)
    ax.axvline(0.0, **style.ZERO)
    style.label(ax, x="spreads of what was believed")
    ax.plot([], [], color=style.SAND, linewidth=7.0, label="90 % before")
    ax.plot([], [], color=style.INDIGO, linewidth=2.2, label="after")
    style.key(ax, columns=2, where="above")


def _short(name: str) -> str:
    return name if len(name) <= 18 else name[:17] + "."


def _tail(key: str) -> str:
    """The end of a long key, which tells more than its beginning."""
    return key if len(key) <= 32 else "..." + key[-30:]
