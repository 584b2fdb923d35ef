"""The wake of a rotor as the equations take it: radial shape of the inflow, and where its wash reaches."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.blades import Elements, tail_elements
from paddlebar.craft.numbers import Numbers, all_up_mass, fill
from paddlebar.files.craft import Craft
from paddlebar.physics.annular import annular
from paddlebar.physics.cord import GRIPS
from paddlebar.physics.inflow import hover_induced
from paddlebar.physics.section import OF_BLADE, OF_TAIL
from paddlebar.physics.wash import developed, wash_share
from paddlebar.units import GRAVITY

Array = NDArray[np.float64]

_AGAINST = 0.3  # inflow of the worst ring against the rest, over the mean, from which on it is taken as uniform; own choice, none is left negative


def mean_shape(
    numbers: Numbers, which: np.int64, prefix: str, e: Elements, speed: float, tip: bool
) -> tuple[Array, float]:
    """Local over mean induced velocity of each element in hover at a speed [rad/s], and the thrust there [N].

    Where the annular solution carries no thrust worth speaking of, the inflow is taken as uniform. The more so, the more
    some rings are blown against the rest, as with much twist: a shape of both signs, which stays as it is while the loads of its rings
    change, lets still air drive a rotor for ever. The power that a uniform inflow takes has the sign of its thrust, whatever the rings do.
    """
    p = numbers.params[0]
    induced = np.zeros_like(e.x)
    n = e.x.size
    main = which == OF_BLADE
    blades, radius = (p["blades"], p["radius"]) if main else (p["tail_blades"], p["tail_radius"])
    zero = p["rotor_alpha_zero"] if main else p["tail_alpha_zero"]
    log_chord, half_area, delay = (p[f"{prefix}_{name}"][:n] for name in ("log_chord", "half_area", "chord_over_r"))
    section, elements = (which, zero, 1.0), (e.x, e.chord, e.pitch, log_chord, half_area, delay)
    thrust, _ = annular(numbers.tables, section, (blades, radius, p["rho"]), elements, speed, 0.0, int(tip), induced)
    mean = float(hover_induced(thrust, p["rho"], radius))
    if abs(mean) < 0.02 * speed * radius:
        return np.ones_like(e.x), thrust
    shape = induced / mean
    even = min(1.0, max(0.0, -float(shape.min())) / _AGAINST)
    return shape + even * (1.0 - shape), thrust


def _hover_speed(numbers: Numbers, e: Elements, weight: float, tip: bool) -> float:
    """Rotor speed at which the annular thrust carries the weight [rad/s]; a nominal one if none does."""
    radius = float(numbers.params[0]["radius"])
    speed = 8.0 / radius
    for _ in range(12):
        _, thrust = mean_shape(numbers, OF_BLADE, "el", e, speed, tip)
        if thrust <= 0.0:
            return 8.0 / radius
        ratio = math.sqrt(weight / thrust)
        speed *= ratio
        if abs(ratio - 1.0) < 1e-4:
            break
    return speed


def wash_at(numbers: Numbers, place: Array) -> tuple[float, float]:
    """Share of the main rotor's inflow at a place for flow down and flow up through the disc [1]."""
    p = numbers.params[0]
    d = place - p["hub_place"]
    below = -float(d @ p["shaft_axis"])
    off = math.sqrt(max(float(d @ d) - below**2, 0.0))
    radius = float(p["radius"])
    return wash_share(below / radius, off / radius, 1.0), wash_share(below / radius, off / radius, -1.0)


def inflow_shapes(numbers: Numbers, craft: Craft, e: Elements, tip: bool) -> None:
    """Radial shape of the inflow of main rotor, bar and tail from the annular solution in hover at the craft's own weight."""
    params = numbers.params
    p = params[0]
    speed = _hover_speed(numbers, e, all_up_mass(params) * GRAVITY, tip)
    shape, _ = mean_shape(numbers, OF_BLADE, "el", e, speed, tip)
    fill(params, el_shape=shape)
    if p["bar_mass"] > 0.0:
        level = developed(-p["bar_height"] / p["radius"])
        n, m = int(p["paddle_elements"]), int(p["bar_lumps"])
        fill(
            params,
            paddle_shape=level * np.interp(p["paddle_x"][:n], e.x, shape),
            bar_lump_shape=level * np.interp(p["bar_lump_x"][:m], e.x, shape),
        )
    if craft.tail is not None and p["tail_mass"] > 0.0:
        tail_e = tail_elements(craft.tail, int(p["tail_elements"]))
        tail_speed = p["cord_ratio"] * speed if p["cord_mode"] == GRIPS else 8.0 / p["tail_radius"]
        shape, _ = mean_shape(numbers, OF_TAIL, "tail", tail_e, float(tail_speed), tip)
        fill(params, tail_shape=shape)
