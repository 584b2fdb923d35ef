"""What must follow when a measure of a craft is changed: a longer blade weighs more.

Every entry that is made of one material keeps its density: its mass goes with the volume of what it describes. Lumps (kind point, tip
masses, bearing) have no measure that says how large they are and stay as they were weighed; pulleys belong to hub and tail rotor, whose
mass does not follow them (a few hundredths of a gram at this size, from memory).
A mass that is itself changed is taken as it is said.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

import numpy as np

from paddlebar.craft.blades import rotor_planform
from paddlebar.craft.clear import check_clear
from paddlebar.files.craft import Craft, Rotor
from paddlebar.files.keys import value_at
from paddlebar.files.load import parse_scenario
from paddlebar.files.parts import PlatePart, RingPart, RodPart, TubePart
from paddlebar.files.scenario import Scenario

NOTICED = 0.05  # change of a volume that a scale would show; own choice


def volumes(craft: Craft) -> dict[str, float]:
    """Key of a mass -> what it is in proportion to: the volume of its material, up to a factor that no change of measures touches [mm^3 or mm^2]."""
    rotor, bar, tail, shaft, skein = craft.rotor, craft.bar, craft.tail, craft.shaft, craft.skein
    found = {
        "rotor.blade_mass_g": _planform(rotor) * rotor.thickness_mm,
        "bar.wire_mass_g": bar.arm_mm * bar.wire_diameter_mm**2,
        "bar.paddle_mass_g": bar.paddle_span_mm * bar.paddle_chord_mm,  # of the same sheet
        "shaft.hub_mass_g": shaft.hub_diameter_mm**2,  # of the same height
    }
    if tail is not None:
        # of the same sheet; the hub, a small part of it, is counted with the blades
        found["tail.mass_g"] = tail.blades * (tail.radius_mm - tail.root_mm) * tail.chord_mm
        if tail.skein is not None and tail.skein.mass_g is not None:
            found["tail.skein.mass_g"] = tail.skein.length_mm * tail.skein.density_kg_m3
    if skein.mass_g is not None:  # else files/craft.py takes it from strands, width, thickness and length
        found["skein.mass_g"] = skein.length_mm * skein.density_kg_m3
    for part in craft.part:
        match part:
            case RodPart():
                volume = math.dist(part.from_mm, part.to_mm) * part.diameter_mm**2
            case TubePart():
                wall = part.wall_mm if part.wall_mm is not None else 0.0
                section = (part.diameter_mm - wall) * wall if wall > 0.0 else part.diameter_mm
                volume = math.dist(part.from_mm, part.to_mm) * section
            case PlatePart():
                volume = part.length_mm * part.width_mm * part.thickness_mm
            case RingPart():
                volume = part.diameter_mm * part.wire_diameter_mm**2
            case _:
                continue
        found[f"part.{part.name}.mass_g"] = volume
    return found


def followed(text: str, changes: Mapping[str, Any]) -> tuple[Scenario, dict[str, float]]:
    """The scenario of an effective text with changes made and masses following them.

    changes : dotted keys, the craft's under craft.
    Returns : scenario, and the masses that followed: dotted key -> g
    Raises  : BadInput, one line, for what no file may say; turns beyond breaking are not looked at here
    """
    plain = _plain(text)
    changed = parse_scenario(text, "scenario", overrides=changes)
    before, after = volumes(plain.craft), volumes(changed.craft)
    moved: dict[str, float] = {}
    for key, volume in after.items():
        whole = f"craft.{key}"
        was = before.get(key, 0.0)
        if whole not in changes and was > 0.0 and not math.isclose(volume, was, rel_tol=1e-12):
            moved[whole] = round(mass(plain.craft, key) * volume / was, 6)
    found = parse_scenario(text, "scenario", overrides={**changes, **moved}) if moved else changed
    check_clear(found.craft)
    return found, moved


def left_behind(craft: Craft) -> dict[str, tuple[float, float]]:
    """Masses that stayed while changes made larger or smaller what they are of: dotted key -> as it is, as it would follow [g].

    craft : as changed by a scenario or by --set; one that was not changed left nothing behind
    """
    before = craft.before
    if before is None:
        return {}
    was, found = volumes(before), {}
    for key, volume in volumes(craft).items():
        if was.get(key, 0.0) > 0.0 and abs(volume / was[key] - 1.0) > NOTICED:  # what is new has nothing to follow
            own = mass(craft, key)
            if own == mass(before, key) > 0.0:
                found[key] = (own, own * volume / was[key])
    return found


@lru_cache(maxsize=4)
def _plain(text: str) -> Scenario:
    return parse_scenario(text, "scenario")


def mass(craft: Craft, key: str) -> float:
    """The mass under a dotted key of volumes() [g]."""
    return float(value_at(craft, key))


def _planform(rotor: Rotor) -> float:
    """Area of a blade [mm^2]."""
    x = np.linspace(rotor.root_mm, rotor.radius_mm, 401)
    return 1e3 * float(np.trapezoid(rotor_planform(rotor, 1e-3 * x)[0], x))
