"""Forces and controllers of one's own: the same as written into the equations, the ledger closed, and one line for each way to get it wrong.

Broken : tried, failed: sign of the bar's joint in join_bar (gravity on every body), own work left out of ensemble/steps.py (ledgers), base
         held not asked for in put_load (work while held).
"""

from __future__ import annotations

import math
import pickle
from typing import Any

import numpy as np
import pytest

import paddlebar
from paddlebar import BadInput, Force, Setting
from paddlebar.craft.build import Numbers, build
from paddlebar.flight import layout, own_loads, rhs
from paddlebar.flight.own import own_of, pushed
from paddlebar.physics import bodies

MORE = 0.7  # [m/s^2]
SHORT = {"run.duration_s": 0.4, "launch.release": "free", "launch.hold_s": 0.0, "launch.rotor_rpm": 380.0}


def drag(t, seen, craft):
    u, v, w = seen.velocity_body
    return -0.04 * u, -0.04 * v, -0.04 * w


def unfit(t, seen, craft):
    """The same, in what no compiler takes."""
    return [-0.04 * {"of": each}["of"] for each in seen.velocity_body] or open("/dev/null")  # noqa: PTH123


def late(t, seen, craft):
    if t > 0.1:
        raise ValueError("too late")
    return 0.0, 0.0, 0.0


def scenario(**more: Any) -> paddlebar.Scenario:
    return paddlebar.load_scenario("scenarios/first-flight.toml", SHORT | more)


def states(nf: int, count: int) -> np.ndarray:
    """By chance, the rotor turning."""
    rng = np.random.default_rng(17)
    y = 0.1 * rng.normal(size=(count, layout.state_size(nf))) * layout.scales(nf)
    attitude = rng.normal(size=(count, 4))
    y[:, layout.ATTITUDE : layout.ATTITUDE + 4] = attitude / np.linalg.norm(attitude, axis=1)[:, None]
    y[:, layout.ROTOR_SPEED] = 40.0
    return y


def rates(numbers: Numbers, y: np.ndarray, work: np.ndarray | None = None) -> np.ndarray:
    given = rhs.work_array() if work is None else work
    return np.asarray(rhs.rhs(0.0, y, numbers.params, numbers.tables, numbers.gusts, given))


def _fuselage(t, seen, craft):
    return 0.0, 0.0, MORE * craft.body_mass


def _hub(t, seen, craft):
    return 0.0, 0.0, MORE * craft.hub_mass


def _blade(t, seen, craft):
    return 0.0, 0.0, MORE * craft.blade_mass


def _bar(t, seen, craft):
    return 0.0, 0.0, MORE * craft.bar_mass


def _tail(t, seen, craft):
    return 0.0, 0.0, MORE * craft.tail_mass


def heavier(blades: int) -> list[Force]:
    """More gravity, as a force on every body."""
    on = {"fuselage": _fuselage, "hub": _hub, "bar": _bar, "tail": _tail}
    on |= {f"blade {n + 1}": _blade for n in range(blades)}
    return [Force(function, name, "earth", "centre") for name, function in on.items()]


@pytest.mark.parametrize("head", ["teetering", "flapping"])
def test_more_gravity_on_every_body_is_more_gravity(head):
    """Against the same in the equations: to 1e-12, and its power is what the weight loses in height."""
    base = scenario(**{"craft.head.kind": head, "craft.head.delta3_deg": 20.0})
    own, written = build(pushed(base, heavier(2))), build(base)
    written.params[0]["gravity"] += MORE
    nf = int(own.params[0]["flaps"])
    mass = sum(float(own.params[0][k]) for k in ("body_mass", "hub_mass", "bar_mass", "tail_mass"))
    mass += 2.0 * float(own.params[0]["blade_mass"])
    for y in states(nf, 12):
        y[layout.TAIL_SPEED] = own.params[0]["cord_ratio"] * y[layout.ROTOR_SPEED]
        want = rates(written, y)
        assert rates(own, y) == pytest.approx(want, rel=1e-12, abs=1e-12 * np.abs(want).max())
        work = rhs.work_array()
        power = -rates(own, np.append(y, 0.0), work)[-1]
        step = 1e-6
        heights = []
        for side in (step, -step):
            moved = y + side * want
            here = rhs.work_array()
            rates(written, moved, here)
            heights.append(float(here[bodies.DIAGNOSTIC, rhs.CG_HEIGHT]))
        assert power == pytest.approx(-mass * MORE * (heights[0] - heights[1]) / (2.0 * step), rel=1e-5, abs=1e-7)


def test_a_flight_with_one_closes_its_ledger_by_either_stepper():
    flight = paddlebar.fly(scenario(), drag)
    many = paddlebar.fly_many([scenario(), ("scenarios/first-flight.toml", SHORT)], force=drag, workers=1)
    taken = flight.ledger["own force"]
    assert taken[-1] > 1e-6
    assert (np.diff(taken) >= 0.0).all()
    assert np.abs(flight.ledger["residual"]).max() < 1e-6 * taken[-1] + 1e-8
    assert many.failed == []
    assert many.energy_error.max() < 1e-6
    assert many.final_height_m[0] == many.final_height_m[1] == pytest.approx(flight.height[-1], abs=1e-5)
    assert flight.solver["own_forces"] == ["force drag on the fuselage"]


def test_a_flight_without_one_knows_nothing_of_it():
    """No state, no row, and nothing that was compiled for a flight without one is compiled anew for one with it."""
    flight = paddlebar.fly(scenario())
    before = signatures()
    paddlebar.fly(scenario(), drag)
    paddlebar.fly(scenario(), Force(drag, "blade 2", "body"))
    assert "own force" not in flight.ledger
    assert "own_forces" not in flight.solver
    assert signatures()[0] == before[0]
    assert signatures()[1] <= 1


def signatures() -> list[int]:
    """How many times each was compiled; none of it without a compiler."""
    return [len(getattr(function, "signatures", ())) for function in (rhs.rhs_into, own_loads.put_load)]


def test_what_does_not_compile_flies_the_same_and_says_so():
    with pytest.warns(UserWarning, match="force unfit on the fuselage flies slower, as plain Python"):
        plain = paddlebar.fly(scenario(), unfit)
    compiled = paddlebar.fly(scenario(), drag)
    assert plain.time.tobytes() == compiled.time.tobytes()
    assert plain.attitude == pytest.approx(compiled.attitude, rel=1e-12, abs=1e-12)
    assert plain.solver["own_forces"] == ["force unfit on the fuselage, in plain Python"]


def test_it_goes_to_another_process_by_value_and_is_compiled_there_once():
    own = own_of(Force(lambda t, seen, craft: (0.0, 0.0, -craft.gravity * 1e-3), frame="earth"))
    assert own is not None
    first, second = (pickle.loads(pickle.dumps(own)) for _ in range(2))
    assert first.entrance is second.entrance


@pytest.mark.slow
def test_processes_and_threads_fly_it_alike():
    one = paddlebar.fly_many([scenario()] * 3, force=drag, workers=1)
    two = paddlebar.fly_many([scenario()] * 3, force=drag, workers=2)
    assert (one.final_height_m == two.final_height_m).all()
    assert (one.evaluations == two.evaluations).all()


# ---- actuators


def loads(numbers: Numbers, y: np.ndarray) -> np.ndarray:
    work = rhs.work_array()
    rates(numbers, y, work)
    return work[bodies.DIAGNOSTIC].copy()


def hovering(numbers: Numbers) -> np.ndarray:
    y = np.zeros(layout.state_size(int(numbers.params[0]["flaps"])))
    y[layout.ATTITUDE], y[layout.ROTOR_SPEED], y[layout.INFLOW] = 1.0, 40.0, 0.9
    y[layout.TAIL_SPEED] = numbers.params[0]["cord_ratio"] * 40.0
    return y


def _degree(t, seen, craft):
    return math.radians(1.0)


@pytest.mark.parametrize(
    ("actuator", "key", "column"),
    [("collective", "craft.rotor.collective_deg", rhs.THRUST), ("tail pitch", "craft.tail.pitch_deg", rhs.TAIL_THRUST)],
)
def test_a_degree_of_pitch_lifts_as_a_degree_built_in(actuator, key, column):
    """Strips turned against the blade, or the blade: but for how its quarter chord moves the same, 0.2 % of what it adds.

    How the inflow is spread along the blade follows what is built in and not the actuator; that would be 4.6 % here.
    """
    base = scenario()
    table, _, name = key.removeprefix("craft.").partition(".")
    built = float(getattr(getattr(base.craft, table), name))
    plain, turned = build(base), build(scenario(**{key: built + 1.0}))
    own = build(pushed(base, Setting(actuator, _degree)))
    turned.params["el_shape"] = plain.params["el_shape"]
    y = hovering(plain)
    more = loads(turned, y)[column] - loads(plain, y)[column]
    assert abs(more) > 1e-4
    assert loads(own, y)[column] - loads(plain, y)[column] == pytest.approx(more, rel=2e-3)


def test_cyclic_is_felt_where_it_says_and_bar_tilt_as_the_bar_itself():
    def aft(t, seen, craft):
        return math.radians(1.0), 0.0

    base = scenario()
    y = hovering(build(base))
    thrust = []
    for azimuth in (
        0.0,
        0.5 * math.pi,
    ):  # blade 1 over the tail, blade 2 over the nose: none lifts more than the other loses
        y[layout.ROTOR_AZIMUTH] = azimuth
        own, plain = (rates(build(each), y) for each in (pushed(base, Setting("cyclic", aft)), base))
        thrust.append((own - plain)[layout.FLAP + 1])
    assert thrust[0] > 1.0
    assert abs(thrust[1]) < 1e-9 * thrust[0]

    def tilt(t, seen, craft):
        return 0.02, 0.01

    own = build(pushed(base, Setting("bar tilt", tilt)))
    for azimuth in (0.3, 2.0):
        y[layout.ROTOR_AZIMUTH] = azimuth
        chi = float(own.params[0]["hand"]) * (azimuth + float(own.params[0]["bar_lead"]))
        work = rhs.work_array()
        rates(own, y, work)
        assert work[bodies.SETTING, bodies.BAR_TILT] == pytest.approx(0.02 * math.cos(chi) - 0.01 * math.sin(chi))


def test_a_brake_slows_the_rotor_and_takes_what_it_should():
    def brake(t, seen, craft):
        return 1e-3

    base = scenario()
    own, plain = build(pushed(base, Setting("skein brake", brake))), build(base)
    y = np.append(hovering(plain), 0.0)
    braked, free = rates(own, y), rates(plain, y[:-1])
    assert braked[layout.ROTOR_SPEED] < free[layout.ROTOR_SPEED] - 1.0
    assert braked[-1] == pytest.approx(1e-3 * 40.0, rel=1e-12)
    assert braked[layout.LOST_SHAFT] == free[layout.LOST_SHAFT]


@pytest.mark.parametrize("held", [False, True])
def test_a_controller_holds_the_craft_without_bar_upright(held):
    """Without it the craft is over in three seconds; with it the lean stays within 6 degrees, its ledger closed."""

    def pilot(t, seen, craft):
        dip, right, _ = seen.down
        p, q, _ = seen.rate_body
        u, v, _ = seen.velocity_body
        return 0.3 * right + 0.05 * p + 0.02 * v, 0.3 * dip - 0.05 * q + 0.02 * u

    craft = paddlebar.load_scenario("scenarios/no-bar.toml", {"run.duration_s": 5.0})
    flight = paddlebar.fly(craft, Setting("cyclic", pilot) if held else None)
    assert flight.energy_error < 1e-6
    assert (math.degrees(flight.tilt.max()) < 6.0) is held
    assert (flight.outcome == "still flying") is held


# ---- what goes wrong


@pytest.mark.parametrize(
    ("force", "says"),
    [
        (3.0, "force: a function f(t, seen, craft), a Force, a Setting, or several of them, found 3.0"),
        (lambda: Force(drag, "wing"), 'on: "fuselage" | "hub" | "blade" | "bar" | "tail", found \'wing\''),
        (lambda: Force(drag, "blade 3"), 'on: "blade 1" to "blade 2", found \'blade 3\''),
        (lambda: Force(drag, frame="north"), 'frame: "fuselage" | "earth" | "body", found \'north\''),
        (lambda: Force(drag, at=(0.0, 1.0)), 'at: three numbers [m], or "centre", found (0.0, 1.0)'),
        (lambda: Setting("rudder", drag), 'actuator: "collective" | "cyclic"'),
        (lambda: Setting("collective", drag), "should give an angle [rad]"),
        (lambda: Force(_degree), "should give (Fx, Fy, Fz) [N]"),
        (late, "force late on the fuselage: at 0.1"),
        (lambda: Force(_nothing), "gives what is no number"),
    ],
)
@pytest.mark.filterwarnings("ignore:.*flies slower")
def test_what_cannot_be_is_told_in_one_line(force, says):
    with pytest.raises(BadInput) as told:
        paddlebar.fly(scenario(), force() if getattr(force, "__name__", "") == "<lambda>" else force)
    assert says in str(told.value)
    assert "\n" not in str(told.value)


def _nothing(t, seen, craft):
    return math.nan, 0.0, 0.0


def test_an_actuator_that_a_craft_has_not():
    bare = paddlebar.load_scenario("scenarios/no-bar.toml")
    with pytest.raises(BadInput, match='no linkage passes it on .*; use "cyclic"'):
        paddlebar.fly(bare, Setting("bar tilt", _degree))
    with pytest.raises(BadInput, match="this craft has none"):
        paddlebar.fly(bare, Force(drag, "bar"))


def test_one_that_fails_in_one_flight_of_many_takes_no_other_with_it():
    with pytest.warns(RuntimeWarning, match="too late"):
        found = paddlebar.fly_many([scenario(), scenario(**{"run.duration_s": 0.05})], force=late, workers=1)
    assert found.outcome == ["failed", "still flying"]
    assert "ValueError: too late" in found.sentence[0]
