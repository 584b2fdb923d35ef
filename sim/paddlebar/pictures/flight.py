"""The pictures of one flight, drawn from its data alone: ``draw_...(flight) -> Figure``, flown or recorded alike."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from paddlebar.craft.shape import hand_of, over_ground
from paddlebar.files.scenario import Room
from paddlebar.flight.result import Flight, FlightData
from paddlebar.pictures import style
from paddlebar.pictures.bar import draw_bar
from paddlebar.pictures.dark import suit
from paddlebar.pictures.data import RPM, TURN, drawable
from paddlebar.pictures.ledger import draw_ledger
from paddlebar.pictures.saving import Look, save

if TYPE_CHECKING:  # a flight that was just flown is drawn without loading the run file's library
    from paddlebar.record.read import RecordedFlight


_RIGHT_IN: Final = 1.15
_LEFT_IN: Final = 0.85
LARGE: Final = 1.8  # half widths of the view beyond which a room would make the path too small; own choice
_PLAN_IN: Final = (6.6, 6.2)
_PLAN_BOX: Final = (0.12, 0.085, 0.84, 0.815)
_PLAN_RATIO: Final = _PLAN_BOX[2] * _PLAN_IN[0] / (_PLAN_BOX[3] * _PLAN_IN[1])  # width over height of the axes


def _against_time(
    flight: FlightData, panels: int, height_in: float, axes: style.OwnAxes, *, title: str, alt: str, gap: float = 0.12
) -> tuple[Figure, list[Axes]]:
    """Panels above each other against time with the events marked; in axes of the caller's no title, and no names of events."""
    first, last = float(flight.time[0]), float(flight.time[-1])
    if not last > first:
        last = first + 1e-3
    if axes is not None:
        own = style.own_axes(axes, panels)
        for ax in own:
            ax.set_xlim(first, last)
            for event in flight.events:
                ax.axvline(event.time_s, color=style.EVENT, linewidth=0.8, linestyle=(0, (4, 2)), zorder=1.5)
        style.label(own[-1], x="time from the launch [s]")
        return style.figure_of(own[0]), own
    width = style.WIDTH_IN - _LEFT_IN - _RIGHT_IN
    rows, starts = style.event_rows(flight.events, first, last, width, _RIGHT_IN - 0.05)
    above = style.EVENT_ROW_IN * min(1 + max(rows, default=-1), style.EVENT_ROWS + 1)
    figure = style.sheet(height_in + above, title=title, alt=alt)
    made = style.stack(figure, panels, top_in=0.5 + above, right_in=_RIGHT_IN, left_in=_LEFT_IN, gap=gap)
    made[0].set_xlim(first, last)
    style.mark_events(made, flight.events, rows, starts)
    style.label(made[-1], x="time from the launch [s]")
    return figure, made


def draw_height(flight: Flight | RecordedFlight, axes: style.OwnAxes = None) -> Figure:
    """Height, tilt, rotor speed and skein torque against time.

    flight  : flown, or from read_run
    axes    : four to draw into, from above; None: a figure of its own, with a title
    Returns : the figure
    Raises  : ValueError for a flight without a finite sample, or another number of axes
    """
    flight = drawable(flight)
    t, tilt = flight.time, np.degrees(flight.tilt)
    peak = int(np.nanargmax(flight.height))
    title = (
        f"Peak {flight.height[peak]:.2f} m at {t[peak]:.1f} s, tilt at most {np.nanmax(tilt):.0f} deg: {flight.outcome}"
    )
    alt = f"Height, tilt, rotor speed and skein torque against time. {title}. {flight.sentence}"
    figure, drawn = _against_time(flight, 4, 6.6, axes, title=title, alt=alt)
    panels = (
        (flight.height, "height of CG [m]"),
        (tilt, "tilt of body [deg]"),
        (flight.rotor_speed * RPM, "rotor speed [rpm]"),
        (flight.skein_torque * 1e3, "skein torque [mN m]"),
    )
    for ax, (values, name) in zip(drawn, panels, strict=True):
        ax.plot(t, values, **style.MAIN)
        ax.set_ylim(bottom=min(0.0, float(np.nanmin(values))))
        style.label(ax, y=name)
    if axes is not None:
        suit(drawn)
    return figure


def draw_yaw(flight: Flight | RecordedFlight, axes: style.OwnAxes = None) -> Figure:
    """Heading, spin over the ground, and what the skein let out against what the rotor turned over the ground.

    flight  : flown, or from read_run
    axes    : three to draw into, from above; None: a figure of its own, with a title
    Returns : the figure
    Raises  : ValueError for a flight without a finite sample, or another number of axes
    """
    flight = drawable(flight)
    t = flight.time
    turns = (flight.heading - flight.heading[0]) / TURN
    rotor = (flight.rotor_azimuth - flight.rotor_azimuth[0]) / TURN
    rotor = over_ground(rotor, turns, hand_of(flight.scenario.craft.shaft))
    unwound = flight.turns_unwound
    way = "to the right" if turns[-1] >= 0.0 else "to the left"
    title = f"The body turned {abs(turns[-1]):.1f} times {way}; the skein let out {unwound[-1]:.0f} turns"
    alt = f"Heading and spin of the body and turns of skein and rotor against time. {title}."
    figure, drawn = _against_time(flight, 3, 6.2, axes, title=title, alt=alt, gap=0.2)
    top, middle, low = drawn
    top.plot(t, turns, **style.MAIN)
    style.label(top, y="body turned\nto the right [turns]")
    degrees = top.twinx()
    degrees.set_ylim(*(360.0 * np.array(top.get_ylim())))
    degrees.tick_params(labelsize=style.SMALL_SIZE, length=3)
    degrees.spines["top"].set_visible(False)
    style.label(degrees, y="[deg]")
    middle.axhline(0.0, **style.ZERO)
    middle.plot(t, np.degrees(flight.spin), **style.MAIN)
    style.label(middle, y="body spin\nto the right [deg/s]")
    low.plot(t, unwound, label="let out by the skein (rotor against body)", **style.MAIN)
    low.plot(t, rotor, label="rotor over the ground", **style.SECOND)
    style.label(low, y="turned\nsince launch [turns]")
    style.key(low, columns=2, where="above")
    if axes is not None:
        suit([*drawn, degrees])
    return figure


def draw_plan(flight: Flight | RecordedFlight, axes: Axes | None = None) -> Figure:
    """The path seen from above, north up; ticks point where the nose points, at even times.

    flight  : flown, or from read_run
    axes    : to draw into; None: a figure of its own, with a title
    Returns : the figure
    Raises  : ValueError for a flight without a finite sample
    """
    flight = drawable(flight)
    north, east = flight.position_cg[:, 0], flight.position_cg[:, 1]
    air, room = flight.scenario.air, flight.scenario.room
    drift = float(np.hypot(north[-1] - north[0], east[-1] - east[0]))
    blow = f", wind {air.wind_m_s:.1f} m/s from {air.wind_from_deg:.0f} deg" if air.wind_m_s else ""
    title = f"Seen from above: ended {drift:.2f} m from the start{blow}"
    if axes is None:
        figure = style.sheet(_PLAN_IN[1], width_in=_PLAN_IN[0], title=title, alt=f"Path over the floor. {title}.")
        ax = figure.add_axes(_PLAN_BOX, facecolor="white")
        style.dress(ax)
    else:
        (ax,) = style.own_axes(axes, 1)
        figure = style.figure_of(ax)
    style.label(ax, x="east of the start [m]", y="north of the start [m]")
    half, middle = _view(ax, north, east)
    half = _draw_walls(ax, room, half, middle, (east, north))
    ax.plot(east, north, **style.MAIN, zorder=3)
    _draw_noses(ax, flight, 0.05 * half)
    ends: dict[str, Any] = {"zorder": 5, "linestyle": "none", "markeredgecolor": "white", "markersize": 9}
    ax.plot(east[:1], north[:1], marker="o", color=style.GREEN, label="start", **ends)
    ax.plot(east[-1:], north[-1:], marker="s", color=style.WINE, label=f"end: {flight.outcome}", **ends)
    ax.plot([], [], color=style.ROSE, linewidth=1.2, marker=".", label="where the nose points")
    style.key(ax, columns=3, where="above")
    if axes is not None:
        suit([ax])
    return figure


def _view(ax: Axes, north: np.ndarray, east: np.ndarray) -> tuple[float, tuple[float, float]]:
    """A view around the path, at least 1 m wide so that a flight on the spot looks like one; half width and middle."""
    middle = [0.5 * float(np.nanmin(v) + np.nanmax(v)) for v in (east, north)]
    half = max(0.5, 0.6 * max(float(np.ptp(east)), float(np.ptp(north))))
    _look_at(ax, (middle[0], middle[1]), half)
    return half, (middle[0], middle[1])


def _look_at(ax: Axes, middle: tuple[float, float], half: float) -> None:
    """Limits with a metre as long one way as the other; the axes are somewhat wider than high."""
    ax.set_aspect("equal", adjustable="box")
    ax.set_xlim(middle[0] - _PLAN_RATIO * half, middle[0] + _PLAN_RATIO * half)
    ax.set_ylim(middle[1] - half, middle[1] + half)


def _draw_walls(
    ax: Axes, room: Room, half: float, middle: tuple[float, float], path: tuple[np.ndarray, np.ndarray]
) -> float:
    """Walls (length to the north, launch in the middle) if the view can hold them without making the path a scribble; else small, in a corner.

    Returns: half width of the view, widened where the walls need it [m]
    """
    if room.length_m is None or room.width_m is None:
        return half
    x, y = 0.5 * room.width_m, 0.5 * room.length_m
    if max(x, y) > LARGE * half:
        note = f"walls lie outside the view, small: room {2 * y:g} m north-south, {2 * x:g} m east-west"
        ax.text(0.02, 0.02, note, transform=ax.transAxes, size=style.SMALL_SIZE, color=style.INK)
        _look_at(ax, (middle[0], middle[1] - 0.1 * half), 1.2 * half)  # room for the note and the small room
        small = ax.inset_axes((0.02, 0.06, 0.2, 0.2), facecolor="none")
        small.plot([-x, x, x, -x, -x], [-y, -y, y, y, -y], color=style.INK, linewidth=1.0)
        small.plot(*path, color=style.MAIN["color"], linewidth=0.8)
        small.set_aspect("equal", anchor="SW")
        small.set_axis_off()
        return half
    ax.plot([-x, x, x, -x, -x], [-y, -y, y, y, -y], color=style.INK, linewidth=2.5)
    ax.text(-x, y, "  wall", size=style.SMALL_SIZE, color=style.INK, va="top", linespacing=1.5)
    half = 1.06 * max(x / _PLAN_RATIO, y, *(half + abs(m) for m in middle))
    _look_at(ax, (0.0, 0.0), half)
    return half


def _draw_noses(ax: Axes, flight: FlightData, length: float) -> None:
    """A short line from the path toward the nose at even times, with the time beside some of them."""
    last = float(flight.time[-1])
    every = next(s for s in (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 1e9) if last / s <= 20.0)
    at = np.arange(0.0, max(last, 1e-9), every)
    north, east, heading = (
        np.interp(at, flight.time, v) for v in (flight.position_cg[:, 0], flight.position_cg[:, 1], flight.heading)
    )
    gap = np.full_like(at, np.nan)
    tip_e, tip_n = east + length * np.sin(heading), north + length * np.cos(heading)
    ax.plot(np.stack([east, tip_e, gap], 1).ravel(), np.stack([north, tip_n, gap], 1).ravel(), color=style.ROSE, lw=1.2)
    ax.plot(east, north, linestyle="none", marker=".", markersize=6, color=style.ROSE, zorder=4)
    placed = [(float(east[0]), float(north[0])), (float(flight.position_cg[-1, 1]), float(flight.position_cg[-1, 0]))]
    ahead_e = np.interp(at + 0.01 * last, flight.time, flight.position_cg[:, 1]) - east
    ahead_n = np.interp(at + 0.01 * last, flight.time, flight.position_cg[:, 0]) - north
    for k in range(1, at.size):
        # The time stands beside the path, on the side that the nose does not point to, where there is room for it.
        across = np.array([ahead_n[k], -ahead_e[k]])
        across *= -1.0 if across @ (np.sin(heading[k]), np.cos(heading[k])) > 0.0 else 1.0
        across /= max(float(np.hypot(*across)), 1e-12)
        x, y = east[k] + 1.3 * length * across[0], north[k] + length * across[1]
        if min(np.hypot(x - px, y - py) for px, py in placed) > 2.6 * length:
            ax.text(x, y, f"{at[k]:g} s", size=style.SMALL_SIZE, color=style.INK, ha="center", va="center", zorder=4)
            placed.append((float(x), float(y)))


Draw = Callable[["Flight | RecordedFlight"], Figure]
PICTURES: Final[dict[str, Draw]] = {
    "height": draw_height,
    "plan": draw_plan,
    "yaw": draw_yaw,
    "bar": draw_bar,
    "ledger": draw_ledger,
}


def save_pictures(
    flight: Flight | RecordedFlight,
    folder: str | os.PathLike[str],
    names: Iterable[str] = tuple(PICTURES),
    look: Look | None = None,
    *,
    data: bool = False,
) -> list[Path]:
    """Draw the named pictures into ``folder`` (made if missing) as ``NAME.png``, or as ``look`` says; returns their paths in that order.

    data : what each shows as ``NAME.csv`` beside it

    Raises: KeyError for a name that is not in PICTURES, before anything is drawn; OSError from the disk.
    """
    chosen = [(name, PICTURES[name]) for name in names]
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    paths = []
    for name, draw in chosen:
        paths += save({name: draw(flight)}, folder, look, data=data)
    return paths
