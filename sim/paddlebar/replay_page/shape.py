"""What the craft and its room look like: the description that was flown as shapes in metres, body axes (forward, right, down)."""

from __future__ import annotations

import tomllib
from typing import Any, Final

import numpy as np
import tomlkit

from paddlebar.craft.blades import rotor_planform
from paddlebar.craft.build import axes
from paddlebar.craft.parts import AnyPart, body_direction, body_place, plate_axes, skein_section
from paddlebar.errors import NotARunFile, PaddlebarError
from paddlebar.files.craft import Bar, Craft, weights_g
from paddlebar.files.kinds import BARS, HEADS
from paddlebar.files.load import parse_scenario
from paddlebar.files.parts import PlatePart, PointPart, RingPart, RodPart, TubePart
from paddlebar.files.scenario import Scenario
from paddlebar.files.units import to_si
from paddlebar.flight.result import Event

Shape = dict[str, Any]

STATIONS: Final = 13  # along a blade
CAMBER: Final = {"cambered plate": 0.06, "shallow cambered plate": 0.04}  # drawn only; rise over chord
LUMP_DENSITY: Final = 1100.0  # kg/m^3 between printed plastic and clay: a lump has no measures, only a mass; own choice


def scenario_of(effective_toml: str, file: str) -> Scenario:
    """The description in a run file, checked again, since a file can come from anywhere.

    Section tables are left aside: they are files of the machine that flew, and nothing of them is drawn.
    Raises: NotARunFile when this version of the program cannot read the description.
    """
    try:
        raw = tomllib.loads(effective_toml)
        craft = raw.get("craft", {})
        for table, key in (("rotor", "section"), ("bar", "paddle_section"), ("tail", "section")):
            if isinstance(craft.get(table), dict) and craft[table].get(key) not in CAMBER:
                craft[table][key] = "flat plate"
        return parse_scenario(tomlkit.dumps(raw), "description of the flight")
    except (PaddlebarError, tomllib.TOMLDecodeError, AttributeError, TypeError) as error:
        raise NotARunFile(f"{file}: cannot be drawn: {error}") from error


def craft_shape(craft: Craft) -> Shape:
    """Everything of a craft that is drawn."""
    shaft, rotor, head = craft.shaft, craft.rotor, craft.head
    axis, aft, right = axes(
        to_si("tilt_forward_deg", shaft.tilt_forward_deg), to_si("tilt_right_deg", shaft.tilt_right_deg)
    )
    return {
        "name": craft.name,
        "note": craft.note,
        "mass": 1e-3 * sum(weights_g(craft).values()),
        "hand": 1.0 if shaft.turns == "counter-clockwise" else -1.0,
        "hub": {
            "place": _list(body_place(shaft.hub_mm)),
            "axis": _list(axis),
            "aft": _list(aft),
            "right": _list(right),
            "diameter": to_si("hub_diameter_mm", shaft.hub_diameter_mm),
        },
        "parts": [part_shape(part) for part in craft.part],
        "skeins": _skeins(craft),
        "blades": {
            "count": rotor.blades,
            "radius": to_si("radius_mm", rotor.radius_mm),
            "offset": to_si("hinge_offset_mm", HEADS[head.kind].hinge_offset(head.hinge_offset_mm)),
            "precone": to_si("precone_deg", head.precone_deg),
            "feather_axis": rotor.feather_axis_percent / 100.0,
            "camber": CAMBER.get(rotor.section, 0.0),
            "outline": _outline(craft),
        },
        "bar": bar_shape(craft.bar),
        "tail": _tail(craft),
        "head": HEADS[head.kind].says,
    }


def part_shape(part: AnyPart) -> Shape:
    """One part of the fuselage."""
    match part:
        case PointPart():
            return {
                "kind": "ball",
                "name": part.name,
                "at": _list(body_place(part.at_mm)),
                "radius": _lump(part.mass_g),
            }
        case RodPart() | TubePart():
            ends = {"from": _list(body_place(part.from_mm)), "to": _list(body_place(part.to_mm))}
            form = "tube" if isinstance(part, TubePart) else part.cross_section
            return {"kind": "rod", "name": part.name, **ends, "diameter": 1e-3 * part.diameter_mm, "form": form}
        case PlatePart():
            along, normal = plate_axes(part)
            size = [1e-3 * part.length_mm, 1e-3 * part.width_mm, 1e-3 * part.thickness_mm]
            place = {"at": _list(body_place(part.at_mm)), "along": _list(along), "normal": _list(normal)}
            return {"kind": "plate", "name": part.name, **place, "size": size}
        case RingPart():
            place = {"at": _list(body_place(part.at_mm)), "normal": _list(body_direction(part.normal))}
            measures = {"diameter": 1e-3 * part.diameter_mm, "wire": 1e-3 * part.wire_diameter_mm}
            return {"kind": "ring", "name": part.name, **place, **measures}


def bar_shape(bar: Bar) -> Shape | None:
    """The bar in arm axes, or None."""
    if not BARS[bar.kind].present:
        return None
    return {
        "lead": to_si("lead_deg", bar.lead_deg),
        "height": to_si("height_mm", bar.height_mm),
        "arm": to_si("arm_mm", bar.arm_mm),
        "wire": 1e-3 * bar.wire_diameter_mm,
        "tip": 1e-3 * bar.tip_diameter_mm if bar.tip_mass_g > 0.0 else 0.0,
        "paddle": [1e-3 * bar.paddle_span_mm, 1e-3 * bar.paddle_chord_mm],
        "paddle_centre": 1e-3 * bar.paddle_centre_mm,
        "paddle_incidence": to_si("paddle_incidence_deg", bar.paddle_incidence_deg),
        "tilts": BARS[bar.kind].tilts,
    }


def room_shape(scenario: Scenario) -> Shape:
    """Floor at height 0; ceiling, half length (north) and half width (east) [m], or None where there is open air."""
    room = scenario.room
    return {
        "ceiling": room.ceiling_m,
        "north": None if room.length_m is None else 0.5 * room.length_m,
        "east": None if room.width_m is None else 0.5 * room.width_m,
    }


def losses(scenario: Scenario, events: list[Event]) -> list[Shape]:
    """Which tip mass or paddle left which arm (1 or 2), and when [s]."""
    found = []
    waiting = [mishap for mishap in scenario.mishap if mishap.what in ("tip mass lost", "paddle lost")]
    for event in events:
        mine = [mishap for mishap in waiting if mishap.what == event.name and f"arm {mishap.arm} " in event.sentence]
        if mine:
            waiting.remove(mine[0])
            found.append({"time": event.time, "arm": mine[0].arm, "what": event.name})
    return found


def _outline(craft: Craft) -> list[list[float]]:
    """[distance from the shaft, chord, built-in pitch] from root to tip [m, m, rad]."""
    x = np.linspace(to_si("root_mm", craft.rotor.root_mm), to_si("radius_mm", craft.rotor.radius_mm), STATIONS)
    chord, pitch = rotor_planform(craft.rotor, x)
    return [_list(row) for row in np.stack([x, chord, pitch], axis=1)]


def _skeins(craft: Craft) -> list[Shape]:
    found = []
    for skein, tail in ((craft.skein, False), (craft.tail.skein if craft.tail else None, True)):
        if skein is not None:
            start, end = (body_place(hook) for hook in skein.hooks_mm)
            found.append({"from": _list(start), "to": _list(end), "section": skein_section(craft, tail)})
    return found


def _tail(craft: Craft) -> Shape | None:
    tail = craft.tail
    if tail is None:
        return None
    return {
        "place": _list(body_place(tail.at_mm)),
        "axis": [0.0, 1.0 if tail.thrust_to == "right" else -1.0, 0.0],
        "blades": tail.blades,
        "radius": to_si("radius_mm", tail.radius_mm),
        "root": to_si("root_mm", tail.root_mm),
        "chord": to_si("chord_mm", tail.chord_mm),
        "pitch": to_si("pitch_deg", tail.pitch_deg),
        "twist": to_si("twist_deg", tail.twist_deg),
    }


def _lump(mass_g: float) -> float:
    """Radius of a ball of that mass [m]."""
    return float(np.cbrt(0.75 * 1e-3 * mass_g / (np.pi * LUMP_DENSITY)))


def _list(values: Any) -> list[float]:
    return [float(value) for value in values]
