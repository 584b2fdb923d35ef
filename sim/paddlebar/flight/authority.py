"""When and why the tail rotor lost its hold of the body, read off the arrays of a flight afterwards; the right-hand side knows nothing of it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers, all_up_mass
from paddlebar.flight import layout, rhs, stopped
from paddlebar.flight.result import Event
from paddlebar.physics import section
from paddlebar.physics.inflow import hover_induced

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

# Descent over the hover induced velocity at which a rotor sits in its own vortex ring. From 0.5 the induced velocity of the measured
# medians has risen by half (references 3.2 [T]); beyond 1.8 it has fallen back and the forces are steady again (the same runs).
RING = (0.5, 1.8)
STALLED = 0.5  # share of the blade, by what it could lift, beyond its section's stall; own choice
LASTING = 0.5  # [s] what is over sooner is a wobble, not a loss; own choice
_GAP = 0.25  # [s] two stretches nearer than that are one: the tail's inflow swings twice a turn of the main rotor
_WORKING = 0.1  # share of its strongest thrust below which a tail is not at work

RING_EVENT, STALL_EVENT = "tail vortex ring", "tail stalled"
AFTERWARDS = (RING_EVENT, STALL_EVENT, stopped.EVENT)  # found in the arrays; no event of the equations
LOSSES = ("cord slips", "cord off", RING_EVENT, STALL_EVENT)


@dataclass(frozen=True, eq=False)
class TailState:
    """The tail rotor along a flight, arrays (n,).

    descent       : speed at which its own wash comes back at it, over its hover induced velocity at that thrust [1]; negative: it climbs
    descent_speed : [m/s];  by_turning : how much of it the body's turning makes [m/s]
    stalled       : share of the blade beyond its section's stall [1];  stalled_in_still_air : the same if no air came along its shaft
    in_ring, in_stall : the same as yes or no
    """

    descent: Array
    descent_speed: Array
    by_turning: Array
    stalled: Array
    stalled_in_still_air: Array
    in_ring: Flags
    in_stall: Flags


def tail_state(states: Array, loads: Array, numbers: Numbers) -> TailState:
    """What the air does at the tail rotor, from what a flight keeps.

    states  : (n, state_size);  loads : (n, derive.COLUMNS), SI
    Source  : hover induced velocity v_h = sqrt(T / 2 rho A), momentum theory (references 3.1); ring where RING says; the ring is
        blown away once the flow across the disc passes the induced velocity, as in physics/inflow.py (own choice there)
    Checked : tests/flight/test_authority.py
    """
    p = numbers.params[0]
    thrust = loads[:, rhs.TAIL_THRUST]
    hover = np.abs(hover_induced(thrust, p["rho"], p["tail_radius"])) if p["rho"] > 0.0 else np.zeros_like(thrust)
    sense = np.where(thrust >= 0.0, 1.0, -1.0)
    back = -sense * loads[:, rhs.TAIL_CLIMB]
    ratio = back / np.maximum(hover, 1e-9)
    rate = states[:, layout.RATE_BODY : layout.RATE_BODY + 3]
    arm = p["tail_place"] - centre(numbers)
    turning = -sense * (np.cross(rate, arm) @ p["tail_axis"])
    working = np.abs(thrust) > _WORKING * np.abs(thrust).max(initial=0.0)
    blown = loads[:, rhs.EDGEWISE] > np.abs(states[:, layout.TAIL_INFLOW])
    stalled = _stalled_share(states, loads[:, rhs.TAIL_CLIMB], numbers)
    return TailState(
        descent=ratio,
        descent_speed=back,
        by_turning=turning,
        stalled=stalled,
        stalled_in_still_air=_stalled_share(states, np.zeros_like(thrust), numbers),
        in_ring=working & ~blown & (ratio > RING[0]) & (ratio < RING[1]),
        in_stall=working & (stalled > STALLED),
    )


def losses(time: Array, states: Array, loads: Array, numbers: Numbers, events: list[Event]) -> list[Event]:
    """Events "tail vortex ring" and "tail stalled", each the first time that it lasts; the slipping cord has its own already.

    time (n,) [s], states, loads : as tail_state();  events : of the flight so far; what happens before the release does not count
    """
    if numbers.params[0]["tail_mass"] == 0.0 or time.size < 2:
        return []
    free = next((e.time_s for e in events if e.name == "release"), float(time[0]))
    # a tail that nothing drives any more has no authority to lose
    undriven = min((e.time_s for e in events if e.name in ("cord off", "skein breaks")), default=math.inf)
    counts = (time >= free) & (time <= undriven)
    tail = tail_state(states, loads, numbers)
    found = []
    stretches = _stretches(time, tail.in_ring & counts)
    if stretches:
        first = _between(time, stretches[0])
        speed, turning = float(tail.descent_speed[first].mean()), float(tail.by_turning[first].mean())
        spin = math.degrees(float(states[first, layout.RATE_BODY + 2].mean()))
        why = f"the body turned at {abs(spin):.0f} deg/s, nose to the {'right' if spin > 0.0 else 'left'}"
        if turning < 0.5 * speed:
            push = loads[first, rhs.TAIL_THRUST].mean() * numbers.params[0]["tail_axis"][1]
            side = "left" if push > 0.0 else "right"
            why = f"the air came from the {side}, the side that its wash goes to, by wind or by drift"
        found.append(
            Event(
                RING_EVENT,
                stretches[0][0],
                f"the tail rotor got into its own vortex ring: its wash came back at {speed:.2f} m/s, "
                f"{float(tail.descent[first].mean()):.1f} of what it induces in still air, because {why}{_lasted(stretches)}",
            )
        )
    stretches = _stretches(time, tail.in_stall & counts)
    if stretches:
        first = _between(time, stretches[0])
        share, still = float(tail.stalled[first].mean()), float(tail.stalled_in_still_air[first].mean())
        why = "it has more pitch than its section bears: pitch or speed added now cost torque and bring little thrust"
        if still < STALLED:
            why = f"the air came at it with {float(np.abs(loads[first, rhs.TAIL_CLIMB]).mean()):.2f} m/s along its shaft, too much for its speed"
        sentence = f"the tail rotor stalled, {share:.0%} of its blades, because {why}{_lasted(stretches)}"
        found.append(Event(STALL_EVENT, stretches[0][0], sentence))
    return found


def summary(events: list[Event]) -> list[dict[str, object]]:
    """Losses of tail authority for scripts: what, when [s], why."""
    return [{"what": e.name, "time_s": e.time_s, "cause": e.sentence} for e in events if e.name in LOSSES]


def centre(numbers: Numbers) -> Array:
    """Centre of gravity of the whole craft, blades and bar level, body axes from the datum (3,) [m]."""
    p = numbers.params[0]
    spinning = p["hub_mass"] + p["blades"] * p["blade_mass"]
    above = p["hub_place"] + p["bar_height"] * p["shaft_axis"]
    moment = p["body_moment"] + spinning * p["hub_place"] + p["bar_mass"] * above + p["tail_mass"] * p["tail_place"]
    return np.asarray(moment / all_up_mass(numbers.params))


def stall_angles(table: Array) -> Array:
    """Angles between which a section is not stalled, (N_RE, 2) [rad]: where its lift curve has lost half of its steepest slope.

    table : (N_RE, N_ALPHA, 3), see physics/section.py. Sections at these Reynolds numbers often have no maximum to go by.
    """
    lift = table[:, :, section.LIFT]
    slope = 0.5 * (lift[:, 2:] - lift[:, :-2])  # per degree, at nodes 1 ...
    angle = section.ALPHA_FIRST_DEG + np.arange(1, lift.shape[1] - 1)
    near = np.abs(angle) <= 5.0
    out = np.empty((lift.shape[0], 2))
    for k, row in enumerate(slope):
        steepest = int(np.argmax(np.where(near, row, -np.inf)))
        low = high = steepest
        while row[high] > 0.5 * row[steepest]:
            high += 1
        while row[low] > 0.5 * row[steepest]:
            low -= 1
        out[k] = math.radians(angle[low]), math.radians(angle[high])
    return out


def _stalled_share(states: Array, climb: Array, numbers: Numbers) -> Array:
    """Share of the tail's blades beyond stall, each element counted by r^2 c dr; the mean over its turn, flow across the disc left out."""
    p = numbers.params[0]
    n = int(p["tail_elements"])
    r, chord = p["tail_x"][:n], np.exp(p["tail_log_chord"][:n]) * p["nu"]
    spin = p["tail_hand"] * (states[:, layout.RATE_BODY : layout.RATE_BODY + 3] @ p["tail_axis"])
    along = np.abs(states[:, layout.TAIL_SPEED] + spin)[:, None] * r
    up = -climb[:, None] - states[:, layout.TAIL_INFLOW, None] * p["tail_shape"][:n]
    alpha = p["tail_pitch"][:n] + np.arctan2(up, along)
    reynolds = np.hypot(along, up) * chord / p["nu"]
    node = np.log2(np.maximum(reynolds, 1.0) / section.RE_FIRST) / section.RE_STEP_LOG2
    limits = stall_angles(numbers.tables[section.OF_TAIL])
    nodes = np.arange(section.N_RE)
    beyond = (alpha < np.interp(node, nodes, limits[:, 0])) | (alpha > np.interp(node, nodes, limits[:, 1]))
    weight = p["tail_half_area"][:n] * r**2
    return np.asarray(beyond @ weight / weight.sum())


def _stretches(time: Array, there: Flags) -> list[tuple[float, float]]:
    """First and last moment [s] of each stretch that lasts."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], there.astype(np.int8), [0]])))
    merged: list[list[float]] = []
    for start, stop in zip(time[edges[::2]], time[edges[1::2] - 1], strict=True):
        if merged and start - merged[-1][1] < _GAP:
            merged[-1][1] = float(stop)
        else:
            merged.append([float(start), float(stop)])
    return [(start, stop) for start, stop in merged if stop - start >= LASTING]


def _between(time: Array, stretch: tuple[float, float]) -> Flags:
    return np.asarray((time >= stretch[0]) & (time <= stretch[1]))


def _lasted(stretches: list[tuple[float, float]]) -> str:
    total = sum(stop - start for start, stop in stretches)
    return (
        f" ({total:.1f} s of the flight)"
        if len(stretches) == 1
        else f" ({total:.1f} s of the flight, {len(stretches)} times)"
    )
