"""What the craft and its room look like: the description that was flown as shapes in metres, body axes (forward, right, down)."""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from paddlebar.craft import mesh_part
from paddlebar.craft.places import body_direction, body_place, plate_axes
from paddlebar.craft.shape import Arms, Blades, arms_of, blades_of
from paddlebar.craft.standing import AnyPart, skeins, tail_of
from paddlebar.errors import BadInput, NotARunFile
from paddlebar.files.craft import Craft, weights_g
from paddlebar.files.kinds import BARS, HEADS
from paddlebar.files.parts import MeshPart, PlatePart, PointPart, RingPart, RodPart, TubePart
from paddlebar.files.scenario import Scenario
from paddlebar.files.tables import section_name
from paddlebar.flight.result import Event
from paddlebar.pictures.craft import STATIONS
from paddlebar.replay_page.runs import AnyFlight
from paddlebar.units import to_si

Shape = dict[str, Any]

CAMBER: Final = {"cambered plate": 0.06, "shallow cambered plate": 0.04}  # drawn only; rise over chord
EDGE: Final = 0.0006  # m, how thick the edges of a mesh are drawn
LUMP_DENSITY: Final = 1100.0  # kg/m^3 between printed plastic and clay: a lump has no measures, only a mass; own choice


def scenario_of(flight: AnyFlight, file: str) -> Scenario:
    """The description of a flight. Raises: NotARunFile, which names the file, when this version of the program cannot read it."""
    try:
        return flight.scenario
    except BadInput as error:
        raise NotARunFile(f"{file}: cannot be drawn: {error}") from error


def craft_shape(craft: Craft) -> Shape:
    """Everything of a craft that is drawn."""
    blades, arms = blades_of(craft), arms_of(craft)
    hub = blades.hub
    return {
        "name": craft.name,
        "note": craft.note,
        "mass": to_si("mass_g", sum(weights_g(craft).values())),
        "hand": hub.hand,
        "hub": {
            "place": _list(hub.place),
            "axis": _list(hub.axis),
            "aft": _list(hub.aft),
            "right": _list(hub.right),
            "diameter": 2.0 * hub.radius,
        },
        "parts": [shape for part in craft.part for shape in part_shapes(part)],
        "skeins": [{"from": _list(s.ends[0]), "to": _list(s.ends[1]), "section": s.section} for s in skeins(craft)],
        "blades": {
            "count": blades.count,
            "radius": blades.radius,
            "offset": blades.offset,
            "precone": blades.precone,
            "feather_axis": blades.axis,
            "camber": CAMBER.get(section_name(craft.rotor.section), 0.0),
            "outline": _outline(blades),
        },
        "bar": None if arms is None else bar_shape(arms, BARS[craft.bar.kind].tilts),
        "tail": _tail(craft),
        "head": HEADS[craft.head.kind].says,
    }


def part_shapes(part: AnyPart) -> list[Shape]:
    """One part of the fuselage; a mesh as its edges."""
    if not isinstance(part, MeshPart):
        return [part_shape(part)]
    edges = mesh_part.lines(part)
    return [
        {"kind": "rod", "name": part.name, "from": _list(a), "to": _list(b), "diameter": EDGE, "form": "round"}
        for a, b in edges
    ]


def part_shape(part: PointPart | RodPart | TubePart | PlatePart | RingPart) -> Shape:
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
            return {
                "kind": "rod",
                "name": part.name,
                **ends,
                "diameter": to_si("diameter_mm", part.diameter_mm),
                "form": form,
            }
        case PlatePart():
            along, normal = plate_axes(part)
            size = [to_si(key, getattr(part, key)) for key in ("length_mm", "width_mm", "thickness_mm")]
            place = {"at": _list(body_place(part.at_mm)), "along": _list(along), "normal": _list(normal)}
            return {"kind": "plate", "name": part.name, **place, "size": size}
        case RingPart():
            place = {"at": _list(body_place(part.at_mm)), "normal": _list(body_direction(part.normal))}
            wire = to_si("wire_diameter_mm", part.wire_diameter_mm)
            return {
                "kind": "ring",
                "name": part.name,
                **place,
                "diameter": to_si("diameter_mm", part.diameter_mm),
                "wire": wire,
            }


def bar_shape(arms: Arms, tilts: bool) -> Shape:
    """The bar in arm axes."""
    return {
        "lead": arms.lead,
        "height": arms.height,
        "arm": arms.length,
        "wire": arms.wire,
        "tip": 2.0 * arms.ball,
        "paddle": [arms.span, arms.chord],
        "paddle_centre": arms.centre,
        "paddle_incidence": arms.incidence,
        "tilts": tilts,
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
            found.append({"time": event.time_s, "arm": mine[0].arm, "what": event.name})
    return found


def _outline(blades: Blades) -> list[list[float]]:
    """[distance from the shaft, chord, built-in pitch] from root to tip [m, m, rad]."""
    x = np.linspace(blades.root, blades.radius, STATIONS)
    return [_list(row) for row in np.stack([x, *blades.planform(x)], axis=1)]


def _tail(craft: Craft) -> Shape | None:
    tail = craft.tail
    if tail is None:
        return None
    disc = tail_of(tail)
    return {
        "place": _list(disc.place),
        "axis": _list(disc.axis),
        "blades": tail.blades,
        "radius": disc.radius,
        "root": to_si("root_mm", tail.root_mm),
        "chord": to_si("chord_mm", tail.chord_mm),
        "pitch": to_si("pitch_deg", tail.pitch_deg),
        "twist": to_si("twist_deg", tail.twist_deg),
    }


def _lump(mass_g: float) -> float:
    """Radius of a ball of that mass [m]."""
    return float(np.cbrt(0.75 * to_si("mass_g", mass_g) / (np.pi * LUMP_DENSITY)))


def _list(values: Any) -> list[float]:
    return [float(value) for value in values]
