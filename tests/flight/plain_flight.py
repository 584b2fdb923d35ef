"""Short flights, a revolution of the rotor and moments along a flight, for one process that compiles and one that does not.

As a program: python plain_flight.py FOUND.npz, with NUMBA_DISABLE_JIT=1 in the environment.
"""

from __future__ import annotations

import math
import sys
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers, build
from paddlebar.ensemble import steps
from paddlebar.ensemble.stepper import CompiledStepper
from paddlebar.files.load import load_scenario
from paddlebar.files.scenario import Scenario
from paddlebar.flight import derive, dop853, events, launch, layout, rhs
from paddlebar.flight.integrate import fly_track
from paddlebar.flight.rates import address_of
from paddlebar.flight.stretch import ScipyStepper, each_tolerance
from paddlebar.physics import bodies
from paddlebar.stability import return_map
from paddlebar.studies.yaw_moments import down_moments

Array = NDArray[np.float64]
SCENARIOS = Path(__file__).parents[2] / "scenarios"

QUICK = {"launch.hold_s": 0.02, "launch.rotor_rpm": 900.0, "run.duration_s": 0.05}
OWN_SKEIN = {
    "craft.tail.drive": "skein",
    "craft.tail.skein.mass_g": 0.3,
    "craft.tail.skein.length_mm": 120.0,
    "craft.tail.skein.hooks_mm": [[-240.0, 0.0, -105.0], [-120.0, 0.0, -105.0]],
    "skein.tail_turns": 100.0,
}
CASES: dict[str, tuple[str, dict[str, Any]]] = {
    "let go in turbulence": ("field-breeze", QUICK),
    "rigid head, cord slips": ("rigid-head", {**QUICK, "craft.tail.cord_friction": 0.01}),
    "tail's own skein": ("first-flight", {**QUICK, **OWN_SKEIN}),
    "measured skein": (
        "first-flight",
        {
            **QUICK,
            "craft.skein.measured": [[0.0, 0.0], [100.0, 3.0], [300.0, 4.0], [500.0, 6.0]],
            "run.duration_s": 0.03,
        },
    ),
    "stands and sinks": ("first-flight", {"launch.release": "held", "launch.hold_s": 0.02, "run.duration_s": 0.2}),
    # four steps a call: one ends at a step that was refused, and the next must not grow all the same (off by 1e-3 where it did)
    "stops of bar and blades": (
        "../tests/flight/still-reversed",
        {
            **QUICK,
            "launch.hold_s": 0.0,
            "launch.release": "free",
            "launch.tilt_deg": 60.0,
            "launch.spin_deg_s": 3000.0,
            "run.duration_s": 0.017,
        },
    ),
    "bar at its stop": (
        "../tests/flight/still-reversed",
        {**QUICK, "launch.hold_s": 0.0, "launch.release": "free", "launch.bar_deg": 24.0, "run.duration_s": 0.033},
    ),
    "drops to the floor": ("first-flight", {"launch.hold_s": 0.002, "skein.turns": 0.0, "skein.backed_off": 0.0}),
}


def _scenario(name: str) -> Scenario:
    file, changes = CASES[name]
    scenario = load_scenario(SCENARIOS / f"{file}.toml", changes)
    above = {"stands and sinks": 0.0, "drops to the floor": 0.02}.get(name)  # [m] lowest point over the floor
    if above is None:
        return scenario
    numbers = numbers_of(scenario)
    row = derive.derived(np.zeros(1), launch.state(scenario, numbers)[None, :], numbers)[0]
    low = scenario.launch.height_m - float(row[derive.LOWEST])
    return load_scenario(SCENARIOS / f"{file}.toml", {**changes, "launch.height_m": low + above})


def numbers_of(scenario: Scenario) -> Numbers:
    """A record array, because plain Python reads its fields by name too."""
    numbers = build(scenario)
    numbers.params = numbers.params.view(np.recarray)
    return numbers


def flights() -> dict[str, Array]:
    """Of each case by scipy and by the compiled stepper's code: end, loads there, when which event was; samples and tally of the latter."""
    found = {}
    for name in CASES:
        scenario = _scenario(name)
        for solver in ("scipy", "steps"):
            numbers = numbers_of(scenario)
            stepper: Any = ScipyStepper(numbers, scenario.run)
            if solver == "steps":
                stepper = CompiledStepper(numbers, scenario.run, 2)
            track = fly_track(scenario, numbers, lambda _numbers, _run, made=stepper: made)  # type: ignore[misc]
            found[f"{name}, {solver}: state"] = np.append(track.states[-1], track.time[-1])
            found[f"{name}, {solver}: loads"] = track.loads[-1]
            found[f"{name}, {solver}: events"] = np.array([event.time_s for event in track.events])
            found[f"{name}, {solver}: names"] = np.array([sum(map(ord, event.name)) for event in track.events], float)
            if solver == "steps":
                found[f"{name}: samples"], found[f"{name}: tally"] = stepper.samples, stepper.tally
                found[f"{name}: steps"] = np.array(stepper.steps, dtype=float)
    return found


def _advance(numbers: Numbers, y: Array, clock: Array, stop: float) -> int:
    """One call of the stepper's own loop."""
    nf = int(numbers.params[0]["flaps"])
    size = layout.state_size(nf)
    rtol, atol = each_tolerance(1e-6, nf)
    said = steps.PAUSED
    while said == steps.PAUSED:
        craft = (address_of(numbers), numbers.params, numbers.tables, numbers.gusts)
        watch = (np.array([events.FLOOR]), -1, np.array([-1.0, -math.inf, 0.0]), 0.0)
        scratch = (
            rhs.work_array(), np.zeros((dop853.ROWS, size)), np.empty(size), np.empty(bodies.FLAP + nf), np.empty(events.COUNT),
            np.empty(events.COUNT),
        )  # fmt: skip
        record = (np.empty(derive.COLUMNS), clock, np.zeros(steps.TALLY), 0, np.empty((0, 1 + size)))
        said = int(steps.advance(stop, y, craft, watch, (rtol, atol, 0.02), scratch, record))
    return said


def corners() -> dict[str, Array]:
    """What the stepper says where no flight goes on: (said, time) of each."""
    scenario = load_scenario(SCENARIOS / "first-flight.toml", QUICK)
    numbers = numbers_of(scenario)
    y = launch.state(scenario, numbers)
    found = {}
    for name, time, stop in (("no time left", 1.0, 1.0), ("less than time resolves", 1.0, 1.0 + 1e-15)):
        clock = np.zeros(steps.CLOCK)
        clock[[steps.TIME, steps.STEP, steps.ERROR]] = time, 1e-3, 1e-4
        found[name] = np.array([_advance(numbers, y.copy(), clock, stop), clock[steps.TIME]])
    broken = numbers.copy()
    broken.params[0]["rho"] = math.nan
    clock = np.zeros(steps.CLOCK)
    clock[[steps.TIME, steps.STEP, steps.ERROR]] = 1.0, 1e-3, 1e-4
    found["not a number"] = np.array([_advance(broken, y.copy(), clock, 2.0), clock[steps.TIME], clock[steps.REFUSED]])
    still = np.zeros((dop853.ROWS, y.size)), np.ones(y.size)
    found["no error at all"] = np.array([dop853.error_of(y, y.copy(), 1e-3, still[0], still[1], still[1])])
    return found


def revolution() -> dict[str, Array]:
    """A part of a revolution of the frozen craft, with either tail; a rotor that stands."""
    found = {}
    for name, changes in (("cord", {}), ("own skein", OWN_SKEIN)):
        numbers = return_map.freeze(numbers_of(load_scenario(SCENARIOS / "first-flight.toml", changes)), 200.0)
        found[f"{name}: torques"] = np.array(
            [numbers.params[0]["skein"]["steady"], numbers.params[0]["tail_skein"]["steady"]]
        )
        turn = return_map.ReturnMap(numbers)
        y = turn.full(np.zeros(turn.size))
        found[f"{name}: stands"] = np.array([turn.advance(y.copy(), 1)])
        y[layout.ROTOR_SPEED] = 90.0
        found[f"{name}: time"] = np.array([turn.advance(y, 6)])
        found[f"{name}: state"] = y
    return found


def moments() -> dict[str, Array]:
    """Moments about the CG at states by chance, with a tail and without."""
    found = {}
    rng = np.random.default_rng(5)
    for name, changes in (("tail", {}), ("no tail", {"craft.tail.drive": "none"})):
        numbers = numbers_of(load_scenario(SCENARIOS / "first-flight.toml", changes))
        states = rng.normal(size=(8, layout.state_size(int(numbers.params[0]["flaps"]))))
        found[f"moments, {name}"] = down_moments(
            states, rng.normal(size=8), numbers.params, numbers.tables, np.array([0.01, 0.0, -0.05])
        )
    return found


def answers() -> dict[str, Array]:
    """Everything, by name."""
    return flights() | corners() | revolution() | moments()


def main(found: Path) -> None:
    """Answer without compiling. A call of the stepper ends after four steps, so that a flight has to be taken up again."""
    assert not hasattr(rhs.rhs_into, "py_func"), "numba was to be switched off"
    steps.CALL_STEPS = 4
    np.savez(found, **answers())  # type: ignore[arg-type]


if __name__ == "__main__":
    main(Path(sys.argv[1]))
