"""Loads and energies along a flight, from the states that the solver kept and the one right-hand side."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers
from paddlebar.flight import rhs
from paddlebar.flight.events import clearances
from paddlebar.flight.layout import (
    ATTITUDE,
    BAR_ANGLE,
    BAR_RATE,
    FLAP,
    RATE_BODY,
    ROTOR_AZIMUTH,
    ROTOR_SPEED,
    TAIL_ANGLE,
    TAIL_SPEED,
    VELOCITY_BODY,
)
from paddlebar.flight.rates import address_of, rates_at
from paddlebar.physics import bodies, skein
from paddlebar.physics.attitude import rotation
from paddlebar.physics.compiled import inner, jitted, outermost, source_of
from paddlebar.physics.cord import GRIPS
from paddlebar.physics.linkage import feathering as linked
from paddlebar.physics.motor import TURN, motor_stored
from paddlebar.physics.vectors import X, Z, four, put, three

KINETIC, STORED, LOWEST, TILT, HEADING, PULL = range(rhs.LOADS, rhs.LOADS + 6)
COLUMNS = rhs.LOADS + 6

Array = NDArray[np.float64]
_feathering = source_of(linked)  # plain Python takes whole arrays


@inner
def stored_energy(p, azimuth, tail_angle):
    """Energy in both skeins, under their middle curves [J]."""
    left = p.skein.turns - azimuth / TURN
    tail_left = p.tail_skein.turns - tail_angle / TURN
    return motor_stored(p.skein, left) + motor_stored(p.tail_skein, tail_left)


@jitted
def velocities_into(y, flaps, gripping, u):
    """Write the generalised velocities of a state: datum and body rate in body axes, shaft, bar, tail, flapping [m/s, rad/s].

    gripping : True while the cord grips: the tail's speed is then the shaft's, and counted there
    u        : (unknowns,) written
    """
    put(u, bodies.BASE, three(y, VELOCITY_BODY))
    put(u, bodies.BASE_RATE, three(y, RATE_BODY))
    u[bodies.SHAFT] = y[ROTOR_SPEED]
    u[bodies.BAR] = y[BAR_RATE]
    u[bodies.TAIL] = 0.0 if gripping else y[TAIL_SPEED]
    for j in range(flaps):
        u[bodies.FLAP + j] = y[FLAP + flaps + j]


@inner
def row_of(y, p, work, u, out):
    """Fill a row of loads from the work array that the right-hand side has just left at this state.

    u : (unknowns,) scratch;  out : (COLUMNS,), columns named here and in rhs.py
    """
    flaps = p.flaps
    n = bodies.FLAP + flaps
    for j in range(rhs.LOADS):
        out[j] = work[bodies.DIAGNOSTIC, j]
    velocities_into(y, flaps, p.cord_mode == GRIPS, u)
    out[KINETIC] = bodies.kinetic_energy(work, n, u)
    out[STORED] = stored_energy(p, y[ROTOR_AZIMUTH], y[TAIL_ANGLE])
    out[LOWEST], _, _, _ = clearances(y, p)
    north, east, down = rotation(four(y, ATTITUDE))
    out[TILT] = math.acos(min(1.0, max(-1.0, down[Z])))
    out[HEADING] = math.atan2(east[X], north[X])
    out[PULL] = skein.pull(work[bodies.DIAGNOSTIC, rhs.SKEIN_TORQUE], p.skein.section)


@outermost
def derive_into(rates, times, states, params, tables, gusts, work, scratch, u, out):
    """Fill one row of `out` for each state.

    rates : address of the right-hand side;  times, states : (n,), (n, state_size);  u : (unknowns,) scratch;  out : (n, COLUMNS), columns named here and in rhs.py
    """
    p = params[0]
    for k in range(times.size):
        rates_at(rates, times[k], states[k], params, tables, gusts, work, scratch)
        row_of(states[k], p, work, u, out[k])


def derived(times: Array, states: Array, numbers: Numbers) -> Array:
    """Loads and energies at each state, (n, COLUMNS), SI.

    states : (n, state_size), in any order in memory: solve_ivp's `y.T` lies across.
    """
    times, states = (np.ascontiguousarray(each, dtype=float) for each in (times, states))
    out = np.empty((times.size, COLUMNS))
    unknowns = bodies.FLAP + int(numbers.params[0]["flaps"])
    scratch = np.empty(states.shape[1])
    derive_into(
        address_of(numbers),
        times,
        states,
        numbers.params,
        numbers.tables,
        numbers.gusts,
        rhs.work_array(),
        scratch,
        np.empty(unknowns),
        out,
    )
    return out


def mechanical_energy(row: Array) -> float:
    """Kinetic, potential, spring and skein energy of one row of derived() [J]."""
    return float(row[KINETIC] + row[rhs.POTENTIAL] + row[rhs.SPRING_ENERGY] + row[STORED])


def feathering(states: Array, numbers: Numbers) -> Array:
    """Pitch of each blade at 75 % radius: built in, from the bar, from flapping; (n, blades) [rad]."""
    p = numbers.params[0]
    blades, nf, n = int(p["blades"]), int(p["flaps"]), int(p["elements"])
    x = p["el_x"][:n] + p["hinge_offset"]
    built_in = float(np.interp(0.75 * p["radius"], x, p["el_pitch"][:n]))
    out = np.empty((states.shape[0], blades))
    for i in range(blades):
        which = int(p["flap_of_blade"][i])
        flap = p["flap_sign"][i] * states[:, FLAP + which] if which >= 0 and nf else 0.0
        out[:, i] = (
            built_in
            + p["blade_pitch"][i]
            + _feathering(p["feather_share"][i], states[:, BAR_ANGLE], p["flap_coupling"], flap)
        )
    return out
