"""Made-up flights for tests of files and pictures. NOT physics: smooth curves of plausible size, geometry consistent.

A craft climbs, leans to and fro, and sinks to the floor as its skein runs down; its bar keeps a plane that follows the
body only slowly (or, with ``dragged``, at once).
"""

from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from paddlebar.files.load import parse_scenario
from paddlebar.files.scenario import Scenario
from paddlebar.flight.result import Event, Flight, FlightData

if TYPE_CHECKING:
    from paddlebar.record.read import RecordedFlight

Array = NDArray[np.float64]

MODELS = Path(__file__).parents[1] / "models"
FLOWN = """\
craft = "hall-ten.toml"
title = "made up, for tests"

[skein]
turns = 200

[launch]
height_m = 1.2

[air]
seed = 7

[room]
ceiling_m = 6.0
length_m = 12.0
width_m = 8.0

[change]
name = "made up"

[change.shaft]
hub_mm = [0.0, 0.0, 0.0]
tilt_right_deg = 0.0
turns = "counter-clockwise"

[change.bar]
kind = "seesaw"
lead_deg = 30.0
gain = 0.6
"""
LEAD = np.radians(30.0)


def made_up_scenario(
    source: str = 'craft = "../models/made-up.toml"\n# Überschrift\n', craft: str = 'name = "made up"\n', **changes: Any
) -> Scenario:
    """What a made-up flight says that it was flown from; changes: dotted keys, "__" for the dot."""
    found = parse_scenario(
        FLOWN, "made-up.toml", MODELS, {key.replace("__", "."): value for key, value in changes.items()}
    )
    return found.with_texts(source, craft)


def as_recorded(flight: Flight, **fields: Any) -> RecordedFlight:
    """The same flight as a run file holds it."""
    from paddlebar.record.read import RecordedFlight  # pictures are drawn without the library of run files

    texts = {name: getattr(flight, name) for name in ("scenario_toml", "craft_toml", "effective_toml", "seed")}
    origin = {"program_version": "0", "versions": {}, "created": ""}
    arrays = {field.name: getattr(flight, field.name) for field in dataclasses.fields(FlightData)}
    return RecordedFlight(**{**arrays, **texts, **origin, **fields})


def _quaternion(roll: Array, pitch: Array, yaw: Array) -> Array:
    cr, sr, cp, sp, cy, sy = (f(0.5 * a) for a in (roll, pitch, yaw) for f in (np.cos, np.sin))
    return np.stack(
        [
            cr * cp * cy + sr * sp * sy,
            sr * cp * cy - cr * sp * sy,
            cr * sp * cy + sr * cp * sy,
            cr * cp * sy - sr * sp * cy,
        ],
        axis=1,
    )


def _rate(q: Array, t: Array) -> Array:
    """Body rates of a quaternion history, 2 q* dq/dt."""
    w, x, y, z = q.T
    dw, dx, dy, dz = np.gradient(q, t, axis=0).T
    return 2.0 * np.stack(
        [
            w * dx - x * dw - y * dz + z * dy,
            w * dy + x * dz - y * dw - z * dx,
            w * dz - x * dy + y * dx - z * dw,
        ],
        axis=1,
    )


def _rotation(q: Array) -> Array:
    w, x, y, z = q.T
    return np.stack(
        [
            np.stack([1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)], axis=1),
            np.stack([2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)], axis=1),
            np.stack([2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)], axis=1),
        ],
        axis=1,
    )


def made_up_flight(
    *,
    duration: float = 12.0,
    nf: int = 1,
    nb: int = 2,
    seed: int = 3,
    dragged: bool = False,
    scenario: Scenario | None = None,
) -> Flight:
    """A made-up flight; the same arguments give the same arrays bit for bit."""
    rng = np.random.default_rng([seed, 1])
    fine = np.linspace(0.0, duration, int(duration * 4000) + 1)
    run_down = 0.75 * duration
    speed = 95.0 * np.where(fine < run_down, 1.0 - 0.25 * fine / run_down, 0.75 - 0.2 * (fine - run_down) / duration)
    azimuth = np.concatenate([[0.0], np.cumsum(0.5 * (speed[1:] + speed[:-1]) * np.diff(fine))])

    growth = np.exp(0.08 * fine)
    roll = np.radians(5.0) * growth * np.sin(2.0 * np.pi * 0.45 * fine)
    pitch = np.radians(4.0) * growth * np.cos(2.0 * np.pi * 0.45 * fine) + np.radians(1.0) * np.sin(
        2 * np.pi * 2.1 * fine
    )
    yaw = -0.9 * fine + 0.3 * np.sin(1.3 * fine)
    attitude = _quaternion(roll, pitch, yaw)
    to_earth = _rotation(attitude)

    # The bar's plane: leans along with the body by a tenth (or wholly), so a reader of the picture sees the difference.
    share = 0.97 if dragged else 0.1
    normal = share * -to_earth[:, :, 2] + (1.0 - share) * np.array([0.02, -0.03, -1.0])
    in_body = np.einsum("nij,ni->nj", to_earth, normal)
    psi = azimuth + LEAD
    along = np.stack([-np.cos(psi), np.sin(psi), np.zeros_like(psi)], axis=1)
    bar = np.arctan((in_body * along).sum(axis=1) / in_body[:, 2])  # tan(bar) = -(n.e) / (n.s) with s = -z in the body
    flap = 0.4 * np.roll(bar, 60)[:, None] * (-1.0) ** np.arange(nf) + np.radians(3.0) * (nf > 1)

    climb = 2.6 * np.sin(np.pi * np.clip(fine / duration, 0, 1)) ** 1.2
    height = 1.2 + climb - 1.12 * (fine / duration) ** 3
    north = 0.9 * np.sin(0.4 * fine) + 0.06 * fine
    east = 0.7 * (1 - np.cos(0.35 * fine)) + 0.08 * fine
    cg = np.stack([north, east, -height], axis=1)
    velocity = np.einsum("nij,ni->nj", to_earth, np.gradient(cg, fine, axis=0))

    # About ten samples a revolution, unevenly spaced, both ends kept: like a solver's own steps.
    step = 2.0 * np.pi / 95.0 / 10.0
    n = int(duration / step)
    pick = np.unique(
        np.concatenate([[0], np.sort(rng.choice(np.arange(20, fine.size - 20, 12), n, replace=False)), [fine.size - 1]])
    )

    unwound = azimuth / (2.0 * np.pi) * 0.8
    torque = np.where(fine < run_down, 8.0e-3 * (1 + 1.2 * np.exp(-fine / 0.6)) * (1 - 0.35 * fine / run_down), 0.0)
    let_out = np.concatenate([[0.0], np.cumsum(0.5 * ((torque * speed)[1:] + (torque * speed)[:-1]) * np.diff(fine))])
    potential = 0.012 * 9.81 * (height - height[0])
    kinetic = 0.5 * 2.0e-5 * (speed**2 - speed[0] ** 2) + 0.25 * (1 - np.exp(-fine / 0.3)) * (speed / 95.0) ** 2
    springs = 0.002 * np.sin(3.0 * fine)
    rest = let_out - potential - kinetic - springs
    residual = 3.0e-4 * let_out * np.sin(fine)
    shares = {"air: rotor": 0.66, "air: bar": 0.07, "air: tail": 0.06, "air: airframe": 0.05}
    shares |= {"hysteresis": 0.1, "hinges": 0.02, "shaft and cord": 0.04}
    ledger = {"skein": let_out, "kinetic": kinetic, "potential": potential, "hinge springs": springs}
    ledger |= {name: part * (rest - residual) for name, part in shares.items()}
    ledger |= {"parts lost": np.zeros_like(fine), "residual": residual}

    rate = _rate(attitude, fine)
    zero = np.zeros(pick.size)
    tilt = np.arccos(np.clip(to_earth[:, 2, 2], -1.0, 1.0))
    events = [
        Event("wash steady", 0.35, "the air through the rotor has settled"),
        Event("cord slips", 0.8 * run_down, "the tail cord slipped"),
        Event("run down", run_down, "the skein ran down; the rotor freewheels"),
        Event("landed", duration, "touched the floor at 0.8 m/s"),
    ]
    return Flight(
        time=fine[pick],
        position=cg[pick] + np.array([0.0, 0.0, 0.04]),
        attitude=attitude[pick],
        velocity_body=velocity[pick],
        rate_body=rate[pick],
        rotor_azimuth=azimuth[pick],
        rotor_speed=speed[pick],
        bar_angle=bar[pick],
        bar_rate=np.gradient(bar, fine)[pick],
        tail_angle=4.0 * azimuth[pick],
        tail_speed=4.0 * speed[pick],
        flap=flap[pick],
        flap_rate=(np.gradient(flap, fine, axis=0) if nf else flap)[pick],
        inflow=np.stack([1.1 * speed / 95.0, 0.1 * np.sin(fine), 0.1 * np.cos(fine)], axis=1)[pick],
        tail_inflow=0.8 * speed[pick] / 95.0,
        skein_set=zero,
        tail_skein_set=zero,
        height=height[pick],
        tilt=tilt[pick],
        heading=yaw[pick],
        position_cg=cg[pick],
        feathering=np.radians(12.0) + 0.6 * bar[pick][:, None] * (-1.0) ** np.arange(nb),
        skein_torque=torque[pick],
        turns_left=(200.0 - unwound)[pick],
        skein_pull=1.5 * torque[pick] / 8e-3,
        rotor_thrust=0.118 * (speed[pick] / 90.0) ** 2,
        rotor_torque=torque[pick],
        tail_thrust=0.01 * speed[pick] / 95.0,
        tail_torque=1e-4 * speed[pick] / 95.0,
        lowest_point=height[pick] - 0.08,
        ledger={name: values[pick] for name, values in ledger.items()},
        events=events,
        outcome="landed",
        sentence="landed after 12.0 s, made up",
        complete=True,
        summary={
            "outcome": "landed",
            "controlled_s": duration,
            "flew_well": True,
            "faults": [],
            "duration_s": duration,
            "energy_error": 3e-4,
            "files": [],
        },
        solver={"method": "DOP853", "rtol": 1e-6, "evaluations": 12345},
        scenario=scenario or made_up_scenario(),
    )
