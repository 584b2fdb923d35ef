"""Conditions whose zero is an event: contact, tilt, run-down, stops, grip of the cord, release, cues, what breaks."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers
from paddlebar.flight import rhs
from paddlebar.flight.layout import (
    ATTITUDE,
    BAR_ANGLE,
    FLAP,
    POSITION,
    ROTOR_AZIMUTH,
    ROTOR_SPEED,
    SKEIN_SET,
    TAIL_ANGLE,
    TAIL_SPEED,
)
from paddlebar.physics import bodies
from paddlebar.physics.attitude import rotation
from paddlebar.physics.compiled import inner, jitted, outermost
from paddlebar.physics.cord import GRIPS, SLIPS
from paddlebar.physics.motor import TURN, motor_drive
from paddlebar.physics.vectors import Z, add, along, four, row, three, vec

(
    FLOOR,
    CEILING,
    WALL,
    TILT,
    RUN_DOWN,
    BAR_STOP,
    FLAP_STOP,
    CORD,
    RELEASE,
    TURNS,
    TAIL_RUN_DOWN,
    CLEAR,
    STRIKE,
    OVERLOAD,
) = range(14)
COUNT = 14
UPRIGHT, CUE, SLACK = range(3)  # places in the limits
LIMITS = 3

SCRAPE = 0.02  # [m] a craft that lifts off the floor may scrape it so deep, until it is so far clear; own choice
CREEP = 1e-6  # [rad/s] slip that counts as none, so that a cord that has just begun to slip does not stand at the zero that ends it; own choice

SLOW = 5.0  # [rad/s] a rotor that turns slower than that strikes nothing hard enough to count; own choice

Array = NDArray[np.float64]


@inner
def clearances(y, p):
    """Distances to what may be touched, of the craft's contact points and of the rotor's rim.

    y       : state;  p : parameters
    Returns : lowest and highest height above the floor, reach to the north or south and to the east or west [m]
    """
    attitude = rotation(four(y, ATTITUDE))
    place = three(y, POSITION)
    # rim of the rotor: a ring of radius R about the shaft reaches R sqrt(1 - n^2) along a direction with which the shaft makes cos n
    n, e, d = along(vec(p.shaft_axis), attitude)
    hub_n, hub_e, hub_d = add(place, along(vec(p.hub_place), attitude))
    reach = p.radius * math.sqrt(max(1.0 - d * d, 0.0))
    low = -hub_d - reach
    high = -hub_d + reach
    north = abs(hub_n) + p.radius * math.sqrt(max(1.0 - n * n, 0.0))
    east = abs(hub_e) + p.radius * math.sqrt(max(1.0 - e * e, 0.0))
    if p.bar_mass > 0.0:
        up = -hub_d - p.bar_height * d
        reach = p.bar_lump_x[p.bar_lumps - 1] * math.sqrt(max(1.0 - d * d, 0.0))
        low = min(low, up - reach)
        high = max(high, up + reach)
    for k in range(p.contacts):
        point_n, point_e, point_d = add(place, along(row(p.contact_place, k), attitude))
        low = min(low, -point_d)
        high = max(high, -point_d)
        north = max(north, abs(point_n))
        east = max(east, abs(point_e))
    return low, high, north, east


@jitted
def strike_room(y, p):
    """Least angle between where the blades pass and a part that they may meet [rad]; see craft/strikes.py.

    The blades' angle as they pass an azimuth, beta(psi) = coning + a0 + c cos psi + s sin psi, is taken from all of them at this moment,
    with their rates over the rotor's speed as derivatives by azimuth: exact for flapping once a turn, and smooth in time, so that no
    passing between two steps is missed.
    """
    speed = y[ROTOR_SPEED]
    if p.zones == 0 or p.flaps == 0 or speed < SLOW:
        return 1.0
    n = p.blades
    mean = 0.0
    mean_rate = 0.0
    for i in range(n):
        mean += p.flap_sign[i] * y[FLAP + p.flap_of_blade[i]] / n
        mean_rate += p.flap_sign[i] * y[FLAP + p.flaps + p.flap_of_blade[i]] / n
    c = 0.0
    s = 0.0
    for i in range(n):
        psi = y[ROTOR_AZIMUTH] + TURN * i / n
        flap = p.flap_sign[i] * y[FLAP + p.flap_of_blade[i]] - mean
        slope = (p.flap_sign[i] * y[FLAP + p.flaps + p.flap_of_blade[i]] - mean_rate) / speed
        c += (flap * math.cos(psi) - slope * math.sin(psi)) / n
        s += (flap * math.sin(psi) + slope * math.cos(psi)) / n
    room = math.inf
    for k in range(p.zones):
        passes = p.precone + mean + c * p.zone_cos[k] + s * p.zone_sin[k]
        room = min(room, p.zone_sense[k] * (passes - p.zone_limit[k]))
    return room


@outermost
def conditions_of(y, params, work, limits, out):
    """Write all conditions; each is positive before its event and falls through zero at it.

    y       : state;  params : as the right-hand side takes them
    work    : as the right-hand side has left it at this state; read only while a cord grips or the fuselage is held
    limits  : (LIMITS,) cosine of the tilt limit [1], turns of the next cue, -inf none [turns], slack below the floor [m]
    out     : (COUNT,) written
    """
    p = params[0]
    loads = work[bodies.DIAGNOSTIC]
    low, high, north, east = clearances(y, p)
    out[FLOOR] = low + limits[SLACK]
    out[CLEAR] = SCRAPE - low
    out[CEILING] = p.ceiling - high
    out[WALL] = min(p.wall_north - north, p.wall_east - east)
    _, _, down = rotation(four(y, ATTITUDE))
    out[TILT] = down[Z] - limits[UPRIGHT]
    turns = p.skein.turns - y[ROTOR_AZIMUTH] / TURN
    out[RUN_DOWN] = turns
    out[TURNS] = turns - limits[CUE]
    out[TAIL_RUN_DOWN] = p.tail_skein.turns - y[TAIL_ANGLE] / TURN
    out[BAR_STOP] = p.bar_stop - abs(y[BAR_ANGLE])
    out[FLAP_STOP] = 1.0
    for i in range(p.flaps):
        out[FLAP_STOP] = min(out[FLAP_STOP], p.flap_stop - abs(y[FLAP + i]))
    out[CORD] = 1.0
    if p.cord_mode == GRIPS:
        out[CORD] = p.cord_limit - abs(loads[rhs.CORD_DEMAND])
    elif p.cord_mode == SLIPS:
        out[CORD] = p.cord_sense * (p.cord_ratio * y[ROTOR_SPEED] - y[TAIL_SPEED]) + CREEP
    out[RELEASE] = loads[rhs.SUPPORT] if p.base_locked == 1 else 1.0
    out[STRIKE] = strike_room(y, p)
    out[OVERLOAD] = 1.0
    if p.break_torque > 0.0:
        torque, _ = motor_drive(p.skein, turns, y[SKEIN_SET])
        out[OVERLOAD] = p.break_torque - abs(torque)


@dataclass
class Conditions:
    """All conditions at a state, computed once for however many events ask.

    limits : (LIMITS,) see conditions_of()
    """

    numbers: Numbers
    limits: Array

    def __post_init__(self) -> None:
        self._work = rhs.work_array()
        self._scratch = np.empty(0)
        self._values = np.empty(COUNT)
        self._time = math.nan
        self._state: Array | None = None

    def at(self, t: float, y: Array) -> Array:
        """Values of all conditions, (COUNT,); valid until the next call."""
        if self._state is y and t == self._time:
            return self._values
        if self._scratch.size != y.size:
            self._scratch = np.empty_like(y)
        n = self.numbers
        p = n.params[0]
        if p["cord_mode"] == GRIPS or p["base_locked"] == 1:
            rhs.rhs_into(t, y, n.params, n.tables, n.gusts, self._work, self._scratch)
        conditions_of(y, n.params, self._work, self.limits, self._values)
        self._time, self._state = t, y
        return self._values

    def found(self, t: float, y: Array, values: Array) -> None:
        """Take values that were computed elsewhere, at time t [s] and at this very state."""
        self._values[:] = values
        self._time, self._state = t, y

    def event(self, which: int, terminal: bool) -> Callable[[float, Array], float]:
        """One of them as scipy wants it: falling only, so that a craft standing on the floor may start."""

        def condition(t: float, y: Array) -> float:
            return float(self.at(t, y)[which])

        condition.terminal = terminal  # type: ignore[attr-defined]
        condition.direction = -1.0  # type: ignore[attr-defined]
        return condition
