"""What the laws of motion say of every craft: mirror image, turned and moved places, energy and angular momentum without air.

Tried once on broken code, each failed here: the hand left out of a blade's pitch rate, and the bar's axes right-handed for either hand
(mirror image); wind turned into body axes the wrong way (heading); hub height that feels the place (place); the feathering share left out of
the bar's equation, the gyroscopic part of feathering, the sign of delta-3 in the angle alone (energy, momentum); the tail rotor's gyroscopic
moment, the cord's ratio, omega x J omega left out (momentum). The sign of delta-3 turned everywhere is another craft that obeys
all these laws: only reference/test_multibody_*.py see it.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
import tomlkit
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from paddlebar.craft.build import Numbers, build
from paddlebar.files import Scenario, parse_scenario
from paddlebar.flight import derive, launch, layout, rhs
from paddlebar.flight.fly import fly_scenario
from paddlebar.physics import bodies
from reference.still_craft import (
    MODELS,
    add_spring_motor,
    fly,
    numbers_of,
    random_craft,
    random_state,
    rates,
    to_earth,
    without_air,
)

Array = NDArray[np.float64]

CRAFT = sorted(path.name for path in MODELS.glob("*.toml"))
AIRY: dict[str, Any] = {
    "launch.height_m": 30.0,
    "launch.tilt_deg": 8.0,
    "launch.tilt_toward_deg": 50.0,
    "launch.push_m_s": [0.5, 0.3, 0.2],
    "launch.spin_deg_s": 20.0,
    "launch.rotor_rpm": 700.0,
    "launch.bar_deg": 4.0,
    "air.wind_m_s": 1.5,
    "air.wind_from_deg": 35.0,
    "air.gust_m_s": 1.0,
    "air.gust_from_deg": 100.0,
    "air.gust_start_s": 0.2,
    "run.duration_s": 1.5,
    "run.rtol": 1e-9,
}
PLACES = ("at_mm", "from_mm", "to_mm", "hub_mm", "along", "normal")
OTHER = {"left": "right", "right": "left", "clockwise": "counter-clockwise", "counter-clockwise": "clockwise"}


def mirrored(value: Any, key: str = "") -> Any:
    """The craft file seen in a mirror: right becomes left, either hand the other. Rotor angles count in the sense of rotation and stay."""
    if isinstance(value, dict):
        return {name: mirrored(each, name) for name, each in value.items()}
    if isinstance(value, list) and key in (*PLACES, "hooks_mm"):
        return [value[0], -value[1], value[2]] if key in PLACES else [[x, -y, z] for x, y, z in value]
    if isinstance(value, list):
        return [mirrored(each, key) for each in value]
    if key in ("turns", "thrust_to"):
        return OTHER[value]
    return -value if key == "tilt_right_deg" else value


def craft_of(name: str) -> dict[str, Any]:
    """A model's file, with two parts more so that left and right differ, and with blades and tips that are not alike."""
    raw = tomllib.loads((MODELS / name).read_text(encoding="utf-8"))
    raw.pop("all_up_g", None)
    raw["part"].append(
        {"name": "on one side", "kind": "point", "at_mm": [20, 35, -120], "mass_g": 0.4, "drag_area_mm2": 90}
    )
    fin = {"name": "askew", "kind": "plate", "at_mm": [-60, 20, -130], "length_mm": 40, "width_mm": 30, "mass_g": 0.1}
    raw["part"].append({**fin, "along": [0.8, 0.6, 0.0], "normal": [0.36, -0.48, 0.8]})
    raw["shaft"].update(tilt_right_deg=2.0, tilt_forward_deg=1.0)
    raw["shaft"].setdefault("turns", "counter-clockwise")
    rotor, bar = raw["rotor"], raw["bar"]
    unlike = (1.0, -1.0, 0.0)[: rotor["blades"]]  # their means stay what the file says
    rotor["blade_masses_g"] = [rotor["blade_mass_g"] * (1.0 + 0.05 * each) for each in unlike]
    rotor["blade_pitches_deg"] = [rotor["collective_deg"] + 0.5 * each for each in unlike]
    bar["tip_masses_g"] = [bar["tip_mass_g"] * share for share in (0.97, 1.03)]
    return raw


def scenario_of(craft: dict[str, Any], overrides: Mapping[str, Any]) -> Scenario:
    text = tomlkit.dumps({"craft": craft, "skein": {"turns": 200}})
    return parse_scenario(text, folder=MODELS, overrides=overrides)


def both_hands(name: str, overrides: Mapping[str, Any]) -> tuple[Scenario, Scenario]:
    """A scenario and its mirror image, made from the files, so that building takes part."""
    raw = craft_of(name)
    there = dict(overrides)
    for key in (
        "launch.tilt_toward_deg",
        "launch.spin_deg_s",
        "air.wind_from_deg",
        "air.gust_from_deg",
        "launch.heading_deg",
    ):
        if key in there:
            there[key] = -there[key] % 360.0 if key != "launch.spin_deg_s" else -there[key]
    forward, right, up = there["launch.push_m_s"]
    there["launch.push_m_s"] = [forward, -right, up]
    return scenario_of(raw, overrides), scenario_of(mirrored(raw), there)


def mirror_state(y: Array, nf: int) -> Array:
    """A state, or its rate, in the mirror: vectors change the sign of right, turns that of forward and down."""
    z = y.copy()
    at = layout.slices(nf)
    z[at["position"]] *= [1.0, -1.0, 1.0]
    z[at["attitude"]] *= [1.0, -1.0, 1.0, -1.0]
    z[at["velocity_body"]] *= [1.0, -1.0, 1.0]
    z[at["rate_body"]] *= [-1.0, 1.0, -1.0]
    z[at["inflow"]] *= [1.0, 1.0, -1.0]
    return z


def blown(rng: np.random.Generator, y: Array) -> Array:
    """The state with inflows of a working rotor."""
    y[layout.INFLOW : layout.INFLOW + 3] = rng.normal(size=3) * [1.0, 0.3, 0.3]
    y[layout.TAIL_INFLOW] = rng.normal()
    y[layout.SKEIN_SET] = rng.uniform(-1.0, 1.0)
    return y


def sizes(dy: Array, nf: int) -> Array:
    """For every entry, the largest of its row of the layout: a component may be small by cancellation, its vector is not."""
    size = np.empty_like(dy)
    for where in layout.slices(nf).values():
        size[where] = np.abs(dy[where]).max(initial=0.0)
    return size + 1e-300


@pytest.mark.parametrize("name", CRAFT)
def test_mirror_image_has_mirrored_rates(name: str) -> None:
    """Built from mirrored files, at 50 random states with air, wind and gust: 1e-11 of each quantity; only signs of sums differ."""
    here, there = (build(scenario) for scenario in both_hands(name, AIRY))
    assert here.params["hand"][0] == -there.params["hand"][0]
    p = here.params[0]
    nf = int(p["flaps"])
    rng = np.random.default_rng(1)
    for k in range(50):
        y = blown(rng, random_state(rng, nf, p))
        want = mirror_state(rates(here, y, 0.02 * k), nf)
        got = rates(there, mirror_state(y, nf), 0.02 * k)
        assert float((np.abs(got - want) / sizes(want, nf)).max()) < 1e-11


def fixed_steps(numbers: Numbers, y: Array, step: float, count: int) -> Array:
    """The state after so many steps of the classical Runge-Kutta method: no step control, so no choice that rounding could change."""
    t = 0.0
    for _ in range(count):
        k1 = rates(numbers, y, t)
        k2 = rates(numbers, y + 0.5 * step * k1, t + 0.5 * step)
        k3 = rates(numbers, y + 0.5 * step * k2, t + 0.5 * step)
        k4 = rates(numbers, y + step * k3, t + step)
        y = y + step / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4)
        t += step
    return y


@pytest.mark.parametrize("name", CRAFT)
def test_mirror_image_flies_the_mirrored_flight(name: str) -> None:
    """One second in wind and gust by fixed steps: rounding, grown by the flight's own sensitivity, stays below 1e-10 of each quantity."""
    pair = both_hands(name, AIRY)
    here, there = (build(scenario) for scenario in pair)
    nf = int(here.params[0]["flaps"])
    one, two = (fixed_steps(n, launch.state(s, n), 1e-3, 1000) for n, s in zip((here, there), pair, strict=True))
    want = mirror_state(one, nf)
    assert np.isfinite(want).all()
    assert float((np.abs(two - want) / sizes(want, nf)).max()) < 1e-10


@pytest.mark.parametrize("name", CRAFT)
def test_whole_program_flies_the_mirrored_flight(name: str) -> None:
    """From mirrored files to a Flight, 1.5 s. The solver's step control multiplies the rounding of the wind's direction (1e-16) two- to
    tenfold a step, so that after ten steps the two no longer step alike; what is left is its tolerance, 1e-9, times the growth of errors
    in the flight: 1e-5, and it was seen to fall with the tolerance."""
    here, there = (fly_scenario(scenario) for scenario in both_hands(name, AIRY))
    assert here.outcome == there.outcome
    assert here.time[-1] == pytest.approx(there.time[-1], abs=1e-9)
    for row, sign in (
        ("position", [1, -1, 1]),
        ("attitude", [1, -1, 1, -1]),
        ("velocity_body", [1, -1, 1]),
        ("rate_body", [-1, 1, -1]),
        ("rotor_speed", 1),
        ("bar_angle", 1),
        ("flap", 1),
        ("inflow", [1, 1, -1]),
    ):
        mine, theirs = (np.asarray(getattr(flight, row)[-1]) for flight in (here, there))
        assert mine == pytest.approx(theirs * np.array(sign), rel=1e-5, abs=1e-5), row


def turned(y: Array, angle: float, nf: int) -> Array:
    """A state with everything turned by a heading angle about the vertical through the origin."""
    z = y.copy()
    at = layout.slices(nf)
    turn = Rotation.from_rotvec([0.0, 0.0, angle])
    z[at["position"]] = turn.apply(y[at["position"]])
    z[at["attitude"]] = (turn * Rotation.from_quat(y[at["attitude"]], scalar_first=True)).as_quat(scalar_first=True)
    return z


@pytest.mark.parametrize("name", CRAFT)
@pytest.mark.parametrize("angle", [25.0, 90.0, 217.0])
def test_heading_does_not_change_the_rates(name: str, angle: float) -> None:
    """Craft, wind and gust turned together: body-fixed rates the same to 1e-11, velocity over the ground turned."""
    here = build(scenario_of(craft_of(name), AIRY))
    wind = {key: AIRY[key] + angle for key in ("air.wind_from_deg", "air.gust_from_deg")}
    there = build(scenario_of(craft_of(name), {**AIRY, **wind}))
    p = here.params[0]
    nf = int(p["flaps"])
    at = layout.slices(nf)
    rng = np.random.default_rng(2)
    for k in range(20):
        y = blown(rng, random_state(rng, nf, p))
        one = rates(here, y, 0.05 * k)
        two = rates(there, turned(y, np.radians(angle), nf), 0.05 * k)
        one[at["position"]] = Rotation.from_rotvec([0.0, 0.0, np.radians(angle)]).apply(one[at["position"]])
        one[at["attitude"]] = two[at["attitude"]] = 0.0
        assert float((np.abs(two - one) / sizes(one, nf)).max()) < 1e-11


def test_turned_flight_is_the_flight_turned() -> None:
    """1.5 s; the solver's error estimate sees other components, so its steps differ: what is left is its tolerance (1e-9) times the
    growth of errors in the flight, below 1e-5."""
    raw = craft_of("hall-ten.toml")
    angle = 130.0
    there = {**AIRY, "launch.heading_deg": angle}
    for key in ("air.wind_from_deg", "air.gust_from_deg"):
        there[key] = AIRY[key] + angle
    one, two = fly_scenario(scenario_of(raw, AIRY)), fly_scenario(scenario_of(raw, there))
    turn = Rotation.from_rotvec([0.0, 0.0, np.radians(angle)])
    assert two.position[-1] == pytest.approx(turn.apply(one.position[-1]), abs=1e-5)
    assert two.rate_body[-1] == pytest.approx(one.rate_body[-1], abs=1e-4)
    assert two.rotor_speed[-1] == pytest.approx(one.rotor_speed[-1], rel=1e-6)
    assert two.height[-1] == pytest.approx(one.height[-1], abs=1e-6)
    assert two.heading[-1] - one.heading[-1] == pytest.approx(np.radians(angle), abs=1e-5)


@pytest.mark.parametrize("name", CRAFT)
def test_place_does_not_change_the_rates(name: str) -> None:
    """Moved over the ground in uniform wind: not one bit; moved up too, out of reach of ground and shear: 1e-13."""
    numbers = build(scenario_of(craft_of(name), AIRY))
    p = numbers.params[0]
    nf = int(p["flaps"])
    rng = np.random.default_rng(3)
    for _ in range(10):
        y = blown(rng, random_state(rng, nf, p))
        here = rates(numbers, y)
        y[:2] += [17.0, -230.0]
        assert (rates(numbers, y) == here).all()
        p["ground_effect"] = 0
        here = rates(numbers, y)
        y[2] -= 1000.0
        assert float((np.abs(rates(numbers, y) - here) / sizes(here, nf)).max()) < 1e-13
        p["ground_effect"] = 1


def energy(numbers: Numbers, states: Array) -> Array:
    rows = derive.derived(np.zeros(len(states)), states, numbers)
    return np.array([derive.mechanical_energy(row) for row in rows])


HEADS = [("teetering", 2), ("flapping", 3), ("rigid", 4)]


@pytest.mark.parametrize("hand", [1.0, -1.0])
@pytest.mark.parametrize(("head", "blades"), HEADS)
def test_energy_is_kept_without_air(head: str, blades: int, hand: float) -> None:
    """Random craft, loss-free hinge springs, gravity, half a second: kinetic + potential + spring energy to 1e-9 of the kinetic energy
    (solver tolerance 1e-11)."""
    rng = np.random.default_rng([4, blades])
    numbers = random_craft(rng, head, blades, hand, cord=hand > 0.0)
    p = numbers.params[0]
    p["flap_damper"] = p["bar_damper"] = 0.0
    p["feather_share"] *= 0.3
    p["bar_spring"], p["flap_spring"] = 10e-3, 20e-3
    y = random_state(rng, int(p["flaps"]), p)
    states = fly(numbers, y, np.linspace(0.0, 0.5, 26))
    kinetic = derive.derived(np.zeros(1), states[:1], numbers)[0, derive.KINETIC]
    found = energy(numbers, states)
    assert float(np.ptp(found)) < 1e-9 * kinetic


def momentum_about_cg(numbers: Numbers, y: Array) -> Array:
    """Angular momentum about the centre of gravity in earth axes from the mass matrix, (3,) [kg m^2/s]."""
    p = numbers.params[0]
    nf = int(p["flaps"])
    n = bodies.FLAP + nf
    at = layout.slices(nf)
    work = rhs.work_array()
    rhs.rhs(0.0, y, numbers.params, numbers.tables, numbers.gusts, work)
    matrix = np.tril(work[:n, :n]) + np.tril(work[:n, :n], -1).T
    tail = 0.0 if p["cord_mode"] == 1 else y[layout.TAIL_SPEED]
    joints = [y[layout.ROTOR_SPEED], y[layout.BAR_RATE], tail]
    u = np.concatenate([y[at["velocity_body"]], y[at["rate_body"]], joints, y[at["flap_rate"]]])
    linear, about_datum = matrix[:3] @ u, matrix[3:6] @ u
    centre = work[bodies.TOTAL, 1:4] / work[bodies.TOTAL, 0]
    return np.asarray(to_earth(y) @ (about_datum - np.cross(centre, linear)))


@pytest.mark.parametrize(("head", "blades"), HEADS)
def test_angular_momentum_is_kept_without_air(head: str, blades: int) -> None:
    """About the centre of gravity, gravity or not; hinges, springs, dampers and the motor are inside: 1e-9 over half a second."""
    rng = np.random.default_rng([6, blades])
    numbers = random_craft(rng, head, blades, -1.0, cord=True)
    p = numbers.params[0]
    p["feather_share"] *= 0.3
    p["bar_spring"], p["flap_spring"] = 10e-3, 20e-3
    add_spring_motor(numbers, 2e-3, 30.0)
    y = random_state(rng, int(p["flaps"]), p)
    found = np.array([momentum_about_cg(numbers, each) for each in fly(numbers, y, np.linspace(0.0, 0.5, 11))])
    assert float(np.abs(found - found[0]).max()) < 1e-9 * float(np.linalg.norm(found[0]))


@pytest.mark.parametrize("hand", ["counter-clockwise", "clockwise"])
def test_body_and_rotor_exchange_angular_momentum(hand: str) -> None:
    """Rigid head, no bar, no tail rotor, nothing but numpy: I_body w + I_rotor (w + axis Omega) + orbital parts, kept to 1e-9 in 2 s."""
    numbers = without_air(
        numbers_of(
            {
                "craft.shaft.turns": hand,
                "craft.head.kind": "rigid",
                "craft.bar.kind": "none",
                "craft.tail.drive": "none",
                "craft.shaft.tilt_forward_deg": 6.0,
            }
        )
    )
    p = numbers.params[0]
    y = random_state(np.random.default_rng(7), 0, p)
    y[layout.ROTOR_SPEED] = 90.0

    def momentum(y: Array) -> Array:
        w = y[layout.RATE_BODY : layout.RATE_BODY + 3]
        axis, sense = p["shaft_axis"], float(p["hand"])
        spin = w + sense * axis * y[layout.ROTOR_SPEED]
        hub_inertia = p["hub_diametral"] * np.eye(3) + (p["hub_polar"] - p["hub_diametral"]) * np.outer(axis, axis)
        body_mass, body_centre = float(p["body_mass"]), p["body_moment"] / p["body_mass"]
        about_centre = p["body_inertia"] - body_mass * (
            body_centre @ body_centre * np.eye(3) - np.outer(body_centre, body_centre)
        )
        parts = [(body_mass, body_centre, np.cross(w, body_centre), about_centre @ w)]
        parts.append((float(p["hub_mass"]), p["hub_place"], np.cross(w, p["hub_place"]), hub_inertia @ spin))
        for i in range(int(p["blades"])):
            turn = Rotation.from_rotvec(axis * sense * (y[layout.ROTOR_AZIMUTH] + 2.0 * np.pi * i / p["blades"]))
            out = turn.apply(p["aft"])
            span = np.cos(p["precone"]) * out + np.sin(p["precone"]) * axis
            ahead = sense * np.cross(axis, out)
            e = np.column_stack([span, ahead, np.cos(p["precone"]) * axis - np.sin(p["precone"]) * out])
            arm = e @ p["blade_centre"]
            velocity = np.cross(w, p["hub_place"]) + np.cross(spin, arm)
            parts.append((float(p["blade_mass"]), p["hub_place"] + arm, velocity, e @ p["blade_inertia"] @ e.T @ spin))
        total = sum(m for m, _, _, _ in parts)
        centre = sum(m * r for m, r, _, _ in parts) / total
        mean = sum(m * v for m, _, v, _ in parts) / total
        return np.asarray(to_earth(y) @ sum(m * np.cross(r - centre, v - mean) + own for m, r, v, own in parts))

    found = np.array([momentum(each) for each in fly(numbers, y, np.linspace(0.0, 2.0, 21))])
    assert float(np.abs(found - found[0]).max()) < 1e-9 * float(np.linalg.norm(found[0]))
    assert momentum_about_cg(numbers, y) == pytest.approx(found[0], rel=1e-12, abs=1e-12 * np.abs(found[0]).max())
