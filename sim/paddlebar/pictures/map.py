"""The map of a study: growth as filled contours with its zero line, the design marked, the regions of the verdict named."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap, TwoSlopeNorm
from matplotlib.figure import Figure
from numpy.typing import NDArray
from scipy import ndimage

from paddlebar.pictures import style
from paddlebar.units import parted

if TYPE_CHECKING:
    from paddlebar.studies.map.study import Map

Array = NDArray[np.float64]

# Dark to pale from dying out to growing, so that grey print keeps the order; the colour turns at zero, and what dies out is dotted besides.
COLOURS: Final = LinearSegmentedColormap.from_list(
    "growth", [(0.0, "#332288"), (0.499, "#6FA8C8"), (0.501, "#D98C94"), (1.0, "#FBEFE3")]
)
STEPS: Final = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0)  # 1/s between contours
LEAST: Final = 0.025  # share of the map below which a region has no name


def draw_map(found: Map, name: str = "", axes: Axes | None = None) -> Figure:
    """Growth over two parameters.

    found   : from stability_map;  name : of the craft
    axes    : to draw into, a scale of the colours beside it; None: a figure of its own, with a title
    Returns : the figure
    """
    title = _title(found, name)
    if axes is None:
        alt = f"Growth of disturbances over {found.x_key} and {found.y_key}. {title}."
        figure = style.sheet(6.2, title=title, alt=alt)
        ax = figure.add_axes((0.1, 0.1, 0.74, 0.76))
        style.dress(ax)
    else:
        (ax,) = style.own_axes(axes, 1)
        figure = style.figure_of(ax)
    ax.grid(visible=False)
    ax.set_facecolor(style.PALE)
    fill = _fill(ax, found)
    _name_regions(ax, found)
    x, y = found.design
    if math.isfinite(x) and math.isfinite(y):
        ax.plot(
            x,
            y,
            marker="*",
            markersize=17,
            color="white",
            markeredgecolor="black",
            markeredgewidth=1.2,
            zorder=6,
            clip_on=False,
        )
    ax.set_xlim(found.x[0], found.x[-1])
    ax.set_ylim(found.y[0], found.y[-1])
    style.label(ax, x=axis_words(found.x_key), y=axis_words(found.y_key))
    if fill is not None:
        place: dict[str, Any] = {"cax": figure.add_axes((0.865, 0.1, 0.022, 0.76))} if axes is None else {"ax": ax}
        bar = figure.colorbar(fill, **place)
        bar.ax.tick_params(labelsize=style.SMALL_SIZE)
        bar.set_label("growth of the fastest growing disturbance [1/s]", size=style.LABEL_SIZE)
    at = f"with {found.turns_left:.0f} turns left" if math.isfinite(found.turns_left) else "each point flown"
    means = "thick line round dots: held" if found.by == "flights" else "thick line: growth zero;  dotted: dies out"
    if axes is not None:
        return figure
    figure.text(
        0.1, 0.875, f"star: the design;  {means};  {at}", size=style.SMALL_SIZE, color=style.INK,
        va="bottom",
    )  # fmt: skip
    return figure


def axis_words(key: str) -> str:
    """``craft.bar.lead_deg`` -> "craft.bar.lead [deg]"."""
    stem, unit = parted(key)
    return f"{stem} [{unit}]"


def _title(found: Map, name: str) -> str:
    rate = found.design_growth
    where = name or "the design"
    if not math.isfinite(rate):
        return f"{where}: {found.design_verdict}"
    if found.by == "flights":
        return f"{where} as designed: {found.design_verdict} (sway {'dies out' if rate < 0.0 else 'grows'}, {rate:+.2f} /s)"
    does = "disturbances die out" if rate < 0.0 else "a disturbance grows"
    spread = _room(found)
    return f"{where} as designed: {does} at {rate:+.2f} /s{spread}"


def _room(found: Map) -> str:
    """How far x may move at the design's own y, read from the map."""
    from paddlebar.studies.map.study import windows  # noqa: PLC0415  studies need numba, tables of a map do not

    x, y = found.design
    if not (math.isfinite(y) and math.isfinite(x)):
        return ""
    row = int(np.argmin(np.abs(found.y - y)))
    inside = [w for w in windows(found, row) if w[0] <= x <= w[1]]
    stem, unit = parted(found.x_key)
    return f"; {stem.rsplit('.', 1)[-1]} may go from {inside[0][0]:.3g} to {inside[0][1]:.3g} {unit}" if inside else ""


def _fill(ax: Axes, found: Map) -> Any:
    growth = found.growth
    known = growth[np.isfinite(growth)]
    if known.size == 0:
        return None
    low, high = float(known.min()), float(np.quantile(known, 0.98))
    span = max(-low, high, 1e-3)
    step = next((s for s in STEPS if span / s <= 7.0), STEPS[-1])
    # as many steps up as are needed; below zero finer ones if it dies out slowly only
    fine = next((s for s in STEPS if max(-low, 1e-3) / s <= 6.0), step)
    down = -fine * np.arange(max(1, math.ceil(max(-low, 1e-9) / fine)), 0, -1)
    up = step * np.arange(1, max(1, math.ceil(max(high, 1e-9) / step)) + 1)
    levels = np.concatenate([down, [0.0], up])
    masked = np.ma.masked_invalid(growth)
    if min(growth.shape) < 2:
        return None
    norm = TwoSlopeNorm(0.0, levels[0], levels[-1])
    fill = ax.contourf(found.x, found.y, masked, levels=levels, cmap=COLOURS, norm=norm, extend="max")
    lines = ax.contour(found.x, found.y, masked, levels=levels[levels != 0.0], colors=style.INK, linewidths=0.5)
    ax.clabel(lines, levels=levels[levels > 0.0], fontsize=style.SMALL_SIZE - 1, fmt="%+.3g", inline=True)
    _dot(ax, found, masked)
    return fill


def _dot(ax: Axes, found: Map, growth: Any) -> None:
    """Dots where it is well and a thick line round them: below zero growth, by flights where it was held."""
    well = np.where(found.verdict == "held", -1.0, 1.0) if found.by == "flights" else growth
    if not float(np.ma.min(well)) < 0.0:
        return
    ax.contourf(found.x, found.y, well, levels=[float(np.ma.min(well)) - 1.0, 0.0], colors="none", hatches=["..."])
    if float(np.ma.max(well)) > 0.0:
        ax.contour(found.x, found.y, well, levels=[0.0], colors="black", linewidths=2.6)


def regions(found: Map) -> list[tuple[str, float, float]]:
    """Name, x and y of each region of one verdict that is large enough, at its most inward point."""
    out = []
    for word in dict.fromkeys(found.verdict.ravel().tolist()):
        parts, count = ndimage.label(found.verdict == word)
        for part in range(1, count + 1):
            inside = parts == part
            if inside.mean() < LEAST:
                continue
            depth = ndimage.distance_transform_edt(np.pad(inside, 1))[1:-1, 1:-1]
            j, i = np.unravel_index(int(np.argmax(depth)), depth.shape)
            out.append((word, float(found.x[i]), float(found.y[j])))
    return out


def _name_regions(ax: Axes, found: Map) -> None:
    span_x, span_y = float(np.ptp(found.x)), float(np.ptp(found.y))
    placed: list[tuple[float, float]] = []
    design = found.design
    for word, x, y in sorted(regions(found), key=lambda r: -r[2]):
        # away from the edges, the design and other names
        u = min(max((x - found.x[0]) / span_x, 0.1), 0.9)
        v = min(max((y - found.y[0]) / span_y, 0.05), 0.95)
        taken = [*placed]
        if all(map(math.isfinite, design)):
            taken.append(((design[0] - found.x[0]) / span_x, (design[1] - found.y[0]) / span_y))
        for _ in range(12):
            if not any(abs(u - a) < 0.22 and abs(v - b) < 0.06 for a, b in taken):
                break
            v = v - 0.07 if v > 0.12 else 0.93
        placed.append((u, v))
        ax.text(
            float(found.x[0] + u * span_x), float(found.y[0] + v * span_y), word, ha="center", va="center", size=style.LABEL_SIZE,
            weight="bold", color=style.INK, bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.85, "pad": 2.0}, zorder=5,
        )  # fmt: skip
