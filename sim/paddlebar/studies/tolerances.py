"""What a builder can change or get wrong, and to how much: the parameters of `rank` with their tolerances.

The tolerances are what careful hands hold at a kitchen table with a ruler, a scale that reads 0.01 g, a protractor and a printer:
common practice, no source. A builder who measures better, or worse, gives his own.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Final

import numpy as np

from paddlebar.craft.motors import motor_of
from paddlebar.craft.strength.members import stick_of
from paddlebar.errors import BadInput
from paddlebar.files.craft import Craft
from paddlebar.files.kinds import BARS
from paddlebar.files.scenario import Scenario
from paddlebar.files.units import parted
from paddlebar.studies.axes import Axis, changed, number

OPTION: Final = "--key"
HALVINGS: Final = 3  # of a usual tolerance whose ends no file may say, before its parameter is left out
MOST: Final = 60  # parameters

# key, tolerance in its unit: common practice, no source
ROTOR: Final = {
    "craft.rotor.collective_deg": 1.0,  # read from a protractor at three quarters of the blade
    "craft.rotor.radius_mm": 1.0,
    "craft.rotor.chord_mm": 0.5,  # cut with a knife along a ruler
    "craft.rotor.blade_mass_g": 0.05,  # sheet balsa differs within one sheet
}
BAR: Final = {
    "craft.bar.tip_mass_g": 0.05,  # solder or shot, with its glue
    "craft.bar.arm_mm": 1.0,
}
LINK: Final = {
    "craft.bar.lead_deg": 2.0,  # by eye over the hub
    "craft.bar.gain": 0.02,  # 0.5 mm on a horn of ten
}
SKEIN: Final = {
    "craft.skein.width_mm": 0.05,  # of strip as it is cut
    "craft.skein.mass_g": 0.05,
    "craft.skein.length_mm": 5.0,  # knotted by hand
}
TURNS: Final = {"skein.turns": 5.0}  # lost count at the winder
CORD: Final = {
    "craft.tail.drive_pulley_mm": 0.5,  # over the bottom of the groove, the cord's own thickness unknown
    "craft.tail.tail_pulley_mm": 0.2,  # likewise; a small one is turned more exactly
}
TAIL: Final = {"craft.tail.pitch_deg": 1.0}
STICK_MM: Final = 0.2  # as sanded; its mass stays as weighed, so that a thinner one is of denser wood
PART_G, PART_MM = 0.05, 2.0  # of the heaviest part that stands in one place: weighed; where its glue has set


def tolerance(text: str, key: str, size: float) -> Axis:
    """One parameter: its key, its own value and both ends; values (2,), for whole numbers all from end to end.

    text     : effective TOML of the scenario
    Raises   : BadInput, one line: no such key, no number there, a tolerance that is none, ends that the file would not allow
    """
    own, whole = number(OPTION, text, key)
    if not (math.isfinite(size) and size > 0.0):
        raise BadInput(f"{OPTION}: {key}: a tolerance should be a number above 0, found {size:g}")
    if math.isnan(own):
        changed(text, {key: size}, OPTION)  # an unknown key has its own, better sentence
        raise BadInput(f"{OPTION}: {key}: has no value here; give it one in the file or by --set, then its tolerance")
    if whole and size != round(size):
        raise BadInput(f"{OPTION}: {key}: counts in whole numbers, and its tolerance should too, found {size:g}")
    ends = np.array([own - size, own + size])
    found = Axis(key, np.arange(ends[0], ends[1] + 0.5) if whole else ends, whole, own)
    for end in ends:
        changed(text, found.change(float(end)), OPTION)
    return found


def chosen(text: str, keys: Mapping[str, float]) -> tuple[Axis, ...]:
    """Parameters that a user named, key -> tolerance. Raises BadInput."""
    if len(keys) > MOST:
        raise BadInput(f"{OPTION}: at most {MOST} parameters, found {len(keys)}")
    return tuple(tolerance(text, key, float(size)) for key, size in keys.items())


def usual(scenario: Scenario) -> dict[str, float]:
    """Parameters that the craft has, key -> tolerance, where they say something; narrowed where the file would not allow an end."""
    text = scenario.effective_toml()
    found: dict[str, float] = {}
    for key, size in _candidates(scenario.craft):
        own, _ = number(OPTION, text, key)
        if not math.isfinite(own):
            continue
        for halving in range(HALVINGS + 1):
            try:
                tolerance(text, key, size * 0.5**halving)
            except BadInput:
                continue
            found[key] = size * 0.5**halving
            break
    return found


def _candidates(craft: Craft) -> Iterator[tuple[str, float]]:
    """All that could be asked of such a craft."""
    for key, size in ROTOR.items():
        if not (key.endswith("chord_mm") and craft.rotor.station):  # stations replace the chord
            yield key, size
    if BARS[craft.bar.kind].present:
        yield from BAR.items()
    if BARS[craft.bar.kind].tilts:  # a locked one passes nothing on
        yield from LINK.items()
    kind = motor_of(craft.skein).kind
    yield from ((key, size) for key, size in SKEIN.items() if kind.as_rubber or key.endswith("mass_g"))
    yield from TURNS.items()
    if craft.tail is not None:
        yield from CORD.items() if craft.tail.drive == "cord" else ()
        yield from TAIL.items()
    stick = stick_of(craft)
    if stick is not None:
        yield f"craft.part.{stick.name}.{'thickness_mm' if stick.kind == 'plate' else 'diameter_mm'}", STICK_MM
    fixed = [part for part in craft.part if part.kind in ("point", "plate", "ring")]
    heaviest = max(fixed or craft.part, key=lambda part: part.mass_g)
    yield f"craft.part.{heaviest.name}.mass_g", PART_G
    if fixed:
        yield f"craft.part.{heaviest.name}.at_mm.1", PART_MM


def short(key: str) -> str:
    """``craft.rotor.collective_deg`` -> "rotor.collective"."""
    return parted(key.removeprefix("craft."))[0]


def unit(key: str) -> str:
    """Unit of a key as one reads it, "" for a plain number."""
    return parted(key)[1].removesuffix("1")


def sized(key: str, value: float, form: str = ".3g") -> str:
    """A value of a key with its unit."""
    return f"{value:{form}} {unit(key)}".rstrip()
