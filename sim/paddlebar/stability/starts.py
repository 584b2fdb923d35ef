"""Where the search for a steady motion begins: a march with the body held level, and free flight from there."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import all_up_mass
from paddlebar.flight import layout
from paddlebar.physics.cord import GRIPS
from paddlebar.physics.inflow import DYNAMIC, hover_induced
from paddlebar.physics.motor import NONE
from paddlebar.stability.return_map import ReturnMap

Array = NDArray[np.float64]

_HELD, _CLIMBING = (
    25,
    60,
)  # revolutions of the march, at one height and then free to climb; rotor speed and inflow settle in some twenty
_FREE = (5, 10, 20, 40, 80, 200, 400)  # revolutions of free flight at which a search begins
_TUMBLING = 1.0  # [rad] of roll or pitch
_CT = 0.012  # a light rotor's thrust coefficient in hover, for a first speed; from memory


def hover_inflow(map_: ReturnMap) -> float:
    """Induced velocity of the main rotor in hover, (W / 2 rho A)^0.5 [m/s], 0 without weight or air."""
    p = map_.numbers.params[0]
    weight = all_up_mass(map_.numbers.params) * float(p["gravity"])
    if p["rho"] <= 0.0 or weight <= 0.0:
        return 0.0
    return float(hover_induced(weight, float(p["rho"]), float(p["radius"])))


def _first(map_: ReturnMap) -> Array:
    """A guess at rest: rotor at about the speed that carries the craft."""
    p = map_.numbers.params[0]
    y = map_.base.copy()
    inflow = hover_inflow(map_)
    if inflow > 0.0:
        y[layout.ROTOR_SPEED] = inflow * math.sqrt(2.0 / _CT) / float(p["radius"])
        if p["inflow_mode"] == DYNAMIC:
            y[layout.INFLOW] = inflow
            y[layout.TAIL_INFLOW] = 0.5 * inflow
    if p["cord_mode"] == GRIPS:
        y[layout.TAIL_SPEED] = p["cord_ratio"] * y[layout.ROTOR_SPEED]
    elif p["tail_mass"] > 0.0 and p["tail_skein"]["kind"] != NONE:
        y[layout.TAIL_SPEED] = 8.0 / p["tail_radius"]
    return y


def _march(map_: ReturnMap, y: Array, revolutions: int, held: list[int]) -> bool:
    """Carry a state over some revolutions, some of the body's coordinates held, in place; False if the rotor stopped (one revolution before is kept)."""
    p = map_.numbers.params[0]
    locked = p["locked"].copy()
    p["locked"][held] = 1
    try:
        for _ in range(revolutions):
            y[layout.ROTOR_AZIMUTH] = 0.0
            before = y.copy()
            if map_.advance(y, map_.steps) < 0.0 or not np.isfinite(y).all():
                y[:] = before
                return False
        return True
    finally:
        p["locked"] = locked


def level_march(map_: ReturnMap) -> Array:
    """Free coordinates (n,) after some revolutions with the body held level, over one place: spin, climb, speeds and inflow settle."""
    map_ = map_.rough()
    y = _first(map_)
    if _march(map_, y, _HELD, [0, 1, 2, 3, 4]):
        _march(map_, y, _CLIMBING, [0, 1, 3, 4])
    return map_.reduced(y)


def flown(map_: ReturnMap) -> list[Array]:
    """Free coordinates (n,) at some moments of a flight let go level, at rest, its rotor at speed; last one first, tumbling left out."""
    map_ = map_.rough()
    y = _first(map_)
    found: list[Array] = []
    if not _march(map_, y, _HELD, [0, 1, 2, 3, 4]):
        return found
    done = 0
    for count in _FREE:
        if not _march(map_, y, count - done, []):
            break
        done = count
        x = map_.reduced(y)
        if np.abs((x * map_.scale)[:2]).max() > _TUMBLING:
            break
        found.insert(0, x)
    return found
