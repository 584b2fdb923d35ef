"""Crafts and states for the checks of rigid-body mechanics: no air, no rub, and places, masses and inertias of any kind.

Serves tests/reference/test_multibody_*.py, tests/physics/test_bodies.py, test_mechanism.py and tests/invariants/test_mechanics.py.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.spatial.transform import Rotation

from paddlebar.craft.build import Numbers, build
from paddlebar.files import parse_scenario
from paddlebar.flight import layout, rhs
from paddlebar.physics import motor

Array = NDArray[np.float64]

MODELS = Path(__file__).resolve().parents[2] / "models"
SCENARIO = """\
craft = "hall-ten.toml"

[skein]
turns = 300

[launch]
height_m = 50
"""
NO_AIR = ("el_half_area", "el_damping", "paddle_half_area", "bar_half_drag", "tail_half_area", "st_half_drag", "rho")
NO_RUB = ("shaft_friction", "flap_friction", "bar_friction", "tail_friction", "cord_loss")


def numbers_of(overrides: Mapping[str, Any] | None = None) -> Numbers:
    """The numbers of models/hall-ten.toml in open air, changed by dotted keys of the scenario."""
    return build(parse_scenario(SCENARIO, folder=MODELS, overrides=dict(overrides or {})))


def without_air(numbers: Numbers) -> Numbers:
    """The same craft in a vacuum: no load of the air, no inflow, no dry friction, no skein, no stops."""
    numbers = numbers.copy()
    p = numbers.params[0]
    for name in (*NO_AIR, *NO_RUB):
        p[name] = 0.0
    p["inflow_mode"] = 0
    p["ground_effect"] = 0
    p["skein"]["kind"] = p["tail_skein"]["kind"] = motor.NONE
    p["skein"]["half_loss"] = 0.0
    for name in ("flap_stop", "bar_stop"):
        p[name] = 1e9
    return numbers


def add_spring_motor(numbers: Numbers, torque: float, turns: float) -> None:
    """Drive the shaft by a loss-free skein whose torque falls in proportion to its turns, `torque` [N m] at `turns`."""
    skein = numbers.params[0]["skein"]
    skein["kind"] = motor.TABLE
    skein["runs_back"] = 1
    skein["turns"] = skein["table_last"] = turns
    skein["table"] = np.linspace(0.0, torque, motor.NODES)
    skein["settle"] = 1.0


def rates(numbers: Numbers, y: Array, t: float = 0.0) -> Array:
    """Right-hand side of the compiled code, (state_size,)."""
    return np.array(rhs.rhs(t, y, numbers.params, numbers.tables, numbers.gusts, rhs.work_array()))


def fly(numbers: Numbers, y: Array, times: Array, rtol: float = 1e-11) -> Array:
    """States (n, state_size) at given times from our right-hand side by DOP853; absolute tolerance 1e-3 of the relative one on the
    scales of the layout, none on the ledger's rows."""
    nf = (y.size - layout.FLAP) // 2
    atol = 1e-3 * rtol * layout.scales(nf)
    atol[layout.LOST_HYSTERESIS : layout.FLAP] = 1.0
    work = rhs.work_array()

    def f(t: float, x: Array) -> Array:
        return np.asarray(rhs.rhs(t, x, numbers.params, numbers.tables, numbers.gusts, work))

    found = solve_ivp(f, (times[0], times[-1]), y, method="DOP853", rtol=rtol, atol=atol, t_eval=times)
    assert found.success, found.message
    return np.asarray(found.y.T)


def to_earth(y: Array) -> Array:
    """Rotation matrix body to earth of a state, by scipy."""
    return np.asarray(Rotation.from_quat(y[layout.ATTITUDE : layout.ATTITUDE + 4], scalar_first=True).as_matrix())


def random_state(rng: np.random.Generator, nf: int, p: np.void) -> Array:
    """A state anywhere: every attitude, every azimuth, large joint angles, rates of a craft that tumbles."""
    at = layout.slices(nf)
    y = np.zeros(layout.state_size(nf))
    y[at["position"]] = rng.normal(size=3) * 3.0 - np.array([0.0, 0.0, 40.0])
    q = rng.normal(size=4)
    y[at["attitude"]] = q / np.linalg.norm(q)
    y[at["velocity_body"]] = rng.normal(size=3) * 2.0
    y[at["rate_body"]] = rng.normal(size=3) * 5.0
    y[layout.ROTOR_AZIMUTH] = rng.uniform(0.0, 2.0 * math.pi)
    y[layout.ROTOR_SPEED] = rng.uniform(20.0, 150.0)
    y[layout.BAR_ANGLE] = rng.uniform(-0.4, 0.4)
    y[layout.BAR_RATE] = rng.normal() * 20.0
    y[layout.TAIL_ANGLE] = rng.uniform(0.0, 2.0 * math.pi)
    y[layout.TAIL_SPEED] = rng.uniform(50.0, 400.0)
    if p["cord_mode"] == 1:
        y[layout.TAIL_ANGLE] = p["cord_ratio"] * y[layout.ROTOR_AZIMUTH]
        y[layout.TAIL_SPEED] = p["cord_ratio"] * y[layout.ROTOR_SPEED]
    y[at["flap"]] = rng.uniform(-0.3, 0.3, nf)
    y[at["flap_rate"]] = rng.normal(size=nf) * 20.0
    return y


def cloud(rng: np.random.Generator, mass: float, size: Array, centre: Array) -> tuple[float, Array, Array]:
    """Mass, centre and inertia about the centre of twelve random points in a box: a possible body with all three products."""
    share = rng.uniform(0.5, 1.5, 12)
    share *= mass / share.sum()
    place = centre + rng.uniform(-1.0, 1.0, (12, 3)) * size
    middle = share @ place / mass
    d = place - middle
    inertia = np.einsum("n,nk,nk->", share, d, d) * np.eye(3) - np.einsum("n,ni,nj->ij", share, d, d)
    return mass, middle, inertia


def triad(rng: np.random.Generator) -> Array:
    """Three random unit vectors (rows), right-handed."""
    return np.asarray(Rotation.from_quat(rng.normal(size=4)).as_matrix())


def random_craft(
    rng: np.random.Generator, head: str, blades: int, hand: float, cord: bool, *, unequal: bool = False
) -> Numbers:
    """A craft of random masses, places, inertias and axes in a vacuum; nothing in it is symmetric but, unless `unequal`, blade to blade."""
    numbers = without_air(numbers_of())
    p = numbers.params[0]
    mass, centre, inertia = cloud(
        rng, rng.uniform(3e-3, 30e-3), np.array([0.15, 0.05, 0.15]), rng.normal(size=3) * 0.03
    )
    p["body_mass"], p["body_moment"] = mass, mass * centre
    p["body_inertia"] = inertia + mass * (centre @ centre * np.eye(3) - np.outer(centre, centre))
    p["hub_place"] = rng.normal(size=3) * 0.05
    p["shaft_axis"], p["aft"], p["right"] = triad(rng)
    p["hand"] = hand
    p["hub_mass"] = rng.uniform(0.3e-3, 2e-3)
    p["hub_polar"] = rng.uniform(2e-8, 2e-7)
    p["hub_diametral"] = p["hub_polar"] * rng.uniform(0.5, 1.5)
    p["blades"] = blades
    sense = [1.0 - 2.0 * i for i in range(blades)] if head == "teetering" else [1.0] * blades
    p["flaps"] = {"rigid": 0, "teetering": 1, "flapping": blades}[head]
    which = {"rigid": [-1] * blades, "teetering": [0] * blades, "flapping": list(range(blades))}[head]
    p["flap_of_blade"][:blades] = which
    p["flap_sign"][:blades] = sense
    p["feather_share"][:blades] = rng.normal(size=blades)
    p["flap_coupling"] = rng.uniform(-1.0, 1.0)
    p["precone"] = rng.uniform(-0.1, 0.2)
    p["hinge_offset"] = rng.uniform(0.005, 0.03) if head == "flapping" else 0.0
    size, middle = np.array([0.09, 0.02, 0.008]), np.array([0.11, -0.006, 0.004])
    p["blade_mass"], p["blade_centre"], p["blade_inertia"] = cloud(rng, rng.uniform(0.4e-3, 3e-3), size, middle)
    p["bar_lead"], p["bar_height"] = rng.uniform(0.0, 2.0 * math.pi), rng.uniform(-0.03, 0.03)
    p["bar_mass"], p["bar_centre"], p["bar_inertia"] = cloud(
        rng, rng.uniform(0.5e-3, 3e-3), np.array([0.09, 0.01, 0.004]), np.array([0.004, 0.002, -0.003])
    )
    p["locked"][7] = 0
    p["locked"][8] = int(cord)
    p["tail_place"] = rng.normal(size=3) * 0.2
    p["tail_axis"], p["tail_one"], p["tail_two"] = triad(rng)
    p["tail_hand"] = rng.choice([-1.0, 1.0])
    p["tail_mass"] = rng.uniform(0.2e-3, 1e-3)
    p["tail_polar"] = rng.uniform(1e-7, 5e-7)
    p["tail_diametral"] = p["tail_polar"] * rng.uniform(0.5, 1.5)
    p["cord_mode"], p["cord_ratio"] = int(cord), rng.uniform(2.0, 5.0)
    p["flap_spring"], p["bar_spring"] = rng.uniform(0.0, 5e-3, 2)
    p["flap_damper"], p["bar_damper"] = rng.uniform(0.0, 2e-5, 2)
    if unequal:
        p["blade_share"] = rng.uniform(0.5, 1.5, p["blade_share"].size)
        p["blade_pitch"] = rng.uniform(-0.3, 0.3, p["blade_pitch"].size)
    return numbers
