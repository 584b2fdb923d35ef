"""Blades and bar tips that are not alike, against closed forms: the force with which they shake, blades out of track, a bar that hangs.

Against MuJoCo: test_multibody_mujoco.py. The mirror image: tests/invariants/test_mechanics.py.

Tried once on broken code: the share left off the blade's mass, off its inertia, the pitch taken twice, tips swapped; each failed here or there.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from evidence import Recorder
from paddlebar import load_craft, load_scenario
from paddlebar.checks.shaking import shaking
from paddlebar.ensemble.many import fly_brief
from paddlebar.flight import layout
from paddlebar.flight.fly import fly_scenario
from paddlebar.physics import bodies
from reference.rig import BAR, SHAFT, Rig, craft
from reference.still_craft import numbers_of, rates, without_air

Array = NDArray[np.float64]

ROOT = Path(__file__).parents[2]
HALL = ROOT / "models" / "hall-ten.toml"
RPM = 600.0
SPEED = RPM * math.pi / 30.0
HANDS = ("counter-clockwise", "clockwise")
WEIGHT_N = 0.1

pytestmark = [pytest.mark.reference]


def held_force(changes: dict[str, object]) -> tuple[Array, Array]:
    """Force that holds the body while the rotor turns in a vacuum, at 24 azimuths (24, 3) [N]; and acceleration of a body free to move and
    held from turning (24, 3), with its mass times that: what shakes it [N]."""
    numbers = without_air(numbers_of(changes))
    p = numbers.params[0]
    p["gravity"] = 0.0
    p["locked"][:] = 1  # rotor at its speed, bar and teeter held
    forces, shakes = [], []
    for azimuth in np.arange(24) * 2.0 * math.pi / 24.0:
        y = np.zeros(layout.state_size(int(p["flaps"])))
        y[layout.ATTITUDE], y[layout.ROTOR_AZIMUTH], y[layout.ROTOR_SPEED] = 1.0, azimuth, SPEED
        work = _work(numbers, y)
        forces.append(work[bodies.BIAS, :3].copy())
        p["locked"][:3] = 0
        total = float(_work(numbers, y)[bodies.TOTAL, bodies.TOTAL_MASS])
        shakes.append(total * rates(numbers, y)[layout.VELOCITY_BODY : layout.VELOCITY_BODY + 3])
        p["locked"][:3] = 1
    return np.array(forces), np.array(shakes)


def _work(numbers, y: Array) -> Array:
    from paddlebar.flight.rhs import rhs_into, work_array

    work = work_array()
    rhs_into(0.0, y, numbers.params, numbers.tables, numbers.gusts, work, np.empty_like(y))
    return work


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize(
    ("what", "changes"),
    [
        ("blades", {"craft.rotor.blade_masses_g": [0.70, 0.66]}),
        ("bar", {"craft.bar.tip_masses_g": [0.58, 0.62]}),
        ("blades", {"craft.head.kind": "flapping", "craft.rotor.blades": 3, "craft.rotor.blade_masses_g": [0.70, 0.68, 0.66],
                    "craft.all_up_g": 11.0}),
    ],
)  # fmt: skip
def test_shaking_force_is_checks(hand: str, what: str, changes: dict[str, object]) -> None:
    """dm r Omega^2 of `check` is the force in flight, turning with the rotor; coning shortens its radius, cos 3 deg = 0.9986."""
    described = load_craft(HALL, {key.removeprefix("craft."): value for key, value in changes.items()})
    said = next(each for each in shaking(described, RPM, WEIGHT_N) if each.what == what)
    forces, shakes = held_force({"craft.shaft.turns": hand, **changes})
    axis = numbers_of({}).params[0]["shaft_axis"]
    for rows in (forces, shakes):
        across = rows - np.outer(rows @ axis, axis)
        sizes = np.linalg.norm(across, axis=1)
        assert sizes.std() < 1e-9 * sizes.mean()  # it turns, and keeps its size
        assert sizes.mean() == pytest.approx(said.measured_n, rel=2e-3)
        assert np.abs(across.mean(axis=0)).max() < 1e-9 * sizes.mean()


def test_equal_parts_do_not_shake() -> None:
    forces, _ = held_force({"craft.rotor.blade_masses_g": [0.68, 0.68], "craft.bar.tip_masses_g": [0.6, 0.6]})
    assert np.ptp(forces, axis=0).max() < 1e-12


@pytest.mark.phenomenon("flapping, phase", source="3.5", why="small angles, table slopes: own choice")
@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("lock", [4.0, 8.0])
def test_unequal_pitch_puts_blades_out_of_track(evidence: Recorder, hand: str, lock: float) -> None:
    """A teetering rotor whose blades have delta more and less pitch stands tilted in the turning frame, where nothing flaps: item 1's
    beta'' + (gamma/8) beta' + beta = (gamma/8) theta gives beta = (gamma/8) delta; one tip flies high, the other low."""
    radius, chord, rho, slope, delta = 0.2, 0.03, 1.225, 5.0, 0.5
    rig = Rig(
        craft(
            shaft={"turns": hand},
            rotor={"chord_mm": 1e3 * chord, "blade_mass_g": 3e3 * rho * slope * chord * radius**2 / lock,
                   "feather_axis_percent": 75, "mass_axis_percent": 75, "blade_pitches_deg": [delta, -delta]},
            head={"kind": "teetering", "stop_deg": 85},
        ),
        slope=slope, rho=rho,
    )  # fmt: skip
    mean, cosine, sine = rig.flapping(rig.still(48.0), 24.0)
    evidence(
        "tilt of a teetering rotor for a degree between its blades",
        math.degrees(mean),
        lock / 8.0 * delta,
        5e-3,
        unit="deg",
        conditions=f"gamma {lock:g}, {hand}",
    )
    assert abs(cosine) + abs(sine) < 1e-4


@pytest.mark.parametrize("hand", HANDS)
def test_a_bar_with_a_heavier_tip_hangs(hand: str) -> None:
    """Turning steadily in a vacuum the bar's moments are in balance: J Omega^2 eta = -m x g, heavier tip 1 down; J about its hinge."""
    rig = Rig(
        craft(
            shaft={"turns": hand},
            bar={"kind": "seesaw", "lead_deg": 90, "gain": 0, "arm_mm": 100, "wire_diameter_mm": 0.6, "wire_mass_g": 0.4, "tip_mass_g": 0.6, "tip_masses_g": [0.62, 0.58],
                 "tip_diameter_mm": 0.001, "stop_deg": 85, "damping_mN_m_s": 0.01},
        ),
        gravity=9.81,
    )  # fmt: skip
    rig.vacuum()
    found = rig.run(rig.still(48.0), 20.0, np.linspace(10.0, 20.0, 2000), rtol=1e-10)
    hinge = 1.2e-3 * 0.1**2 + 0.4e-3 * 0.2**2 / 12.0
    want = -0.04e-3 * 0.1 * 9.81 / (hinge * 48.0**2)
    assert float(found.y[layout.BAR_ANGLE].mean()) == pytest.approx(want, rel=1e-3)
    assert rig.p.locked[SHAFT] == 1
    assert rig.p.locked[BAR] == 0


@pytest.mark.parametrize("hand", HANDS)
def test_energy_of_an_unequal_craft_closes(hand: str) -> None:
    """To 0.1 % over a whole flight (design.md section 3), a craft that shakes with a fifth of its weight."""
    changes = {
        "craft.shaft.turns": hand,
        "craft.rotor.blade_masses_g": [0.72, 0.64],
        "craft.rotor.blade_pitches_deg": [9.5, 8.5],
        "craft.bar.tip_masses_g": [0.57, 0.63],
        "run.duration_s": 12.0,
    }
    scenario = load_scenario(ROOT / "scenarios" / "first-flight.toml", changes)
    assert fly_brief(scenario).energy_error < 1e-3
    flight = fly_scenario(scenario)
    assert flight.complete
    assert flight.energy_error < 1e-3
    print(hand, flight.outcome, f"{flight.energy_error:.1e}")
