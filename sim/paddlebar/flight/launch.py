"""The state at the moment that the flight starts."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers
from paddlebar.craft.rubber import set_after_backing_off
from paddlebar.files.scenario import Scenario
from paddlebar.flight import layout, rhs
from paddlebar.physics import bodies
from paddlebar.physics.attitude import plain_rotation
from paddlebar.physics.cord import GRIPS
from paddlebar.physics.inflow import hover_induced
from paddlebar.units import to_si

Array = NDArray[np.float64]


def attitude(heading: float, tilt: float, toward: float) -> Array:
    """Quaternion body to earth, scalar first, of a craft turned to a heading and then leaned over.

    heading : nose from north to the right [rad];  tilt : lean from upright [rad];  toward : 0 the top leans to the nose, right positive [rad]
    Returns : (4,) [1]
    """
    a = (math.cos(0.5 * heading), 0.0, 0.0, math.sin(0.5 * heading))
    s = math.sin(0.5 * tilt)
    b = (math.cos(0.5 * tilt), s * math.sin(toward), -s * math.cos(toward), 0.0)
    return np.array(
        [
            a[0] * b[0] - a[1] * b[1] - a[2] * b[2] - a[3] * b[3],
            a[0] * b[1] + a[1] * b[0] + a[2] * b[3] - a[3] * b[2],
            a[0] * b[2] - a[1] * b[3] + a[2] * b[0] + a[3] * b[1],
            a[0] * b[3] + a[1] * b[2] - a[2] * b[1] + a[3] * b[0],
        ]
    )


def state(scenario: Scenario, numbers: Numbers) -> Array:
    """State at the launch, (state_size(nf),) in SI; puts the launch's hold into the parameters."""
    launch = scenario.launch
    p = numbers.params[0]
    nf = int(p["flaps"])
    at = layout.slices(nf)
    y = np.zeros(layout.state_size(nf, numbers.pushed))
    y[layout.POSITION + 2] = -launch.height_m
    heading = to_si("heading_deg", launch.heading_deg)
    y[at["attitude"]] = attitude(
        heading, to_si("tilt_deg", launch.tilt_deg), to_si("tilt_toward_deg", launch.tilt_toward_deg)
    )
    held = launch.release != "free"
    if not held:
        push(scenario, y)
    p["base_locked"] = int(held)
    y[layout.ROTOR_SPEED] = to_si("rotor_rpm", launch.rotor_rpm)
    if p["cord_mode"] == GRIPS:
        y[layout.TAIL_SPEED] = p["cord_ratio"] * y[layout.ROTOR_SPEED]
    y[layout.BAR_ANGLE] = to_si("bar_deg", launch.bar_deg)
    if nf == 1:
        y[layout.FLAP] = to_si("teeter_deg", launch.teeter_deg)
    y[layout.SKEIN_SET] = set_after_backing_off(scenario.skein.backed_off, float(p["skein"]["settle"]))
    y[layout.TAIL_SKEIN_SET] = 1.0
    if launch.rotor_rpm > 0.0 and scenario.run.inflow != "none":
        _settle_inflow(numbers, y)
    return y


def push(scenario: Scenario, y: Array) -> None:
    """Give the craft the push and spin of its launch, at the moment of release; the state is changed in place."""
    launch = scenario.launch
    nf = (y.size - layout.FLAP) // 2
    at = layout.slices(int(nf))
    earth = np.array(plain_rotation(y[at["attitude"]]))
    heading = to_si("heading_deg", launch.heading_deg)
    forward, right, up = launch.push_m_s
    c, s = math.cos(heading), math.sin(heading)
    y[at["velocity_body"]] = earth.T @ np.array([forward * c - right * s, forward * s + right * c, -up])
    y[at["rate_body"]] = earth.T @ np.array([0.0, 0.0, to_si("spin_deg_s", launch.spin_deg_s)])


def _settle_inflow(numbers: Numbers, y: Array) -> None:
    """Induced velocities of main and tail rotor in hover at their launch speed: a rotor thrown turning already has its wake."""
    work = rhs.work_array()
    p = numbers.params[0]
    out = np.empty_like(y)
    for _ in range(60):
        rhs.rhs_into(0.0, y, numbers.params, numbers.tables, numbers.gusts, work, out)
        diag = work[bodies.DIAGNOSTIC]
        for index, column, radius in (
            (layout.INFLOW, rhs.THRUST, p["radius"]),
            (layout.TAIL_INFLOW, rhs.TAIL_THRUST, p["tail_radius"]),
        ):
            if radius > 0.0 and p["rho"] > 0.0:
                ideal = hover_induced(diag[column], p["rho"], radius)
                y[index] += 0.4 * (ideal - y[index])
