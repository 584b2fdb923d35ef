"""The picture of a search: what was wanted against the order of the designs, and against how fast disturbances grow."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from paddlebar.pictures import style

if TYPE_CHECKING:
    from paddlebar.studies.improve.study import Improved

Array = NDArray[np.float64]


def draw_improved(found: Improved, name: str = "") -> Figure:
    """All designs of a search.

    found   : from improve();  name : of the craft
    Returns : a figure of its own
    """
    from paddlebar.studies.improve.demands import GOALS  # noqa: PLC0415  studies need numba, a table of a search does not

    aim = GOALS[found.goal]
    good = found.violation == 0.0
    value = found.figures[:, found.names.index(aim.name)]
    growth = found.figures[:, found.names.index("worst_growth_per_s")]
    before, after = found.before[aim.name], found.after[aim.name]
    title = f"{name or 'the craft'}: {aim.words} from {before:.3g} to {after:.3g} {aim.unit}"
    title += "" if found.feasible else ", but not all demands are kept"
    figure = style.sheet(
        4.3, title=title, alt=f"{title}. {len(found.rows)} designs, {int(good.sum())} keep all demands."
    )
    left, right = figure.subplots(
        1, 2, gridspec_kw={"left": 0.08, "right": 0.98, "top": 0.82, "bottom": 0.13, "wspace": 0.22}
    )
    order = np.arange(1.0, len(value) + 1.0)
    _dots(left, order, value, good)
    best = _best_so_far(value, good, aim.better == "less")
    left.step(order, best, where="post", label="best that keeps them", zorder=4, **style.MAIN)
    left.axhline(before, label="the start", **style.THIRD)
    style.label(left, x="designs, in the order of the search", y=f"{aim.words} [{aim.unit}]")
    style.key(left, columns=2, where="above")
    other = aim if aim.name != "worst_growth_per_s" else GOALS["duration"]
    _dots(right, growth, found.figures[:, found.names.index(other.name)], good)
    limit = found.limits["margin"]
    right.axvline(limit, **style.SECOND)
    right.text(
        limit,
        1.0,
        f" demanded: {limit:g} /s",
        transform=right.get_xaxis_transform(),
        size=style.SMALL_SIZE,
        va="bottom",
        color=style.INK,
    )
    for figures, marker, says in ((found.before, "X", "start"), (found.after, "*", "result")):
        if np.isfinite(figures["worst_growth_per_s"]):
            at = (figures["worst_growth_per_s"], figures[other.name])
            right.plot(
                *at,
                marker=marker,
                markersize=13,
                color="white",
                markeredgecolor="black",
                markeredgewidth=1.1,
                zorder=6,
                clip_on=False,
            )
            right.annotate(
                says,
                at,
                xytext=(11, -3),
                textcoords="offset points",
                size=style.SMALL_SIZE,
                color=style.INK,
                zorder=7,
                bbox={"boxstyle": "square,pad=0.15", "facecolor": "white", "edgecolor": "none", "alpha": 0.85},
            )
    style.label(right, x="growth of the fastest growing disturbance [1/s]", y=f"{other.words} [{other.unit}]")
    right.margins(x=0.05)
    known = growth[np.isfinite(growth)]
    if known.size:  # a few that fall over at once would squeeze all others together
        right.set_xlim(
            min(float(known.min()), limit) - 0.1,
            max(
                float(np.quantile(known, 0.9)),
                found.before["worst_growth_per_s"] if np.isfinite(found.before["worst_growth_per_s"]) else 0.0,
            )
            + 0.2,
        )
    return figure


def _dots(ax: Axes, x: Array, y: Array, good: NDArray[np.bool_]) -> None:
    style.dress(ax)
    ax.plot(x[~good], y[~good], "o", markersize=3.0, color=style.SAND, markeredgewidth=0.0, label="breaks a demand")
    ax.plot(
        x[good],
        y[good],
        "D",
        markersize=3.6,
        color=style.TEAL,
        markeredgecolor=style.INK,
        markeredgewidth=0.3,
        label="keeps all demands",
    )


def _best_so_far(value: Array, good: NDArray[np.bool_], least: bool) -> Array:
    """nan until there is one."""
    kept = np.where(good & np.isfinite(value), value, np.inf if least else -np.inf)
    best = (np.minimum if least else np.maximum).accumulate(kept)
    return np.where(np.isfinite(best), best, np.nan)
