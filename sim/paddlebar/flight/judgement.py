"""How a flight went: one judgement of plain arrays, used by every verb.

Outcome, how long the craft was in control, what went wrong and from when on, and a graded figure for searches. A pure function: it knows no
solver, no file and no picture, so that a flight of scipy's, one of the compiled steps and one from a run file are judged alike.

In control means: lean under 30 deg, spin under 180 deg/s, off its stops. What ends control is a loss that LASTS. Lean and spin are means over
a fifth of a second, about one turn of a light rotor, so that the shaking within a turn counts for nothing; a loss lasts from half a second on
(three turns: a gust or a wobble that is over sooner was caught, which is what control is), or when the flight ends in it. A stop is another matter: the touch itself is over in
milliseconds, so touches less than a quarter of a second apart, one each turn, are one stretch, and only a stretch of half a second is a loss: a bar
that hammers its stop turn after turn no longer follows the body, one that knocked it once still does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.flight.endings import Ending, Outcome
from paddlebar.flight.stretches import LASTING, Stretch, means, stretches

Array = NDArray[np.float64]

DEG: Final = np.pi / 180.0
# Design: upright, in control, lost. What lies between "in control" and "lost" is told by a fault, not by the outcome.
LEAN, SPIN = (
    30.0 * DEG,
    180.0 * DEG,
)  # [rad], [rad/s] in control below both; a craft that touches the floor within LEAN stands
OVER, WHIRL = 45.0 * DEG, 360.0 * DEG  # [rad], [rad/s] past either when the time is up: out of control
SOFT = 2.0  # [m/s] downwards: from here on the floor is hit hard
LEFT_SHARE = 0.25  # of the turns: a craft that comes down with more has not flown them; own choice
WRONG_SHARE = 0.05  # of the rotor's torque: a tail that pushes less does not matter either way; own choice
SLIP = 1.0  # [rad/s] of the tail shaft against its cord: less is the solver's; own choice


@dataclass(frozen=True, kw_only=True, eq=False)
class Motion:
    """A flight as plain arrays, n samples, SI, and the few numbers of the craft that judging needs.

    time (n) [s], rising;  lean (n) from upright [rad];  spin (n) over the ground, nose to the right positive [rad/s];  climb (n) up [m/s]
    rotor_speed, tail_speed (n) of the shafts [rad/s];  lift (n) thrust over weight [1];  turns_left (n)
    bar_over, blades_over (n) : how far past their stops [rad], negative while clear of them
    tail_push (n)  : moment of the tail's thrust about the vertical, with the rotor's reaction positive [N m];  rotor_torque (n) [N m]
    limit          : lean past which a craft counts as tipped over [rad]
    released       : time of letting go [s], nan never;  stands : it was to lift itself off the floor
    cord_ratio     : 0 without a cord;  undriven : time from which nothing drives the tail [s]
    wound          : turns at the launch, 0 where the skein broke on cue
    """

    time: Array
    lean: Array
    spin: Array
    climb: Array
    rotor_speed: Array
    tail_speed: Array
    lift: Array
    turns_left: Array
    bar_over: Array
    blades_over: Array
    tail_push: Array
    rotor_torque: Array
    released: float
    limit: float = float("inf")
    stands: bool = False
    cord_ratio: float = 0.0
    undriven: float = float("inf")
    wound: float = 0.0


@dataclass(frozen=True)
class Noted:
    """What the driver noted while it flew: tipped over; something broke or would have (name of a fault, time [s], sentence)."""

    tipped: bool = False
    broke: bool = False
    faults: tuple[tuple[str, float, str], ...] = ()


OUT_OF_CONTROL: Final = ("leaned", "spun", "struck its stops")  # codes of what ends the time in control


@dataclass(frozen=True)
class Fault:
    """What went wrong.

    code : one of CODES;  from_s : when it began [s from the launch];  sentence : in a builder's words, with figures
    matters : False: worth knowing, the flight went well all the same
    """

    code: str
    from_s: float
    sentence: str
    matters: bool = True

    @property
    def loses_control(self) -> bool:
        """From then on it was out of control."""
        return self.matters and self.code in OUT_OF_CONTROL


@dataclass(frozen=True)
class Judgement:
    """How a flight went.

    outcome      : see Outcome;  controlled_s : from letting go to the first loss of control that lasts, or to the end [s]
    faults       : those that matter first, each group in order of time
    graded_s     : for searches, never for screens: see graded()
    """

    outcome: Outcome
    controlled_s: float
    faults: tuple[Fault, ...]
    graded_s: float

    @property
    def flew_well(self) -> bool:
        """No fault that matters. Stricter than the exit code, which is about the outcome alone."""
        return self.outcome.exit_code == 0 and not any(fault.matters for fault in self.faults)

    def to_json(self) -> dict[str, Any]:
        """Keys of the command's JSON, plain values."""
        faults = [asdict(each) for each in self.faults]
        return {"controlled_s": self.controlled_s, "flew_well": self.flew_well, "faults": faults}


@dataclass(frozen=True, eq=False)
class _Seen:
    """A motion from letting go on, shaking within a turn of the rotor taken out."""

    motion: Motion
    time: Array
    lean: Array
    spin: Array
    free: NDArray[np.bool_] = field(repr=False)


def judge(motion: Motion, ending: Ending, noted: Noted = Noted()) -> Judgement:
    """Judge a flight.

    motion : as flown;  ending : why it was no longer computed;  noted : by the driver
    Returns: Judgement
    Checked: tests/flight/test_judgement.py, closed cases and real flights
    """
    seen = _seen(motion)
    result = _outcome(motion, seen, ending, noted)
    losses: list[Stretch] = []
    faults = [Fault(*each) for each in noted.faults]
    if seen is None:
        faults += _never_let_go(motion, ending)
        return Judgement(result, 0.0, _in_order(faults), 0.0)
    for some, lost in (_leaned(seen), _spun(seen), *_stops(seen)):
        faults += some
        losses += lost
    faults += [*_beyond(seen), *_tail(seen), *_lift(seen, noted), *_cord(seen), *_down(seen, result, ending)]
    end = min([float(seen.time[-1]), *(each.start for each in losses)])
    return Judgement(
        result, max(end - motion.released, 0.0), _in_order(faults), graded(seen.time, seen.lean, seen.spin)
    )


def touch_down(lean: float, climb: float) -> Outcome:
    """Landed or crashed, from the lean [rad] and the speed upwards [m/s] at which the floor is touched."""
    return Outcome.LANDED if lean <= LEAN and climb > -SOFT else Outcome.CRASHED


def graded(time: Array, lean: Array, spin: Array) -> float:
    """Time in the air, each moment counted by how far it is from lost [s]: what a search climbs.

    Integral of 1 / (1 + (lean / 30 deg)^4 + (spin / 180 deg/s)^4) dt from letting go on. It is the time itself for a craft in control, half
    of it at the limits of control, and small but never flat where the craft is lost (1/17 at twice either limit): of two falls the slower and the
    longer one counts more, also where the time in control is the same nothing. Own choice.

    time (n) [s];  lean (n) [rad];  spin (n) [rad/s]
    """
    weight = 1.0 / (1.0 + (lean / LEAN) ** 4 + (spin / SPIN) ** 4)
    return float(np.trapezoid(weight, time))


def _seen(m: Motion) -> _Seen | None:
    """From letting go on; None where it never came to that."""
    if not np.isfinite(m.released):
        return None
    free = m.time >= m.released
    if not free.any():
        return None
    time = m.time[free]
    return _Seen(m, time, means(time, m.lean[free]), means(time, m.spin[free]), free)


def _outcome(m: Motion, seen: _Seen | None, ending: Ending, noted: Noted) -> Outcome:
    if ending.failed:
        return Outcome.FAILED
    if noted.broke:
        return Outcome.BROKE
    if noted.tipped:
        return Outcome.TIPPED
    if ending is Ending.FLOOR:
        return touch_down(float(m.lean[-1]), float(m.climb[-1]))
    if ending in (Ending.CEILING, Ending.WALL):
        return Outcome.CEILING if ending is Ending.CEILING else Outcome.WALL
    if seen is None:
        return Outcome.NEVER_LET_GO
    lost = seen.lean[-1] > OVER or abs(seen.spin[-1]) > WHIRL
    return Outcome.OUT_OF_CONTROL if lost else Outcome.FLYING


def _never_let_go(m: Motion, ending: Ending) -> list[Fault]:
    end = float(m.time[-1])
    if ending is Ending.HELD:
        return [
            Fault("never let go", end, "never let go: still held when the time was up (launch.hold_s, run.duration_s)")
        ]
    if ending is not Ending.STANDS:
        return []
    return [
        Fault("never let go", end, "it never lifted off the floor"),
        _no_lift(float(m.lift.max()), float(m.time[0])),
    ]


def _no_lift(lifted: float, since: float) -> Fault:
    says = (
        f"with {lifted:.2f} of the weight at most"
        if lifted < 0.995
        else "with just the weight, less what its wash presses on the body"
    )
    return Fault("could not lift", since, f"could not lift: the rotor pulled {says}")


def _span(each: Stretch) -> str:
    return f"from {each.start:.1f} s on" if each.open else f"from {each.start:.1f} to {each.stop:.1f} s"


def _again(found: Sequence[Stretch]) -> str:
    return f", {len(found)} times" if len(found) > 1 else ""


def _leaned(seen: _Seen) -> tuple[list[Fault], list[Stretch]]:
    lost = [each for each in stretches(seen.time, seen.lean - LEAN, seen.lean) if each.lasts]
    if not lost:
        return [], []
    most = max(each.most for each in lost) / DEG
    says = f"leaned past {LEAN / DEG:.0f} deg {_span(lost[0])}{_again(lost)}, {most:.0f} deg at most"
    return [Fault("leaned", lost[0].start, says)], lost


def _spun(seen: _Seen) -> tuple[list[Fault], list[Stretch]]:
    size = np.abs(seen.spin)
    lost = [each for each in stretches(seen.time, size - SPIN, size) if each.lasts]
    if not lost:
        return [], []
    there = (seen.time >= lost[0].start) & (seen.time <= lost[0].stop)
    way = "right" if seen.spin[there].sum() > 0.0 else "left"
    most = max(each.most for each in lost) / DEG
    says = f"spun faster than {SPIN / DEG:.0f} deg/s {_span(lost[0])}{_again(lost)}, nose to the {way}, {most:.0f} deg/s at most"
    return [Fault("spun", lost[0].start, says)], lost


def _stops(seen: _Seen) -> list[tuple[list[Fault], list[Stretch]]]:
    out: list[tuple[list[Fault], list[Stretch]]] = []
    for what, over in (("bar", seen.motion.bar_over[seen.free]), ("blades", seen.motion.blades_over[seen.free])):
        touches = stretches(seen.time, over, over)
        lost = [each for each in touches if each.stop - each.start >= LASTING]
        plural = "their stops" if what == "blades" else "its stops"
        if lost:
            says = f"the {what} struck {plural} turn after turn {_span(lost[0])}{_again(lost)}"
            out.append(([Fault("struck its stops", lost[0].start, says)], lost))
        elif touches:
            says = f"the {what} touched {plural} for a moment at {touches[0].start:.1f} s{_again(touches)}"
            out.append(([Fault("struck its stops", touches[0].start, says, matters=False)], []))
    return out


def _beyond(seen: _Seen) -> list[Fault]:
    """A launch past the tilt limit, told as what it is: the limit cannot be passed any more."""
    m = seen.motion
    lean = float(m.lean[seen.free][0])
    if not lean > m.limit or m.limit >= np.pi:
        return []
    says = f"let go {lean / DEG:.0f} deg from upright, beyond the tilt limit of {m.limit / DEG:.0f} deg"
    return [Fault("launched beyond the tilt limit", m.released, says)]


def _tail(seen: _Seen) -> list[Fault]:
    """A tail that turns the body the way that the rotor's reaction turns it already, about the moment of letting go."""
    m = seen.motion
    about = (np.abs(m.time - m.released) <= LASTING) & (m.time < m.undriven)
    first = about & (np.abs(m.spin) <= SPIN)  # spinning, it meets air that no tail is built for
    if not first.any():
        return []
    push, torque = float(m.tail_push[first].mean()), float(m.rotor_torque[first].mean())
    if not push > WRONG_SHARE * torque > 0.0:
        return []
    says = (
        f"the tail pushes with the rotor's reaction, not against it: {1e3 * push:.2f} mN m on top of {1e3 * torque:.2f}; "
        "turn its push to the other side"
    )
    return [Fault("tail pushes with the rotor", m.released, says)]


def _lift(seen: _Seen, noted: Noted) -> list[Fault]:
    m = seen.motion
    lifted = float(m.lift[seen.free].max())
    short = seen.time[-1] - m.released < LASTING  # over before it could show
    if not lifted < 1.0 or m.wound < 1.0 or noted.broke or short:
        return []
    return [_no_lift(lifted, m.released)]


def _cord(seen: _Seen) -> list[Fault]:
    m = seen.motion
    on = m.time < m.undriven
    if m.cord_ratio == 0.0 or on.sum() < 2:
        return []
    slip = np.abs(m.tail_speed - m.cord_ratio * m.rotor_speed)[on]
    found = stretches(m.time[on], slip - SLIP, slip)
    if not found:
        return []
    free = [each for each in found if each.stop > m.released and each.stop - max(each.start, m.released) >= LASTING]
    each, matters = (free[0], True) if free else (found[0], False)
    total = sum(one.stop - one.start for one in found)
    says = f"cord slipped {_span(each)}" + (f", {len(found)} times, {total:.1f} s in all" if len(found) > 1 else "")
    if not matters and each.stop <= m.released + LASTING:
        says += ", while the rotor came up to speed"
    return [Fault("cord slipped", each.start, says, matters)]


def _down(seen: _Seen, result: Outcome, ending: Ending) -> list[Fault]:
    """How it met the floor, and with what left."""
    m = seen.motion
    if ending is not Ending.FLOOR:
        return []
    end, out = float(m.time[-1]), []
    if m.climb[-1] <= -SOFT:
        out.append(Fault("hit hard", end, f"hit the floor hard, with {-m.climb[-1]:.1f} m/s"))
    left = float(m.turns_left[-1])
    if m.wound >= 1.0 and left >= LEFT_SHARE * m.wound and result is not Outcome.BROKE:
        says = f"came down with its rubber wound: {left:.0f} of {m.wound:.0f} turns left, {left / m.wound:.0%}"
        out.append(Fault("came down with its rubber wound", end, says))
    return out


def _in_order(faults: Sequence[Fault]) -> tuple[Fault, ...]:
    return tuple(sorted(faults, key=lambda each: (not each.matters, each.from_s)))
