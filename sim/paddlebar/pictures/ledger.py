"""Where the skein's energy went."""

from __future__ import annotations

from itertools import cycle
from typing import TYPE_CHECKING, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from paddlebar.flight.layout import AIR, ENTRIES, LOST
from paddlebar.flight.result import Flight
from paddlebar.pictures import style
from paddlebar.pictures.dark import suit
from paddlebar.pictures.data import drawable

if TYPE_CHECKING:
    from paddlebar.record.read import RecordedFlight

# Colours of the rows of each kind in their order, one more than there are rows; neighbours differ in lightness so that they part in
# grey print (tested).
COLOURS: Final = {
    AIR: (style.INDIGO, style.CYAN, style.GREEN, style.SAND, style.EVENT),
    LOST: (style.WINE, style.OLIVE, style.INK, style.SILVER),
}


def _areas() -> dict[str, tuple[str, str]]:
    """Entry of the ledger -> colour and words, from the axis outward."""
    found = {
        "potential": (style.TEAL, "height"),
        "kinetic": (style.PURPLE, "motion"),
        "hinge springs": (style.PALE, "hinge springs"),
    }
    for kind, words in ((AIR, "air, by {}"), (LOST, "lost in {}")):
        rows = [entry for entry in ENTRIES if entry.kind == kind]
        for entry, colour in zip(rows, cycle(COLOURS[kind]), strict=False):
            found[entry.label] = colour, words.format(entry.part)
    return found | {"parts lost": (style.ROSE, "parts lost")}


AREAS: Final = {name: colour for name, (colour, _) in _areas().items()}
WORDS: Final = {name: words for name, (_, words) in _areas().items()}
SHOWN_FROM: Final = 1e-3  # share of the energy let out below which an area has no label


def draw_ledger(flight: Flight | RecordedFlight, axes: Axes | None = None) -> Figure:
    """Stacked areas that add up to the energy let out; what was given back (height lost, say) hangs below zero.

    flight  : flown, or from read_run
    axes    : to draw into, names of the areas right of it; None: a figure of its own, with a title
    Returns : the figure
    Raises  : ValueError for a flight without a finite sample
    """
    flight = drawable(flight)
    t, ledger = flight.time, flight.ledger
    skein = ledger["skein"]
    error = flight.energy_error
    closes = f"the ledger closes to {100.0 * error:.2g} %" if np.isfinite(error) else "the ledger has nothing to close"
    title = f"The skein let out {skein[-1]:.2f} J; {closes}"
    right_in = 1.95
    if axes is None:
        figure = style.sheet(4.6, title=title, alt=f"Where the energy went, against time. {title}.")
        (ax,) = style.stack(figure, 1, top_in=0.65, right_in=right_in)
    else:
        (ax,) = style.own_axes(axes, 1)
        figure = style.figure_of(ax)
    scale = max(float(np.nanmax(np.abs(skein))), 1e-12)
    names = [name for name in AREAS if name in ledger] + [n for n in ledger if n not in {*AREAS, "skein", "residual"}]

    up, down = np.zeros_like(skein), np.zeros_like(skein)
    labels: list[tuple[str, str, float]] = []
    for name in names:
        values, colour = ledger[name], AREAS.get(name, style.PALE)
        above, below = up + np.maximum(values, 0.0), down + np.minimum(values, 0.0)
        for base, edge in ((up, above), (down, below)):
            if np.nanmax(np.abs(edge - base)) > 0.0:
                ax.fill_between(t, base, edge, color=colour, linewidth=0.0, label=f"_area: {WORDS.get(name, name)}")
                ax.plot(t, edge, color="white", linewidth=0.7, label=f"_up to and with: {WORDS.get(name, name)}")
        inside = 0.5 * (up[-1] + above[-1]) if values[-1] >= 0.0 else 0.5 * (down[-1] + below[-1])
        if np.nanmax(np.abs(values)) >= SHOWN_FROM * scale:
            share = f"  {100.0 * values[-1] / scale:.1f} %"
            labels.append((WORDS.get(name, name) + share, colour, float(inside)))
        up, down = above, below
    ax.plot(t, skein, color="black", linewidth=1.8, linestyle=(0, (5, 2)), label="let out by the skein")
    ax.axhline(0.0, **style.ZERO)
    _label_areas(ax, labels)
    last = float(t[-1]) if t[-1] > t[0] else float(t[0]) + 1e-3
    ax.set_xlim(float(t[0]), last)
    style.label(ax, x="time from the launch [s]", y="energy since launch [J]")
    style.key(ax, where="above")
    if axes is not None:
        suit([ax])
    return figure


def _label_areas(ax: Axes, labels: list[tuple[str, str, float]]) -> None:
    """Names right of the areas, each with a patch of its colour and a thin leader to the middle of its area."""
    low, high = ax.get_ylim()
    places = style.spread([middle for *_, middle in labels], 0.052 * (high - low), low, high)
    at = ax.get_yaxis_transform()
    for (words, colour, middle), place in zip(labels, places, strict=True):
        ax.plot([1.0, 1.035], [middle, place], transform=at, color=style.EVENT, linewidth=0.7, clip_on=False)
        ax.plot([1.05], [place], transform=at, color=colour, marker="s", markersize=7, clip_on=False)
        ax.text(1.075, place, words, transform=at, size=style.SMALL_SIZE, va="center", color=style.INK)
    ax.set_ylim(low, high)
