"""Rigid-body mechanics against equations that sympy derives from frames and points by Kane's method (reference/kane.py).

Each of 200 craft has random masses, places, axes, inertias with all their products, precone, delta-3, linkage gains, bar lead and
height, springs and dampers, and is at a random attitude with rates of tens of rad/s; both hands, cord on and off.

Tolerance: every unknown acceleration to 1e-9 of itself. Both sides solve the same linear system by other means; rounding (1e-16)
times the condition of the mass matrix (1e4 to 1e5, kilograms beside 1e-8 kg m^2) is 1e-11 at most; the rest is room for an unknown that
is small by cancellation. 9e-12 was the worst seen. A missing term shows as 1e-3 to 1.

Tried once on broken code: the sign of delta-3 (in the angle alone, and everywhere), the feathering share left out of the bar's
equation, the gyroscopic part of feathering, the bar's axes right-handed for either hand, the tail rotor's gyroscopic moment, the cord's
ratio left out, omega x J omega left out, one product's sign in the base; each failed here.
"""

from __future__ import annotations

import numpy as np
import pytest

from evidence import Recorder
from paddlebar.flight import layout
from reference import kane
from reference.still_craft import random_craft, random_state, rates

pytestmark = [
    pytest.mark.reference,
    pytest.mark.phenomenon("rigid bodies", source="12", why="solvers' tolerances and rounding, see the file"),
]

HEADS = [("teetering", 2, 100), ("flapping", 3, 50), ("rigid", 4, 25), ("flapping", 2, 25)]


@pytest.mark.parametrize(("head", "blades", "count"), HEADS)
def test_accelerations_are_those_of_kanes_method(evidence: Recorder, head: str, blades: int, count: int) -> None:
    """The test of the module's docstring for one kind of head; 200 craft in all."""
    worst = 0.0
    for k in range(count):
        rng = np.random.default_rng([11, blades, count, k])
        numbers = random_craft(rng, head, blades, hand=1.0 - 2.0 * (k % 2), cord=k % 4 > 1)
        p = numbers.params[0]
        nf = int(p["flaps"])
        at = layout.slices(nf)
        y = random_state(rng, nf, p)
        dy = rates(numbers, y)
        got = np.concatenate(
            [
                dy[at["velocity_body"]],
                dy[at["rate_body"]],
                dy[[layout.ROTOR_SPEED, layout.BAR_RATE, layout.TAIL_SPEED]],
                dy[at["flap_rate"]],
            ]
        )
        want = kane.accelerations(p, y)
        worst = max(worst, float(np.max(np.abs(got - want) / np.abs(want))))
    about = f"{count} craft by chance at random states, {head} head, {blades} blades, vacuum"
    evidence(
        "accelerations, worst share by which they differ from Kane's by sympy",
        worst,
        0.0,
        absolute=1e-9,
        conditions=about,
    )
