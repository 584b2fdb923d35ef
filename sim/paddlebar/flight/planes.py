"""Where body, bar and blades lean in a flight: directions in space at its samples, from the arrays of the flight and the craft.

Source  : kinematics of rigid bodies, any dynamics textbook; common practice, no source.
Checked : tests/replay_page/test_replay_data.py, tests/flight/test_planes_of_a_flight.py.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.shape import arms_of, blades_of
from paddlebar.files.craft import Craft
from paddlebar.files.kinds import HEADS
from paddlebar.flight.pose import swept_normal, to_earth, turned

if TYPE_CHECKING:
    from paddlebar.flight.result import FlightData

Array = NDArray[np.float64]

SLOW: Final = 3.0  # rad/s; below, a tip hardly sweeps a plane of its own, and the hub's stands for it


def lean_of(up: Array) -> Array:
    """How far a direction that should point up leans to the north and to the east, (n, 2) [rad]; together the angle from the vertical.

    up : unit vectors, earth axes, (n, 3)
    """
    flat = np.hypot(up[:, 0], up[:, 1])
    angle = np.arctan2(flat, -up[:, 2])
    return np.asarray(up[:, :2] * (angle / np.where(flat > 0.0, flat, 1.0))[:, None], dtype=np.float64)


def body_up(flight: FlightData) -> Array:
    """Up axis of the body, earth axes, (n, 3)."""
    return turned(to_earth(flight.attitude), np.array([0.0, 0.0, -1.0]))


def shaft_up(flight: FlightData, craft: Craft) -> Array:
    """The rotor's shaft, earth axes, (n, 3)."""
    return turned(to_earth(flight.attitude), blades_of(craft).hub.axis)


def blade_motion(flight: FlightData, craft: Craft) -> dict[str, Array]:
    """Flapping of each blade, and its pitch on top of what is built in, with rates; (n, blades) each."""
    blades = blades_of(craft)
    flap, flap_rate, pitch, pitch_rate = (np.zeros((flight.time.size, blades.count)) for _ in range(4))
    for i in range(blades.count):
        which, sense = HEADS[craft.head.kind].moves(i)
        if which >= 0:
            flap[:, i], flap_rate[:, i] = sense * flight.flap[:, which], sense * flight.flap_rate[:, which]
        pitch[:, i] = blades.apart[i] + blades.feathering(i, flight.bar_angle, flap[:, i])
        pitch_rate[:, i] = blades.feathering(i, flight.bar_rate, flap_rate[:, i])
    return {"flap": flap, "flap_rate": flap_rate, "pitch": pitch, "pitch_rate": pitch_rate}


def disc_normal(flight: FlightData, craft: Craft) -> Array:
    """Unit normal of the plane that the blade tips sweep, upward, earth axes, (n, 3); the shaft where the rotor hardly turns."""
    blades, rotation, up = blades_of(craft), to_earth(flight.attitude), shaft_up(flight, craft)
    moved, hub = blade_motion(flight, craft), blades.hub
    arms, rates = [], []
    for i in range(blades.count):
        psi = blades.azimuth(i, flight.rotor_azimuth)
        angle, rate = blades.precone + moved["flap"][:, i], moved["flap_rate"][:, i]
        arms.append(turned(rotation, hub.raised(psi, angle)))
        rates.append(turned(rotation, hub.raised_rate(psi, flight.rotor_speed, angle, rate, flight.rate_body)))
    return _swept(flight, arms, rates, up)


def bar_normal(flight: FlightData, craft: Craft) -> Array | None:
    """Unit normal of the plane that the bar sweeps, as disc_normal; None without a bar."""
    arms = arms_of(craft)
    if arms is None:
        return None
    rotation, up, hub = to_earth(flight.attitude), shaft_up(flight, craft), blades_of(craft).hub
    psi = arms.azimuth(flight.rotor_azimuth)
    arm = hub.raised(psi, flight.bar_angle)
    rate = hub.raised_rate(psi, flight.rotor_speed, flight.bar_angle, flight.bar_rate, flight.rate_body)
    return _swept(flight, [turned(rotation, arm)], [turned(rotation, rate)], up)


def _swept(flight: FlightData, arms: list[Array], rates: list[Array], up: Array) -> Array:
    turns = np.abs(flight.rotor_speed)[:, None] > SLOW
    return np.asarray(np.where(turns, swept_normal(arms, rates, up), up), dtype=np.float64)
