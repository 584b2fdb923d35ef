"""Coordinates that do not turn with the rotor: what bar and blades do, said as planes that lean forward and to the right.

A seesaw of angle eta on an arm at azimuth chi, aft towards right, shows a plane that leans forward by f and to the right by r:

    eta = f cos chi - r sin chi,   f = eta cos chi - eta'/(h Omega) sin chi,   r = -eta sin chi - eta'/(h Omega) cos chi

h the rotor's hand: exact for a plane that stands, and invertible always. Blades on hinges of their own: multi-blade coordinates, coning
and planes with their rates; of an even number what neighbours do against each other as well (two of them are a seesaw and coning).
Source : R. P. Coleman, A. M. Feingold, NACA Report 1351 (1958), from memory; the seesaw's is geometry.
Checked: tests/stability/test_linear.py
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from paddlebar.flight import layout
from paddlebar.stability.return_map import ReturnMap

Array = NDArray[np.float64]

UNITS = {"roll": "rad", "pitch": "rad"} | {row.name: row.unit for row in layout.LAYOUT}
_AXES = {
    "velocity_body": ("velocity_forward", "velocity_right", "velocity_down"),
    "rate_body": ("roll_rate", "pitch_rate", "yaw_rate"),
    "inflow": ("inflow", "inflow_slope_forward", "inflow_slope_right"),
}


@dataclass(frozen=True)
class Still:
    """Names and units of the coordinates that do not turn, and how they follow from the free ones of a return map at an azimuth."""

    map: ReturnMap
    names: tuple[str, ...]
    units: tuple[str, ...]

    @property
    def taken_last(self) -> NDArray[np.bool_]:
        """(n,) True for what follows the others at once, or nearly."""
        return np.array([name.startswith(("disc_", "tail_inflow")) for name in self.names])

    def at(self, y: Array) -> Array:
        """(n, n) from small changes of the free coordinates over their scales, at a state, to those of the ones that do not turn, SI."""
        map_ = self.map
        out = np.zeros((map_.size, map_.size))
        k = 0
        for i, c in enumerate(map_.coordinates):
            if c.row not in ("bar_angle", "bar_rate", "flap", "flap_rate"):
                out[k, i] = 1.0
                k += 1
        for block in (self._bar(y), self._blades(y)):
            out[k : k + block.shape[0]] = block
            k += block.shape[0]
        return np.asarray(out * map_.scale)

    def _plane(self, chi: float, angles: Array, rates: Array, rate: float, speed: float) -> Array:
        """Lean forward and right (2, n) of a seesaw; angles, rates : (n,) its angle and rate in the free coordinates; rate : undisturbed [rad/s]."""
        hand = float(self.map.numbers.params[0]["hand"])
        swing = rates / (hand * speed)
        faster = self.map.find("rotor_speed")
        if faster >= 0:
            swing[faster] -= rate / (hand * speed**2)
        c, s = math.cos(chi), math.sin(chi)
        return np.array([c * angles - s * swing, -s * angles - c * swing])

    def _unit(self, row: str, part: int = 0) -> Array:
        return np.asarray(np.eye(self.map.size)[self.map.find(row, part)])

    def _bar(self, y: Array) -> Array:
        map_ = self.map
        if map_.find("bar_angle") < 0:
            return np.empty((0, map_.size))
        p = map_.numbers.params[0]
        chi = float(p["hand"]) * (y[layout.ROTOR_AZIMUTH] + float(p["bar_lead"]))
        angle, rate = self._unit("bar_angle"), self._unit("bar_rate")
        return self._plane(chi, angle, rate, y[layout.BAR_RATE], y[layout.ROTOR_SPEED])

    def _blades(self, y: Array) -> Array:
        map_, nf = self.map, self.map.nf
        if map_.find("flap") < 0:
            return np.empty((0, map_.size))
        hand, speed = float(map_.numbers.params[0]["hand"]), y[layout.ROTOR_SPEED]
        angles = np.array([self._unit("flap", k) for k in range(nf)])
        rates = np.array([self._unit("flap_rate", k) for k in range(nf)])
        chi = hand * (y[layout.ROTOR_AZIMUTH] + 2.0 * math.pi * np.arange(nf) / nf)
        moving = y[layout.FLAP + nf : layout.FLAP + 2 * nf]
        if nf == 1:
            return self._plane(chi[0], angles[0], rates[0], float(moving[0]), speed)
        rows = [angles.mean(axis=0), rates.mean(axis=0)]
        sense = (-1.0) ** np.arange(nf)
        if nf == 2:
            lean = self._plane(chi[0], 0.5 * sense @ angles, 0.5 * sense @ rates, float(0.5 * sense @ moving), speed)
            return np.array([*rows, *lean])
        turn = np.zeros(map_.size)
        if (faster := map_.find("rotor_speed")) >= 0:
            turn[faster] = 1.0
        bent = y[layout.FLAP : layout.FLAP + nf]
        for k in range(1, (nf - 1) // 2 + 1):
            c, s = 2.0 / nf * np.cos(k * chi), -2.0 / nf * np.sin(k * chi)
            kh = k * hand
            rows += [c @ angles, s @ angles]
            rows += [c @ rates + kh * (speed * s @ angles + (s @ bent) * turn)]
            rows += [s @ rates - kh * (speed * c @ angles + (c @ bent) * turn)]
        if nf % 2 == 0:
            rows += [sense @ angles / nf, sense @ rates / nf]
        return np.array(rows)


def still(map_: ReturnMap) -> Still:
    """The coordinates that do not turn of a return map."""
    names: list[tuple[str, str]] = []
    for c in map_.coordinates:
        if c.row not in ("bar_angle", "bar_rate", "flap", "flap_rate"):
            name = _AXES[c.row][c.part] if c.row in _AXES else c.row
            names.append((name, UNITS[c.row]))
    if map_.find("bar_angle") >= 0:
        names += [("bar_forward", "rad"), ("bar_right", "rad")]
    if map_.find("flap") >= 0:
        nf = map_.nf
        if nf > 1:
            names += [("coning", "rad"), ("coning_rate", "rad/s")]
        if nf <= 2:
            names += [("disc_forward", "rad"), ("disc_right", "rad")]
        for k in range(1, (nf - 1) // 2 + 1) if nf > 2 else ():
            wave = "disc" if k == 1 else f"wave_{k}"
            names += [(f"{wave}_{of}", "rad") for of in ("forward", "right")]
            names += [(f"{wave}_{of}_rate", "rad/s") for of in ("forward", "right")]
        if nf > 2 and nf % 2 == 0:
            names += [("alternate", "rad"), ("alternate_rate", "rad/s")]
    return Still(map_, tuple(name for name, _ in names), tuple(unit for _, unit in names))
