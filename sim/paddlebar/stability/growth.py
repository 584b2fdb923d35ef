"""Growth of disturbances along the run-down of one design, looked for from its own flight: cheap enough for hundreds of designs.

There may be several steady motions at one torque, and the steadiest counts, since that is where a craft stays if it comes there: the rule of
`map`. Looked for, cheap ones first, and no further once one is stable: next to that of the point before, next to where the design's own
flight stands with so many turns left, and from rest.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers
from paddlebar.errors import CannotTrim
from paddlebar.flight import layout
from paddlebar.stability.equilibrium import UPRIGHT_DEG, Equilibrium, Guess, equilibrium
from paddlebar.stability.return_map import ReturnMap, freeze

Array = NDArray[np.float64]


def growths(numbers: Numbers, shares: Sequence[float], samples: Array | None = None) -> list[float]:
    """Growth of the fastest growing disturbance of steady flight [1/s], nan where no steady motion was found.

    numbers : from craft.build;  shares : of the turns at launch, largest first
    samples : (n, 1 + state_size) time [s] and states of the design's own flight; None: always looked for from rest
    Source  : Floquet's theory on the one right-hand side, see stability/floquet.py
    """
    full = float(numbers.params[0]["skein"]["turns"])
    near: Equilibrium | None = None
    rates: list[float] = []
    for share in shares:
        map_ = ReturnMap(freeze(numbers, share * full))
        near, rate = _steadiest(map_, state_at(samples, (1.0 - share) * full), near)
        rates.append(rate)
    return rates


def state_at(samples: Array | None, unwound: float) -> Array | None:
    """The flight's state (state_size,) at azimuth nearest to zero once so many turns are unwound; None if it did not come so far."""
    if samples is None or len(samples) == 0:
        return None
    turned = (samples[:, 1 + layout.ROTOR_AZIMUTH] - samples[0, 1 + layout.ROTOR_AZIMUTH]) / (2.0 * math.pi)
    if turned[-1] < unwound + 1.0:
        return None
    next_one = np.flatnonzero((turned >= unwound) & (turned <= unwound + 1.0))
    if not next_one.size:
        return None
    azimuth = samples[next_one, 1 + layout.ROTOR_AZIMUTH] / (2.0 * math.pi)
    state: Array = samples[next_one[int(np.argmin(np.abs(azimuth - np.round(azimuth))))], 1:].copy()
    state[layout.POSITION : layout.POSITION + 3] = 0.0
    return state


def _steadiest(map_: ReturnMap, state: Array | None, before: Equilibrium | None) -> tuple[Equilibrium | None, float]:
    """Steady motion that counts and its growth; what was found before, and nan, where there is none."""
    found: list[tuple[float, Equilibrium]] = []
    # from rest takes ten times as long as from a place that is named
    for look in (lambda: before, lambda: _guess(map_, state), None):
        start = look() if look is not None else None
        if look is not None and (start is None or start.x.size != map_.size):
            continue
        try:
            e = equilibrium(map_, start)
        except CannotTrim:
            continue
        # sinking in its own wake only counts where it is all that there is
        if e.tilt_deg < UPRIGHT_DEG and (not e.in_own_wake or (look is None and not found)):
            found.append((e.growth, e))
            if found[-1][0] < 0.0:
                break
    if not found:
        return before, math.nan
    rate, e = min(found, key=lambda each: each[0])
    return e, rate


def _guess(map_: ReturnMap, state: Array | None) -> Guess | None:
    """A place to begin: a flight's state as if it repeated after a revolution."""
    if state is None:
        return None
    x = map_.reduced(state)
    return Guess(x) if np.isfinite(x).all() else None
