"""Many flights in compiled steps: scipy's flights to its tolerance, the same on any number of workers, none lost, none left running."""

from __future__ import annotations

import math
import multiprocessing
import os
import signal
import subprocess
import sys
import textwrap
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest

from paddlebar import fly, fly_many, load_scenario, samples
from paddlebar.craft.build import build
from paddlebar.ensemble import steps
from paddlebar.ensemble.many import Flights
from paddlebar.ensemble.stepper import CompiledStepper
from paddlebar.errors import NoSuchKey
from paddlebar.files import parse_scenario
from paddlebar.flight import authority, derive, dop853, events, launch, layout, rhs
from paddlebar.flight.integrate import fly_track
from paddlebar.flight.rates import address_of
from paddlebar.physics import bodies

ROOT = Path(__file__).parents[2]
SCENARIOS = ROOT / "scenarios"
FIRST = SCENARIOS / "first-flight.toml"

TIGHT = {"run.rtol": 1e-10}
# Both solvers' errors at that tolerance stay below a micrometre (seen: 1.2e-6 m in 12 s); asked is what the issue asks.
PLACE, TIME = 1e-4, 1e-4  # m, s
JUDGED = 0.01  # s: crossings of limits between steps of 20 ms, by straight lines


def tight(name: str, **changes: object):
    return load_scenario(SCENARIOS / f"{name}.toml", {**TIGHT, **{k.replace("__", "."): v for k, v in changes.items()}})


CASES = {
    "held launch to the floor": lambda: tight("first-flight"),
    "cord oiled, slips": lambda: tight("cord-slips", run__duration_s=7.0),
    "cord off": lambda: tight("cord-off", run__duration_s=6.0),
    "bar locks, tips, flies on": lambda: tight("bar-locks", run__duration_s=6.0),
    "tip mass lost": lambda: tight("tip-lost", run__duration_s=6.0),
    "skein breaks": lambda: tight("skein-breaks", run__duration_s=8.0),
    "wind, gust, turbulence": lambda: tight("field-breeze", run__duration_s=5.0),
    "free launch, tilted": lambda: tight("tilted-launch", run__duration_s=5.0),
    "rigid head": lambda: tight("rigid-head", run__duration_s=5.0),
    "reversed linkage, stops": lambda: tight("reversed-link", run__duration_s=4.0),
    "ceiling": lambda: tight("first-flight", room__ceiling_m=1.9, skein__turns=450.0),
    "wall": lambda: tight("first-flight", launch__push_m_s=[0.0, 2.0, 0.0], room__width_m=1.2),
    "off the floor": lambda: tight("first-flight", launch__release="floor", launch__height_m=0.3, launch__hold_s=0.0, skein__turns=520.0, run__duration_s=2.0),
    "never off the floor": lambda: tight("first-flight", launch__release="floor", launch__height_m=0.3, launch__hold_s=0.4, skein__turns=100.0, run__duration_s=2.0),
    "never let go": lambda: tight("first-flight", launch__hold_s=0.0, run__duration_s=2.0),
    "past the tilt limit from the start": lambda: tight("first-flight", launch__tilt_deg=101.0),
    "a stick too thin": lambda: tight("first-flight", craft__part__stick__diameter_mm=2.0),
    "a boom too thin": lambda: tight("first-flight", craft__part__boom__diameter_mm=0.5, run__duration_s=3.0),
    "blades on a boom": lambda: tight("poor-start", craft__part__boom__from_mm=[9, 0, -40], craft__part__boom__to_mm=[-248, 0, -40], launch__height_m=5.0),
    "blades through a boom": lambda: tight("poor-start", craft__part__boom__from_mm=[9, 0, -40], craft__part__boom__to_mm=[-248, 0, -40], launch__height_m=5.0, run__breakage=False),
    "out of control": lambda: tight("rigid-head", run__duration_s=5.5),
    "run out, turns backwards": lambda: tight("first-flight", skein__turns=80.0, skein__backed_off=0.0, launch__height_m=20.0, room__ceiling_m=60.0, run__duration_s=14.0),
    "cue at turns": lambda: parse_scenario(
        FIRST.read_text() + '\n[[mishap]]\nwhat = "cord off"\nat_turns = 255\n', "cue.toml", SCENARIOS, {**TIGHT, "run.duration_s": 4.0}
    ),
    "locked when run out": lambda: tight("first-flight", craft__skein__run_out="locked", skein__turns=60.0, skein__backed_off=0.0, launch__height_m=5.0),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_it_is_scipys_flight(name):
    """Tried once with a condition that was sought only at the step's end, and with one stage's weight off by 1e-6: refused."""
    scenario = CASES[name]()
    theirs = fly(scenario)
    ours = fly_many([scenario], workers=1)[0]
    assert ours["outcome"] == theirs.outcome
    assert ours["duration_s"] == pytest.approx(theirs.time[-1], abs=TIME)
    end = theirs.position_cg[-1] - theirs.position_cg[0]
    place = ours["north_m"], ours["east_m"], ours["final_height_m"] - theirs.height[0]
    assert place == pytest.approx((end[0], end[1], -end[2]), abs=PLACE)
    met = [
        event for event in theirs.events if event.name not in authority.AFTERWARDS
    ]  # those are read off the arrays, which only scipy's flight keeps
    assert [event.name for event in ours["events"]] == [event.name for event in met]
    assert [event.time_s for event in ours["events"]] == pytest.approx([event.time_s for event in met], abs=TIME)
    # one judgement: the same of both, read off different steps
    assert [fault.code for fault in ours["faults"]] == [fault.code for fault in theirs.faults]
    assert [fault.matters for fault in ours["faults"]] == [fault.matters for fault in theirs.faults]
    assert [fault.from_s for fault in ours["faults"]] == pytest.approx(
        [fault.from_s for fault in theirs.faults], abs=JUDGED
    )
    assert ours["controlled_s"] == pytest.approx(theirs.controlled_s, abs=JUDGED)
    assert ours["flew_well"] == theirs.flew_well
    same = ("powered_s", "drift_m", "turns_used", "turns_left", "final_tilt_deg", "energy_let_out_j")
    assert [ours[key] for key in same] == pytest.approx([theirs.summary[key] for key in same], abs=2e-3)
    # The largest values are those of the steps, which are not the same steps; a step is 20 ms at most.
    assert ours["peak_height_m"] == pytest.approx(theirs.summary["peak_height_m"], abs=2e-3)
    assert ours["body_turns"] == pytest.approx(theirs.summary["body_turns"], abs=1e-4)
    assert ours["max_tilt_deg"] == pytest.approx(theirs.summary["max_tilt_deg"], abs=1.0)
    let_out = ours["energy_let_out_j"] != 0.0  # what broke before the launch let out nothing
    assert ours["energy_error"] < 1e-6 if let_out else math.isnan(ours["energy_error"])


def test_standing_on_the_floor_exactly_is_no_landing():
    """Height zero to the last bit: it waits and lifts off. Before held crafts were left alone, it "landed" at 0.00 s."""
    scenario = load_scenario(FIRST)
    numbers = build(scenario)
    row = derive.derived(np.zeros(1), launch.state(scenario, numbers)[None, :], numbers)[0]
    low = scenario.launch.height_m - float(row[derive.LOWEST])
    stands = {"launch.release": "floor", "launch.height_m": low, "skein.turns": 520.0, "run.duration_s": 3.0}
    scenario = load_scenario(FIRST, {**stands, "launch.hold_s": 0.0})
    theirs, ours = fly(scenario), fly_many([scenario], workers=1)[0]
    assert theirs.lowest_point[0] == 0.0
    assert ours["outcome"] == theirs.outcome == "still flying"
    assert ours["peak_height_m"] > theirs.height[0] + 0.1
    # let go before it can lift: it sinks from its zero at once, and that is found too
    scenario = load_scenario(FIRST, {**stands, "launch.release": "held", "launch.hold_s": 0.05})
    assert fly(scenario).outcome == fly_many([scenario], workers=1)[0]["outcome"] == "landed"


def chancy(count: int, **changes: object):
    def draw(rng):
        return {
            "launch.tilt_deg": float(rng.uniform(0.5, 6.0)),
            "launch.heading_deg": float(rng.uniform(0.0, 360.0)),
            "run.duration_s": 1.6,
            **changes,
        }

    return samples(FIRST, count, draw, seed=5)


def assert_same(a: Flights, b: Flights) -> None:
    """Bit for bit."""
    for field in fields(Flights):
        x, y = getattr(a, field.name), getattr(b, field.name)
        if isinstance(x, np.ndarray):
            np.testing.assert_array_equal(x, y, err_msg=field.name)
        else:
            assert x == y, field.name


def test_any_number_of_workers_flies_the_same_flights():
    todo = chancy(12)
    alone = fly_many(todo, workers=1)
    assert np.unique(alone.max_tilt_deg).size == 12  # they do differ from each other
    assert_same(alone, fly_many(todo, workers=2))
    with ThreadPoolExecutor(3) as pool:
        assert_same(alone, fly_many(todo, executor=pool, workers=3))
    assert_same(alone, fly_many([load_scenario(*item) for item in todo], workers=1))


def test_chance_belongs_to_the_sample():
    assert chancy(5) == chancy(20)[:5]
    assert chancy(5)[0] != chancy(5)[1]


def test_one_that_cannot_fly_does_not_take_the_others_with_it():
    good = chancy(2)
    todo = [
        good[0],
        (FIRST, {"launch.height_m": 0.01}),
        (FIRST, {"skein.turns": 1e5}),
        (SCENARIOS / "absent.toml", {}),
        good[1],
    ]
    with pytest.warns(RuntimeWarning, match="flight 1 of 5 failed.*below the floor"):  # of the first alone
        flights = fly_many(todo, workers=1)
    assert flights.outcome == ["still flying", "failed", "failed", "failed", "still flying"]
    assert "below the floor" in flights.sentence[1]
    assert "skein.turns" in flights.sentence[2]
    assert "absent.toml" in flights.sentence[3]
    assert np.isnan(flights.duration_s[1:4]).all()
    with pytest.warns(RuntimeWarning, match="failed"):
        assert_same(flights, fly_many(todo, workers=2))


def test_a_misspelt_key_is_refused_before_anything_is_flown(monkeypatch):
    """Sixty flights "failed" without a word before."""
    monkeypatch.setattr("paddlebar.ensemble.many.fly_brief", None)
    todo = [*chancy(3), (FIRST, {"launch.tlt_deg": 3.0})]
    with pytest.raises(NoSuchKey, match="launch.tlt_deg: no such key; did you mean tilt_deg"):
        fly_many(todo, workers=1)
    with pytest.raises(NoSuchKey, match="no such part; did you mean stick"):
        fly_many([(FIRST, {"craft.part.stik.mass_g": 3.0})], workers=1)


def test_samples_are_drawn_when_they_are_asked_for():
    drawn = []

    def draw(rng):
        drawn.append(1)
        return {"launch.tilt_deg": rng.uniform(1.0, 5.0)}

    many = samples(FIRST, 10**6, draw, seed=3)
    assert len(many) == 10**6
    assert drawn == []
    assert (
        many[-1] == many[10**6 - 1] == (FIRST, {"launch.tilt_deg": np.random.default_rng([3, 999_999]).uniform(1, 5)})
    )
    assert len(drawn) == 2
    with pytest.raises(IndexError):
        many[10**6]


def test_one_whose_numbers_fail_comes_back_with_what_was_flown(monkeypatch):
    """From two seconds on the turbulence is not a number."""
    scenario = load_scenario(FIRST, {"run.duration_s": 3.0})

    def spoilt(scenario):
        numbers = build(scenario)
        numbers.params[0]["turbulence_rate"] = 10.0
        numbers.gusts = np.zeros((100, 3))
        numbers.gusts[20:60] = math.nan
        return numbers

    monkeypatch.setattr("paddlebar.ensemble.many.build", spoilt)
    with pytest.warns(RuntimeWarning, match="stopped at t"):
        flight = fly_many([scenario], workers=1)[0]
    assert flight["outcome"] == "failed"
    assert flight["sentence"].startswith("stopped at t = 1.")
    assert 1.7 < flight["duration_s"] < 2.0  # the table is interpolated over two rows on either side
    assert math.isfinite(flight["peak_height_m"])


class Counting:
    """Progress that remembers."""

    def __init__(self, break_at: int = -1) -> None:
        self.told: list[str] = []
        self.break_at = break_at

    def start(self, steps: int) -> None:
        self.told.append(f"start {steps}")

    def step(self, what: str) -> None:
        self.told.append(what)
        if len(self.told) == self.break_at:
            raise KeyboardInterrupt

    def close(self) -> None:
        self.told.append("close")


@pytest.mark.parametrize("workers", [1, 2])
def test_progress_counts_every_flight(workers):
    progress = Counting()
    fly_many(chancy(5), workers=workers, progress=progress)
    assert progress.told == ["start 5", *["still flying"] * 5, "close"]


@pytest.mark.parametrize("how", ["alone", "processes", "threads"])
def test_ctrl_c_leaves_nothing_running(how):
    progress = Counting(break_at=3)
    todo, before = chancy(60), threading.active_count()
    with ThreadPoolExecutor(2) as pool:
        where = {"alone": {"workers": 1}, "processes": {"workers": 2}, "threads": {"executor": pool, "workers": 2}}[how]
        with pytest.raises(KeyboardInterrupt):
            fly_many(todo, progress=progress, **where)
        began = time.perf_counter()
        assert pool.submit(int).result() == 0  # it is ours to shut down, and idle
        assert time.perf_counter() - began < 1.0
    assert progress.told[-1] == "close"
    assert multiprocessing.active_children() == []
    assert threading.active_count() <= before


@pytest.mark.skipif(os.name == "nt", reason="signals to a group of processes")
def test_a_real_ctrl_c_ends_parent_and_workers_without_a_word_from_them(tmp_path):
    """Ctrl-C reaches the whole group of processes, workers too."""
    program = tmp_path / "many.py"
    program.write_text(
        textwrap.dedent(f"""
            from paddlebar import fly_many, samples
            class Say:
                def start(self, steps): pass
                def step(self, what): print("flown", flush=True)
                def close(self): print("closed", flush=True)
            if __name__ == "__main__":
                try:
                    fly_many(samples({str(FIRST)!r}, 2000, lambda rng: {{"launch.tilt_deg": rng.uniform(1.0, 5.0)}}), workers=2, progress=Say())
                except KeyboardInterrupt:
                    print("interrupted", flush=True)
        """)
    )
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "sim")}
    with subprocess.Popen(
        [sys.executable, str(program)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment, start_new_session=True
    ) as process:  # fmt: skip
        assert process.stdout is not None
        assert process.stdout.readline() == "flown\n"
        os.killpg(process.pid, signal.SIGINT)
        out, err = process.communicate(timeout=60)
    assert out.splitlines()[-2:] == ["closed", "interrupted"]
    assert "Traceback" not in err
    for _ in range(100):  # Python's own fork server leaves when it sees that its parent has gone
        try:
            os.killpg(process.pid, 0)
        except ProcessLookupError:
            return
        time.sleep(0.1)
    pytest.fail("somebody is left in the group of processes")


def test_samples_on_request_are_states_of_the_flight():
    scenario = load_scenario(FIRST, {"run.duration_s": 2.0, **TIGHT})
    flights = fly_many([scenario], workers=1, every=7)
    kept = flights.samples[0]
    assert kept is not None
    assert kept.shape[1] == 1 + layout.state_size(1)
    assert (np.diff(kept[:, 0]) > 0.0).all()
    theirs = fly(scenario)
    height = np.interp(theirs.time, kept[:, 0], -kept[:, 1 + layout.POSITION + 2])
    inside = (theirs.time > kept[0, 0]) & (theirs.time < kept[-1, 0])
    assert np.abs(height + theirs.position[:, 2])[inside].max() < 1e-3
    assert fly_many([scenario], workers=1).samples == [None]


def stepper_arguments(stop: float):
    scenario = load_scenario(FIRST, {"launch.release": "free", "launch.hold_s": 0.0, "launch.rotor_rpm": 600.0})
    numbers = build(scenario)
    y = launch.state(scenario, numbers)
    size = y.size
    clock = np.zeros(steps.CLOCK)
    clock[[steps.STEP, steps.ERROR]] = 1e-3, 1e-4
    tally = np.zeros(steps.TALLY)
    scratch = (
        rhs.work_array(), np.zeros((dop853.ROWS, size)), np.empty(size), np.empty(bodies.FLAP + 1), np.empty(events.COUNT),
        np.empty(events.COUNT),
    )  # fmt: skip
    return (
        y,
        clock,
        tally,
        {
            "stop": stop,
            "y": y,
            "craft": (address_of(numbers), numbers.params, numbers.tables, numbers.gusts),
            "watch": (np.array([events.FLOOR, events.CORD]), -1, np.array([-0.2, -math.inf, 0.0]), 0.0),
            "tolerance": (np.full(size, 1e-6), np.full(size, 1e-8), 0.02),
            "scratch": scratch,
            "record": (np.empty(derive.COLUMNS), clock, tally, 1, np.empty((steps.CALL_STEPS, 1 + size))),
        },
    )


def test_plain_python_takes_the_same_steps():
    """The driver's loop as Python against itself compiled; what it calls is compiled in both, see tests/physics for that."""
    y, clock, tally, given = stepper_arguments(0.05)
    z, later, counted, again = stepper_arguments(0.05)
    rates, params, tables, gusts = again["craft"]
    again["craft"] = (
        rates,
        params.view(np.recarray),
        tables,
        gusts,
    )  # plain Python reads fields by name from a record array only
    compiled = steps.advance(**given)
    plain = getattr(steps.advance, "py_func", steps.advance)(**again)
    assert compiled == plain == steps.REACHED
    assert clock[steps.STEPS] == later[steps.STEPS] > 3
    np.testing.assert_allclose(z, y, rtol=1e-11, atol=1e-13)
    np.testing.assert_allclose(counted, tally, rtol=1e-9, atol=1e-12)


def test_a_long_stretch_pauses_for_ctrl_c_and_goes_on(monkeypatch):
    """The same flight, whether Python looked in between or not."""
    scenario = load_scenario(FIRST, {"run.duration_s": 1.5, "run.max_step_s": 2e-4})
    numbers = build(scenario)
    stepper = CompiledStepper(numbers, scenario.run)
    track = fly_track(scenario, numbers, lambda _numbers, _run: stepper)
    assert stepper.steps[0] > 3 * steps.CALL_STEPS
    assert track.time[-1] == 1.5
    assert track.loads[-1, rhs.CG_HEIGHT] == pytest.approx(fly(scenario).height[-1], abs=1e-6)
