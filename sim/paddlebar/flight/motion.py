"""From what a stepper keeps to the plain arrays that are judged; the same for scipy's flights, compiled ones and run files."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers, all_up_mass
from paddlebar.files.kinds import BARS
from paddlebar.files.scenario import Scenario
from paddlebar.flight import authority, derive, layout, rhs
from paddlebar.flight.breakage import BLADE, BOOM, BREAKS, OVERLOADED, PASSED, STICK, TAIL_STICK
from paddlebar.flight.endings import Ending
from paddlebar.flight.judgement import Judgement, Motion, Noted, judge
from paddlebar.flight.result import Event

Array = NDArray[np.float64]

# event of the driver -> code of the fault that it is
NOTED = {
    OVERLOADED: "stick overloaded",
    STICK: "stick overloaded",
    BOOM: "stick overloaded",
    TAIL_STICK: "stick overloaded",
    BLADE: "blades struck a part",
    PASSED: "blades struck a part",
}
UNDRIVING = frozenset({"cord off", "skein breaks", BOOM, TAIL_STICK})  # from then on nothing drives the tail


def down_and_spin(attitude: Array, velocity: Array, rate: Array) -> tuple[Array, Array]:
    """Speed downwards [m/s] and spin about the vertical, nose to the right positive [rad/s], of states.

    attitude (n, 4) body to earth, velocity (n, 3) [m/s] and rate (n, 3) [rad/s] in body axes
    Source : last row of the rotation matrix of a quaternion, which holds the earth's down axis in body axes
    """
    w, x, y, z = attitude.T
    square = w * w + x * x + y * y + z * z  # one, but for the integrator's error
    down = np.stack([2.0 * (x * z - w * y), 2.0 * (y * z + w * x), w * w - x * x - y * y + z * z]) / square
    return np.asarray((down * velocity.T).sum(axis=0)), np.asarray((down * rate.T).sum(axis=0))


def motion_of(
    scenario: Scenario, numbers: Numbers, time: Array, states: Array, loads: Array, events: Sequence[Event]
) -> Motion:
    """The motion of a flight.

    numbers : as they were at the end of it, mishaps included
    time (n) [s];  states (n, state_size);  loads (n, derive.COLUMNS), SI;  events : of the driver
    """
    p = numbers.params[0]
    nf = int(p["flaps"])
    at = layout.slices(nf)
    down, spin = down_and_spin(states[:, at["attitude"]], states[:, at["velocity_body"]], states[:, at["rate_body"]])
    clear = np.full(time.size, -math.inf)
    flap = np.abs(states[:, at["flap"]]).max(axis=1, initial=0.0)
    tilts = p["bar_mass"] > 0.0 and BARS[scenario.craft.bar.kind].tilts
    lever = np.cross(p["tail_place"] - authority.centre(numbers), p["tail_axis"])[2] * p["hand"]
    broke = any(event.name == "skein breaks" for event in events)
    geared = scenario.craft.tail is not None and scenario.craft.tail.drive == "cord"
    return Motion(
        time=time,
        lean=loads[:, derive.TILT],
        spin=spin,
        climb=-down,
        rotor_speed=states[:, layout.ROTOR_SPEED],
        tail_speed=states[:, layout.TAIL_SPEED],
        lift=loads[:, rhs.THRUST] / (all_up_mass(numbers.params) * p["gravity"]),
        turns_left=loads[:, rhs.TURNS_LEFT],
        bar_over=np.abs(states[:, layout.BAR_ANGLE]) - p["bar_stop"] if tilts else clear,
        blades_over=flap - p["flap_stop"] if nf else clear,
        tail_push=float(lever) * loads[:, rhs.TAIL_THRUST],
        rotor_torque=loads[:, rhs.TORQUE],
        limit=math.radians(scenario.run.tilt_limit_deg),
        released=_released(scenario.launch.release, time, events),
        stands=scenario.launch.release == "floor",
        cord_ratio=float(p["cord_ratio"]) if geared else 0.0,
        undriven=min((event.time_s for event in events if event.name in UNDRIVING), default=math.inf),
        wound=0.0 if broke else float(loads[0, rhs.TURNS_LEFT]),
    )


def _released(release: str, time: Array, events: Sequence[Event]) -> float:
    if release == "free":
        return float(time[0])
    return next((event.time_s for event in events if event.name == "release"), math.nan)


def noted(events: Sequence[Event], tipped: bool) -> Noted:
    """What the driver noted, as the judgement takes it."""
    faults = tuple((NOTED[event.name], event.time_s, event.sentence) for event in events if event.name in NOTED)
    return Noted(tipped, any(event.name in BREAKS for event in events), faults)


def judged(
    scenario: Scenario,
    numbers: Numbers,
    time: Array,
    states: Array,
    loads: Array,
    events: Sequence[Event],
    ending: Ending,
    tipped: bool,
) -> Judgement:
    """Judge what a stepper kept; arguments as motion_of(), and why and how it ended."""
    return judge(motion_of(scenario, numbers, time, states, loads, events), ending, noted(events, tipped))
