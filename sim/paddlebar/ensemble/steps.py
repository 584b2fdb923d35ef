"""Steps in compiled code: explicit Runge-Kutta of order 8 over the one right-hand side, with events and a tally, no Python between.

Method : one step is that of flight/dop853.py.
Events : a condition that fell below zero within a step is found by shortening that step until it is zero, so the state at an event is a
         full step of the method, not an interpolation.
"""

from __future__ import annotations

import math

import numpy as np

from paddlebar.flight import derive, events, layout, rhs
from paddlebar.flight.dop853 import LEAST, MOST, SAFETY, STAGES, error_of, look, take_step
from paddlebar.flight.own_loads import has_own
from paddlebar.flight.rates import rates_at
from paddlebar.physics.attitude import rotation
from paddlebar.physics.compiled import inner, jitted, unlocked
from paddlebar.physics.motor import TURN
from paddlebar.physics.vectors import dot, four, three

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


@jitted
def book(y, row, sudden, tally):
    """Take one more state, with its row of loads, into the tally; sudden : energy gone in sudden changes so far [J]."""
    tally[PEAK_HEIGHT] = max(tally[PEAK_HEIGHT], row[rhs.CG_HEIGHT])
    tally[MAX_TILT] = max(tally[MAX_TILT], row[derive.TILT])
    turn = row[derive.HEADING] - tally[HEADING]
    tally[TURNED] += turn - TURN * math.floor(turn / TURN + 0.5)
    tally[HEADING] = row[derive.HEADING]
    _, _, down = rotation(four(y, layout.ATTITUDE))
    tally[PEAK_SPIN] = max(tally[PEAK_SPIN], abs(dot(down, three(y, layout.RATE_BODY))))
    energy = row[derive.KINETIC] + row[rhs.POTENTIAL] + row[rhs.SPRING_ENERGY] + row[derive.STORED]
    for i in layout.WORKS:
        energy += y[i]
    if has_own(y.size):
        energy += y[y.size - 1]
    tally[MISSED] = max(tally[MISSED], abs(tally[ENERGY] - energy - sudden))
    tally[LET_OUT] = max(tally[LET_OUT], abs(tally[STORED] - row[derive.STORED]))


@inner
def lowest(before, after, watched):
    """Smallest of the conditions that were positive and are watched; its number, its value; number -1 if none was."""
    which = -1
    least = math.inf
    for e in watched:
        if before[e] > 0.0 and after[e] < least:
            which = e
            least = after[e]
    return which, least


@inner
def place_event(t, y, h, craft, watch, scratch, clock):
    """Shorten a step of h [s], after which a watched condition is below zero, until the least of them is at zero; its length [s] and which.

    The earliest zero is that of the least of them; false position (Illinois) with bisection where that is slow.
    """
    watched, _, limits, _ = watch
    _, _, _, _, before, after = scratch
    which, at_high_value = lowest(before, after, watched)
    at_low_value = before[which]
    low, high = 0.0, h
    side = 0
    for turn in range(100):
        if high - low <= _NEAR + 2e-15 * t:
            break
        h = high - (high - low) * at_high_value / (at_high_value - at_low_value)
        if turn % 4 == 3 or not low < h < high:
            h = 0.5 * (low + high)
        take_step(t, y, h, craft, scratch)
        look(t + h, craft, limits, scratch)
        clock[EVALUATIONS] += STAGES
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
        take_step(t, y, high, craft, scratch)
        look(t + high, craft, limits, scratch)
        clock[EVALUATIONS] += STAGES
    return high, which


@inner
def plan_next(error, h, wanted, grow, clock):
    """Write the next step to try after one of h [s] with this error, which passed; `wanted` was its length before it was cut short."""
    factor = MOST if error == 0.0 else SAFETY * error ** (0.2 * _MEMORY - 0.125) * clock[ERROR] ** _MEMORY
    clock[ERROR] = max(error, 1e-4)
    proposal = h * min(grow, max(LEAST, factor))
    # a step that was cut short tells nothing against the longer one
    clock[STEP] = proposal if h == wanted else max(proposal, wanted)


@inner
def settle(t, y, craft, sudden, scratch, record):
    """Make the state at the end of a step at t [s] the state, and take it into the tally and, where it is its turn, into the samples."""
    _, params, _, _ = craft
    work, k, trial, u, before, after = scratch
    row, clock, tally, every, kept = record
    n = y.size
    for i in range(n):
        y[i] = trial[i]
        k[0, i] = k[STAGES, i]
    for e in range(events.COUNT):
        before[e] = after[e]
    clock[TIME] = t
    clock[STEPS] += 1.0
    derive.row_of(y, params[0], work, u, row)
    book(y, row, sudden, tally)
    if every > 0 and clock[STEPS] % every == 0.0:
        where = int(clock[KEPT])
        kept[where, 0] = t
        for i in range(n):
            kept[where, 1 + i] = y[i]
        for i in range(kept.shape[1] - 1 - n):  # loads, where there is room for them
            kept[where, 1 + n + i] = row[i]
        clock[KEPT] += 1.0


@unlocked
def advance(stop, y, craft, watch, tolerance, scratch, record):
    """Step until `stop` [s], an event, a failure or CALL_STEPS steps; says which.

    y         : state, carried on in place
    craft     : as dop853.take_step() takes it
    watch     : conditions that are watched, integers; the one of them that stopped the last call and may still be exactly zero, -1 none;
                limits as events.conditions_of; energy gone in sudden changes so far [J]
    tolerance : relative and absolute, of every state; longest step [s]
    scratch   : work array; k (ROWS, size), trial (size,), unknowns (unknowns,), conditions before and after (events.COUNT,)
    record    : row (COLUMNS,) of loads at the state where it stops; clock, tally, see the names above; keep each so-manieth step, 0 none,
                in the last, (n, 1 + size + COLUMNS) time, state and loads, or the first two
    """
    rates, params, tables, gusts = craft
    watched, passed, limits, sudden = watch
    rtol, atol, max_step = tolerance
    work, k, trial, u, before, after = scratch
    row, clock, _, _, _ = record
    t = clock[TIME]
    rates_at(rates, t, y, params, tables, gusts, work, k[0])
    clock[EVALUATIONS] += 1.0
    events.conditions_of(y, params, work, limits, before)
    derive.row_of(y, params[0], work, u, row)
    grow = MOST
    tried = 0
    while tried < CALL_STEPS or grow < MOST:  # never between a step that was refused and the next, which must not grow
        tried += 1
        if t >= stop:
            return REACHED
        wanted = min(clock[STEP], max_step)
        h = min(wanted, stop - t)
        if h < 10.0 * abs(np.nextafter(t, math.inf) - t):
            if h < wanted:  # what is left is less than time can resolve
                clock[TIME] = stop
                return REACHED
            return STUCK
        take_step(t, y, h, craft, scratch)
        error = error_of(y, trial, h, k, rtol, atol)
        clock[EVALUATIONS] += STAGES
        if not error < 1.0:  # not a number counts as too large
            clock[REFUSED] += 1.0
            clock[STEP] = h * (max(LEAST, SAFETY * error**-0.125) if error < math.inf else LEAST)
            grow = 1.0
            continue
        plan_next(error, h, wanted, grow, clock)
        grow = MOST
        look(t + h, craft, limits, scratch)
        for e in watched:  # at its zero from the start and falling, such as a craft that stands and sinks
            if before[e] == 0.0 and after[e] < 0.0 and e != passed:
                return e
        passed = -1
        which, value = lowest(before, after, watched)
        if which >= 0 and value <= 0.0:
            h, which = place_event(t, y, h, craft, watch, scratch, clock)
        else:
            which = REACHED
        t = stop if h == stop - t else t + h
        settle(t, y, craft, sudden, scratch, record)
        if which >= 0:
            return which
    return PAUSED
