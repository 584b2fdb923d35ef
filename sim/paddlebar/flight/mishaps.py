"""Things that go wrong on cue, and other sudden changes; the flight goes on with what is left."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers, set_bar
from paddlebar.files.craft import Craft
from paddlebar.flight import derive, layout, rhs
from paddlebar.physics import bodies
from paddlebar.physics.cord import GRIPS, NO_CORD
from paddlebar.physics.motor import NONE

Array = NDArray[np.float64]

OILED = 0.1  # share of its grip that a slipping cord keeps; own choice


@dataclass
class Losses:
    """What the bar has lost so far: 1 there, 0 gone, for arm 1 and 2."""

    tips: list[float]
    paddles: list[float]


def velocities(y: Array, numbers: Numbers) -> Array:
    """Generalised velocities (MAX unknowns,) of a state: datum, body rate, shaft, bar, tail (zero while the cord grips), flapping."""
    p = numbers.params[0]
    nf = int(p["flaps"])
    u = np.zeros(bodies.FLAP + nf)
    derive.velocities_into(y, nf, bool(p["cord_mode"] == GRIPS), u)
    return u


def lock(y: Array, numbers: Numbers, unknowns: list[int]) -> Array:
    """State just after some coordinates have been stopped dead; the rest keeps its momentum, M_ff u+ = (M u)_f.

    Source : inelastic impact of a system with constraints, any dynamics textbook
    """
    p = numbers.params[0]
    nf = int(p["flaps"])
    work = rhs.work_array()
    rhs.rhs_into(0.0, y, numbers.params, numbers.tables, numbers.gusts, work, np.empty_like(y))
    n = bodies.FLAP + nf
    lower = np.tril(work[:n, :n])
    mass = lower + np.tril(lower, -1).T
    for k in unknowns:
        p["locked"][k] = 1
    free = [k for k in range(n) if not p["locked"][k] and not (p["base_locked"] and k < bodies.SHAFT)]
    momentum = mass @ velocities(y, numbers)
    u = np.zeros(n)
    u[free] = np.linalg.solve(mass[np.ix_(free, free)], momentum[free])
    after = y.copy()
    after[layout.VELOCITY_BODY : layout.VELOCITY_BODY + 3] = u[bodies.BASE : bodies.BASE_RATE]
    after[layout.RATE_BODY : layout.RATE_BODY + 3] = u[bodies.BASE_RATE : bodies.SHAFT]
    after[layout.ROTOR_SPEED] = u[bodies.SHAFT]
    after[layout.BAR_RATE] = u[bodies.BAR]
    after[layout.TAIL_SPEED] = p["cord_ratio"] * u[bodies.SHAFT] if p["cord_mode"] == GRIPS else u[bodies.TAIL]
    after[layout.FLAP + nf :] = u[bodies.FLAP :]
    return after


def set_cord(numbers: Numbers, mode: int, sense: float = 1.0) -> None:
    """Put the cord to NO_CORD, GRIPS or SLIPS (physics/cord.py)."""
    p = numbers.params[0]
    p["cord_mode"] = mode
    p["cord_sense"] = sense
    p["locked"][bodies.TAIL] = int(mode == GRIPS)


def strike(what: str, arm: int, y: Array, numbers: Numbers, craft: Craft, losses: Losses) -> tuple[Array, str]:
    """Let a mishap happen: parameters are changed, the state after it and a sentence come back."""
    p = numbers.params[0]
    if what in ("cord off", "cord slips"):
        if p["cord_mode"] == NO_CORD:
            return y, f"{what}: there is no cord on"
        if what == "cord off":
            set_cord(numbers, NO_CORD)
            return y, "the tail's cord came off"
        p["cord_limit"] *= OILED
        return y, f"the tail's cord lost its grip (to {OILED:.0%})"
    if what == "skein breaks":
        p["skein"]["kind"] = NONE
        return y, "the skein broke"
    if what in ("tip mass lost", "paddle lost"):
        kept = losses.tips if what == "tip mass lost" else losses.paddles
        kept[arm - 1] = 0.0
        set_bar(numbers.params, craft, (losses.tips[0], losses.tips[1]), (losses.paddles[0], losses.paddles[1]))
        return y, f"arm {arm} of the bar lost its {'tip mass' if what == 'tip mass lost' else 'paddle'}"
    if what == "bar locked":
        return lock(y, numbers, [bodies.BAR]), "the bar locked where it stood"
    return lock(y, numbers, list(range(bodies.FLAP, bodies.FLAP + int(p["flaps"])))), "the head locked where it stood"
