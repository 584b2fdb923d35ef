"""Does the bar hold its plane, or is it dragged along? A few revolutions, sample by sample."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from paddlebar.craft.shape import arms_of, hub_of
from paddlebar.flight.pose import hermite, quaternion_rate, swept_normal, to_earth, turned
from paddlebar.flight.result import Flight
from paddlebar.pictures import style
from paddlebar.pictures.data import TURN, drawable

if TYPE_CHECKING:
    from paddlebar.record.read import RecordedFlight

Array = NDArray[np.float64]

REVOLUTIONS: Final = 6.0  # length of a window
EARLY: Final = 2.0  # revolutions after letting go at which the first window opens
LATE: Final = 0.6  # share of the time from letting go at which the second opens
POINTS: Final = 40  # drawn a revolution
KEPT: Final = 0.5  # of what the shaft moved: a bar that moved less kept its plane; own choice
STILL_DEG: Final = 1.0  # a shaft that moved less shows nothing of its bar; own choice


@dataclass(frozen=True, eq=False)
class Window:
    """What the picture shows of one stretch of flight, as numbers; m points, angles in rad."""

    start: float  # s
    revolutions: Array  # (m) since launch
    bar_angle: Array  # (m) relative to the hub, arm 1 up
    fixed_angle: Array  # (m) what it would be if the bar kept the plane that it swept when the window opened
    hub_above: Array  # (m) hub plane along arm 1, above the horizon
    arm_above: Array  # (m) arm 1 itself, above the horizon
    flap: Array  # (m, nf)
    shaft_moved: float  # angle between the shaft's direction at the start and at the end of the window
    bar_moved: float  # angle by which the bar's plane did


def window(flight: Flight | RecordedFlight, start: float, revolutions: float = REVOLUTIONS) -> Window:
    """``revolutions`` of the rotor from the time ``start`` on, or up to the end of the flight."""
    t = flight.time
    keep = _window_times(flight, start, revolutions)
    azimuth = hermite(keep, t, flight.rotor_azimuth, flight.rotor_speed)
    angle = hermite(keep, t, flight.bar_angle, flight.bar_rate)
    attitude = hermite(keep, t, flight.attitude, quaternion_rate(flight.attitude, flight.rate_body))
    rotation = to_earth(attitude)

    craft = flight.scenario.craft
    hub, arms = hub_of(craft.shaft), arms_of(craft)
    psi = azimuth if arms is None else arms.azimuth(azimuth)
    ray_earth, arm_earth = turned(rotation, hub.out(psi)), turned(rotation, hub.raised(psi, angle))
    shaft_earth = turned(rotation, hub.axis)
    speed, rate, turning = (
        hermite(keep, t, v, np.zeros_like(v)) for v in (flight.rotor_speed, flight.bar_rate, flight.rate_body)
    )
    arm_rate = turned(rotation, hub.raised_rate(psi, speed, angle, rate, turning))
    # The plane that arm 1 sweeps in space at each moment: its normal is across the arm and across the arm's velocity.
    normal = swept_normal([arm_earth], [arm_rate], shaft_earth)
    fixed = np.arctan(-(ray_earth @ normal[0]) / (shaft_earth @ normal[0]))
    return Window(
        start=float(keep[0]),
        revolutions=azimuth / TURN,
        bar_angle=angle,
        fixed_angle=fixed,
        hub_above=np.arcsin(np.clip(-ray_earth[:, 2], -1.0, 1.0)),
        arm_above=np.arcsin(np.clip(-arm_earth[:, 2], -1.0, 1.0)),
        flap=hermite(keep, t, flight.flap, flight.flap_rate),
        shaft_moved=_between(shaft_earth[0], shaft_earth[-1]),
        bar_moved=_between(normal[0], normal[-1]),
    )


def windows(flight: Flight | RecordedFlight) -> list[Window]:
    """A window soon after letting go, and a later one if the flight is long enough for both."""
    free = min(flight.released_s, float(flight.time[-1]))
    azimuth = flight.rotor_azimuth - float(np.interp(free, flight.time, flight.rotor_azimuth))
    turned = np.maximum(azimuth, 0.0) / TURN  # since letting go; while it is held there is nothing to see
    early = max(free, float(np.interp(min(EARLY, 0.2 * turned[-1]), turned, flight.time)))
    found = [window(flight, early)]
    late = free + LATE * (float(flight.time[-1]) - free)
    left = turned[-1] - np.interp(late, flight.time, turned)
    if left >= 1.0 and np.interp(late, flight.time, turned) > EARLY + 2.0 * REVOLUTIONS:
        found.append(window(flight, late))
    return found


def kept_words(part: Window) -> str:
    """What shaft and bar did over a window, and whether the bar kept its plane."""
    shaft, bar = math.degrees(part.shaft_moved), math.degrees(part.bar_moved)
    says = f"the shaft moved by {shaft:.1f} deg, the bar's plane by {bar:.1f} deg"
    if shaft < STILL_DEG:
        return f"{says}: too little to tell"
    return f"{says}: it {'kept its plane' if bar < KEPT * shaft else 'was dragged along'}"


def draw_bar(flight: Flight | RecordedFlight) -> Figure:
    """Bar, body and blades over a few revolutions, with the bar that would hold its plane drawn behind.

    flight  : flown, or from read_run
    Returns : a figure of its own
    Raises  : ValueError for a flight without a finite sample
    """
    flight = drawable(flight)
    shown = windows(flight)
    kind = flight.scenario.craft.bar.kind
    bare = arms_of(flight.scenario.craft) is None
    if bare:
        title = "This craft has no bar: only the body and the blades move"
    else:
        title = f"From {shown[-1].start:.1f} s on {kept_words(shown[-1])}"
    panels = {"bar": "bar to hub [deg]", "body": "above horizon [deg]", "blades": "blades to hub [deg]"}
    if bare:
        del panels["bar"]
    if not flight.flap.shape[1]:
        del panels["blades"]  # a rigid head has nothing to show there
    height = 1.0 + 1.87 * len(panels)
    figure = style.sheet(height, title=title, alt=f"Bar, body and blade angles over a few revolutions. {title}.")
    grid = figure.subplots(
        len(panels), len(shown), sharex="col", sharey="row", squeeze=False,
        gridspec_kw={"left": 0.1, "right": 0.985, "top": 1.0 - 0.86 / height, "bottom": 0.52 / height,
                     "hspace": 0.3, "wspace": 0.06},
    )  # fmt: skip
    for column, part in enumerate(shown):
        _draw_window(dict(zip(panels, grid[:, column], strict=True)), part, kind, first=column == 0)
    for ax, name in zip(grid[:, 0], panels.values(), strict=True):
        style.label(ax, y=name)
    figure.align_ylabels(list(grid[:, 0]))
    return figure


def _draw_window(axes: dict[str, Axes], part: Window, kind: str, *, first: bool) -> None:
    x = part.revolutions
    for ax in axes.values():
        style.dress(ax)
        ax.axhline(0.0, **style.ZERO)
    moved = f"from {part.start:.2f} s: shaft moved {np.degrees(part.shaft_moved):.1f} deg"
    along = "blade 1"
    if "bar" in axes:
        along = "that arm"
        moved += f", bar's plane {np.degrees(part.bar_moved):.1f} deg"
        axes["bar"].plot(x, np.degrees(part.fixed_angle), label="if its plane stood still", **style.REFERENCE)
        axes["bar"].plot(x, np.degrees(part.bar_angle), label=f"the bar ({kind})", **style.MAIN)
        axes["body"].plot(x, np.degrees(part.arm_above), label="the bar's arm 1", **style.MAIN)
    axes["body"].plot(x, np.degrees(part.hub_above), label=f"the body, seen along {along}", **style.SECOND)
    if "blades" in axes:
        one = part.flap.shape[1] == 1
        for k in range(part.flap.shape[1]):
            name = "teeter, blade 1 up" if one else f"blade {k + 1}"
            axes["blades"].plot(x, np.degrees(part.flap[:, k]), label=name, **style.line(k))
    upper, lower = list(axes.values())[0], list(axes.values())[-1]
    upper.text(0.0, 1.22, moved, transform=upper.transAxes, size=style.SMALL_SIZE, color=style.INK)
    style.label(lower, x="rotor revolutions since launch [rev]")
    if first:
        for ax in axes.values():
            style.key(ax, columns=3, where="above")


def _window_times(flight: Flight | RecordedFlight, start: float, revolutions: float) -> Array:
    t = flight.time
    first = float(np.interp(start, t, flight.rotor_azimuth))
    past = np.flatnonzero(flight.rotor_azimuth >= first + TURN * revolutions)
    end = float(t[past[0]]) if past.size else float(t[-1])
    return np.linspace(start, max(end, start), int(POINTS * revolutions) + 1)


def _between(a: Array, b: Array) -> float:
    return float(np.arctan2(np.linalg.norm(np.cross(a, b)), a @ b))
