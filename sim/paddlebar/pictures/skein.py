"""Torque of a skein against turns, wound and let out: the loop, what was put in, got back and lost."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from matplotlib.figure import Figure

from paddlebar.checks.skein_test import SkeinTest
from paddlebar.pictures import style

WOUND: Final[dict[str, Any]] = {"color": style.WINE, "marker": "o", "markersize": 4, "linestyle": "none"}
LET_OUT: Final[dict[str, Any]] = {"color": style.INDIGO, "marker": "s", "markersize": 4, "linestyle": "none"}


def draw_skein(test: SkeinTest, title: str = "") -> Figure:
    """Rows of both branches, the fitted law as lines, the lost area hatched, the area got back plain."""
    known = not test.record.relative
    words = f"{test.lost_percent:.0f} % of the winding is lost"
    if known:
        words = f"{test.energy_in_j:.3g} J wound in, {test.energy_out_j:.3g} J got back ({test.energy_kJ_kg:.3g} kJ/kg), {words}"
    head = f"{title}: a skein wound and let out" if title else "A skein wound and let out"
    alt = f"Torque of the skein against turns, winding and unwinding. {words}."
    figure = style.sheet(4.6, title=head, alt=alt)
    figure.text(0.1 / style.WIDTH_IN, 1.0 - 0.33 / 4.6, words, size=style.SMALL_SIZE, va="top", color=style.INK)
    ax = figure.add_axes((0.09, 0.115, 0.89, 0.72))
    style.dress(ax)
    up, down = (np.vstack([[0.0, 0.0], rows]) for rows in (test.record.winding, test.record.unwinding))
    fine = np.linspace(0.0, max(up[-1, 0], down[-1, 0]), 400)
    above, below = (np.interp(fine, rows[:, 0], rows[:, 1], right=np.nan) for rows in (up, down))
    ax.fill_between(fine, 0.0, below, color=style.PALE, linewidth=0, label="got back")
    ax.fill_between(fine, below, above, facecolor="none", edgecolor=style.ROSE, hatch="///", linewidth=0, label="lost")
    ax.plot(
        test.model[:, 0],
        test.model[:, 1],
        color=style.WINE,
        linewidth=1.2,
        linestyle=(0, (5, 2)),
        label="fitted, winding",
    )
    ax.plot(test.model[:, 0], test.model[:, 2], color=style.INDIGO, linewidth=1.2, label="fitted, unwinding")
    ax.plot(*np.array(test.record.winding).T, **WOUND, label="winding")
    ax.plot(*np.array(test.record.unwinding).T, **LET_OUT, label="unwinding")
    if test.broke:
        broke = float(test.record.broke or 0.0)
        ax.axvline(broke, color=style.EVENT, linewidth=0.8, linestyle=(0, (4, 2)))
        ax.text(
            broke,
            0.97,
            "broke ",
            transform=ax.get_xaxis_transform(),
            ha="right",
            va="top",
            size=style.SMALL_SIZE,
            color=style.INK,
        )
    ax.set_ylim(0.0, 1.06 * max(up[:, 1].max(), down[:, 1].max()))
    ax.set_xlim(0.0, 1.02 * max(fine[-1], test.record.broke or 0.0))
    style.label(ax, x="turns in the skein", y="torque [mN m]" if known else "torque [units of the meter]")
    style.key(ax, columns=6, where="above")
    return figure
