"""A craft at rest, seen from its right side, as lines; and the lines of which films draw it in flight."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from paddlebar.craft.shape import Blades, arms_of, blades_of
from paddlebar.craft.standing import corners, skeins, tail_of
from paddlebar.files.craft import Craft
from paddlebar.files.parts import PointPart
from paddlebar.pictures import style

Array = NDArray[np.float64]

STATIONS: Final = 13  # along a blade
# what may be drawn strongly, and in which colour; all else is pale
SHOWN: Final[dict[str, str]] = {
    "blades": style.ROSE,
    "bar": style.WINE,
    "rubber": style.TEAL,
    "tail": style.INDIGO,
    "body": style.INK,
}


SEEN: Final = {"right": "from its right side", "above": "from above"}


def draw_craft(
    craft: Craft, axes: Axes | None = None, *, shown: Collection[str] = tuple(SHOWN), seen: str = "right"
) -> Axes:
    """Draw a craft at rest, nose to the right, blade 1 over the tail; in mm from its datum.

    craft   : from load_craft, or of a scenario
    axes    : to draw into; None: new ones, of a figure that no window shows
    shown   : what is drawn strongly: any of blades, bar, rubber, tail, body
    seen    : from its "right" side, or from "above"
    Returns : the axes
    Raises  : ValueError for a word that is none of these
    """
    if seen not in SEEN:
        raise ValueError(f"seen: {seen}: should be any of {', '.join(SEEN)}")
    if unknown := set(shown) - SHOWN.keys():
        raise ValueError(f"shown: {', '.join(sorted(unknown))}: should be any of {', '.join(SHOWN)}")
    if axes is None:
        axes = Figure(figsize=(7.0, 4.2)).subplots()
    for what, lines in _lines(craft).items():
        look: dict[str, Any] = (
            {"color": SHOWN[what], "linewidth": 2.2} if what in shown else {"color": style.SILVER, "linewidth": 1.0}
        )
        for number, line in enumerate(lines):
            forward, right, down = 1e3 * line.T
            axes.plot(
                forward,
                -down if seen == "right" else -right,
                **look,
                label=what if what in shown and number == 0 else None,
                zorder=3 if what in shown else 2,
            )
    axes.set(
        aspect="equal",
        xlabel="forward [mm]",
        ylabel="up [mm]" if seen == "right" else "left [mm]",
        title=f"{craft.name}, {SEEN[seen]}",
    )
    axes.legend(loc="lower right", frameon=False)
    return axes


def _lines(craft: Craft) -> dict[str, list[Array]]:
    """Polylines (points, 3), body axes [m]."""
    blades, arms, at = blades_of(craft), arms_of(craft), np.zeros(1)
    found = {
        "body": [corners(part) for part in craft.part if not isinstance(part, PointPart)],
        "rubber": [skein.ends for skein in skeins(craft)],
        "tail": [tail_of(craft.tail).rim()] if craft.tail is not None else [],
        "blades": [blade_outline(blades, i, at, at, at)[0] for i in range(blades.count)],
        "bar": [],
    }
    if arms is not None:
        found["bar"] = [arms.tips(at, at)[0]]
    return found


def blade_outline(blades: Blades, i: int, azimuth: Array, flap: Array, pitch: Array) -> Array:
    """Outline of blade i from the hub at m moments, body axes, (m, points, 3)."""
    x = np.linspace(blades.root, blades.radius, STATIONS)
    front, rear = (blades.line(i, x, edge, azimuth, flap, pitch) for edge in (0.0, 1.0))
    hub = np.broadcast_to(blades.hub.place, (azimuth.size, 1, 3))
    return np.concatenate([hub, front, rear[:, ::-1], front[:, :1]], axis=1)


def body_lines(craft: Craft) -> list[Array]:
    """Lines of what does not turn, body axes, each (points, 3)."""
    lines = _lines(craft)
    return lines["body"] + lines["rubber"]
