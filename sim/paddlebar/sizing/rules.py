"""A craft file's values from answers and a design, in the proportions of the template (files/template.py), whose craft flies.

Lengths follow the rotor, or the skein where they hang on it; weights follow what rubber and stick leave of the whole.
"""

from __future__ import annotations

import copy
import math
from dataclasses import dataclass
from typing import Any, Final

from paddlebar.craft.strength.materials import MATERIALS
from paddlebar.files.craft import Skein
from paddlebar.files.template import CRAFT, FIRST_FLIGHT
from paddlebar.sizing.answers import Known, Rubber

Values = dict[str, Any]

PRINTED: Final = {"hub": 1.5, "bearing": 1.5}  # how much heavier what is printed is than of wood and wire: from memory
SILVER_SOLDER = 10500.0  # kg/m3, of bar tips: lead shot or solder, from memory
CLEAR = 0.55  # of the blades' chord: how far below the hub the stick begins, so that their edges pass on their stops; own choice
WOOD, CARBON = "spruce", "pultruded carbon"  # of a boom: square, and a round rod
_PARTS: Final = {part["name"]: part for part in CRAFT["part"]}


@dataclass(frozen=True)
class Design:
    """What is chosen for the craft, not asked.

    chord    : over the rotor's radius [1];  collective_deg, drive_pulley_mm, tilt_right_deg (of a counter-clockwise rotor), lead_deg, gain
    tips     : share of the weight of the craft in the bar's tips, over that of the template's [1];  nose_mm : weight in the nose, how far forward
    stick_mm : side of the square motor stick;  boom : its weight over that of the template's [1];  cord_mN : how hard the cord is set
    boom_of : material of the boom
    """

    chord: float
    collective_deg: float
    drive_pulley_mm: float
    tilt_right_deg: float
    lead_deg: float
    gain: float
    tips: float
    nose_mm: float
    stick_mm: float
    boom: float
    cord_mN: float
    boom_of: str = WOOD


def tail_pulley_mm(known: Known) -> float:
    """Of the tail, as large as the craft: what a cord carries at one tension grows with it."""
    return round(float(CRAFT["tail"]["tail_pulley_mm"]) * known.scale, 1)


def as_template(known: Known) -> Design:
    """The template's own, at another size."""
    rotor, bar, s = CRAFT["rotor"], CRAFT["bar"], known.scale
    return Design(
        chord=rotor["chord_mm"] / rotor["radius_mm"],
        collective_deg=rotor["collective_deg"],
        drive_pulley_mm=s * CRAFT["tail"]["drive_pulley_mm"],
        tilt_right_deg=CRAFT["shaft"]["tilt_right_deg"],
        lead_deg=bar["lead_deg"],
        gain=bar["gain"],
        tips=1.0,
        nose_mm=s * _PARTS["nose weight"]["at_mm"][0],
        stick_mm=s * _PARTS["stick"]["diameter_mm"],
        boom=1.0,
        cord_mN=300.0 * s**3,
    )


def skein_g(rubber: Rubber, length_mm: float) -> float:
    """Weight of a skein [g]."""
    return rubber.section_mm2 * length_mm * float(Skein.model_fields["density_kg_m3"].default) * 1e-6


def craft_values(name: str, known: Known, d: Design) -> Values:
    """Values of the craft file, for a TOML writer. Raises ValueError where rubber and stick leave nothing for the rest."""
    found: Values = copy.deepcopy(CRAFT)
    s, radius = known.scale, 0.5 * known.rotor_mm
    chord = round(d.chord * radius, 1)
    high = -max(14.0 * s, CLEAR * chord)
    top = high - 8.0 * s
    low = top - 0.98 * known.rubber_mm  # a skein hangs a little slack between its hooks
    w = _weights(known, d, high - low + 8.0 * s)
    found |= {
        "name": name,
        "note": "Sized by `paddlebar new`; every figure is invented.",
        "all_up_g": _g(known.weight_g),
    }
    _parts(found["part"], known, d, w, (high, low))
    found["shaft"] |= {"turns": known.sense, "tilt_right_deg": round(known.hand * d.tilt_right_deg, 1), "hub_mass_g": _g(w["hub"]), "hub_diameter_mm": round(18 * s, 1)}  # fmt: skip
    blade, root = w["blades"] / found["rotor"]["blades"], round(25 * s, 1)
    sheet = MATERIALS["medium balsa"].density.low  # the lightest of its grade
    found["rotor"] |= {
        "radius_mm": radius, "root_mm": root, "chord_mm": chord, "tip_chord_mm": chord, "collective_deg": round(d.collective_deg, 1),
        "blade_mass_g": _g(blade), "thickness_mm": round(blade * 1e6 / (sheet * chord * (radius - root)), 2),
    }  # fmt: skip
    arm, tip = round(100 * s), _g(0.5 * w["tips"])
    found["bar"] |= {
        "lead_deg": round(d.lead_deg), "gain": round(d.gain, 2), "height_mm": round(14 * s, 1), "arm_mm": arm, "wire_mass_g": _g(w["wire"]),
        "wire_diameter_mm": round(_across(w["wire"], 2.0 * arm, "music wire"), 2), "tip_mass_g": tip,
        "tip_diameter_mm": round((6.0 * tip * 1e6 / (math.pi * SILVER_SOLDER)) ** (1.0 / 3.0), 1),
    }  # fmt: skip
    found["skein"] |= {
        "strands": known.rubber.strands, "width_mm": known.rubber.width_mm, "thickness_mm": known.rubber.thickness_mm,
        "length_mm": known.rubber_mm, "hooks_mm": [[0, 0, round(top, 1)], [0, 0, round(low, 1)]],
    }  # fmt: skip
    found["tail"] |= {
        "at_mm": _at(known, -248, 6, 0.45 * low), "thrust_to": "right" if known.hand > 0.0 else "left", "radius_mm": round(51 * s), "root_mm": round(8 * s),
        "chord_mm": round(14 * s, 1), "mass_g": _g(w["tail"]), "drive_pulley_mm": round(d.drive_pulley_mm, 1), "tail_pulley_mm": tail_pulley_mm(known), "cord_tension_mN": float(f"{d.cord_mN:.2g}"),
    }  # fmt: skip
    return found


def flight_values(known: Known, turns: float) -> Values:
    """Values of a first scenario, its craft's path left out."""
    found = copy.deepcopy(FIRST_FLIGHT) | {"skein": {"turns": round(turns)}}
    if known.hall_m > 0.0:
        found["room"]["ceiling_m"] = known.hall_m
        found["launch"]["height_m"] = round(min(found["launch"]["height_m"], 0.4 * known.hall_m), 1)
    else:
        del found["room"]
    return found


def _weights(known: Known, d: Design, stick_long: float) -> dict[str, float]:
    """What weighs what [g]: the stick as thick as it must be, all else in the template's proportions."""
    weights = {name: part["mass_g"] for name, part in _PARTS.items()}
    weights |= {
        "hub": CRAFT["shaft"]["hub_mass_g"],
        "blades": CRAFT["rotor"]["blades"] * CRAFT["rotor"]["blade_mass_g"],
    }
    weights |= {
        "wire": CRAFT["bar"]["wire_mass_g"],
        "tips": 2.0 * CRAFT["bar"]["tip_mass_g"],
        "tail": CRAFT["tail"]["mass_g"],
    }
    factors = {"boom": d.boom} | (PRINTED if known.material == "printed" else {})
    weights = {name: mass * factors.get(name, 1.0) for name, mass in weights.items()}
    del weights["stick"]
    # of the whole, not of what is left: the bar has to hold all of it
    tips = d.tips * weights.pop("tips") * known.weight_g / CRAFT["all_up_g"]
    stick = MATERIALS["balsa"].density.nominal * d.stick_mm**2 * stick_long * 1e-6
    rest = known.weight_g - skein_g(known.rubber, known.rubber_mm) - stick - tips
    if rest <= 0.0:
        raise ValueError("nothing is left of the weight")
    share = rest / sum(weights.values())
    return {name: share * mass for name, mass in weights.items()} | {"stick": stick, "tips": tips}


def _parts(parts: list[Values], known: Known, d: Design, w: dict[str, float], stick: tuple[float, float]) -> None:
    """Places and weights of the fuselage's parts, in the list itself; stick : heights of its top and of the lower hook [mm]."""
    s, (high, low) = known.scale, stick
    middle, nose, bottom = 0.45 * low, 0.68 * low, low - 8.0 * s
    places: dict[str, Values] = {
        "bearing": {"at_mm": _at(known, 4, 0, high - 2.0 * s), "drag_area_mm2": round(40 * s * s)},
        "stick": {"from_mm": _at(known, 9, 0, high), "to_mm": _at(known, 9, 0, bottom), "diameter_mm": round(d.stick_mm, 2)},
        "boom": {"from_mm": _at(known, 9, 0, middle), "to_mm": _at(known, -248, 0, middle), **_boom(w["boom"], 257 * s, d.boom_of)},
        "fin": {"at_mm": _at(known, -226, 0, middle - 26 * s), "length_mm": round(41 * s), "width_mm": round(45 * s)},
        "nose rod": {"from_mm": _at(known, 9, 0, nose), "to_mm": _at(known, 170, 0, nose), "diameter_mm": round(_across(w["nose rod"], 161 * s, "hard balsa"), 2)},
        "nose weight": {"at_mm": [round(d.nose_mm, 1), 0, round(nose, 1)]},
        "foot": {"at_mm": _at(known, 9, 0, bottom - 24 * s), "diameter_mm": round(120 * s)},
    }  # fmt: skip
    for part in parts:
        part.update(places[part["name"]], mass_g=_g(w[part["name"]]))
        if part["name"] == "bearing" and known.material != "printed":
            part["material"] = "hard balsa"


def _boom(mass: float, long: float, material: str) -> Values:
    across = _across(mass, long, material)
    if material == WOOD:  # square, of the same area
        return {
            "diameter_mm": round(math.sqrt(math.pi / 4.0) * across, 2),
            "cross_section": "square",
            "material": material,
        }
    return {"diameter_mm": round(across, 2), "cross_section": "round", "material": material}


def _at(known: Known, forward: float, right: float, up_mm: float) -> list[float]:
    """A place of the template at this size, on the other side for the other hand; its height as it is."""
    return [round(forward * known.scale, 1), round(known.hand * right * known.scale, 1), round(up_mm, 1)]


def _across(mass: float, long: float, material: str) -> float:
    """Diameter of a round rod of that weight [g] and length [mm], in mm."""
    return math.sqrt(4.0 * mass * 1e6 / (math.pi * MATERIALS[material].density.nominal * long))


def _g(mass: float) -> float:
    """As a scale shows it."""
    return round(mass, 2 if mass >= 0.1 else 3)
