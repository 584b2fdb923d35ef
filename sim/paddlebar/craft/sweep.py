"""What blades and bar sweep as the shaft turns, over all travel of their hinges: a figure in the half plane out from the shaft and up along
it; and how thick they are there."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.shape import Arms, Blades, Hub, arms_of, blades_of
from paddlebar.files.craft import Craft
from paddlebar.units import to_si

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


def blade_half_height(craft: Craft, out: Array) -> Array:
    """Half the height that a pitched blade takes at distances from the shaft [m], on the safe side: all of its chord below its axis."""
    blades, arms = blades_of(craft), arms_of(craft)
    chord, pitch = blades.planform(np.clip(out, blades.root, blades.radius))
    moved = max(abs(share) for share in blades.shares) * (arms.travel if arms is not None else 0.0)
    share = max(blades.axis, 1.0 - blades.axis)
    half = 0.5 * to_si("thickness_mm", craft.rotor.thickness_mm)
    return np.asarray(chord * share * np.sin(np.minimum(np.abs(pitch) + moved, 0.5 * math.pi)) + half)


def bar_half_height(arms: Arms, out: Array) -> Array:
    """Half the height of the bar at distances from its hinge [m]: wire, and ball or paddle where that is."""
    half = np.full_like(out, 0.5 * arms.wire)
    half = np.where(np.abs(out - arms.length) <= arms.ball, np.maximum(half, arms.ball), half)
    high = 0.5 * arms.chord * abs(math.sin(arms.incidence))
    on = (arms.span > 0.0) & (np.abs(out - arms.centre) <= 0.5 * arms.span)
    return np.asarray(np.where(on, np.maximum(half, high), half))
