"""A recorded flight as the page takes it: a description in JSON, and the samples as one block of bytes in base64.

Samples are the solver's own, so that the craft stands exactly where the run file says at each of them; between them the page
draws cubics through values and rates. Times and angles that grow without bound are float64, all else float32 (a position of
30 m is then rounded by 2e-6 m).
"""

from __future__ import annotations

import base64
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.shape import blades_of
from paddlebar.files.craft import Craft
from paddlebar.flight.planes import bar_normal, blade_motion, disc_normal, shaft_up
from paddlebar.flight.pose import quaternion_rate, to_earth, turned
from paddlebar.flight.result import FlightData
from paddlebar.flight.stretches import means
from paddlebar.pictures.data import drawable
from paddlebar.pictures.judged import headline, matter
from paddlebar.replay_page.runs import AnyFlight
from paddlebar.replay_page.shape import craft_shape, losses, room_shape, scenario_of

Array = NDArray[np.float64]

LONG: Final = ("time", "azimuth", "tail_angle")  # kept in float64


def page_data(flight: AnyFlight, file: str) -> dict[str, Any]:
    """All that the page needs of one flight, ready for JSON.

    flight  : flown or recorded;  file : what errors call it
    Raises  : NotARunFile for a description that cannot be drawn
    """
    run, block = run_data(flight, file)
    return {**run, "data": base64.b64encode(block).decode("ascii")}


def run_data(flight: AnyFlight, file: str) -> tuple[dict[str, Any], bytes]:
    """As page_data, the samples apart as plain bytes."""
    fine = drawable(flight)
    scenario = scenario_of(flight, file)
    columns, block = packed(columns_of(fine, scenario.craft))
    run = {
        "title": scenario.title or scenario.craft.name,
        "note": scenario.note,
        "outcome": flight.outcome,
        "sentence": flight.sentence,
        "went": headline(flight.summary),
        "faults": matter(flight.summary),
        "events": [{"name": e.name, "time": e.time_s, "sentence": e.sentence} for e in flight.events],
        "losses": losses(scenario, flight.events),
        "craft": craft_shape(scenario.craft),
        "room": room_shape(scenario),
        "samples": int(fine.time.size),
        "columns": columns,
    }
    return run, block


def columns_of(flight: FlightData, craft: Craft) -> dict[str, Array]:
    """Samples by name, (n) or (n, width): motion in earth axes (north, east, down) with its rates, SI, and what the charts show."""
    hub = blades_of(craft).hub
    rotation = to_earth(flight.attitude)
    found: dict[str, Array] = {
        "time": flight.time,
        "position": flight.position,
        "velocity": turned(rotation, flight.velocity_body),
        "attitude": flight.attitude,
        "attitude_rate": quaternion_rate(flight.attitude, flight.rate_body),
        "azimuth": flight.rotor_azimuth,
        "rotor_speed": flight.rotor_speed,
        "tail_angle": flight.tail_angle,
        "tail_speed": flight.tail_speed,
        "bar_angle": flight.bar_angle,
        "bar_rate": flight.bar_rate,
        "cg": flight.position_cg,
        **blade_motion(flight, craft),
        "tilt": flight.tilt,
        "feathering": flight.feathering[:, 0],
        "skein_torque": flight.skein_torque,
        "rotor_torque": flight.rotor_torque,
        "spin": flight.spin,
        "height": flight.height,
        "turns_left": flight.turns_left,
        "rotor_thrust": flight.rotor_thrust,
        "tail_thrust": flight.tail_thrust,
    }
    found["shaft"] = shaft_up(flight, craft)
    # how the shaft goes, shaking within a turn taken out: of a direction fixed in the body, rate x direction
    rate = turned(rotation, np.cross(flight.rate_body, hub.axis))
    found["shaft_rate"] = np.column_stack([means(flight.time, rate[:, k]) for k in range(3)])
    found["disc_normal"] = disc_normal(flight, craft)
    swept = bar_normal(flight, craft)
    found["bar_normal"] = found["shaft"] if swept is None else swept
    return found


def packed(columns: dict[str, Array]) -> tuple[list[dict[str, Any]], bytes]:
    """Where each column stands in the block of bytes, and the block; little-endian, each column on an 8-byte mark."""
    index: list[dict[str, Any]] = []
    block = bytearray()
    for name, values in columns.items():
        kind = "float64" if name in LONG else "float32"
        width = 1 if values.ndim == 1 else values.shape[1]
        index.append({"name": name, "kind": kind, "width": width, "offset": len(block)})
        block += np.ascontiguousarray(values, dtype=np.dtype(kind).newbyteorder("<")).tobytes()
        block += bytes(-len(block) % 8)
    return index, bytes(block)
