"""Pictures of margins, drawn from the Margins alone: the modes along the run-down, growth against turns left, shapes of the slowest modes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from paddlebar.pictures import style
from paddlebar.pictures.saving import Look, save

if TYPE_CHECKING:
    from paddlebar.stability.modes import Mode
    from paddlebar.stability.result import Margins
    from paddlebar.stability.textbook import Averages

Array = NDArray[np.float64]

DEEPEST: Final = -8.0  # 1/s: what dies out faster than that is left out, it is gone within half a turn
JUMP: Final = 1.5  # 1/s and Hz: modes of neighbouring points that lie further apart are not joined
SHAPES: Final = 3  # modes drawn
STABLE: Final = "#EAF3EE"


def save_pictures(
    found: Margins, folder: Path, look: Look | None = None, compared: Averages | None = None, *, data: bool = False
) -> list[Path]:
    """Of draw_all() each as a picture and, if asked, as a table; their paths."""
    return save(draw_all(found, compared), folder, look, data=data)


def draw_all(found: Margins, compared: Averages | None = None) -> dict[str, Figure]:
    """growth, modes, shapes and, if compared, averaged; none of what is not there to be drawn."""
    figures = {"growth": draw_growth(found)}
    if any(point.modes for point in found.along_rundown):
        figures["modes"] = draw_modes(found)
    if found.modes:
        figures["shapes"] = draw_shapes(found)
    if compared is not None and compared.periodic.size and compared.averaged.size:
        figures["averaged"] = draw_averaged(compared)
    return figures


def tracks(found: Margins) -> list[list[tuple[int, Mode]]]:
    """Modes of neighbouring points of the run-down that are nearest to each other, joined; (number of the point, mode) each."""
    out: list[list[tuple[int, Mode]]] = []
    for k, point in enumerate(found.along_rundown):
        here = [mode for mode in point.modes if mode.growth_per_s > DEEPEST]
        ends = [track for track in out if track[-1][0] == k - 1]
        free = set(range(len(here)))
        if ends and here:
            cost = np.array([[_apart(track[-1][1], mode) for mode in here] for track in ends])
            for i, j in zip(*linear_sum_assignment(np.minimum(cost, 10.0 * JUMP)), strict=True):
                if cost[i, j] < JUMP:
                    ends[i].append((k, here[j]))
                    free.discard(int(j))
        out += [[(k, here[j])] for j in sorted(free)]
    return out


def _apart(a: Mode, b: Mode) -> float:
    return math.hypot(a.growth_per_s - b.growth_per_s, a.frequency_hz - b.frequency_hz)


def draw_modes(found: Margins) -> Figure:
    """Growth and frequency of the slow modes, a line each while the skein runs down, and the same with the bar disconnected for one moment.

    found   : from margins
    Returns : a figure of its own
    """
    top = found.worst_along_rundown_per_s
    title = (
        f"All disturbances die out along the run-down, the slowest at {top:+.2f} /s"
        if top < 0.0
        else f"One disturbance grows, at most at {top:+.2f} /s with {found.turns_at_worst:.0f} turns left"
    )
    figure = style.sheet(5.6, title=title, alt=f"Exponents in the complex plane along the run-down. {title}.")
    ax = figure.add_axes((0.09, 0.1, 0.67, 0.76))
    style.dress(ax)
    named: list[tuple[float, float, str, str]] = []
    for n, track in enumerate(sorted(tracks(found), key=lambda t: (-len(t), -t[0][1].growth_per_s))):
        colour = style.line(n)["color"]
        x = [mode.growth_per_s for _, mode in track]
        y = [mode.frequency_hz for _, mode in track]
        if len(track) > 1:
            look = style.line(n)
            ax.plot(x, y, **(look | {"linewidth": min(look["linewidth"], 1.6)}), zorder=3)
            named.append((x[0], y[0], str(n + 1), track[len(track) // 2][1].name))
        ax.plot(x, y, linestyle="", marker=".", markersize=4, color=colour, zorder=3)
        points = len(found.along_rundown)
        if track[0][0] == 0:
            ax.plot(x[0], y[0], marker="s", markersize=7, color=colour, zorder=4)
        last = max((k for k, p in enumerate(found.along_rundown) if p.modes), default=points)
        if track[-1][0] == last:
            ax.plot(
                x[-1],
                y[-1],
                marker="o",
                markersize=8,
                markerfacecolor="white",
                markeredgewidth=1.6,
                color=colour,
                zorder=4,
            )
    apart = [mode for mode in found.modes_without_bar if mode.growth_per_s > DEEPEST]
    if found.margin_reasons:
        ax.plot(
            [m.growth_per_s for m in apart],
            [m.frequency_hz for m in apart],
            "x",
            color=style.INK,
            markersize=8,
            markeredgewidth=1.8,
            zorder=5,
        )
    low, high = ax.get_xlim()
    low, high = min(low, -1.0) - 0.2, max(high, 0.6) + 0.2
    ax.axvspan(low, 0.0, color=STABLE, zorder=0)
    ax.axvline(0.0, color=style.INK, linewidth=1.3, zorder=2)
    ax.set_xlim(low, high)
    ax.set_ylim(-0.06 * max(ax.get_ylim()[1], 1.0), 1.06 * max(ax.get_ylim()[1], 1.0))
    ax.text(
        -0.01 * (high - low),
        0.985,
        "dies out ",
        transform=ax.get_xaxis_transform(),
        ha="right",
        va="top",
        size=style.SMALL_SIZE,
    )
    ax.text(
        0.01 * (high - low),
        0.985,
        " grows",
        transform=ax.get_xaxis_transform(),
        ha="left",
        va="top",
        size=style.SMALL_SIZE,
    )
    _number_tracks(ax, named)
    style.label(ax, x="growth [1/s]", y="frequency as seen from the body [Hz]")
    bar = f";  x: bar disconnected, {found.turns_at_verdict:.0f} turns left" if found.margin_reasons else ""
    first, last_turns = found.along_rundown[0].turns_left, min(p.turns_left for p in found.along_rundown if p.modes)
    figure.text(
        0.09, 0.87, f"filled square: {first:.0f} turns left;  open circle: {last_turns:.0f}{bar}", size=style.SMALL_SIZE, color=style.INK,
        va="bottom",
    )  # fmt: skip
    for k, (_, _, number, name) in enumerate(named[:16]):
        look = style.line(k)
        ax.text(
            1.045,
            0.97 - 0.055 * k,
            f"{number}  {name}",
            transform=ax.transAxes,
            size=style.SMALL_SIZE,
            color=style.INK,
            va="center",
        )
        ax.plot(
            [1.0, 1.025],
            [0.97 - 0.055 * k] * 2,
            transform=ax.transAxes,
            clip_on=False,
            **(look | {"linewidth": min(look["linewidth"], 1.6)}),
        )
    return figure


def _number_tracks(ax: Axes, named: Sequence[tuple[float, float, str, str]]) -> None:
    """Numbers beside the starts of the lines, moved apart where two would meet."""
    (x0, x1), (y0, y1) = ax.get_xlim(), ax.get_ylim()
    placed: list[tuple[float, float]] = []
    for x, y, number, _ in named:
        u, v = (x - x0) / (x1 - x0), (y - y0) / (y1 - y0) + 0.035
        while any(abs(u - a) < 0.025 and abs(v - b) < 0.045 for a, b in placed):
            v += 0.02
        placed.append((u, v))
        ax.text(
            u,
            v,
            number,
            transform=ax.transAxes,
            size=style.SMALL_SIZE,
            ha="center",
            va="center",
            weight="bold",
            color=style.INK,
            zorder=6,
        )


def draw_growth(found: Margins, axes: style.OwnAxes = None) -> Figure:
    """Growth against turns left, with and without bar, and the steady flight that it belongs to.

    found   : from margins
    axes    : three to draw into, from above; None: a figure of its own, with a title
    Returns : the figure
    Raises  : ValueError for another number of axes
    """
    points = found.along_rundown
    turns = np.array([p.turns_left for p in points])
    title = f"Verdict: {found.verdict}" if found.margin_reasons else "No bar to judge"
    here, there = found.worst_growth_per_s, found.worst_growth_without_bar_per_s
    if math.isfinite(here):
        title += f": growth {here:+.2f} /s at half the turns"
        title += f", {there:+.2f} with the bar disconnected" if found.margin_reasons and math.isfinite(there) else ""
    if axes is None:
        figure = style.sheet(6.4, title=title, alt=f"Growth, climb and spin against turns left. {title}.")
        top, middle, low = style.stack(figure, 3, top_in=0.7, right_in=0.4, left_in=1.0, gap=0.2)
    else:
        top, middle, low = style.own_axes(axes, 3)
        figure = style.figure_of(top)
    with_bar = np.array([p.worst_growth_per_s for p in points])
    top.plot(turns, with_bar, marker="o", markersize=5, label="as built", **style.MAIN)
    known = [with_bar]
    if found.margin_reasons:
        without = np.array([p.worst_growth_without_bar_per_s for p in points])
        top.plot(turns, without, marker="s", markersize=5, label="bar disconnected", **style.SECOND)
        known.append(without)
    top.axhline(0.0, color=style.INK, linewidth=1.2)
    bottom = min(0.0, float(np.nanmin(np.concatenate([*known, [0.0]])))) * 1.3 - 0.25
    top.set_ylim(bottom, None)
    top.axhspan(bottom, 0.0, color=STABLE, zorder=0)
    top.axvline(found.turns_at_verdict, color=style.EVENT, linestyle=(0, (4, 2)), linewidth=0.9)
    for point in points:
        if not math.isfinite(point.worst_growth_per_s):
            for ax in (top, middle, low):
                ax.axvline(point.turns_left, color=style.PALE, linewidth=6.0, zorder=0.5)
    missing = any(not math.isfinite(p.worst_growth_per_s) for p in points)
    style.key(top, columns=2, where="above")
    note = "shaded: dies out; dashed line: verdict" + ("; grey bar: no steady flight found" if missing else "")
    top.text(1.0, 1.02, note, transform=top.transAxes, ha="right", va="bottom", size=style.SMALL_SIZE, color=style.INK)
    middle.plot(turns, [p.climb_m_s for p in points], marker="o", markersize=4, **style.MAIN)
    middle.axhline(0.0, **style.ZERO)
    low.plot(
        turns, [p.body_rate_deg_s for p in points], marker="o", markersize=4, label="this steady flight", **style.MAIN
    )
    others = [(p.turns_left, o.body_rate_deg_s, o.growth_per_s < 0.0) for p in points for o in p.others]
    for stable, face, words in ((True, style.INK, "another, dies out"), (False, "white", "another, grows")):
        at = np.array([other[:2] for other in others if other[2] == stable]).reshape(-1, 2)
        if at.size:
            low.plot(
                *at.T, linestyle="", marker="o", markersize=4.5, color=style.INK, markerfacecolor=face, label=words
            )
    if any(math.isfinite(p.flown_body_rate_deg_s) for p in points):
        flown = [p.flown_body_rate_deg_s for p in points]
        low.plot(turns, flown, marker="x", markersize=5, label="flown, mean", **(style.SECOND | {"linestyle": ""}))
    style.key(low, columns=4, where="above")
    low.axhline(0.0, **style.ZERO)
    style.label(top, y="growth [1/s]")
    style.label(middle, y="steady climb [m/s]")
    style.label(low, y="steady spin, nose\nto the right [deg/s]", x="turns left, run down to the right [1]")
    span = float(np.ptp(turns)) or 1.0
    low.set_xlim(float(turns.max()) + 0.02 * span, float(turns.min()) - 0.02 * span)
    return figure


def draw_shapes(found: Margins) -> Figure:
    """The slowest modes: lean of body, bar and disc as paths seen from above over one swing, and as phasors.

    found   : from margins
    Returns : a figure of its own
    """
    chosen = found.modes[:SHAPES]
    still = _still(chosen)
    bar = bool(found.margin_reasons)
    title = (
        f"Lean of the bar over that of the body: {still}" if bar else f"No bar: {_pace(chosen[0])} in {chosen[0].name}"
    )
    figure = style.sheet(6.3, title=title, alt=f"Shapes of the slowest modes. {title}.")
    grid = figure.subplots(
        2, len(chosen), squeeze=False,
        gridspec_kw={"left": 0.085, "right": 0.985, "top": 0.8, "bottom": 0.08, "wspace": 0.28, "hspace": 0.34},
    )  # fmt: skip
    parts: list[tuple[str, Any]] = [("body", style.MAIN), ("bar", style.SECOND), ("disc", style.THIRD)]
    parts = [part for part in parts if bar or part[0] != "bar"]
    for k, mode in enumerate(chosen):
        above, phasors = grid[:, k]
        turn = np.exp(1j * np.linspace(0.0, 2.0 * math.pi, 121)) if mode.frequency_hz > 0.0 else np.array([-1.0, 1.0])
        axis = int(np.argmax(np.abs(mode.body)))
        for name, look in parts:
            lean = getattr(mode, name)
            path = np.real(np.multiply.outer(lean, turn))
            if mode.frequency_hz > 0.0:
                above.plot(path[1], path[0], label=name, **look)
                at = 15
                size = float(np.hypot(*np.ptp(path, axis=1)))
                if size > 0.15:
                    above.annotate(
                        "", (path[1, at + 1], path[0, at + 1]), (path[1, at], path[0, at]),
                        arrowprops={"arrowstyle": "-|>", "color": look["color"], "mutation_scale": 11},
                    )  # fmt: skip
                above.plot(path[1, 0], path[0, 0], "o", color=look["color"], markersize=5)
            else:
                above.plot(path[1], path[0], label=name, **look)
                above.plot(path[1, 1], path[0, 1], "o", color=look["color"], markersize=5)
            z = complex(lean[axis])
            phasors.plot([0.0, z.real], [0.0, z.imag], **look)
            phasors.plot(z.real, z.imag, "o", color=look["color"], markersize=5)
        does = _pace(mode)
        how = f"{mode.frequency_hz:.2f} Hz" if mode.frequency_hz > 0.0 else "no swing"
        above.set_title(f"{mode.name}\n{how}, {does}", size=style.LABEL_SIZE, color=style.INK)
        for ax in (above, phasors):
            style.dress(ax)
            ax.set_xlim(-1.15, 1.15)
            ax.set_ylim(-1.15, 1.15)
            ax.set_aspect("equal")
            ax.axhline(0.0, **style.ZERO)
            ax.axvline(0.0, **style.ZERO)
        style.label(above, x="lean to the right [1]", y="lean forward [1]" if k == 0 else "")
        which = ("forward", "to the right")[axis]
        style.label(phasors, x=f"lean {which}, now [1]", y="a quarter swing earlier [1]" if k == 0 else "")
    handles, labels = grid[0, 0].get_legend_handles_labels()
    figure.legend(
        handles,
        labels,
        loc="upper left",
        bbox_to_anchor=(0.07, 0.955),
        ncols=3,
        fontsize=style.SMALL_SIZE,
        edgecolor="none",
        handlelength=3.2,
    )
    figure.text(
        0.99, 0.945, f"with {found.turns_at_verdict:.0f} turns left; upper row: path of the upper ends\nseen from above, dot: start; lower row: phasors", size=style.SMALL_SIZE,
        ha="right", va="top",
        color=style.INK,
    )  # fmt: skip
    return figure


def _pace(mode: Mode) -> str:
    if mode.time_to_double_s is not None:
        return f"doubles in {mode.time_to_double_s:.2g} s"
    return f"halves in {mode.time_to_half_s or 0.0:.2g} s"


def _still(chosen: Sequence[Mode]) -> str:
    """How much the bar moves in them, next to the body."""
    words = []
    for mode in chosen[:2]:
        body, bar = (float(np.linalg.norm(z)) for z in (mode.body, mode.bar))
        words.append(f"{bar / body:.2g} in {mode.name}" if body > 0.02 else f"bar alone in {mode.name}")
    return ", ".join(words)


def draw_averaged(compared: Averages) -> Figure:
    """Exponents of the turning rotor against those of the textbook's average."""
    real, mean = float(compared.periodic[0].real), float(compared.averaged[0].real)
    title = f"{compared.blades} blades: the average over a turn says {mean:+.2f} /s, the turning rotor {real:+.2f} /s"
    figure = style.sheet(5.0, title=title, alt=f"Exponents with and without averaging over a revolution. {title}.")
    ax = figure.add_axes((0.09, 0.11, 0.88, 0.74))
    style.dress(ax)
    rings: dict[str, Any] = {"marker": "o", "color": style.INDIGO, "markersize": 9, "markerfacecolor": "none"}
    crosses: dict[str, Any] = {"marker": "x", "color": style.ROSE, "markersize": 8, "markeredgewidth": 2.0}
    for values, words, look in (
        (compared.periodic, "turning rotor (Floquet)", rings),
        (compared.averaged, "averaged over a turn", crosses),
    ):
        shown = values[values.real > 2.0 * DEEPEST]
        ax.plot(shown.real, np.abs(shown.imag) / (2.0 * math.pi), linestyle="", label=words, **look)
    low, high = ax.get_xlim()
    low, high = min(low, -1.0) - 0.5, max(high, 0.5) + 0.5
    ax.set_xlim(low, high)
    ax.axvspan(low, 0.0, color=STABLE, zorder=0)
    ax.axvline(0.0, color=style.INK, linewidth=1.3)
    ax.margins(y=0.06)
    style.label(ax, x="growth [1/s]", y="frequency as seen from the body [Hz]")
    style.key(ax, columns=2, where="above")
    note = f"with {compared.turns_left:.0f} turns left; shaded: dies out"
    ax.text(1.0, 1.02, note, transform=ax.transAxes, ha="right", va="bottom", size=style.SMALL_SIZE, color=style.INK)
    return figure
