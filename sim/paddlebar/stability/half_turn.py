"""Whether a craft is its own image after half a turn of its rotor: opposite blades alike, both tips of the bar alike.

What such a craft does from the image of a state is the image of what it does from the state. A steady motion then repeats itself after
half a turn, blades and tips having changed places, and half a turn says all that a whole one does.
Source  : geometry
Checked : tests/stability/test_half_turn.py
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers
from paddlebar.flight import layout, rhs

Array = NDArray[np.float64]

# [rad] size of the angles of bar and blades at the states that are asked: within all stops, and beyond
_BENT = (0.1, 1.0)
_SPEED = 80.0  # [rad/s] of the rotor there
_ALIKE = 1e-10  # rates that differ by less, over the largest of their row, differ by rounding


def image(nf: int) -> tuple[NDArray[np.intp], Array]:
    """Where each entry of the image of a state (state_size,) comes from, and its sign: what bar and blades did, those opposite do.

    nf : flapping coordinates, one (a seesaw) or an even number
    """
    at = layout.slices(nf)
    order, sign = np.arange(layout.state_size(nf)), np.ones(layout.state_size(nf))
    sign[[layout.BAR_ANGLE, layout.BAR_RATE]] = -1.0
    for row in ("flap", "flap_rate"):
        order[at[row]] = np.roll(order[at[row]], nf // 2)
        sign[at[row]] = -1.0 if nf == 1 else 1.0
    return order, sign


def is_its_image(numbers: Numbers) -> bool:
    """Asked of the right-hand side, at two states by chance and their images: no list of what must be alike can forget anything."""
    nf = int(numbers.params[0]["flaps"])
    if nf > 1 and nf % 2:
        return False
    order, sign = image(nf)
    at = layout.slices(nf)
    work, rng = rhs.work_array(), np.random.default_rng(1)
    for bent in _BENT:
        y = rng.normal(size=order.size)
        y[at["attitude"]] /= np.linalg.norm(y[at["attitude"]])
        y[at["bar_angle"]] *= bent
        y[at["flap"]] *= bent
        y[layout.ROTOR_SPEED] = _SPEED
        opposite = y[order] * sign
        opposite[layout.ROTOR_AZIMUTH] += math.pi
        rates, there = np.empty_like(y), np.empty_like(y)
        rhs.rhs_into(0.0, y, numbers.params, numbers.tables, numbers.gusts, work, rates)
        rhs.rhs_into(0.0, opposite, numbers.params, numbers.tables, numbers.gusts, work, there)
        apart = np.abs(rates[order] * sign - there)
        if not all(apart[row].max(initial=0.0) <= _ALIKE * np.abs(there[row]).max(initial=0.0) for row in at.values()):
            return False
    return True
