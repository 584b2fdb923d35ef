"""The craft as lines in space at given times, for the film."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from paddlebar.pictures.pose import Hub, hermite, to_earth
from paddlebar.replay_page.shape import Shape

Array = NDArray[np.float64]

AROUND = np.linspace(0.0, 2.0 * np.pi, 49)


@dataclass(frozen=True, eq=False)
class Wires:
    """Polylines by name: each (m, points, 3), earth axes; hub (m, 3); times (m)."""

    times: Array
    hub: Array
    parts: dict[str, list[Array]]


def wires(shape: Shape, columns: dict[str, Array], times: Array) -> Wires:
    """Lines of body, blades, bar and the planes that they sweep.

    shape : of shape.craft_shape;  columns : of data.columns_of;  times : (m) [s], within the flight
    """
    t = columns["time"]

    def at(name: str, rate: str) -> Array:
        return hermite(times, t, columns[name], columns[rate])

    rotation = to_earth(at("attitude", "attitude_rate"))
    place = at("position", "velocity")
    frame = shape["hub"]
    hub = Hub(-np.array(frame["aft"]), shape["hand"] * np.array(frame["right"]), np.array(frame["axis"]), shape["hand"])
    centre = np.array(frame["place"])

    def earth(points: Array) -> Array:  # (m, k, 3) or (k, 3), body axes
        return np.asarray(
            place[:, None, :]
            + np.einsum("mij,mkj->mki", rotation, np.broadcast_to(points, (times.size, *points.shape[-2:]))),
            dtype=np.float64,
        )

    azimuth, flap, pitch = at("azimuth", "rotor_speed"), at("flap", "flap_rate"), at("pitch", "pitch_rate")
    blades = [
        earth(centre + _blade(shape, hub, azimuth, flap[:, i], pitch[:, i], i)) for i in range(shape["blades"]["count"])
    ]
    at_hub = earth(centre[None, :])[:, 0]
    radius = shape["blades"]["radius"]
    parts = {
        "body": [earth(line) for line in _body(shape)],
        "blade 1": blades[:1],
        "blades": blades[1:],
        "horizon": [_ring(at_hub, np.broadcast_to([0.0, 0.0, -1.0], at_hub.shape), 1.28 * radius)],
        "disc plane": [_ring(at_hub, _unit(times, t, columns["disc_normal"]), radius)],
        "tail": [earth(_tail_ring(shape))] if shape["tail"] else [],
    }
    bar = shape["bar"]
    if bar:
        arm = hub.arm(azimuth + bar["lead"], at("bar_angle", "bar_rate"))
        hinge = centre + bar["height"] * hub.up
        ends = np.stack([hinge + bar["arm"] * arm, hinge - bar["arm"] * arm], axis=1)
        parts["bar"] = [earth(ends)]
        parts["bar plane"] = [_ring(at_hub, _unit(times, t, columns["bar_normal"]), 1.14 * radius)]
    return Wires(times, at_hub, parts)


def _blade(shape: Shape, hub: Hub, azimuth: Array, flap: Array, pitch: Array, i: int) -> Array:
    """Outline of blade i from the hub, body axes, (m, points, 3)."""
    blades = shape["blades"]
    psi = azimuth + 2.0 * np.pi * i / blades["count"]
    beta = blades["precone"] + flap
    out, forward = hub.arm(psi, beta), hub.sweep(psi)
    up = np.cos(beta)[:, None] * hub.up - np.sin(beta)[:, None] * hub.ray(psi)
    front, rear = [], []
    for x, chord, built_in in blades["outline"]:
        theta = (pitch + built_in)[:, None]
        across = np.cos(theta) * forward + np.sin(theta) * up
        along = blades["offset"] * hub.ray(psi) + (x - blades["offset"]) * out
        front.append(along + blades["feather_axis"] * chord * across)
        rear.append(along + (blades["feather_axis"] - 1.0) * chord * across)
    return np.asarray(np.stack([np.zeros_like(out), *front, *rear[::-1], front[0]], axis=1), dtype=np.float64)


def _body(shape: Shape) -> list[Array]:
    """Lines of the parts that do not turn, body axes, each (points, 3)."""
    found = []
    for part in shape["parts"]:
        if part["kind"] == "rod":
            found.append(np.array([part["from"], part["to"]]))
        elif part["kind"] == "plate":
            at, along, normal = (np.array(part[key]) for key in ("at", "along", "normal"))
            a, b = 0.5 * part["size"][0] * along, 0.5 * part["size"][1] * np.cross(normal, along)
            found.append(np.array([at + a + b, at + a - b, at - a - b, at - a + b, at + a + b]))
        elif part["kind"] == "ring":
            found.append(_circle(np.array(part["at"]), np.array(part["normal"]), 0.5 * part["diameter"]))
    found += [np.array([skein["from"], skein["to"]]) for skein in shape["skeins"]]
    return found


def _tail_ring(shape: Shape) -> Array:
    tail = shape["tail"]
    return _circle(np.array(tail["place"]), np.array(tail["axis"]), tail["radius"])


def _circle(at: Array, normal: Array, radius: float) -> Array:
    return np.asarray(_ring(at[None, :], normal[None, :], radius)[0], dtype=np.float64)


def _ring(at: Array, normal: Array, radius: float) -> Array:
    """Circles about (m, 3) across normals (m, 3), (m, points, 3)."""
    aside = np.where(np.abs(normal[:, :1]) < 0.9, [[1.0, 0.0, 0.0]], [[0.0, 1.0, 0.0]])
    first = np.cross(normal, aside)
    first /= np.linalg.norm(first, axis=1)[:, None]
    second = np.cross(normal, first)
    return np.asarray(
        at[:, None, :]
        + radius * (np.cos(AROUND)[:, None] * first[:, None, :] + np.sin(AROUND)[:, None] * second[:, None, :]),
        dtype=np.float64,
    )


def _unit(times: Array, t: Array, values: Array) -> Array:
    """Unit vectors (n, 3) at other times, by straight lines, (m, 3)."""
    found = np.stack([np.interp(times, t, values[:, k]) for k in range(3)], axis=1)
    return np.asarray(found / np.linalg.norm(found, axis=1)[:, None], dtype=np.float64)
