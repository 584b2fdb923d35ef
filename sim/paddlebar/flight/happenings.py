"""What an event changes: each condition of events.py has its row in ACTS; and what happens at a moment that was set."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, Final

import numpy as np

from paddlebar.flight import events, launch, layout, mishaps, rhs
from paddlebar.flight.breakage import PASSED, Broken
from paddlebar.flight.endings import Ending
from paddlebar.flight.judgement import touch_down
from paddlebar.flight.motion import down_and_spin
from paddlebar.flight.not_used import not_used
from paddlebar.flight.stretch import Hit
from paddlebar.flight.track import Flying, Track
from paddlebar.physics import bodies
from paddlebar.physics.cord import GRIPS, SLIPS

Act = Callable[
    [Flying, Hit, list[Any]], Track | None
]  # the flight so far, the event, cues to come; the track if the flight is over
SHORTEST: Final = 1e-9  # [s] two cues nearer than that are one


def happen(flying: Flying, hits: list[Hit], cues: list[Any]) -> Track | None:
    """Note what happened in the last stretch, change what it changes; the track if the flight is over."""
    for hit in hits:
        ended = ACTS[hit.which](flying, hit, cues)
        if ended is not None:
            return ended
    if flying.in_hand and flying.time >= flying.scenario.launch.hold_s - SHORTEST:
        ended = _release(flying, "let go")
        if ended is not None:
            return ended
    for mishap in [m for m in cues if m.at_s is not None and m.at_s <= flying.time + SHORTEST]:
        _befall(flying, mishap)
        cues.remove(mishap)
    return None


def begin(flying: Flying) -> Track | None:
    """What stands before the first step: what broke in winding, a launch past the tilt limit; the track if the flight is over."""
    for name, says in not_used(flying.scenario):
        flying.note(name, 0.0, says)
    torque = float(flying.last[rhs.SKEIN_TORQUE])
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
    return _let_go(flying) if flying.scenario.launch.release == "free" else None


def _tips(flying: Flying, hit: Hit, _: list[Any]) -> Track | None:
    flying.tipped = True
    sentence = Ending.TIPPED.says(limit=flying.scenario.run.tilt_limit_deg, t=hit.time)
    flying.note("tipped over", hit.time, sentence)
    return flying.track(Ending.TIPPED, sentence) if hit.terminal else None


def _runs_down(flying: Flying, hit: Hit, _: list[Any]) -> None:
    flying.note("run down", hit.time, "the skein ran down")
    if hit.terminal:
        _lock(flying, bodies.SHAFT)
        flying.note("shaft locked", flying.time, "the run-out skein held the shaft")


def _tail_runs_down(flying: Flying, hit: Hit, _: list[Any]) -> None:
    flying.note("tail run down", hit.time, "the tail's own skein ran down")
    if hit.terminal:
        _lock(flying, bodies.TAIL)
        flying.note("tail locked", flying.time, "the tail's run-out skein held the tail rotor")


def _reaches_stop(flying: Flying, hit: Hit, _: list[Any]) -> None:
    what = "bar" if hit.which == events.BAR_STOP else "blades"
    if not flying.noted(f"{what} at stop"):
        flying.note(f"{what} at stop", hit.time, f"the {what} struck the stop (first time)")


def _touches(flying: Flying, hit: Hit, _: list[Any]) -> Track:
    """Floor, ceiling or wall: what was touched, when, how fast, and on the floor whether it landed."""
    ending = {events.FLOOR: Ending.FLOOR, events.CEILING: Ending.CEILING, events.WALL: Ending.WALL}[hit.which]
    velocity = hit.state[layout.VELOCITY_BODY : layout.VELOCITY_BODY + 3]
    lean = math.radians(flying.tilt_deg)
    sentence = ending.says(t=hit.time, speed=float(np.linalg.norm(velocity)), tilt=math.degrees(lean))
    names = {Ending.CEILING: "touched ceiling", Ending.WALL: "touched wall"}
    down, _spin = down_and_spin(
        hit.state[None, layout.ATTITUDE : layout.ATTITUDE + 4], velocity[None, :], velocity[None, :]
    )
    flying.note(names.get(ending) or touch_down(lean, -float(down[0])).value, hit.time, sentence)
    return flying.track(ending, sentence)


def _cord_changes(flying: Flying, hit: Hit, _: list[Any]) -> None:
    """The demand has just reached the grip: the cord slips in the sense of the demand; or the slip has just ended."""
    p = flying.numbers.params[0]
    if p["cord_mode"] == GRIPS:
        mishaps.set_cord(flying.numbers, SLIPS, math.copysign(1.0, float(flying.last[rhs.CORD_DEMAND])))
        flying.note("cord slips", flying.time, f"the tail's cord began to slip at {1e3 * p['cord_limit']:.2f} mN m")
    else:
        mishaps.set_cord(flying.numbers, GRIPS)
        flying.state[layout.TAIL_SPEED] = p["cord_ratio"] * flying.state[layout.ROTOR_SPEED]
        flying.note("cord grips", hit.time, "the tail's cord grips again")


def _blade_strikes(flying: Flying, hit: Hit, _: list[Any]) -> Track | None:
    return None if flying.noted(PASSED) else _break(flying, flying.breakage.struck(hit.state), hit.time)


def _bears_too_much(flying: Flying, _: Hit, __: list[Any]) -> Track | None:
    for broken in flying.breakage.under(float(flying.last[rhs.SKEIN_TORQUE])):
        ended = _break(flying, broken)
        if ended is not None:
            return ended
    return None


def _is_clear(flying: Flying, _: Hit, __: list[Any]) -> None:
    flying.scraping = False


def _lifts_off(flying: Flying, _: Hit, __: list[Any]) -> Track | None:
    flying.scraping = True
    return _release(flying, "lifted off the floor")


def _reaches_turns(flying: Flying, _: Hit, cues: list[Any]) -> None:
    left = flying.last[rhs.TURNS_LEFT]
    for mishap in [m for m in cues if m.at_turns is not None and left <= m.at_turns + 1e-6]:
        _befall(flying, mishap)
        cues.remove(mishap)


ACTS: Final[dict[int, Act]] = {
    events.FLOOR: _touches,
    events.CEILING: _touches,
    events.WALL: _touches,
    events.TILT: _tips,
    events.RUN_DOWN: _runs_down,
    events.TAIL_RUN_DOWN: _tail_runs_down,
    events.BAR_STOP: _reaches_stop,
    events.FLAP_STOP: _reaches_stop,
    events.CORD: _cord_changes,
    events.RELEASE: _lifts_off,
    events.TURNS: _reaches_turns,
    events.CLEAR: _is_clear,
    events.STRIKE: _blade_strikes,
    events.OVERLOAD: _bears_too_much,
}


def _break(flying: Flying, broken: Broken, time: float | None = None) -> Track | None:
    """Note what broke, or would, now or at a time; the track if that ends the flight."""
    flying.note(broken.name, flying.time if time is None else time, broken.sentence)
    if not broken.ends:
        return None
    return flying.track(Ending.BROKE, Ending.BROKE.says(t=flying.time, what=broken.sentence))


def _let_go(flying: Flying) -> Track | None:
    """A craft let go past the tilt limit can no longer pass it: it counts as tipped over from that moment."""
    run = flying.scenario.run
    tilt = flying.tilt_deg
    if run.tilt_limit_deg >= 180.0 or tilt <= run.tilt_limit_deg:
        return None
    flying.tipped = True
    says = Ending.BEYOND.says(tilt=tilt, limit=run.tilt_limit_deg)
    flying.note("tipped over", flying.time, says)
    return flying.track(Ending.BEYOND, says) if run.after_tipping == "stop" else None


def _release(flying: Flying, how: str) -> Track | None:
    with flying.suddenly():
        flying.numbers.params[0]["base_locked"] = 0
        launch.push(flying.scenario, flying.state)
    flying.note("release", flying.time, how)
    return _let_go(flying)


def _lock(flying: Flying, shaft: int) -> None:
    """A run-out skein holds its shaft (an unknown of physics/bodies.py) from now on."""
    with flying.suddenly():
        flying.state = mishaps.lock(flying.state, flying.numbers, [shaft])


def _befall(flying: Flying, mishap: Any) -> None:
    with flying.suddenly():
        flying.state, sentence = mishaps.strike(
            mishap.what, mishap.arm, flying.state, flying.numbers, flying.scenario.craft, flying.losses
        )
    flying.note(mishap.what, flying.time, sentence)
