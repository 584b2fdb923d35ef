"""What a wound skein breaks: the torque at which stick or boom gives way, material as in the handbook."""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.optimize import brentq

from paddlebar.craft.motors import motor_of
from paddlebar.craft.strength.factors import FAILS, STICK, Factor, Frame, tail_factors
from paddlebar.files.craft import Craft
from paddlebar.units import to_si

LEAST = 1e-3  # of the torque: below, what gives way does so under the cord alone


@dataclass(frozen=True)
class Overload:
    """A part that does not bear the winding.

    part      : "stick", "boom" or "tail stick"
    torque_nm : of the main skein, at which it gives way [N m]; of the tail's stick nan, that breaks while it is wound
    says      : which part, of what, how
    """

    part: str
    torque_nm: float
    says: str


def overloads(craft: Craft, turns: float, tail_turns: float = 0.0, temperature_C: float = 20.0) -> tuple[Overload, ...]:
    """What gives way while the skeins are wound to so many turns; none as a rule.

    craft, turns, temperature_C : as craft/strength/factors.stick_strength, whose factors these are: what `check` calls a stop
    tail_turns : of the tail's own skein
    Returns    : at most one a part, for the way in which it bears least
    """
    motor = motor_of(craft.skein, to_si("temperature_C", temperature_C))
    torque, frame = motor.greatest(turns), Frame.of(craft)
    weak = [each for each in frame.factors(torque, motor.section) if each.nominal < 1.0]
    out = []
    for part in ("stick", "boom"):
        here = [each for each in weak if (each.name in STICK) == (part == "stick")]
        if here:
            least = min(here, key=lambda each: each.nominal)
            out.append(Overload(part, _borne(frame, least, torque, motor.section), _says(least)))
    tail = [each for each in tail_factors(craft, temperature_C, tail_turns) if each.nominal < 1.0]
    if tail:
        out.append(Overload("tail stick", math.nan, _says(min(tail, key=lambda each: each.nominal))))
    return tuple(out)


def _borne(frame: Frame, weakest: Factor, torque: float, section: float) -> float:
    """Torque at which that factor comes to 1 [N m]; the cord's pull stays as it is."""

    def spare(q: float) -> float:
        return next(each.nominal for each in frame.factors(q, section) if each.name == weakest.name) - 1.0

    low = LEAST * torque
    return 0.0 if spare(low) < 0.0 else float(brentq(spare, low, torque, rtol=1e-6))


def _says(each: Factor) -> str:
    return f"part {each.part} ({each.material}) {FAILS[each.name.removeprefix('tail ')]}: it bears {each.nominal:.2g} times {each.how}"
