"""Steps in compiled code: explicit Runge-Kutta of order 8 over the one right-hand side, with events and a tally, no Python between.

Method : Dormand and Prince's 8(5,3), step control by its embedded errors; E. Hairer, S. P. Norsett, G. Wanner, Solving Ordinary
         Differential Equations I, 2nd ed. (1993), II.5 and II.10 (from memory). The coefficients are those of scipy.integrate.DOP853.
Events : a condition that fell below zero within a step is found by shortening that step until it is zero, so the state at an event is a
         full step of the method, not an interpolation.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit
from scipy.integrate import DOP853

from paddlebar.flight import derive, events, layout, rhs
from paddlebar.physics import bodies
from paddlebar.physics.attitude import rotation

_STAGES = 12
_FIVE, _THREE, ROWS = 13, 14, 15  # rows of `k` after the stages and the slope at the step's end: two error estimates
_A, _B, _C = np.ascontiguousarray(DOP853.A), np.ascontiguousarray(DOP853.B), np.ascontiguousarray(DOP853.C)
_E3, _E5 = np.ascontiguousarray(DOP853.E3[:_STAGES]), np.ascontiguousarray(DOP853.E5[:_STAGES])
_SAFETY, LEAST, _MOST = 0.9, 0.2, 10.0  # on the step's change, as in scipy
_MEMORY = 0.04  # share of the last error in the step control, as in Hairer's programs: fewer steps are tried in vain
_NEAR = 1e-12  # [s] an event is known so well
CALL_STEPS = 2048  # steps until Python may look at Ctrl-C, some 0.1 s

# what `advance` says
REACHED, STUCK, PAUSED = -1, -2, -3  # else the condition of events.py that fell through zero

# places in `clock`
TIME, STEP, ERROR, EVALUATIONS, STEPS, REFUSED, KEPT = range(7)
CLOCK = 7
# places in `tally`: largest and total values over all steps so far
PEAK_HEIGHT, MAX_TILT, TURNED, HEADING, PEAK_SPIN, MISSED, LET_OUT, ENERGY, STORED = range(9)
TALLY = 9


@njit(cache=True, error_model="numpy", nogil=True)
def take_step(t, y, h, params, tables, gusts, work, k, trial):
    """State after one step into `trial`; k (ROWS, size): k[0] is dy/dt at t, the other stages are written."""
    n = y.size
    for s in range(1, _STAGES + 1):
        for i in range(n):
            trial[i] = 0.0
        for j in range(s):
            a = _A[s, j] if s < _STAGES else _B[j]
            if a != 0.0:
                for i in range(n):
                    trial[i] += a * k[j, i]
        for i in range(n):
            trial[i] = y[i] + h * trial[i]
        if s < _STAGES:
            rhs.rhs_into(t + _C[s] * h, trial, params, tables, gusts, work, k[s])


@njit(cache=True, error_model="numpy", nogil=True)
def error_of(y, trial, h, k, rtol, atol):
    """Estimated error of a step over what is allowed [1]: the fifth- and third-order estimates joined as in the book above."""
    n = y.size
    e5 = k[_FIVE]
    e3 = k[_THREE]
    for i in range(n):
        e5[i] = 0.0
        e3[i] = 0.0
    for j in range(_STAGES):
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


@njit(cache=True, error_model="numpy", nogil=True)
def book(y, row, sudden, tally):
    """Take one more state, with its row of loads, into the tally; sudden : energy gone in sudden changes so far [J]."""
    tally[PEAK_HEIGHT] = max(tally[PEAK_HEIGHT], row[rhs.CG_HEIGHT])
    tally[MAX_TILT] = max(tally[MAX_TILT], row[derive.TILT])
    turn = row[derive.HEADING] - tally[HEADING]
    tally[TURNED] += turn - 2.0 * math.pi * math.floor(turn / (2.0 * math.pi) + 0.5)
    tally[HEADING] = row[derive.HEADING]
    r = rotation(y[layout.ATTITUDE], y[layout.ATTITUDE + 1], y[layout.ATTITUDE + 2], y[layout.ATTITUDE + 3])
    w = layout.RATE_BODY
    tally[PEAK_SPIN] = max(tally[PEAK_SPIN], abs(r[6] * y[w] + r[7] * y[w + 1] + r[8] * y[w + 2]))
    energy = row[derive.KINETIC] + row[rhs.POTENTIAL] + row[rhs.SPRING_ENERGY] + row[derive.STORED]
    for i in layout.WORKS:
        energy += y[i]
    tally[MISSED] = max(tally[MISSED], abs(tally[ENERGY] - energy - sudden))
    tally[LET_OUT] = max(tally[LET_OUT], abs(tally[STORED] - row[derive.STORED]))


@njit(cache=True, error_model="numpy", nogil=True)
def lowest(before, after, watched):
    """Smallest of the conditions that were positive and are watched; its number, its value; number -1 if none was."""
    which = -1
    least = math.inf
    for e in watched:
        if before[e] > 0.0 and after[e] < least:
            which = e
            least = after[e]
    return which, least


@njit(cache=True, error_model="numpy", nogil=True)
def advance(
    stop, max_step, every, y, params, tables, gusts, work, watched, passed, limits, sudden, rtol, atol, k, trial, u, before, after, row, clock, tally, kept
):  # fmt: skip
    """Step until `stop` [s], an event, a failure or CALL_STEPS steps; says which.

    every             : keep each so-manieth step in `kept`, 0 none
    y                 : state, carried on in place
    params ... work   : as rhs_into;  limits : as events.conditions_of;  watched : conditions, integers
    passed            : the one of them that stopped the last call and may still be exactly zero, -1 none
    rtol, atol        : of every state
    k, trial, u       : (ROWS, size), (size,), (unknowns,) scratch;  before, after : (events.COUNT,) scratch
    row               : (COLUMNS,) loads at the state where it stops
    clock, tally      : see the names above;  kept : (n, 1 + size + COLUMNS) time, state and loads, or the first two
    """
    p = params[0]
    n = y.size
    t = clock[TIME]
    rhs.rhs_into(t, y, params, tables, gusts, work, k[0])
    clock[EVALUATIONS] += 1.0
    events.conditions_of(y, p, work[bodies.DIAGNOSTIC], limits, before)
    derive.row_of(y, p, work, u, row)
    grow = _MOST
    for _ in range(CALL_STEPS):
        if t >= stop:
            return REACHED
        wanted = min(clock[STEP], max_step)
        h = min(wanted, stop - t)
        if h < 10.0 * abs(np.nextafter(t, math.inf) - t):
            if h < wanted:  # what is left is less than time can resolve
                clock[TIME] = stop
                return REACHED
            return STUCK
        take_step(t, y, h, params, tables, gusts, work, k, trial)
        error = error_of(y, trial, h, k, rtol, atol)
        clock[EVALUATIONS] += _STAGES
        if not error < 1.0:  # not a number counts as too large
            clock[REFUSED] += 1.0
            clock[STEP] = h * (max(LEAST, _SAFETY * error**-0.125) if error < math.inf else LEAST)
            grow = 1.0
            continue
        factor = _MOST if error == 0.0 else _SAFETY * error ** (0.2 * _MEMORY - 0.125) * clock[ERROR] ** _MEMORY
        clock[ERROR] = max(error, 1e-4)
        proposal = h * min(grow, max(LEAST, factor))
        # a step that was cut short tells nothing against the longer one
        clock[STEP] = proposal if h == wanted else max(proposal, wanted)
        grow = _MOST
        rhs.rhs_into(t + h, trial, params, tables, gusts, work, k[_STAGES])
        events.conditions_of(trial, p, work[bodies.DIAGNOSTIC], limits, after)
        for e in watched:  # at its zero from the start and falling, such as a craft that stands and sinks
            if before[e] == 0.0 and after[e] < 0.0 and e != passed:
                return e
        passed = -1
        which, value = lowest(before, after, watched)
        if which >= 0 and value <= 0.0:
            # the earliest zero is that of the least of them; false position (Illinois) with bisection where that is slow
            low, high = 0.0, h
            at_low_value = before[which]
            at_high_value = value
            side = 0
            for turn in range(100):
                if high - low <= _NEAR + 2e-15 * t:
                    break
                h = high - (high - low) * at_high_value / (at_high_value - at_low_value)
                if turn % 4 == 3 or not low < h < high:
                    h = 0.5 * (low + high)
                take_step(t, y, h, params, tables, gusts, work, k, trial)
                rhs.rhs_into(t + h, trial, params, tables, gusts, work, k[_STAGES])
                clock[EVALUATIONS] += _STAGES
                events.conditions_of(trial, p, work[bodies.DIAGNOSTIC], limits, after)
                found, value = lowest(before, after, watched)
                if value <= 0.0:
                    high, at_high_value, which = h, value, found
                    if side == 1:
                        at_low_value *= 0.5
                    side = 1
                else:
                    low, at_low_value = h, value
                    if side == -1:
                        at_high_value *= 0.5
                    side = -1
            if h != high:
                h = high
                take_step(t, y, h, params, tables, gusts, work, k, trial)
                rhs.rhs_into(t + h, trial, params, tables, gusts, work, k[_STAGES])
                clock[EVALUATIONS] += _STAGES
                events.conditions_of(trial, p, work[bodies.DIAGNOSTIC], limits, after)
        else:
            which = REACHED
        t = stop if h == stop - t else t + h
        for i in range(n):
            y[i] = trial[i]
            k[0, i] = k[_STAGES, i]
        for e in range(events.COUNT):
            before[e] = after[e]
        clock[TIME] = t
        clock[STEPS] += 1.0
        derive.row_of(y, p, work, u, row)
        book(y, row, sudden, tally)
        if every > 0 and clock[STEPS] % every == 0.0:
            where = int(clock[KEPT])
            kept[where, 0] = t
            for i in range(n):
                kept[where, 1 + i] = y[i]
            for i in range(kept.shape[1] - 1 - n):  # loads, where there is room for them
                kept[where, 1 + n + i] = row[i]
            clock[KEPT] += 1.0
        if which >= 0:
            return which
    return PAUSED
