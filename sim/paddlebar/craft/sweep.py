"""What blades and bar sweep as the shaft turns, over all travel of their hinges: a figure in the half plane out from the shaft and up along it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.shape import Arms, Blades, Hub

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Swept:
    """An arm on a hinge. SI.

    height : of the hinge above the hub along the shaft;  offset : of the hinge from the shaft
    inner, outer : where the arm starts and ends, from the shaft;  low, high : lowest and highest angle above the hub's plane [rad]
    """

    hub: Hub
    height: float
    offset: float
    inner: float
    outer: float
    low: float
    high: float

    def least(self, places: Array) -> tuple[Array, Array, Array]:
        """Least distance (n,) of places (n, 3) to the arm's middle line at any azimuth and angle; their distance out and up from its
        hinge's place on the shaft."""
        out, up = self.hub.out_and_up(places, self.height)
        beyond = out - self.offset
        nearest = np.clip(np.arctan2(up, beyond), self.low, self.high)
        c, s = np.cos(nearest), np.sin(nearest)
        reached = np.clip(beyond * c + up * s, self.inner - self.offset, self.outer - self.offset)
        return np.hypot(beyond - reached * c, up - reached * s), out, up


def blades_swept(blades: Blades) -> Swept:
    """What the blades' feathering axes sweep."""
    low, high = blades.precone - blades.travel, blades.precone + blades.travel
    return Swept(blades.hub, 0.0, blades.offset, blades.root, blades.radius, low, high)


def bar_swept(arms: Arms) -> Swept:
    """What the wire of the bar sweeps, its paddles at their middle; inside the hub's outline the builder's own drawing counts."""
    return Swept(arms.hub, arms.height, 0.0, min(arms.hub.radius, arms.reach), arms.reach, -arms.travel, arms.travel)
