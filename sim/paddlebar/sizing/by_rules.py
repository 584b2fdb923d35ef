"""A design by rules of the trade and by the program's own look at a craft (checks/)."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any, Final

from paddlebar.checks.bearing import thicker
from paddlebar.checks.check import Check, check
from paddlebar.checks.drive import GRIP_TO_SPARE
from paddlebar.checks.lead import rule_deg
from paddlebar.craft.motors import motor_of
from paddlebar.craft.strength.factors import STICK
from paddlebar.sizing.answers import Known
from paddlebar.sizing.flown import craft_of
from paddlebar.sizing.rules import CARBON, WOOD, Design, as_template, tail_pulley_mm

# Own choices, no source
WOUND: Final = 0.7  # of breaking turns, for a first flight
TAIL_HOLDS: Final = 1.45  # share of the rotor's torque over a point, as craft that drift want it
STRONGER: Final = 1.2  # than `check` calls strong enough
GRIP: Final = 1.6  # of the cord, over what `check` calls enough: a flight pulls harder than the stand
LOOSEST_MN: Final = 20.0
HEAVY_BOOM: Final = 2.0  # of the template's share
ROUNDS: Final = 4  # each change moves the others a little


def by_rules(known: Known, chord: float, collective_deg: float, **bar: Any) -> tuple[Design, float, Check]:
    """A craft with blades of this chord over radius and pitch, and gain and tips as in Design where given: its design, the turns of a first flight, and what `check` says of it.

    Lead 90 deg + atan(Q/(2 T h)); pulleys by what holds the torque; the shaft's tilt and the weight in the nose by where the tail's push wants the
    centre of gravity; stick and boom by what they must bear; the cord by what it must carry.
    Raises : BadInput, ValueError where no such craft can be built
    """
    d = replace(as_template(known), chord=chord, collective_deg=collective_deg, **bar)
    turns = float(math.floor(WOUND * motor_of(craft_of(known, d).skein).breaking))
    for _ in range(ROUNDS):
        d = _nearer(known, d, check(craft_of(known, d), turns))
    if d.boom > HEAVY_BOOM and d.boom_of == WOOD:  # a wooden boom that bears its cord would be most of so light a craft
        return by_rules(known, chord, collective_deg, boom_of=CARBON, **bar)
    return d, turns, check(craft_of(known, d), turns)


def _nearer(known: Known, d: Design, seen: Check) -> Design:
    found = {
        "drive_pulley_mm": seen.tail.ratio_wanted * math.sqrt(TAIL_HOLDS) * tail_pulley_mm(known),
        "lead_deg": rule_deg(seen.drive, seen.balance),
        "tilt_right_deg": d.tilt_right_deg + known.hand * seen.balance.tilt_deg[1],
        "cord_mN": max(1e3 * GRIP * GRIP_TO_SPARE * seen.drive.cord_needed_n, LOOSEST_MN),
        "nose_mm": next(
            (d.nose_mm + each.by_mm[0] for each in seen.balance.moves if each.part == "nose weight"), math.nan
        ),
    }
    stick, boom = d.stick_mm, d.boom
    for each in seen.strength.factors:
        by = max(thicker(each, STRONGER), 1.0)
        if each.name in STICK:
            stick *= by
        else:
            boom *= by**2
    known_now: dict[str, Any] = {key: value for key, value in found.items() if math.isfinite(value)}
    return replace(d, **known_now, stick_mm=stick, boom=boom)
