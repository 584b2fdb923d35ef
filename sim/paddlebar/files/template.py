"""What ``paddlebar new NAME`` puts into a craft file and a first scenario; how it is written is in ``commented``.

The figures are those of an invented craft that flies (tests/cli/test_new.py flies it), so that a builder can replace one entry at a time.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

from paddlebar.errors import BadInput
from paddlebar.files.cautions import as_comment
from paddlebar.files.commented import commented
from paddlebar.files.craft import Craft
from paddlebar.files.scenario import CHANGE, Scenario

# fmt: off
CRAFT: Final[dict[str, Any]] = {
    "note": "invented figures", "all_up_g": 9.8,
    "part": [
        {"name": "bearing", "kind": "point", "at_mm": [4, 0, -16], "drag_area_mm2": 40, "mass_g": 0.35, "touches": False, "material": "printed PLA"},
        {"name": "stick", "kind": "rod", "from_mm": [9, 0, -14], "to_mm": [9, 0, -226], "diameter_mm": 4, "cross_section": "square",
         "mass_g": 0.87, "material": "balsa"},
        {"name": "boom", "kind": "rod", "from_mm": [9, 0, -100], "to_mm": [-248, 0, -100], "diameter_mm": 2.5, "cross_section": "square",
         "mass_g": 0.52, "material": "spruce"},
        {"name": "fin", "kind": "plate", "at_mm": [-226, 0, -126], "length_mm": 41, "width_mm": 45, "along": [0, 0, 1], "normal": [0, 1, 0],
         "mass_g": 0.09, "drag_coefficient": 1.2},
        {"name": "nose rod", "kind": "rod", "from_mm": [9, 0, -150], "to_mm": [170, 0, -150], "diameter_mm": 2, "mass_g": 0.25},
        {"name": "nose weight", "kind": "point", "at_mm": [170, 0, -150], "mass_g": 0.8},
        {"name": "foot", "kind": "ring", "at_mm": [9, 0, -250], "diameter_mm": 120, "wire_diameter_mm": 0.5, "normal": [0, 0, 1], "mass_g": 0.46},
    ],
    "shaft": {"hub_mm": [0, 0, 0], "tilt_right_deg": 2, "friction_mN_m": 0.02, "hub_mass_g": 0.7, "hub_diameter_mm": 18},
    "rotor": {
        "blades": 2, "radius_mm": 200, "root_mm": 25, "chord_mm": 30, "tip_chord_mm": 30, "collective_deg": 9, "twist_deg": -4,
        "blade_mass_g": 0.68, "material": "medium balsa", "thickness_mm": 1, "section": "shallow cambered plate",
        "feather_axis_percent": 30, "mass_axis_percent": 31,
    },
    "head": {"kind": "teetering", "precone_deg": 3, "friction_mN_m": 0, "stop_deg": 15},
    "bar": {
        "kind": "seesaw", "lead_deg": 102, "gain": 0.46, "height_mm": 14, "arm_mm": 100, "wire_diameter_mm": 0.6, "wire_mass_g": 0.44,
        "tip_mass_g": 0.6, "tip_diameter_mm": 5, "damping_mN_m_s": 0.01, "friction_mN_m": 0, "stop_deg": 25,
    },
    "skein": {"strands": 6, "width_mm": 2, "thickness_mm": 1, "length_mm": 200, "hooks_mm": [[0, 0, -22], [0, 0, -218]]},
    "tail": {
        "drive": "cord", "at_mm": [-248, 6, -100], "thrust_to": "right", "radius_mm": 51, "root_mm": 8, "chord_mm": 14, "pitch_deg": 10,
        "section": "cambered plate", "mass_g": 0.4, "drive_pulley_mm": 23, "tail_pulley_mm": 5,
    },
}
FIRST_FLIGHT: Final[dict[str, Any]] = {
    "skein": {"turns": 360},  # 400 take it to the ceiling
    "launch": {"height_m": 1.5, "tilt_deg": 3, "release": "held", "hold_s": 0.5},
    "room": {"ceiling_m": 8, "length_m": 60, "width_m": 40},
    "run": {"duration_s": 90},
}
# fmt: on

CRAFT_HEAD: Final = """\
# NAME: a craft for paddlebar. EVERY FIGURE BELOW IS INVENTED: replace it by your own, from a scale and a ruler.
#
CAUTIONS#
# The unit stands at the end of each key: _g grams, _mm millimetres, _deg degrees, _mN_m thousandths of a N m.
# Places are [forward, right, up] in mm from a datum of your choice; here the datum is the hub's centre.
# In each table your own measures stand first. What is marked with # has a good default, which stands there: take the # away to change it.
# A key marked (may go) can be left out: the program then takes what the mark says.

"""
FLIGHT_HEAD: Final = f"""\
# A first flight of NAME. EVERY FIGURE IS INVENTED: replace it by your own.
#
CAUTIONS#
# {CHANGE}
# For example the bar taken off, and another weight of the stick:
# [change.bar]
# kind = "none"
# [change.part.stick]
# mass_g = 1.1

"""


def check_name(name: str) -> None:
    """Raises BadInput for a name that makes no plain file name, on whatever system the craft is passed on to."""
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9_-]{0,59}", name):
        raise BadInput(f"new: name: letters, digits, - and _ only, beginning with a letter or digit, found {name!r}")
    if re.fullmatch(r"con|prn|aux|nul|(com|lpt)\d", name, re.IGNORECASE):
        raise BadInput(f"new: name: {name} is a device on Windows and no file there; choose another name")


def new_files(name: str, craft: Mapping[str, Any] = CRAFT, flight: Mapping[str, Any] = FIRST_FLIGHT) -> dict[str, str]:
    """File names and texts of a new craft and its first scenario; both load as they are.

    name   : letters, digits, "-" and "_"; also the name of the files
    craft, flight : values of the two files, the craft's path and titles left out; the template's own where they are not given
    Returns: {"NAME.toml": craft, "NAME-first-flight.toml": scenario}, to be put into one folder
    Raises : BadInput for a name that makes no plain file name
    """
    check_name(name)
    texts = {
        f"{name}.toml": CRAFT_HEAD + commented(Craft, {"name": name, **craft}),
        f"{name}-first-flight.toml": FLIGHT_HEAD
        + commented(Scenario, {"craft": f"{name}.toml", "title": f"{name}, first flight", **flight}),
    }
    return {file: text.replace("CAUTIONS", as_comment()).replace("NAME", name) for file, text in texts.items()}
