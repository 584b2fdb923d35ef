"""A step of Dormand and Prince's method in compiled code, for scipy's solver of that name and for the many flights of an ensemble.

Method : explicit Runge-Kutta 8(5,3), step control by its embedded errors; E. Hairer, S. P. Norsett, G. Wanner, Solving Ordinary
         Differential Equations I, 2nd ed. (1993), II.5 and II.10 (from memory). The coefficients are those of scipy.integrate.DOP853.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import DOP853

from paddlebar.craft.build import Numbers
from paddlebar.flight import events, rhs
from paddlebar.flight.rates import address_of, rates_at
from paddlebar.physics import bodies
from paddlebar.physics.compiled import outermost, part

Array = NDArray[np.float64]

STAGES = 12
_FIVE, _THREE, ROWS = 13, 14, 15  # rows of `k` after the stages and the slope at the step's end: two error estimates
_A, _B, _C = np.ascontiguousarray(DOP853.A), np.ascontiguousarray(DOP853.B), np.ascontiguousarray(DOP853.C)
_E3, _E5 = np.ascontiguousarray(DOP853.E3[:STAGES]), np.ascontiguousarray(DOP853.E5[:STAGES])
SAFETY, LEAST, MOST = 0.9, 0.2, 10.0  # on the step's change, as in scipy


@part
def take_step(t, y, h, craft, scratch):
    """State after one step of h [s] into `trial`; the stages of `k` are written, k[0] is dy/dt at t.

    craft : address of the right-hand side, parameters, section tables, gusts;  scratch : work, k (ROWS, size), trial (size,), unknowns (unknowns,), conditions before, after
    """
    rates, params, tables, gusts = craft
    work, k, trial, _, _, _ = scratch
    n = y.size
    for s in range(1, STAGES + 1):
        for i in range(n):
            trial[i] = 0.0
        for j in range(s):
            a = _A[s, j] if s < STAGES else _B[j]
            if a != 0.0:
                for i in range(n):
                    trial[i] += a * k[j, i]
        for i in range(n):
            trial[i] = y[i] + h * trial[i]
        if s < STAGES:
            rates_at(rates, t + _C[s] * h, trial, params, tables, gusts, work, k[s])


@part
def look(t, craft, limits, scratch):
    """Slope and conditions at the end of a step, at t [s] and `trial`, into k[STAGES] and `after`."""
    rates, params, tables, gusts = craft
    work, k, trial, _, _, after = scratch
    rates_at(rates, t, trial, params, tables, gusts, work, k[STAGES])
    events.conditions_of(trial, params, work, limits, after)


@part
def error_of(y, trial, h, k, rtol, atol):
    """Estimated error of a step over what is allowed [1]: the fifth- and third-order estimates joined as in the book above."""
    n = y.size
    e5 = k[_FIVE]
    e3 = k[_THREE]
    for i in range(n):
        e5[i] = 0.0
        e3[i] = 0.0
    for j in range(STAGES):
        a = _E5[j]
        b = _E3[j]
        for i in range(n):
            e5[i] += a * k[j, i]
            e3[i] += b * k[j, i]
    five = 0.0
    three = 0.0
    for i in range(n):
        scale = atol[i] + max(abs(y[i]), abs(trial[i])) * rtol[i]
        five += (e5[i] / scale) ** 2
        three += (e3[i] / scale) ** 2
    if five == 0.0 and three == 0.0:
        return 0.0
    return abs(h) * five / math.sqrt((five + 0.01 * three) * n)


@outermost
def step_of_scipy(t, y, h_abs, bound, shortest, craft, limits, tolerance, scratch):
    """One step forward as scipy.integrate.DOP853 makes it: tried, shortened until its error is small enough, the next one planned.

    y         : state at t [s], not touched;  h_abs : length to try;  bound : where to stop at the latest;  shortest : that time can resolve [s]
    craft     : as take_step() takes it;  limits : as events.conditions_of;  tolerance : relative and absolute, of every state
    scratch   : as take_step() and look() take it; k[0] is dy/dt at t; state, slope and conditions at the end of the step are left there
    Returns   : time after the step [s], nan where the step became too short; its length; length to try next; time that was looked at last [s];
                steps tried in vain
    """
    rtol, atol = tolerance
    _, k, trial, _, _, _ = scratch
    refused = 0
    end = t
    while h_abs >= shortest:
        end = min(t + h_abs, bound)
        h = end - t
        h_abs = h
        take_step(t, y, h, craft, scratch)
        error = error_of(y, trial, h, k, rtol, atol)
        if error < 1.0:
            look(end, craft, limits, scratch)
            factor = MOST if error == 0.0 else min(MOST, SAFETY * error**-0.125)
            return end, h, h_abs * (min(1.0, factor) if refused > 0 else factor), end, refused
        h_abs *= max(LEAST, SAFETY * error**-0.125) if error < math.inf else LEAST  # not a number counts as too large
        refused += 1
    return math.nan, 0.0, h_abs, end, refused


class CompiledDOP853(DOP853):  # type: ignore[misc]
    """scipy's DOP853, its step in compiled code; dense output, events and step control are scipy's.

    `_step_impl` is what scipy documents for solvers of one's own (scipy.integrate.OdeSolver). The conditions at the end of a step come with
    it, so that nobody computes them again.

    numbers, conditions : what flies, and what is watched (events.Conditions);  rates : told what time was looked at last
    """

    t: float
    y: Array
    f: Array
    h_abs: float
    in_vain: int

    def __init__(
        self, fun: Any, t0: float, y0: Array, t_bound: float, *, numbers: Numbers, conditions: events.Conditions, rates: Any, **options: Any
    ) -> None:  # fmt: skip
        super().__init__(fun, t0, y0, t_bound, **options)
        self._craft = address_of(numbers), numbers.params, numbers.tables, numbers.gusts
        self._conditions, self._rates = conditions, rates
        unknowns = bodies.FLAP + int(numbers.params[0]["flaps"])
        self._scratch = (
            rhs.work_array(),
            self.K_extended,
            np.empty(self.n),
            np.empty(unknowns),
            *np.empty((2, events.COUNT)),
        )
        self._tolerance = np.broadcast_to(self.rtol, self.n).copy(), np.broadcast_to(self.atol, self.n).copy()
        self.in_vain = 0

    def _step_impl(self) -> tuple[bool, str | None]:
        t, y = self.t, self.y
        shortest = 10.0 * abs(np.nextafter(t, math.inf) - t)
        h_abs = min(max(self.h_abs, shortest), self.max_step)
        self.K_extended[0] = self.f
        end, h, h_next, self._rates.asked, refused = step_of_scipy(
            t, y, h_abs, self.t_bound, shortest, self._craft, self._conditions.limits, self._tolerance, self._scratch
        )
        done = not math.isnan(end)
        self.nfev += (STAGES - 1) * (refused + done) + done
        self.in_vain += refused
        if not done:
            return False, self.TOO_SMALL_STEP
        _, k, trial, _, _, after = self._scratch
        self.h_previous, self.y_old = h, y
        self.t, self.y, self.f, self.h_abs = end, trial.copy(), k[STAGES].copy(), h_next
        self._conditions.found(end, self.y, after)
        return True, None
