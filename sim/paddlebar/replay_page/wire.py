"""The craft as lines in space at given times, for the film."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.shape import arms_of, blades_of
from paddlebar.craft.standing import circle, tail_of
from paddlebar.files.craft import Craft
from paddlebar.flight.pose import hermite, to_earth
from paddlebar.pictures.craft import blade_outline, body_lines

Array = NDArray[np.float64]

AROUND = 48  # corners of a circle


@dataclass(frozen=True, eq=False)
class Wires:
    """Polylines by name: each (m, points, 3), earth axes; hub (m, 3); times (m)."""

    times: Array
    hub: Array
    parts: dict[str, list[Array]]


def wires(craft: Craft, columns: dict[str, Array], times: Array) -> Wires:
    """Lines of body, blades, bar and the planes that they sweep.

    columns : of data.columns_of;  times : (m) [s], within the flight
    """
    t = columns["time"]

    def at(name: str, rate: str) -> Array:
        return hermite(times, t, columns[name], columns[rate])

    rotation = to_earth(at("attitude", "attitude_rate"))
    place = at("position", "velocity")
    blades, arms = blades_of(craft), arms_of(craft)

    def earth(points: Array) -> Array:  # (m, k, 3) or (k, 3), body axes
        return np.asarray(
            place[:, None, :]
            + np.einsum("mij,mkj->mki", rotation, np.broadcast_to(points, (times.size, *points.shape[-2:]))),
            dtype=np.float64,
        )

    azimuth, flap, pitch = at("azimuth", "rotor_speed"), at("flap", "flap_rate"), at("pitch", "pitch_rate")
    drawn = [earth(blade_outline(blades, i, azimuth, flap[:, i], pitch[:, i])) for i in range(blades.count)]
    at_hub = earth(blades.hub.place[None, :])[:, 0]
    parts = {
        "body": [earth(line) for line in body_lines(craft)],
        "blade 1": drawn[:1],
        "blades": drawn[1:],
        "horizon": [circle(at_hub, np.broadcast_to([0.0, 0.0, -1.0], at_hub.shape), 1.28 * blades.radius, AROUND)],
        "disc plane": [circle(at_hub, _unit(times, t, columns["disc_normal"]), blades.radius, AROUND)],
        "tail": [earth(tail_of(craft.tail).rim())] if craft.tail is not None else [],
    }
    if arms is not None:
        parts["bar"] = [earth(arms.tips(azimuth, at("bar_angle", "bar_rate")))]
        parts["bar plane"] = [circle(at_hub, _unit(times, t, columns["bar_normal"]), 1.14 * blades.radius, AROUND)]
    return Wires(times, at_hub, parts)


def _unit(times: Array, t: Array, values: Array) -> Array:
    """Unit vectors (n, 3) at other times, by straight lines, (m, 3)."""
    found = np.stack([np.interp(times, t, values[:, k]) for k in range(3)], axis=1)
    return np.asarray(found / np.linalg.norm(found, axis=1)[:, None], dtype=np.float64)
