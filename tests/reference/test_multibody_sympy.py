"""Rigid-body mechanics against equations that sympy derives from frames and points (reference/kane.py)."""

from __future__ import annotations

import numpy as np
import pytest

from paddlebar.flight import layout
from reference import kane
from reference.still_craft import random_craft, random_state, rates

HEADS = [("teetering", 2, 100), ("flapping", 3, 50), ("rigid", 4, 25), ("flapping", 2, 25)]


@pytest.mark.parametrize(("head", "blades", "count"), HEADS)
def test_accelerations_are_those_of_kanes_method(head: str, blades: int, count: int) -> None:
    """200 random craft at random states."""
    worst = 0.0
    for k in range(count):
        rng = np.random.default_rng([11, blades, count, k])
        numbers = random_craft(rng, head, blades, hand=1.0 - 2.0 * (k % 2), cord=k % 4 > 1)
        p = numbers.params[0]
        nf = int(p["flaps"])
        at = layout.slices(nf)
        y = random_state(rng, nf, p)
        dy = rates(numbers, y)
        got = np.concatenate([dy[at["velocity_body"]], dy[at["rate_body"]], dy[[layout.ROTOR_SPEED, layout.BAR_RATE, layout.TAIL_SPEED]], dy[at["flap_rate"]]])
        want = kane.accelerations(p, y)
        worst = max(worst, float(np.max(np.abs(got - want) / np.abs(want))))
    print(head, worst)
    assert worst < 1e-9
