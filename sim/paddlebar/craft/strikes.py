"""Where a flapping blade meets a part that stands still: as angles, so that a flight can ask at every moment.

Each azimuth has a lowest and a highest angle that a blade may take there before it touches something. A part is taken as files/geometry.py takes
it (points 1 mm apart and half a thickness), a blade as thick as its pitched chord stands high, as `check` does (checks/clearance.py): errs low.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.blades import rotor_planform
from paddlebar.craft.numbers import Numbers, fill
from paddlebar.craft.parameters import MAX_ZONES
from paddlebar.files.craft import Craft
from paddlebar.files.geometry import obstacles, shaft_axis
from paddlebar.files.kinds import BARS, HEADS
from paddlebar.files.units import to_si

Array = NDArray[np.float64]

BINS = MAX_ZONES // 2  # of azimuth, below the disc and above it each
GIVES = math.radians(3.0)  # that far a soft stop may give, see craft/numbers.py; own choice


@dataclass(frozen=True)
class Zone:
    """What blades meet at one azimuth.

    azimuth : from over the tail in the sense of rotation [rad];  limit : angle of the blade above the hub's plane, coning included [rad]
    below   : the part lies below the disc, so that the limit is the lowest angle;  part : its name;  out_m : distance from the shaft [m]
    """

    azimuth: float
    limit: float
    below: bool
    part: str
    out_m: float


def blade_half_height_mm(craft: Craft, out: Array) -> Array:
    """Half the height that a pitched blade takes at distances from the shaft [mm], on the safe side: all of its chord below its axis."""
    rotor, bar = craft.rotor, craft.bar
    x = np.clip(out, rotor.root_mm, rotor.radius_mm)
    chord, pitch = rotor_planform(rotor, 1e-3 * x)
    moved = abs(bar.gain) * to_si("stop_deg", BARS[bar.kind].travel(bar.stop_deg))
    share = max(rotor.feather_axis_percent, 100.0 - rotor.feather_axis_percent) / 100.0
    return np.asarray(
        1e3 * chord * share * np.sin(np.minimum(np.abs(pitch) + moved, 0.5 * math.pi)) + 0.5 * rotor.thickness_mm
    )


@lru_cache(maxsize=8)  # for the crafts asked for last: many flights are of one craft
def zones(craft: Craft) -> tuple[Zone, ...]:
    """Zones that blades can reach, stops that give included; none of a rigid head, which files/geometry.py looks at."""
    rotor, head = craft.rotor, craft.head
    if not HEADS[head.kind].hinged:
        return ()
    offset = HEADS[head.kind].hinge_offset(head.hinge_offset_mm)
    cone, travel = math.radians(head.precone_deg), math.radians(head.stop_deg) + GIVES
    inner, outer = rotor.root_mm - offset, rotor.radius_mm - offset
    things = obstacles(craft)  # type: ignore[arg-type]  # as in files/geometry.py
    if not things:
        return ()
    azimuth, out, up = _polar(craft, np.array([point for thing in things for point in thing.points]))
    of = np.repeat(np.arange(len(things)), [len(thing.points) for thing in things])
    thick = blade_half_height_mm(craft, out) + np.array([thing.half for thing in things])[of]
    distance, angle = np.hypot(out - offset, up), np.arctan2(up, out - offset)
    wide = _half_angle(distance, thick, inner, outer)
    below = angle <= cone
    limit = np.where(below, angle + wide, angle - wide)  # nan where the blade passes it
    reached = np.where(below, limit > cone - travel, limit < cone + travel)
    reached &= (
        np.hypot(out, up) >= 0.5 * craft.shaft.hub_diameter_mm
    )  # inside the hub's outline the builder's own drawing counts
    found: dict[tuple[bool, int], Zone] = {}
    for k in np.flatnonzero(reached):
        place = bool(below[k]), int(azimuth[k] / (2.0 * math.pi) * BINS) % BINS
        known = found.get(place)
        if known is None or (limit[k] > known.limit if place[0] else limit[k] < known.limit):
            name = things[of[k]].name.removeprefix("part ")
            found[place] = Zone(float(azimuth[k]), float(limit[k]), place[0], name, 1e-3 * float(out[k]))
    return tuple(found.values())


def fill_zones(numbers: Numbers, craft: Craft) -> None:
    """Put the zones of a craft into its parameters."""
    each = zones(craft)  # type: ignore[arg-type]
    room = np.zeros((4, MAX_ZONES))
    for k, zone in enumerate(each):
        room[:, k] = math.cos(zone.azimuth), math.sin(zone.azimuth), zone.limit, 1.0 if zone.below else -1.0
    fill(
        numbers.params, zones=len(each), zone_cos=room[0], zone_sin=room[1], zone_limit=room[2], zone_sense=room[3]
    )  # fmt: skip


def _polar(craft: Craft, points: Array) -> tuple[Array, Array, Array]:
    """Azimuth [rad, 0 to 2 pi], distance from the shaft and height above the hub [mm] of points (n, 3), builder's places."""
    axis = np.array(shaft_axis(craft.shaft))
    aft = np.array([-1.0, 0.0, 0.0])
    aft -= (aft @ axis) * axis
    aft /= np.linalg.norm(aft)
    right = np.cross(aft, axis)  # of the components forward, right, up, which form a left-handed triad
    hand = 1.0 if craft.shaft.turns == "counter-clockwise" else -1.0
    away = points - np.array(craft.shaft.hub_mm)
    up = away @ axis
    azimuth = np.arctan2(hand * (away @ right), away @ aft)
    return np.mod(azimuth, 2.0 * math.pi), np.hypot(away @ aft, away @ right), up


def _half_angle(distance: Array, thick: Array, inner: float, outer: float) -> Array:
    """Half the angle that an arm from inner to outer must keep from points at a distance from its hinge; nan where it passes them."""
    end = np.clip(distance, inner, outer)
    # law of cosines at the arm's end; on the arm itself its distance to the line
    cosine = (distance**2 + end**2 - thick**2) / np.maximum(2.0 * distance * end, 1e-12)
    at_end = np.where(np.abs(distance - end) < thick, np.arccos(np.clip(cosine, -1.0, 1.0)), math.nan)
    on = np.arcsin(np.minimum(thick / np.maximum(distance, 1e-12), 1.0))
    return np.asarray(np.where(distance == end, on, at_end))
