"""The craft on a whirl stand: thrust, torque, figure of merit and coning against speed or collective."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final, Protocol

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from paddlebar.pictures import style
from paddlebar.pictures.dark import suit
from paddlebar.units import GRAM_FORCE


class StandPointLike(Protocol):
    """One point of the stand, in the user's units but for SI thrust and torque."""

    @property
    def rpm(self) -> float:
        """Rotor speed [rev/min]."""

    @property
    def collective_deg(self) -> float:
        """Pitch at 75 % radius [deg]."""

    @property
    def thrust_n(self) -> float:
        """Thrust [N]."""

    @property
    def torque_nm(self) -> float:
        """Torque [N m]."""

    @property
    def figure_of_merit(self) -> float:
        """Ideal over real power [1]."""

    @property
    def coning_deg(self) -> float:
        """Coning angle [deg]."""


AXES: Final = {"rpm": "rotor speed [rpm]", "collective_deg": "collective [deg]"}
UNITS: Final = {"rpm": "rpm", "collective_deg": "deg"}


def draw_stand(
    points: Sequence[StandPointLike], against: str = "", axes: Axes | Sequence[Axes] | None = None
) -> Figure:
    """Thrust, torque, figure of merit and coning on the stand.

    points  : from stand, at one pitch or speed or at several
    against : "rpm" or "collective_deg"; "": the one with more values; a line for each value of the other
    axes    : four to draw into; None: a figure of its own, with a title
    Returns : the figure
    Raises  : ValueError for no points, another name than these two, or another number of axes
    """
    if not points:
        raise ValueError("no points of the stand to draw")
    values = {name: sorted({float(getattr(p, name)) for p in points}) for name in AXES}
    against = against or ("rpm" if len(values["rpm"]) >= len(values["collective_deg"]) else "collective_deg")
    if against not in AXES:
        raise ValueError(f"against must be one of {', '.join(AXES)}, found {against}")
    other = "collective_deg" if against == "rpm" else "rpm"
    best = max(points, key=lambda p: p.thrust_n)
    title = (
        f"On the stand: at most {best.thrust_n / GRAM_FORCE:.1f} g of lift, "
        f"at {best.rpm:.0f} rpm and {best.collective_deg:.1f} deg collective"
    )
    if axes is None:
        figure = style.sheet(5.8, title=title, alt=f"Thrust, torque, figure of merit and coning. {title}.")
        grid = {"left": 0.095, "right": 0.98, "top": 0.87, "bottom": 0.085, "wspace": 0.26, "hspace": 0.14}
        drawn = list(figure.subplots(2, 2, sharex=True, gridspec_kw=grid, subplot_kw={"facecolor": "white"}).flat)
        for ax in drawn:
            style.dress(ax)
    else:
        drawn = style.own_axes(axes, 4)
        figure = style.figure_of(drawn[0])
    panels: tuple[tuple[str, Callable[[StandPointLike], float]], ...] = (
        ("thrust [g on a scale]", lambda p: p.thrust_n / GRAM_FORCE),
        ("torque [mN m]", lambda p: 1e3 * p.torque_nm),
        ("figure of merit [1]", lambda p: p.figure_of_merit),
        ("coning [deg]", lambda p: p.coning_deg),
    )
    marks = "os^Dv*"
    for ax, (name, get) in zip(drawn, panels, strict=True):
        for k, fixed in enumerate(values[other]):
            series = sorted((p for p in points if float(getattr(p, other)) == fixed), key=lambda p: getattr(p, against))
            x, y = [getattr(p, against) for p in series], np.array([get(p) for p in series], dtype=np.float64)
            look = style.line(k) | {"marker": marks[k % len(marks)], "markersize": 4}
            ax.plot(x, y, label=f"{fixed:g} {UNITS[other]}", **look)
        ax.margins(x=0.03)
        style.label(ax, y=name)
    for ax in drawn[2:]:
        style.label(ax, x=AXES[against])
    style.key(drawn[0], columns=6, where="above")
    if axes is not None:
        suit(drawn)
    return figure
