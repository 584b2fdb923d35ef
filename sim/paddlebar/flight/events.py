"""Conditions whose zero is an event: contact, tilt, run-down, stops, grip of the cord, release, cues, what breaks."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numba import njit
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
from paddlebar.physics.motor import motor_drive

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

SCRAPE = 0.02  # [m] a craft that lifts off the floor may scrape it so deep, until it is so far clear; own choice
CREEP = 1e-6  # [rad/s] slip that counts as none, so that a cord that has just begun to slip does not stand at the zero that ends it; own choice

SLOW = 5.0  # [rad/s] a rotor that turns slower than that strikes nothing hard enough to count; own choice

Array = NDArray[np.float64]


@njit(cache=True, error_model="numpy")
def clearances(y, p):
    """Distances to what may be touched, of the craft's contact points and of the rotor's rim.

    y       : state;  p : parameters
    Returns : lowest and highest height above the floor, reach to the north or south and to the east or west [m]
    """
    r00, r01, r02, r10, r11, r12, r20, r21, r22 = rotation(
        y[ATTITUDE], y[ATTITUDE + 1], y[ATTITUDE + 2], y[ATTITUDE + 3]
    )
    h = p.hub_place
    a = p.shaft_axis
    # rim of the rotor: a ring of radius R about the shaft reaches R sqrt(1 - n^2) along a direction with which the shaft makes cos n
    n = r00 * a[0] + r01 * a[1] + r02 * a[2]
    e = r10 * a[0] + r11 * a[1] + r12 * a[2]
    d = r20 * a[0] + r21 * a[1] + r22 * a[2]
    hub_n = y[POSITION] + r00 * h[0] + r01 * h[1] + r02 * h[2]
    hub_e = y[POSITION + 1] + r10 * h[0] + r11 * h[1] + r12 * h[2]
    hub_d = y[POSITION + 2] + r20 * h[0] + r21 * h[1] + r22 * h[2]
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
        c = p.contact_place[k]
        up = -(y[POSITION + 2] + r20 * c[0] + r21 * c[1] + r22 * c[2])
        low = min(low, up)
        high = max(high, up)
        north = max(north, abs(y[POSITION] + r00 * c[0] + r01 * c[1] + r02 * c[2]))
        east = max(east, abs(y[POSITION + 1] + r10 * c[0] + r11 * c[1] + r12 * c[2]))
    return low, high, north, east


@njit(cache=True, error_model="numpy")
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
        psi = y[ROTOR_AZIMUTH] + 2.0 * math.pi * i / n
        flap = p.flap_sign[i] * y[FLAP + p.flap_of_blade[i]] - mean
        slope = (p.flap_sign[i] * y[FLAP + p.flaps + p.flap_of_blade[i]] - mean_rate) / speed
        c += (flap * math.cos(psi) - slope * math.sin(psi)) / n
        s += (flap * math.sin(psi) + slope * math.cos(psi)) / n
    room = math.inf
    for k in range(p.zones):
        passes = p.precone + mean + c * p.zone_cos[k] + s * p.zone_sin[k]
        room = min(room, p.zone_sense[k] * (passes - p.zone_limit[k]))
    return room


@njit(cache=True, error_model="numpy")
def conditions_of(y, p, loads, limits, out):
    """Write all conditions; each is positive before its event and falls through zero at it.

    loads   : diagnostic row of the right-hand side at this state; read only while a cord grips or the fuselage is held
    limits  : (3,) cosine of the tilt limit [1], turns of the next cue, -inf none [turns], slack below the floor [m]
    out     : (COUNT,) written
    """
    low, high, north, east = clearances(y, p)
    out[FLOOR] = low + limits[2]
    out[CLEAR] = SCRAPE - low
    out[CEILING] = p.ceiling - high
    out[WALL] = min(p.wall_north - north, p.wall_east - east)
    r = rotation(y[ATTITUDE], y[ATTITUDE + 1], y[ATTITUDE + 2], y[ATTITUDE + 3])
    out[TILT] = r[8] - limits[0]
    turns = p.skein.turns - y[ROTOR_AZIMUTH] / (2.0 * math.pi)
    out[RUN_DOWN] = turns
    out[TURNS] = turns - limits[1]
    out[TAIL_RUN_DOWN] = p.tail_skein.turns - y[TAIL_ANGLE] / (2.0 * math.pi)
    out[BAR_STOP] = p.bar_stop - abs(y[BAR_ANGLE])
    out[FLAP_STOP] = 1.0
    for i in range(p.flaps):
        out[FLAP_STOP] = min(out[FLAP_STOP], p.flap_stop - abs(y[FLAP + i]))
    out[CORD] = 1.0
    if p.cord_mode == 1:
        out[CORD] = p.cord_limit - abs(loads[rhs.CORD_DEMAND])
    elif p.cord_mode == 2:
        out[CORD] = p.cord_sense * (p.cord_ratio * y[ROTOR_SPEED] - y[TAIL_SPEED]) + CREEP
    out[RELEASE] = loads[rhs.SUPPORT] if p.base_locked == 1 else 1.0
    out[STRIKE] = strike_room(y, p)
    out[OVERLOAD] = 1.0
    if p.break_torque > 0.0:
        out[OVERLOAD] = p.break_torque - abs(motor_drive(p.skein, turns, y[SKEIN_SET])[0])


@njit(cache=True, error_model="numpy")
def conditions(t, y, params, tables, gusts, work, scratch, limits, out):
    """Write all conditions at a state that nobody has evaluated yet; scratch: like y, the rest as conditions_of and rhs_into."""
    p = params[0]
    if p.cord_mode == 1 or p.base_locked == 1:
        rhs.rhs_into(t, y, params, tables, gusts, work, scratch)
    conditions_of(y, p, work[bodies.DIAGNOSTIC], limits, out)


@dataclass
class Conditions:
    """All conditions at a state, computed once for however many events ask.

    limits : (3,) see conditions()
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
        conditions(t, y, n.params, n.tables, n.gusts, self._work, self._scratch, self.limits, self._values)
        self._time, self._state = t, y
        return self._values

    def event(self, which: int, terminal: bool) -> Callable[[float, Array], float]:
        """One of them as scipy wants it: falling only, so that a craft standing on the floor may start."""

        def condition(t: float, y: Array) -> float:
            return float(self.at(t, y)[which])

        condition.terminal = terminal  # type: ignore[attr-defined]
        condition.direction = -1.0  # type: ignore[attr-defined]
        return condition
