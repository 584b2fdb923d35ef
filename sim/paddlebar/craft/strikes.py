"""Where a flapping blade meets a part that stands still: as angles, so that a flight can ask at every moment.

Each azimuth has a lowest and a highest angle that a blade may take there before it touches something. A part is taken as standing.py has
it (points 1 mm apart and half a thickness), a blade as thick as its pitched chord stands high, as `check` does (checks/clearance.py): errs low.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.numbers import Numbers, fill
from paddlebar.craft.parameters import MAX_ZONES
from paddlebar.craft.shape import blades_of
from paddlebar.craft.standing import outlines
from paddlebar.craft.sweep import blade_half_height
from paddlebar.files.craft import Craft

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


@lru_cache(maxsize=8)  # for the crafts asked for last: many flights are of one craft
def zones(craft: Craft) -> tuple[Zone, ...]:
    """Zones that blades can reach, stops that give included; none of a rigid head, which clear.py looks at."""
    blades, parts = blades_of(craft), outlines(craft)  # type: ignore[arg-type]  # as in clear.py
    if not blades.travel or not parts:
        return ()
    offset, cone, travel = blades.offset, blades.precone, blades.travel + GIVES
    points = np.concatenate([part.points for part in parts])
    azimuth, (out, up) = blades.hub.azimuth_of(points), blades.hub.out_and_up(points)
    of = np.repeat(np.arange(len(parts)), [len(part.points) for part in parts])
    thick = blade_half_height(craft, out) + np.array([part.half for part in parts])[of]
    distance, angle = np.hypot(out - offset, up), np.arctan2(up, out - offset)
    wide = _half_angle(distance, thick, blades.root - offset, blades.radius - offset)
    below = angle <= cone
    limit = np.where(below, angle + wide, angle - wide)  # nan where the blade passes it
    reached = np.where(below, limit > cone - travel, limit < cone + travel)
    reached &= np.hypot(out, up) >= blades.hub.radius  # inside the hub's outline the builder's own drawing counts
    found: dict[tuple[bool, int], Zone] = {}
    for k in np.flatnonzero(reached):
        place = bool(below[k]), int(azimuth[k] / (2.0 * math.pi) * BINS) % BINS
        known = found.get(place)
        if known is None or (limit[k] > known.limit if place[0] else limit[k] < known.limit):
            name = parts[of[k]].name.removeprefix("part ")
            found[place] = Zone(float(azimuth[k]), float(limit[k]), place[0], name, float(out[k]))
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


def _half_angle(distance: Array, thick: Array, inner: float, outer: float) -> Array:
    """Half the angle that an arm from inner to outer must keep from points at a distance from its hinge; nan where it passes them."""
    end = np.clip(distance, inner, outer)
    # law of cosines at the arm's end; on the arm itself its distance to the line
    cosine = (distance**2 + end**2 - thick**2) / np.maximum(2.0 * distance * end, 1e-12)
    at_end = np.where(np.abs(distance - end) < thick, np.arccos(np.clip(cosine, -1.0, 1.0)), math.nan)
    on = np.arcsin(np.minimum(thick / np.maximum(distance, 1e-12), 1.0))
    return np.asarray(np.where(distance == end, on, at_end))
