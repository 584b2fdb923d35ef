"""From a track to a Flight: names, summary, ledger."""

from __future__ import annotations

import math
import time as clock
from collections.abc import Sequence
from typing import Any

import numpy as np

from paddlebar.craft.build import Numbers, build
from paddlebar.files.scenario import Scenario
from paddlebar.flight import authority, derive, layout, ledger, motion, rhs, stopped
from paddlebar.flight.integrate import fly_track
from paddlebar.flight.judgement import Judgement
from paddlebar.flight.result import Event, Flight
from paddlebar.flight.track import Track


def fly_scenario(scenario: Scenario) -> Flight:
    """Fly a checked scenario.

    scenario : description, craft included
    Returns  : Flight; a numerical failure comes back as a flight with outcome "failed" that is not complete
    Raises   : BadInput where only building or launching the craft shows that the input is impossible
    """
    start = clock.perf_counter()
    numbers = build(scenario)
    track = fly_track(scenario, numbers)
    blame(track, scenario, numbers)
    return flight_of(track, scenario, numbers, start)


def blame(track: Track, scenario: Scenario, numbers: Numbers) -> None:
    """Raise BadInput if it is a force of one's own that a flight failed of."""
    if track.ending.failed and scenario.force is not None:
        end = float(track.time[-1])
        scenario.force.complain((end, end + scenario.run.max_step_s), track.states[-1], numbers.params, numbers.gusts)


def flight_of(track: Track, scenario: Scenario, numbers: Numbers, start: float) -> Flight:
    """Name everything in a track; start is the clock at which the work began [s]."""
    nf = int(numbers.params[0]["flaps"])
    at = layout.slices(nf)
    y, loads = track.states, track.loads
    own = {
        row.name: y[:, at[row.name]] if row.along or row.size == layout.PER_HINGE else y[:, at[row.name].start]
        for row in layout.LAYOUT
    }
    names = [row.name for row in layout.LAYOUT if row.entry is None]
    entries = ledger.close(y, loads, track.sudden)
    solver: dict[str, Any] = {
        "method": scenario.run.method,
        "rtol": scenario.run.rtol,
        "max_step_s": scenario.run.max_step_s,
        "evaluations": track.evaluations,
        "steps": track.steps,
        "refused": track.refused,
        "failure": failure(track),
    }
    if scenario.force is not None:
        solver["own_forces"] = scenario.force.words
    found = judged(track, scenario)
    afterwards = [
        *authority.losses(track.time, y, loads, numbers, track.events),
        *stopped.rotor_stops(track.time, y, loads, track.events),
    ]
    position_cg = np.column_stack([loads[:, rhs.CG_NORTH], loads[:, rhs.CG_EAST], -loads[:, rhs.CG_HEIGHT]])
    flight = Flight(
        time=track.time,
        **{name: own[name] for name in names},
        height=loads[:, rhs.CG_HEIGHT],
        tilt=loads[:, derive.TILT],
        heading=np.unwrap(loads[:, derive.HEADING]),
        position_cg=position_cg,
        feathering=derive.feathering(y, numbers),
        skein_torque=loads[:, rhs.SKEIN_TORQUE],
        turns_left=np.maximum(loads[:, rhs.TURNS_LEFT], 0.0)
        if not numbers.params[0]["skein"]["runs_back"]
        else loads[:, rhs.TURNS_LEFT],
        skein_pull=loads[:, derive.PULL],
        rotor_thrust=loads[:, rhs.THRUST],
        rotor_torque=loads[:, rhs.TORQUE],
        tail_thrust=loads[:, rhs.TAIL_THRUST],
        tail_torque=loads[:, rhs.TAIL_TORQUE],
        lowest_point=loads[:, derive.LOWEST],
        ledger=entries,
        events=sorted([*track.events, *afterwards], key=lambda e: e.time_s),
        outcome=found.outcome.value,
        sentence=track.sentence,
        complete=not track.ending.failed,
        summary={},
        solver=solver,
        scenario=scenario,
    )
    flight.summary.update(summary(flight, found, clock.perf_counter() - start))
    return flight


def failure(track: Track) -> dict[str, Any] | None:
    """How a flight failed numerically, None if it did not: why (code), when, in which state, the solver's own words."""
    if not track.ending.failed:
        return None
    row = track.culprit
    return {
        "why": track.ending.name.lower().replace("_", " "),
        "time_s": float(track.time[-1]),
        "state": row.name if row is not None else "",
        "message": track.message,
    }


def judged(track: Track, scenario: Scenario) -> Judgement:
    """How the flight of a stepper went that keeps every step."""
    return motion.judged(
        scenario, track.numbers, track.time, track.states, track.loads, track.events, track.ending, track.tipped
    )


def powered(events: Sequence[Event], end: float) -> float:
    """Time until the skein ran down or broke or the rotor stopped on what was left, or the whole flight up to its end [s]."""
    return min([end, *(e.time_s for e in events if e.name in ("run down", "skein breaks", stopped.EVENT))])


def summary(flight: Flight, found: Judgement, wall: float) -> dict[str, Any]:
    """The figures of a flight for scripts (keys of the command's JSON), plain Python numbers."""
    away = flight.position_cg[:, :2] - flight.position_cg[0, :2]
    spin = np.abs(flight.spin)
    return {
        "outcome": flight.outcome,
        **found.to_json(),
        "duration_s": float(flight.time[-1]),
        "powered_s": powered(flight.events, float(flight.time[-1])),
        "peak_height_m": float(flight.height.max()),
        "drift_m": float(np.hypot(*away[-1])),
        "max_tilt_deg": math.degrees(float(flight.tilt.max())),
        "final_tilt_deg": math.degrees(float(flight.tilt[-1])),
        "body_turns": float(flight.heading[-1] - flight.heading[0]) / (2.0 * math.pi),
        "peak_body_rate_deg_s": math.degrees(float(spin.max())),
        "turns_used": float(flight.turns_left[0] - flight.turns_left[-1]),
        "turns_left": float(flight.turns_left[-1]),
        "energy_error": flight.energy_error,
        "energy_let_out_j": float(flight.ledger["skein"][-1]),
        "solver": dict(flight.solver),
        "wall_s": wall,
        "sentence": flight.sentence,
        "tail_authority_lost": authority.summary(flight.events),
        "events": [{"name": e.name, "time_s": e.time_s, "sentence": e.sentence} for e in flight.events],
    }
