"""Short real flights, and where the equations say that the marked points of a craft are."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from paddlebar.craft.build import build
from paddlebar.files import Scenario, parse_scenario
from paddlebar.flight.fly import fly_scenario
from paddlebar.physics.attitude import rotation
from paddlebar.physics.mechanism import hub_axes
from paddlebar.record.read import RecordedFlight, read_run
from paddlebar.record.write import write_run

Array = NDArray[np.float64]

MODELS = Path(__file__).parents[2] / "models"

BASE: dict[str, Any] = {
    "launch.height_m": 3.0,
    "launch.tilt_deg": 12.0,
    "launch.tilt_toward_deg": 50.0,
    "launch.heading_deg": 70.0,
    "launch.spin_deg_s": 40.0,
    "launch.rotor_rpm": 390.0,
    "launch.bar_deg": 4.0,
    "run.duration_s": 0.8,
    "run.blade_elements": 3,
}
CRAFT: dict[str, dict[str, Any]] = {
    "teetering": {},
    # clockwise, three blades on offset hinges, delta-3, leaning shaft, tail to the left, paddles
    "clockwise": {
        "craft.shaft.turns": "clockwise",
        "craft.shaft.tilt_forward_deg": 4.0,
        "craft.head.kind": "flapping",
        "craft.head.hinge_offset_mm": 8.0,
        "craft.head.delta3_deg": 20.0,
        "craft.head.precone_deg": 4.0,
        "craft.rotor.blades": 3,
        "craft.tail.thrust_to": "left",
        "craft.bar.paddle_span_mm": 20.0,
        "craft.bar.paddle_chord_mm": 15.0,
        "craft.bar.paddle_centre_mm": 80.0,
        "craft.bar.paddle_mass_g": 0.1,
        "launch.teeter_deg": 3.0,
    },
}


def scenario_of(changes: dict[str, Any], *, title: str = "a short hop", more: str = "") -> Scenario:
    text = f'craft = "hall-ten.toml"\ntitle = {title!r}\n[skein]\nturns = 300\n[launch]\nheight_m = 3\n{more}'
    return parse_scenario(text, "hop.toml", MODELS, {**BASE, **changes})


@pytest.fixture(scope="session")
def run_file(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Path]:
    """``run_file("teetering")``: a run file of a flight of that craft; flown once."""
    made: dict[str, Path] = {}

    def make(name: str = "teetering") -> Path:
        if name not in made:
            made[name] = tmp_path_factory.mktemp(name) / "run.h5"
            write_run(made[name], [fly_scenario(scenario_of(CRAFT[name], title=f"hop, {name}"))])
        return made[name]

    return make


@pytest.fixture(scope="session")
def recorded(run_file: Callable[..., Path]) -> Callable[..., RecordedFlight]:
    return lambda name="teetering": read_run(run_file(name))[0]


@pytest.fixture(scope="session")
def landmarks() -> Callable[..., dict[str, Any]]:
    """``landmarks(flight, "clockwise", sample)``: marked points in north, east, down [m], from the parameters of the equations.

    Composed anew here, by the vectors of physics/mechanism.py: out = aft cos(chi) + right sin(chi), chi = hand psi; a blade or arm
    stands at cos(beta) out + sin(beta) axis.
    """

    def at(flight: RecordedFlight, name: str, k: int) -> dict[str, Any]:
        p = build(scenario_of(CRAFT[name])).params[0]
        turn = np.array(rotation(tuple(flight.attitude[k])))
        axis = p["shaft_axis"]
        as_record = p.view(np.recarray)

        def arm(psi: float, angle: float, offset: float, length: float, base: Array) -> Array:
            out = np.array(hub_axes(as_record, p["hand"] * psi)[1])
            along = np.cos(angle) * out + np.sin(angle) * axis
            return np.asarray(flight.position[k] + turn @ (base + offset * out + (length - offset) * along))

        hub = p["hub_place"]
        blades = []
        for i in range(int(p["blades"])):
            which = int(p["flap_of_blade"][i])
            flap = p["flap_sign"][i] * flight.flap[k, which] if which >= 0 else 0.0
            psi = flight.rotor_azimuth[k] + 2.0 * np.pi * i / p["blades"]
            blades.append(arm(psi, p["precone"] + flap, p["hinge_offset"], p["radius"], hub))
        hinge = hub + p["bar_height"] * axis
        length = 1e-3 * scenario_of(CRAFT[name]).craft.bar.arm_mm
        psi = flight.rotor_azimuth[k] + p["bar_lead"]
        return {
            "datum": flight.position[k],
            "hub": flight.position[k] + turn @ hub,
            "blades": blades,
            "bar": [arm(psi, flight.bar_angle[k], 0.0, sign * length, hinge) for sign in (1.0, -1.0)],
            "forward": turn[:, 0],
            "right": turn[:, 1],
            "cg": flight.position_cg[k],
        }

    return at
