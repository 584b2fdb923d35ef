"""Does anything that turns strike anything that stands still? Such a craft is refused; how much room there is, is for checks/clearance.py, what blades
may meet while they flap for strikes.py."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import Final

import numpy as np

from paddlebar.craft.shape import Blades, arms_of, blades_of
from paddlebar.craft.standing import Outline, outlines, tail_of
from paddlebar.craft.sweep import Swept, bar_swept, blades_swept
from paddlebar.files.craft import Craft
from paddlebar.files.sentences import Problem
from paddlebar.units import to_si

GRAZE: Final = 1e-9  # [m] what comes so near to a thing without thickness meets it: rounding is a millionth of that


def check_clear(craft: Craft) -> Craft:
    """The same craft. Raises BadInput, one line, when its bar or blades strike something; what it was before any changes is tried first."""
    for each in (craft.before, craft):
        if each is not None:
            # frozen models have a hash at run time; what is typed does not know
            each.refuse(strikes(each))  # type: ignore[arg-type]
    return craft


@lru_cache(maxsize=8)
def strikes(craft: Craft) -> tuple[Problem, ...]:
    """One problem for each of bar and blades that strikes something: the first thing struck.

    Kept for the crafts asked for last: a study changes one and the same craft a thousand times, and that one is tried each time too.
    """
    parts = list(outlines(craft))  # type: ignore[arg-type]
    tail = [tail_of(craft.tail).outline()] if craft.tail is not None else []
    return (*_bar(craft, parts + tail), *_rotor(craft, parts, tail))


def _bar(craft: Craft, things: list[Outline]) -> Iterator[Problem]:
    bar, arms = craft.bar, arms_of(craft)
    if arms is None:
        return
    found = _struck(things, bar_swept(arms), arms.hub.radius, 0.5 * to_si("tip_diameter_mm", bar.tip_diameter_mm))
    if found is not None:
        name, out_mm = found
        key = "paddle_centre_mm" if arms.reach > arms.length and bar.given("paddle_centre_mm") else "arm_mm"
        at_stop = f" when tilted up to stop_deg {bar.stop_deg:g}" if arms.travel else ""
        rule = f"bar longer than clearance: it strikes {name}, {out_mm:.0f} mm from the shaft{at_stop}"
        yield Problem(("bar", key), f"{rule}, found {getattr(bar, key):g}")


def _rotor(craft: Craft, parts: list[Outline], tail: list[Outline]) -> Iterator[Problem]:
    rotor, head, blades = craft.rotor, craft.head, blades_of(craft)
    half = 0.5 * to_si("thickness_mm", rotor.thickness_mm)
    found = _struck(tail, blades_swept(blades), blades.root, half)
    if found is not None:
        at_stop = f" when the blades reach stop_deg {head.stop_deg:g}" if blades.travel else ""
        rule = f"rotor strikes the tail rotor, {found[1]:.0f} mm from the shaft{at_stop}"
        yield Problem(("rotor", "radius_mm"), f"{rule}, found {rotor.radius_mm:g}")
        return
    # Sticks are tried against the disc at rest only: what a blade at full flap does to a boom is another question.
    for part in parts:
        out_mm = _in_the_disc(part, blades, half)
        if out_mm is not None:
            rule = f"rotor strikes {part.name}, which rises into the disc {out_mm:.0f} mm from the shaft"
            yield Problem(("rotor", "radius_mm"), f"{rule}, found {rotor.radius_mm:g}")
            return


def _in_the_disc(part: Outline, blades: Blades, half: float) -> float | None:
    """How far from the shaft a part first reaches into the disc at rest [mm], or None."""
    out, up = blades.hub.out_and_up(part.points)
    above = up - (out - blades.offset) * np.tan(blades.precone)
    crosses = np.concatenate([[False], (above[1:] < 0.0) != (above[:-1] < 0.0)])
    inside = (blades.root < out) & (out < blades.radius) & (crosses | (np.abs(above) < part.half + half))
    return 1e3 * float(out[np.argmax(inside)]) if inside.any() else None


def _struck(things: Iterable[Outline], arm: Swept, inside: float, tip_half: float) -> tuple[str, float] | None:
    """Name and distance from the shaft [mm] of the first thing that an arm meets further than ``inside`` from its hinge, or None."""
    for thing in things:
        gap, out, up = arm.least(thing.points)
        distance = np.hypot(out, up)
        thick = np.where(distance > arm.outer - 2.0 * tip_half, tip_half, 0.0)
        met = (distance >= inside) & ((gap < thing.half + thick) | (gap < GRAZE))
        if met.any():
            return thing.name, 1e3 * float(out[np.argmax(met)])
    return None
