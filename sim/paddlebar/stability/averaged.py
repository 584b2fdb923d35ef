"""The textbook's short cut: multi-blade coordinates and coefficients averaged over a revolution, to compare with Floquet's answer.

Bar and blades are described by planes that do not turn, eta = a cos psi + b sin psi, blades on hinges of their own by coning as well.
The rates of everything are averaged over the rotor's azimuth as if the planes stood still meanwhile:

    x' = <f(x, psi)>,   a'' = 2 <eta'' cos psi> - 2 Omega b' + Omega^2 a - Omega' b,   b'' = 2 <eta'' sin psi> + 2 Omega a' + Omega^2 b + Omega' a

Exact for three and more equal blades in flow that is the same all round. A rotor or a bar with two arms, on a body that is not much
heavier, shakes it twice a revolution, and the average does not know. What that costs is the difference from floquet.py.
Source: R. P. Coleman, A. M. Feingold, NACA Report 1351 (1958), multi-blade coordinates, from memory; averaging is common practice.
Checked: tests/reference/test_floquet_averaged.py
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import root

from paddlebar.craft.shape import arm_azimuth, blade_azimuth
from paddlebar.flight import layout, rhs
from paddlebar.stability.coordinates import Coordinate, tilt_rates
from paddlebar.stability.equilibrium import Equilibrium
from paddlebar.stability.floquet import Complex, growth

Array = NDArray[np.float64]

AZIMUTHS = 24
_TURNING = ("bar_angle", "bar_rate", "flap", "flap_rate")


class Averaged:
    """Averaged equations about a steady motion.

    State: free coordinates that do not turn (SI), then of each plane (a, b, a', b'), then of blades on their own hinges (coning, its rate).
    """

    def __init__(self, e: Equilibrium, azimuths: int = AZIMUTHS) -> None:
        map_ = e.map
        self.map = map_
        self.still: list[Coordinate] = [c for c in map_.coordinates if c.row not in _TURNING]
        self.psi = np.arange(azimuths) * 2.0 * math.pi / azimuths
        p = map_.numbers.params[0]
        nf = map_.nf
        # each plane: places of its angles in the state, azimuth of each against blade 1
        self.planes: list[tuple[list[int], list[int], Array]] = []
        if map_.find("bar_angle") >= 0:
            self.planes.append(
                ([int(layout.BAR_ANGLE)], [int(layout.BAR_RATE)], arm_azimuth([0.0], float(p["bar_lead"])))
            )
        self.cones = nf > 1 and map_.find("flap") >= 0
        if map_.find("flap") >= 0:
            angles = [int(layout.FLAP) + k for k in range(nf)]
            speeds = [int(layout.FLAP) + nf + k for k in range(nf)]
            self.planes.append((angles, speeds, blade_azimuth(0.0, np.arange(nf), nf)))
        self._work = rhs.work_array()
        self._out = np.empty(layout.state_size(nf))
        self.start = self._mean(e)

    def _mean(self, e: Equilibrium) -> Array:
        """Averaged state from the periodic motion: where the search for the averaged steady motion starts."""
        map_ = e.map
        y = e.state
        rows = []
        count = self.psi.size
        fine = map_.with_steps(count)
        for _ in range(count):
            rows.append(y.copy())
            fine.advance(y, 1)
        track = np.array(rows)
        scaled = np.array([map_.reduced(row) * map_.scale for row in track])
        number = [map_.coordinates.index(c) for c in self.still]
        x = list(scaled[:, number].mean(axis=0))
        for angles, _, offset in self.planes:
            at = self.psi[:, None] + offset
            tilt = track[:, angles]
            x += [2.0 * float(np.mean(tilt * np.cos(at))), 2.0 * float(np.mean(tilt * np.sin(at))), 0.0, 0.0]
        if self.cones:
            x += [float(track[:, self.planes[-1][0]].mean()), 0.0]
        return np.array(x)

    def rates(self, x: Array) -> Array:
        """Averaged rates of the averaged state, SI."""
        map_, n = self.map, len(self.still)
        value = dict(zip([(c.row, c.part) for c in self.still], x[:n], strict=True))
        speed = value.get(("rotor_speed", 0), float(map_.base[layout.ROTOR_SPEED]))
        scaled = np.array([value.get((c.row, c.part), 0.0) for c in map_.coordinates]) / map_.scale
        y = map_.full(scaled)
        planes = x[n : n + 4 * len(self.planes)].reshape(-1, 4)
        cone, cone_rate = (x[-2], x[-1]) if self.cones else (0.0, 0.0)
        total = np.zeros_like(x)
        for psi in self.psi:
            y[layout.ROTOR_AZIMUTH] = psi
            for k, ((angles, speeds, offset), (a, b, da, db)) in enumerate(zip(self.planes, planes, strict=True)):
                c, s = np.cos(psi + offset), np.sin(psi + offset)
                blades = self.cones and k == len(self.planes) - 1
                y[angles] = a * c + b * s + (cone if blades else 0.0)
                y[speeds] = (da + speed * b) * c + (db - speed * a) * s + (cone_rate if blades else 0.0)
            numbers = map_.numbers
            rhs.rhs_into(0.0, y, numbers.params, numbers.tables, numbers.gusts, self._work, self._out)
            rows = [self._still_rate(c, value) for c in self.still]
            faster = self._out[layout.ROTOR_SPEED]
            for (_, speeds, offset), (a, b, da, db) in zip(self.planes, planes, strict=True):
                c, s = np.cos(psi + offset), np.sin(psi + offset)
                accelerations = self._out[speeds]
                rows += [
                    da,
                    db,
                    2.0 * float(np.mean(accelerations * c)) - 2.0 * speed * db + speed**2 * a - faster * b,
                    2.0 * float(np.mean(accelerations * s)) + 2.0 * speed * da + speed**2 * b + faster * a,
                ]
            if self.cones:
                rows += [cone_rate, float(self._out[self.planes[-1][1]].mean())]
            total += rows
        return np.asarray(total / self.psi.size)

    def _still_rate(self, c: Coordinate, value: dict[tuple[str, int], float]) -> float:
        if c.index >= 0:
            return float(self._out[c.index])
        rate = [value.get(("rate_body", k), 0.0) for k in range(3)]
        return tilt_rates(value["roll", 0], value["pitch", 0], rate)[c.row == "pitch"]

    def exponents(self) -> Complex:
        """Exponents of the averaged equations about their own steady motion, fastest growing first [1/s]; nan if there is none."""
        found = root(self.rates, self.start, method="hybr", options={"xtol": 1e-12})
        if not np.abs(self.rates(found.x)).max() < 1e-5:
            return np.full(found.x.size, complex(math.nan, math.nan))
        n = found.x.size
        matrix = np.empty((n, n))
        for i in range(n):
            step = np.zeros(n)
            step[i] = 1e-6
            matrix[:, i] = (self.rates(found.x + step) - self.rates(found.x - step)) / 2e-6
        return growth(matrix)
