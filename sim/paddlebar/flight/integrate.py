"""Through time: from one change of the equations to the next, and what each changes; a stepper (stretch.py) bridges the time between."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers
from paddlebar.files.scenario import Scenario
from paddlebar.flight import derive, events, launch, layout, mishaps, rhs
from paddlebar.flight.breakage import Breakage, Broken
from paddlebar.flight.endings import Ending
from paddlebar.flight.judgement import touch_down
from paddlebar.flight.motion import down_and_spin
from paddlebar.flight.stretch import Hit, NewStepper, ScipyStepper, Stretch
from paddlebar.flight.track import Flying, Track
from paddlebar.physics import bodies
from paddlebar.physics.motor import NONE

Array = NDArray[np.float64]

MOST_SEGMENTS = 400
_SHORTEST = 1e-9  # [s] two cues nearer than that are one


def fly_track(scenario: Scenario, numbers: Numbers, new_stepper: NewStepper = ScipyStepper) -> Track:
    """Integrate a scenario until it ends.

    scenario, numbers : description and its parameters (changed on the way by mishaps)
    new_stepper       : makes what bridges the time between two changes of the equations, see stretch.py
    Returns           : Track, also of a flight that failed numerically (ending.failed)
    Raises            : BadInput if the craft starts inside floor, ceiling or wall
    """
    flying = Flying(scenario, numbers, Breakage(scenario, numbers), state=launch.state(scenario, numbers))
    run = scenario.run
    limits = np.array([math.cos(math.radians(run.tilt_limit_deg)), -math.inf, 0.0])
    cues = list(scenario.mishap)
    _check_start(scenario, numbers, flying.state, limits)
    stepper = new_stepper(numbers, run)
    start = np.array([0.0]), flying.state[None, :].copy()
    flying.keep(*start, derive.derived(*start, numbers))
    ended = _begin(flying)
    if ended is not None:
        return ended
    for _ in range(MOST_SEGMENTS):
        _settle_modes(flying)
        stop, limits[1] = _next_cue(scenario, flying, cues)
        limits[2] = events.SCRAPE if flying.scraping else 0.0
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
        ended = _act(flying, flown.hits, cues)
        if ended is not None:
            return ended
        if flying.time >= run.duration_s - _SHORTEST:
            return _time_up(flying)
    return flying.track(Ending.CHATTER, Ending.CHATTER.says(t=flying.time, limit=MOST_SEGMENTS))


def _begin(flying: Flying) -> Track | None:
    """What stands before the first step: what broke in winding, a launch past the tilt limit; the track if the flight is over."""
    launch_ = flying.scenario.launch
    if launch_.release == "floor" and launch_.hold_s > 0.0:
        says = (
            f'launch.hold_s ({launch_.hold_s:g} s) is not used: with release = "floor" the craft stands until it lifts'
        )
        flying.note("hold_s not used", 0.0, says)
    torque = float(flying.loads[-1][-1, rhs.SKEIN_TORQUE])
    for broken in flying.breakage.at_launch(torque):
        ended = _break(flying, broken)
        if ended is not None:
            return ended
    if flying.breakage.touches(
        flying.state
    ):  # thrown with its blades so far down that a part stands in their way already
        ended = _break(flying, flying.breakage.struck(flying.state))
        if ended is not None:
            return ended
    return _let_go(flying) if launch_.release == "free" else None


def _time_up(flying: Flying) -> Track:
    if flying.numbers.params[0]["base_locked"]:
        ending = Ending.STANDS if flying.scenario.launch.release == "floor" else Ending.HELD
        return flying.track(ending, ending.says(t=flying.time))
    last = flying.loads[-1][-1]
    tilt = math.degrees(float(last[derive.TILT]))
    return flying.track(Ending.TIME, Ending.TIME.says(t=flying.time, height=float(last[rhs.CG_HEIGHT]), tilt=tilt))


def _break(flying: Flying, broken: Broken, time: float | None = None) -> Track | None:
    """Note what broke, or would, now or at a time; the track if that ends the flight."""
    flying.note(broken.name, flying.time if time is None else time, broken.sentence)
    if not broken.ends:
        return None
    return flying.track(Ending.BROKE, Ending.BROKE.says(t=flying.time, what=broken.sentence))


def _let_go(flying: Flying) -> Track | None:
    """A craft let go past the tilt limit can no longer pass it: it counts as tipped over from that moment."""
    run = flying.scenario.run
    tilt = math.degrees(float(flying.loads[-1][-1, derive.TILT]))
    if run.tilt_limit_deg >= 180.0 or tilt <= run.tilt_limit_deg:
        return None
    flying.tipped = True
    says = Ending.BEYOND.says(tilt=tilt, limit=run.tilt_limit_deg)
    flying.note("tipped over", flying.time, says)
    return flying.track(Ending.BEYOND, says) if run.after_tipping == "stop" else None


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
    if p["cord_mode"] != 1:
        return
    work = rhs.work_array()
    rhs.rhs_into(
        flying.time, flying.state, numbers.params, numbers.tables, numbers.gusts, work, np.empty_like(flying.state)
    )
    demand = float(work[bodies.DIAGNOSTIC, rhs.CORD_DEMAND])
    if abs(demand) > p["cord_limit"]:
        mishaps.set_cord(numbers, 2, math.copysign(1.0, demand))
        flying.note(
            "cord slips",
            flying.time,
            f"the tail's cord began to slip: asked for {1e3 * abs(demand):.2f} mN m, grips {1e3 * p['cord_limit']:.2f}",
        )


def _next_cue(scenario: Scenario, flying: Flying, cues: list[Any]) -> tuple[float, float]:
    """Time at which the next stretch must stop, and turns of the next cue counted in turns."""
    stop = scenario.run.duration_s
    if _in_hand(flying):
        stop = min(stop, max(scenario.launch.hold_s, flying.time))
    stop = min([stop, *(max(m.at_s, flying.time) for m in cues if m.at_s is not None)])
    if stop <= flying.time:
        stop = flying.time + _SHORTEST
    return stop, max((m.at_turns for m in cues if m.at_turns is not None), default=-math.inf)


def _in_hand(flying: Flying) -> bool:
    """Held, and to be let go at a time."""
    launch_ = flying.scenario.launch
    return bool(flying.numbers.params[0]["base_locked"]) and launch_.release == "held" and launch_.hold_s > 0.0


def _events_to_watch(scenario: Scenario, flying: Flying) -> list[tuple[int, bool]]:
    p = flying.numbers.params[0]
    run = scenario.run
    asked = [(events.TURNS, True)]
    if not p["base_locked"]:  # what is held in place can touch nothing, and may stand on the floor exactly
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
    noted = {e.name for e in flying.events}
    if p["bar_mass"] > 0.0 and "bar at stop" not in noted:
        asked.append((events.BAR_STOP, False))
    if p["flaps"] and "blades at stop" not in noted:
        asked.append((events.FLAP_STOP, False))
    if p["cord_mode"] != 0:
        asked.append((events.CORD, True))
    if p["zones"] and not noted & {"blade struck", "blade passed through a part"}:
        asked.append((events.STRIKE, run.breakage))
    if p["break_torque"] > 0.0:
        asked.append((events.OVERLOAD, True))
    if p["base_locked"] and scenario.launch.release == "floor":
        asked.append((events.RELEASE, True))
    return asked


def _act(flying: Flying, hits: list[Hit], cues: list[Any]) -> Track | None:
    """Note what happened in the last stretch, change what it changes; the track if the flight is over."""
    p = flying.numbers.params[0]
    scenario = flying.scenario
    for t, which, terminal, y in hits:
        if which == events.TILT:
            flying.tipped = True
            sentence = Ending.TIPPED.says(limit=scenario.run.tilt_limit_deg, t=t)
            flying.note("tipped over", t, sentence)
            if terminal:
                return flying.track(Ending.TIPPED, sentence)
        elif which == events.RUN_DOWN:
            flying.note("run down", t, "the skein ran down")
            if terminal:
                _lock(flying, bodies.SHAFT)
                flying.note("shaft locked", flying.time, "the run-out skein held the shaft")
        elif which == events.TAIL_RUN_DOWN:
            flying.note("tail run down", t, "the tail's own skein ran down")
            if terminal:
                _lock(flying, bodies.TAIL)
                flying.note("tail locked", flying.time, "the tail's run-out skein held the tail rotor")
        elif which in (events.BAR_STOP, events.FLAP_STOP):
            what = "bar" if which == events.BAR_STOP else "blades"
            if not any(e.name == f"{what} at stop" for e in flying.events):
                flying.note(f"{what} at stop", t, f"the {what} struck the stop (first time)")
        elif which in (events.FLOOR, events.CEILING, events.WALL):
            return _touch(flying, t, which, y)
        elif which == events.CORD:
            if p["cord_mode"] == 1:
                _settle_at_limit(flying)
            else:
                mishaps.set_cord(flying.numbers, 1)
                flying.state[layout.TAIL_SPEED] = p["cord_ratio"] * flying.state[layout.ROTOR_SPEED]
                flying.note("cord grips", t, "the tail's cord grips again")
        elif which == events.STRIKE:
            if not any(e.name == "blade passed through a part" for e in flying.events):
                ended = _break(flying, flying.breakage.struck(y), t)
                if ended is not None:
                    return ended
        elif which == events.OVERLOAD:
            for broken in flying.breakage.under(float(flying.loads[-1][-1, rhs.SKEIN_TORQUE])):
                ended = _break(flying, broken)
                if ended is not None:
                    return ended
        elif which == events.CLEAR:
            flying.scraping = False
        elif which == events.RELEASE:
            flying.scraping = True
            ended = _release(flying, "lifted off the floor")
            if ended is not None:
                return ended
        elif which == events.TURNS:
            for m in [
                m for m in cues if m.at_turns is not None and flying.loads[-1][-1, rhs.TURNS_LEFT] <= m.at_turns + 1e-6
            ]:
                _strike(flying, m)
                cues.remove(m)
    if _in_hand(flying) and flying.time >= scenario.launch.hold_s - _SHORTEST:
        ended = _release(flying, "let go")
        if ended is not None:
            return ended
    for m in [m for m in cues if m.at_s is not None and m.at_s <= flying.time + _SHORTEST]:
        _strike(flying, m)
        cues.remove(m)
    return None


def _touch(flying: Flying, t: float, which: int, y: Array) -> Track:
    """Floor, ceiling or wall: what was touched, when, how fast, and on the floor whether it landed."""
    ending = {events.FLOOR: Ending.FLOOR, events.CEILING: Ending.CEILING, events.WALL: Ending.WALL}[which]
    velocity = y[layout.VELOCITY_BODY : layout.VELOCITY_BODY + 3]
    lean = float(flying.loads[-1][-1, derive.TILT])
    sentence = ending.says(t=t, speed=float(np.linalg.norm(velocity)), tilt=math.degrees(lean))
    names = {Ending.CEILING: "touched ceiling", Ending.WALL: "touched wall"}
    down, _ = down_and_spin(y[None, layout.ATTITUDE : layout.ATTITUDE + 4], velocity[None, :], velocity[None, :])
    flying.note(names.get(ending) or touch_down(lean, -float(down[0])).value, t, sentence)
    return flying.track(ending, sentence)


def _settle_at_limit(flying: Flying) -> None:
    """The demand has just reached the grip: let the cord slip in the sense of the demand."""
    p = flying.numbers.params[0]
    demand = float(flying.loads[-1][-1, rhs.CORD_DEMAND])
    mishaps.set_cord(flying.numbers, 2, math.copysign(1.0, demand))
    flying.note("cord slips", flying.time, f"the tail's cord began to slip at {1e3 * p['cord_limit']:.2f} mN m")


def _release(flying: Flying, how: str) -> Track | None:
    before = flying.energy()
    flying.numbers.params[0]["base_locked"] = 0
    launch.push(flying.scenario, flying.state)
    flying.gone += before - flying.energy()
    flying.note("release", flying.time, how)
    return _let_go(flying)


def _lock(flying: Flying, shaft: int) -> None:
    """A run-out skein holds its shaft (an unknown of physics/bodies.py) from now on."""
    before = flying.energy()
    flying.state = mishaps.lock(flying.state, flying.numbers, [shaft])
    flying.gone += before - flying.energy()


def _strike(flying: Flying, mishap: Any) -> None:
    before = flying.energy()
    flying.state, sentence = mishaps.strike(
        mishap.what, mishap.arm, flying.state, flying.numbers, flying.scenario.craft, flying.losses
    )
    flying.gone += before - flying.energy()
    flying.note(mishap.what, flying.time, sentence)


def _failed(flying: Flying, flown: Stretch) -> Track:
    """The track up to a numerical failure, naming the state that went wrong."""
    nf = int(flying.numbers.params[0]["flaps"])
    rate = _rate(flying, flying.time, flying.state)
    seen = rate
    if np.isfinite(rate).all():
        # what the solver met where it last looked decides, not the last state that was well
        seen = _rate(flying, flown.tried, flying.state + (flown.tried - flying.time) * rate)
    if flown.spoilt is not None and np.isfinite(seen).all():
        seen = flown.spoilt
    well = bool(np.isfinite(seen).all())
    ending = Ending.STUCK if well else Ending.NOT_FINITE
    place = np.argmax(np.abs(seen) / layout.scales(nf)) if well else np.argmin(np.isfinite(seen))
    row = layout.name_of(int(place), nf)
    sentence = ending.says(t=flying.time, state=row.long_name, unit=row.unit)
    flying.note("failed", flying.time, sentence)
    return flying.track(ending, sentence, flown.message, row)


def _rate(flying: Flying, time: float, state: Array) -> Array:
    n = flying.numbers
    return np.asarray(rhs.rhs(time, state, n.params, n.tables, n.gusts, rhs.work_array()))
