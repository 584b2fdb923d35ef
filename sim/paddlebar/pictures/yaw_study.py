"""Pictures of the study of yaw: how far the nose drifts over the run-down, spin against ratio and pitch, and what turns the body."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from paddlebar.pictures import style
from paddlebar.pictures.saving import Look, save
from paddlebar.studies.rundown import POWERS
from paddlebar.studies.yaw.balance import window

if TYPE_CHECKING:
    from paddlebar.studies.rundown import RunDown
    from paddlebar.studies.yaw.study import Yaw

Array = NDArray[np.float64]

RIGHT_IN: Final = 1.55
MANY: Final = 12  # points of a line beyond which their marks are small
SHOWN_FROM: Final = 0.1  # [%] of the skein's power below which a line of its own says nothing
LOOKS: Final = {  # as the moments of the same parts
    "tail_power_mw": style.SECOND,
    "bar_power_mw": style.FIFTH,
    "airframe_power_mw": style.THIRD,
    "drive_power_mw": style.FOURTH,
}
WORDS: Final = {"drive_power_mw": "cord and bearings"}
MOST_LINES: Final = 7  # ratios of the grid that the drift is drawn for, beside the craft as built


def draw_drift(yaw: Yaw) -> Figure:
    """Heading and spin over the run-down, a line a ratio, pitch and diameter nearest to the craft's own; turns let out against turns flown.

    yaw     : from yaw()
    Returns : a figure of its own
    """
    d, p = own_place(yaw)
    best = yaw.balance.best_drift_deg_s
    title = (
        f"Least drift at ratio {yaw.balance.best:.2f}: {best:.0f} deg/s on average; as built ({yaw.own_ratio:.2f}) {yaw.own_drift_deg_s:.0f} deg/s"
        if np.isfinite(best)
        else "No ratio flew to the end"
    )
    figure = style.sheet(
        7.4, title=title, alt=f"Heading and spin of the body against turns left, for several tail ratios. {title}."
    )
    top, middle, low = style.stack(figure, 3, top_in=0.45, right_in=RIGHT_IN, gap=0.3)
    lines: list[tuple[str, float, Any]] = []
    others = [k for k in range(yaw.ratios.size) if abs(yaw.ratios[k] - yaw.own_ratio) > 1e-6]
    for k in _some(others):
        run = yaw.run.at((d, p, k))
        shade = 0.15 + 0.7 * k / max(yaw.ratios.size - 1, 1)  # from dark to pale with rising ratio: seen in any print
        look: dict[str, Any] = {"color": str(shade), "linewidth": 0.9}
        lines.append((f"{yaw.ratios[k]:.2f}", _heading(top, run, look), look))
        middle.plot(run.turns_left, run.spin_deg_s, **look)
    for words, run, look in (("as built", yaw.own, style.SECOND), ("least drift", yaw.best, style.MAIN)):
        wide = look | {"linewidth": 2.4}
        lines.append((words, _heading(top, run, wide), wide))
        middle.plot(run.turns_left, run.spin_deg_s, **wide)
    _beside(top, lines)
    for ax in (top, middle):
        ax.axhline(0.0, **style.ZERO)
    style.label(top, y="nose turned\nto the right [turns]")
    style.label(middle, y="spin over the ground,\nto the right [deg/s]")
    middle.text(
        1.02,
        0.5,
        "grey: ratio as written\nabove, pale is high",
        transform=middle.transAxes,
        size=style.SMALL_SIZE,
        color=style.INK,
    )
    run = yaw.own
    ends = [
        (f"rotor over the ground at {yaw.ratios[k]:.2f}", yaw.run.at((d, p, k)), style.LINES[1 + bool(k)])
        for k in (0, -1)
    ]
    low.plot(run.turns_left, run.turns_unwound, label="let out by the skein (rotor against body)", **style.REFERENCE)
    low.plot(run.turns_left, run.rotor_turns_over_ground, label="rotor over the ground, as built", **style.MAIN)
    for words, end, line in ends:
        low.plot(end.turns_left, end.rotor_turns_over_ground, label=words, **line)
    style.label(low, x="turns left in the skein (time runs to the right)", y="turned since\nthe release [turns]")
    style.key(low, columns=2, where="above")
    _downwards(low, yaw.own)
    return figure


def draw_spin(yaw: Yaw) -> Figure:
    """Mean spin against ratio: a line a tail pitch (or diameter); below, for the pitch as built, parts of the run-down apart.

    yaw     : from yaw()
    Returns : a figure of its own
    """
    d, p = own_place(yaw)
    title = f"Left and right cancel at ratio {yaw.balance.mean:.2f}, least drift is at {yaw.balance.best:.2f}, built is {yaw.own_ratio:.2f}"
    if not np.isfinite(yaw.balance.mean):
        least = f", least drift is at {yaw.balance.best:.2f}" if np.isfinite(yaw.balance.best) else ""
        title = f"No ratio of these balances on average{least}; built is {yaw.own_ratio:.2f}"
    figure = style.sheet(6.6, title=title, alt=f"Spin of the body against the ratio of the tail drive. {title}.")
    top, low = style.stack(figure, 2, top_in=0.72, right_in=0.3, gap=0.16)
    places = [(d, j) for j in range(yaw.pitches_deg.size)] + [(i, p) for i in range(yaw.diameters_mm.size) if i != d]
    marks = "os^Dv*"
    for n, (i, j) in enumerate(places[: len(style.LINES)]):
        words = f"{yaw.pitches_deg[j]:g} deg" + (f", {yaw.diameters_mm[i]:g} mm" if yaw.diameters_mm.size > 1 else "")
        look = style.LINES[n] | {"marker": marks[n % len(marks)], "markersize": 4}
        mine = i == d and j == p and abs(yaw.pitches_deg[j] - yaw.own_pitch_deg) < 1e-6
        x, y = (yaw.line_ratios, window(yaw.line, "mean")) if mine else (yaw.ratios, yaw.mean_spin_deg_s[i, j])
        top.plot(x, y, label=words, **(look | {"markersize": 4 if len(x) <= MANY else 2}))
    parts = (
        ("full wind", "full_wind", yaw.balance.full_wind),
        ("mid-run", "mid_run", yaw.balance.mid_run),
        ("late, before the knee", "end", yaw.balance.end),
    )
    for n, (words, which, root) in enumerate(parts):
        look = style.LINES[n] | {"marker": marks[n], "markersize": 4 if yaw.line_ratios.size <= MANY else 2}
        where = f", balances at {root:.2f}" if np.isfinite(root) else ", never balances"
        low.plot(yaw.line_ratios, window(yaw.line, which), label=words + where, **look)
    for ax in (top, low):
        ax.axhline(0.0, **style.ZERO)
        ax.axvline(yaw.own_ratio, color=style.EVENT, linewidth=0.9, linestyle=(0, (4, 2)))
        ax.margins(x=0.02)
    at = top.get_xaxis_transform()
    top.text(yaw.own_ratio, 0.02, " as built", transform=at, size=style.SMALL_SIZE, color=style.INK, va="bottom")
    style.label(top, y="mean spin to the right,\ntail pitch as named [deg/s]")
    style.label(
        low, x="tail turns for a turn of the rotor [1]", y=f"spin to the right\nat {yaw.pitches_deg[p]:g} deg [deg/s]"
    )
    style.key(top, columns=6, where="above")
    style.key(low, columns=3, where="above")
    return figure


def draw_balance(yaw: Yaw) -> Figure:
    """What turns the body, as built, against turns left; and what the skein gives away, part by part."""
    return draw_moments(yaw.own)


def draw_moments(run: RunDown) -> Figure:
    """The same of any one flight."""
    share, push = (_mean(values) for values in (run.tail_power_mw / run.skein_power_mw, run.tail_thrust_mn))
    title = f"As built the tail takes {100.0 * share:.0f} % of what the skein gives, and gives {push:.1f} mN"
    if not np.isfinite(share):
        title = "No part of the run-down was flown: nothing to balance"
    figure = style.sheet(7.4, title=title, alt=f"Moments that turn the body, and power, against turns left. {title}.")
    top, middle, low = style.stack(figure, 3, top_in=0.45, right_in=RIGHT_IN)
    left = run.turns_left
    moments = (
        ("rotor", run.rotor_moment_mn_m, style.MAIN),
        ("tail, reversed", -run.tail_moment_mn_m, style.SECOND),
        ("skein's torque", run.skein_torque_mn_m, style.SIXTH),
    )
    small = (
        ("bar", run.bar_moment_mn_m, style.FIFTH),
        ("airframe", run.airframe_moment_mn_m, style.THIRD),
        ("cord and bearings", run.cord_loss_mn_m, style.FOURTH),
        ("not balanced", run.rest_moment_mn_m, style.SIXTH),
    )
    powers = _powers(run)
    top.set_ylim(0.0, 1.05 * float(np.nanmax(run.skein_torque_mn_m)))
    for ax, entries in ((top, moments), (middle, small), (low, powers)):
        for _, values, look in entries:
            ax.plot(left, values, **look)
        _beside(ax, [(words, _last(values), look) for words, values, look in entries])
    middle.axhline(0.0, **style.ZERO)
    style.label(top, y="moment about\nthe vertical [mN m]")
    style.label(middle, y="the small ones,\nright positive [mN m]")
    style.label(low, x="turns left in the skein (time runs to the right)", y="share of the skein's\npower [%]")
    _downwards(low, run)
    flown = np.flatnonzero(np.isfinite(run.rotor_moment_mn_m))
    if flown.size and flown[-1] + 1 < left.size:  # a flight that ended before its rubber did
        low.set_xlim(right=0.5 * float(left[flown[-1]] + left[flown[-1] + 1]))
    return figure


def _powers(run: RunDown) -> list[tuple[str, Array, dict[str, Any]]]:
    """Words, share of the skein's power [%] and look of every row of the ledger that takes some of it; the rotor takes the rest."""
    found = []
    for name, entry in POWERS.items():
        share = 100.0 * getattr(run, name) / run.skein_power_mw
        if name != "rotor_power_mw" and np.nanmax(share, initial=0.0) > SHOWN_FROM:
            found.append((WORDS.get(name, entry.part), share, LOOKS.get(name, style.SIXTH)))
    return found


DRAW: Final = {"drift": draw_drift, "spin": draw_spin, "balance": draw_balance}


def save_pictures(
    yaw: Yaw, folder: Path, names: Sequence[str] = tuple(DRAW), look: Look | None = None, *, data: bool = False
) -> list[Path]:
    """Draw them into an existing folder, if asked with what they show as tables; their paths."""
    return save({name: DRAW[name](yaw) for name in names}, folder, look, data=data)


def own_place(yaw: Yaw) -> tuple[int, int]:
    """Diameter and pitch of the grid that are nearest to the craft's own."""
    return int(np.argmin(np.abs(yaw.diameters_mm - yaw.own_diameter_mm))), int(
        np.argmin(np.abs(yaw.pitches_deg - yaw.own_pitch_deg))
    )


def _some(places: Sequence[int]) -> list[int]:
    """At most MOST_LINES of them, both ends among them."""
    return sorted({places[round(k)] for k in np.linspace(0, len(places) - 1, min(len(places), MOST_LINES))})


def _heading(ax: Axes, run: RunDown, look: dict[str, Any]) -> float:
    """Draw the heading from zero at the release on; where it ends [turns]."""
    half = 0.5 * (run.turns_left[0] - run.turns_left[1])
    turns = np.concatenate([[0.0], run.heading_deg / 360.0])
    ax.plot(np.concatenate([[run.turns_left[0] + half], run.turns_left - half]), turns, **look)
    return _last(turns)


def _mean(values: np.ndarray) -> float:
    fine = np.asarray(values)[np.isfinite(values)]
    return float(fine.mean()) if fine.size else float("nan")


def _last(values: np.ndarray) -> float:
    fine = np.asarray(values)[np.isfinite(values)]
    return float(fine[-1]) if fine.size else float("nan")


def _beside(ax: Axes, lines: Sequence[tuple[str, float, Any]]) -> None:
    """Names right of the panel, each with a piece of its line and a thin leader to where it ends."""
    lines = [line for line in lines if np.isfinite(line[1])]
    if not lines:
        return
    low, high = ax.get_ylim()
    figure = ax.get_figure(root=True)
    assert figure is not None
    height_in = ax.get_position().height * float(figure.get_size_inches()[1])
    places = style.spread([end for _, end, _ in lines], (high - low) * 0.155 / height_in, low, high)
    at = ax.get_yaxis_transform()
    for (words, end, look), place in zip(lines, places, strict=True):
        ax.plot([1.0, 1.025], [end, place], transform=at, color=style.EVENT, linewidth=0.6, clip_on=False)
        ax.plot([1.03, 1.075], [place, place], transform=at, clip_on=False, **look)
        ax.text(1.085, place, words, transform=at, size=style.SMALL_SIZE, va="center", color=style.INK)
    ax.set_ylim(low, high)


def _downwards(ax: Axes, run: RunDown) -> None:
    """From full wind on the left to nothing on the right, as time runs."""
    half = 0.5 * (run.turns_left[0] - run.turns_left[1])
    ax.set_xlim(float(run.turns_left[0] + half), 0.0)
