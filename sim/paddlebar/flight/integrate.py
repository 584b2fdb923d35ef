"""Through time: from one change of the equations to the next. What bridges the time between is a stepper (stretch.py), what happens at
its end changes the craft (happenings.py), what was flown is kept in track.py."""

from __future__ import annotations

import math
from collections import deque
from typing import Any

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers
from paddlebar.files.scenario import Scenario
from paddlebar.flight import derive, events, happenings, launch, layout, mishaps, rhs
from paddlebar.flight.breakage import BLADE, PASSED, Breakage
from paddlebar.flight.endings import Ending
from paddlebar.flight.stretch import NewStepper, ScipyStepper, Stretch
from paddlebar.flight.track import Flying, Track
from paddlebar.physics import bodies
from paddlebar.physics.cord import GRIPS, NO_CORD, SLIPS
from paddlebar.physics.motor import NONE

Array = NDArray[np.float64]

# More switches in so short a time never end: each undoes the one before. A cord that sticks and slips in step with the rotor, or with a bearing
# that shakes it, switches some hundred times a second.
MOST_SWITCHES, WITHIN_S = 400, 0.02


def fly_track(scenario: Scenario, numbers: Numbers, new_stepper: NewStepper = ScipyStepper) -> Track:
    """Integrate a scenario until it ends.

    scenario, numbers : description and its parameters (changed on the way by mishaps)
    new_stepper       : makes what bridges the time between two changes of the equations, see stretch.py
    Returns           : Track, also of a flight that failed numerically (ending.failed)
    Raises            : BadInput if the craft starts inside floor, ceiling or wall
    """
    flying = Flying(scenario, numbers, Breakage(scenario, numbers), state=launch.state(scenario, numbers))
    run = scenario.run
    limits = np.zeros(events.LIMITS)
    limits[events.UPRIGHT], limits[events.CUE] = math.cos(math.radians(run.tilt_limit_deg)), -math.inf
    cues = list(scenario.mishap)
    _check_start(scenario, numbers, flying.state, limits)
    stepper = new_stepper(numbers, run)
    start = np.array([0.0]), flying.state[None, :].copy()
    flying.keep(*start, derive.derived(*start, numbers))
    ended = happenings.begin(flying)
    if ended is not None:
        return ended
    switched: deque[float] = deque(maxlen=MOST_SWITCHES)
    while len(switched) < MOST_SWITCHES or flying.time - switched[0] > WITHIN_S:
        switched.append(flying.time)
        _settle_modes(flying)
        stop, limits[events.CUE] = _next_cue(scenario, flying, cues)
        limits[events.SLACK] = events.SCRAPE if flying.scraping else 0.0
        flown = stepper.stretch(
            flying.time,
            flying.state,
            stop,
            watched=_events_to_watch(scenario, flying),
            limits=limits,
            sudden=flying.gone,
        )
        flying.count(flown)
        flying.keep(flown.times, flown.states, flown.loads)
        flying.time, flying.state = float(flown.times[-1]), flown.states[-1].copy()
        if flown.message:
            return _failed(flying, flown)
        ended = happenings.happen(flying, flown.hits, cues)
        if ended is not None:
            return ended
        if flying.time >= run.duration_s - happenings.SHORTEST:
            return _time_up(flying)
    return flying.track(Ending.CHATTER, Ending.CHATTER.says(t=flying.time, limit=MOST_SWITCHES, within=WITHIN_S))


def _time_up(flying: Flying) -> Track:
    if flying.held:
        ending = Ending.STANDS if flying.scenario.launch.release == "floor" else Ending.HELD
        return flying.track(ending, ending.says(t=flying.time))
    height = float(flying.last[rhs.CG_HEIGHT])
    return flying.track(Ending.TIME, Ending.TIME.says(t=flying.time, height=height, tilt=flying.tilt_deg))


def _check_start(scenario: Scenario, numbers: Numbers, y: Array, limits: Array) -> None:
    values = events.Conditions(numbers, limits).at(0.0, y)
    if values[events.FLOOR] < -1e-6:
        raise scenario.bad(
            "launch.height_m",
            f"at this height the lowest point is {-1e3 * values[events.FLOOR]:.0f} mm below the floor; raise it, found {scenario.launch.height_m:g}",
        )
    if values[events.CEILING] <= 0.0:
        raise scenario.bad(
            "launch.height_m",
            f"the highest point is above the ceiling ({scenario.room.ceiling_m:g} m), found {scenario.launch.height_m:g}",
        )
    if values[events.WALL] <= 0.0:
        raise scenario.bad("room.width_m", "the craft does not fit between the walls")


def _settle_modes(flying: Flying) -> None:
    """Let a cord slip at once if it is asked for more than it grips."""
    numbers = flying.numbers
    p = numbers.params[0]
    if p["cord_mode"] != GRIPS:
        return
    work = rhs.work_array()
    rhs.rhs_into(
        flying.time, flying.state, numbers.params, numbers.tables, numbers.gusts, work, np.empty_like(flying.state)
    )
    demand = float(work[bodies.DIAGNOSTIC, rhs.CORD_DEMAND])
    if abs(demand) > p["cord_limit"]:
        mishaps.set_cord(numbers, SLIPS, math.copysign(1.0, demand))
        flying.note(
            "cord slips",
            flying.time,
            f"the tail's cord began to slip: asked for {1e3 * abs(demand):.2f} mN m, grips {1e3 * p['cord_limit']:.2f}",
        )


def _next_cue(scenario: Scenario, flying: Flying, cues: list[Any]) -> tuple[float, float]:
    """Time at which the next stretch must stop, and turns of the next cue counted in turns."""
    stop = scenario.run.duration_s
    if flying.in_hand:
        stop = min(stop, max(scenario.launch.hold_s, flying.time))
    stop = min([stop, *(max(m.at_s, flying.time) for m in cues if m.at_s is not None)])
    if stop <= flying.time:
        stop = flying.time + happenings.SHORTEST
    return stop, max((m.at_turns for m in cues if m.at_turns is not None), default=-math.inf)


def _events_to_watch(scenario: Scenario, flying: Flying) -> list[tuple[int, bool]]:
    p = flying.numbers.params[0]
    run = scenario.run
    asked = [(events.TURNS, True)]
    if not flying.held:  # what is held in place can touch nothing, and may stand on the floor exactly
        asked.append((events.FLOOR, True))
        if math.isfinite(p["ceiling"]):
            asked.append((events.CEILING, True))
        if math.isfinite(p["wall_north"]) or math.isfinite(p["wall_east"]):
            asked.append((events.WALL, True))
        if run.tilt_limit_deg < 180.0:
            asked.append((events.TILT, run.after_tipping == "stop"))
    if flying.scraping:
        asked.append((events.CLEAR, True))
    if not p["locked"][bodies.SHAFT]:  # a shaft held for good uses up no more turns
        asked.append((events.RUN_DOWN, bool(p["skein"]["locks"])))
    if p["tail_skein"]["kind"] != NONE and not p["locked"][bodies.TAIL]:
        asked.append((events.TAIL_RUN_DOWN, bool(p["tail_skein"]["locks"])))
    if p["bar_mass"] > 0.0 and not flying.noted("bar at stop"):
        asked.append((events.BAR_STOP, False))
    if p["flaps"] and not flying.noted("blades at stop"):
        asked.append((events.FLAP_STOP, False))
    if p["cord_mode"] != NO_CORD:
        asked.append((events.CORD, True))
    if p["zones"] and not flying.noted(BLADE, PASSED):
        asked.append((events.STRIKE, run.breakage))
    if p["break_torque"] > 0.0:
        asked.append((events.OVERLOAD, True))
    if flying.held and scenario.launch.release == "floor":
        asked.append((events.RELEASE, True))
    return asked


def _failed(flying: Flying, flown: Stretch) -> Track:
    """The track up to a numerical failure, naming the state that went wrong."""
    nf, own = int(flying.numbers.params[0]["flaps"]), flying.numbers.pushed
    rate = _rate(flying, flying.time, flying.state)
    seen = rate
    if np.isfinite(rate).all():
        # what the solver met where it last looked decides, not the last state that was well
        seen = _rate(flying, flown.tried, flying.state + (flown.tried - flying.time) * rate)
    if flown.spoilt is not None and np.isfinite(seen).all():
        seen = flown.spoilt
    well = bool(np.isfinite(seen).all())
    ending = Ending.STUCK if well else Ending.NOT_FINITE
    place = np.argmax(np.abs(seen) / layout.scales(nf, own)) if well else np.argmin(np.isfinite(seen))
    row = layout.name_of(int(place), nf, own)
    sentence = ending.says(t=flying.time, state=row.long_name, unit=row.unit)
    flying.note("failed", flying.time, sentence)
    return flying.track(ending, sentence, flown.message, row)


def _rate(flying: Flying, time: float, state: Array) -> Array:
    n = flying.numbers
    return np.asarray(rhs.rhs(time, state, n.params, n.tables, n.gusts, rhs.work_array()))
