"""Two pages to measure by, the head and the parts: the craft from two sides with arrows, what is proposed, and room for one's own."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any, Final, NamedTuple

import numpy as np

from paddlebar.craft.shape import arms_of, blades_of
from paddlebar.files.craft import Craft
from paddlebar.files.explained import key_at
from paddlebar.files.keys import value_at
from paddlebar.files.parts import Part
from paddlebar.files.places import plain
from paddlebar.files.strict import Spot
from paddlebar.sheet.balloons import Flat
from paddlebar.sheet.flow import Flow
from paddlebar.sheet.lettered import Lettered, draw_lettered, lettering
from paddlebar.sheet.outline import spots
from paddlebar.sheet.page import SMALL, Spot2
from paddlebar.sheet.views import NARROW, from_above, from_the_right, part_places, rotor_places

DRAWING: Final = 58.0  # height of the drawings on the first page [mm of paper]
LARGE: Final = 100.0  # and on that of the parts
SHARE: Final = 0.55  # of the width, for the side view
ROW_MM: Final = 4.6
WIDTHS: Final = (6.0, 51.0, 20.0, 17.0) * 2  # two columns of letter, key with its words, proposed, measured
# what a builder measures, in the order in which a craft is built; the rest has good defaults
MEASURED: Final = (
    "all_up_g", "rotor.radius_mm", "rotor.root_mm", "rotor.chord_mm", "rotor.tip_chord_mm", "rotor.collective_deg", "rotor.twist_deg",
    "rotor.blade_mass_g", "rotor.thickness_mm", "rotor.mass_axis_percent", "head.precone_deg", "shaft.hub_mm", "shaft.tilt_forward_deg",
    "shaft.tilt_right_deg", "shaft.hub_mass_g", "bar.arm_mm", "bar.height_mm", "bar.lead_deg", "bar.gain", "bar.tip_mass_g",
    "bar.wire_mass_g", "skein.strands", "skein.width_mm", "skein.thickness_mm", "skein.length_mm", "skein.hooks_mm", "tail.at_mm",
    "tail.radius_mm", "tail.chord_mm", "tail.pitch_deg", "tail.drive_pulley_mm", "tail.tail_pulley_mm", "tail.mass_g",
)  # fmt: skip

Row = tuple[str, str, str, str]
"""Key, an asterisk where it may stay empty, what it is in a sentence, what is proposed."""


class Arrow(NamedTuple):
    """Where a key is measured. seen : from where it shows best;  ends, aside : as Lettered"""

    seen: Flat
    ends: Sequence[Spot]
    aside: Spot2


def measures(flow: Flow, craft: Craft) -> None:
    """The measures of rotor, shaft, bar, rubber and tail on the page that the flow is at, and those of the parts on the next.

    craft : whose shape is drawn, whose values are proposed, and whose parts are named
    """
    _page(flow, craft, list(_of_craft(craft)), arrows_of(craft), DRAWING)
    if craft.part:
        flow.turn()
        _page(flow, craft, list(_of_parts(craft)), places_of(craft), LARGE)


def _page(flow: Flow, craft: Craft, keys: list[Row], arrows: dict[str, Arrow], height: float) -> None:
    letters = dict(zip((key for key, *_ in keys if key in arrows), lettering(len(arrows)), strict=False))
    flow.need(height)
    page, wide = flow.page, SHARE * flow.width
    for seen, left, width in ((from_the_right, 0.0, wide), (from_above, wide, flow.width - wide)):
        found = [
            Lettered(letters[key], arrow.ends, arrow.aside)
            for key, arrow in arrows.items()
            if key in letters and arrow.seen is seen
        ]
        draw_lettered(page, craft, seen, found, (page.left + left, flow.top), (width, height))
    flow.top -= height
    page.text(page.left, flow.top + 1.0, "From the right, to no scale: nose to the right.", SMALL)
    page.text(page.left + wide, flow.top + 1.0, "From above: nose to the right.", SMALL)
    rows = [[letters.get(key, ""), f"{key}{star}\n{words}".strip(), said, ""] for key, star, words, said in keys]
    half = (len(rows) + 1) // 2
    pairs = [[*a, *b] for a, b in zip(rows[:half], [*rows[half:], [""] * 4], strict=False)]
    flow.table(["", "key, and what it is", "proposed", "mine"] * 2, WIDTHS, pairs, row_mm=ROW_MM)


def arrows_of(craft: Craft) -> dict[str, Arrow]:
    """Where the keys of the craft's tables are measured."""
    blades, arms, tail, hub = blades_of(craft), arms_of(craft), craft.tail, craft.shaft.hub_mm
    root, tip = 1e-3 * craft.rotor.root_mm, blades.radius

    def on(blade: int, radius: float, share: float) -> Spot:
        return spots(blades.line(blade, np.array([radius]), share))[0]

    top, tips = rotor_places(craft)
    found = {
        "rotor.root_mm": Arrow(from_above, (hub, on(0, root, blades.axis)), (0.0, 5.0)),
        "rotor.chord_mm": Arrow(from_above, (on(0, root, 0.0), on(0, root, 1.0)), (2.5, 0.0)),
        "rotor.tip_chord_mm": Arrow(from_above, (on(0, tip, 0.0), on(0, tip, 1.0)), (-4.0, 0.0)),
        "shaft.hub_mm": Arrow(from_the_right, (hub,), (1.0, -1.0)),
        "skein.hooks_mm": Arrow(from_the_right, craft.skein.hooks_mm, (6.0, 0.0)),
    }
    if len(tips) > 1:
        found["rotor.radius_mm"] = Arrow(from_the_right, (hub, tips[1]), (0.0, 8.0))
    if arms is not None:
        end = spots(arms.tips())[0]
        at = 1e-3 * craft.bar.arm_mm
        found["bar.arm_mm"] = Arrow(from_above, (top, end), (4.0, 5.0))
        found["bar.height_mm"] = Arrow(from_the_right, (hub, top), (-7.0, 5.0))
        found["bar.lead_deg"] = Arrow(from_above, (on(0, at, blades.axis), end), (0.0, 0.0))
    if tail is not None and tail.drive != "none":
        x, y, z = tail.at_mm
        found["tail.at_mm"] = Arrow(from_the_right, (tail.at_mm,), (1.0, 1.0))
        found["tail.radius_mm"] = Arrow(from_the_right, ((x, y, z), (x - tail.radius_mm, y, z)), (0.0, -2.0))
    return found


def places_of(craft: Craft) -> dict[str, Arrow]:
    """Where the places of its parts are: a dot each, from above where they lie out to a side."""
    turns = ((1.0, -1.0), (1.0, 1.0), (-1.0, -1.0), (-1.0, 1.0))
    found = [(_key(part, name), place) for part in craft.part for name, place in part_places(part)]
    return {
        key: Arrow(from_above if abs(place[1]) > NARROW else from_the_right, (place,), turns[n % 4])
        for n, (key, place) in enumerate(found)
    }


def _of_craft(craft: Craft) -> Iterator[Row]:
    for key in MEASURED:
        if not key.startswith("tail.") or (craft.tail is not None and craft.tail.drive != "none"):
            about = key_at(Craft, key)
            yield key, " *" if about.may_go else "", _first(about.words), _said(value_at(craft, key))


def _of_parts(craft: Craft) -> Iterator[Row]:
    """Each part's weight and places."""
    for part in craft.part:
        yield _key(part, "mass_g"), "", "", _said(part.mass_g)
        for name, place in part_places(part):
            yield _key(part, name), "", "", _said(place)


def _key(part: Part, name: str) -> str:
    return f"part.{plain(part.name)}.{name}"


def _first(words: str) -> str:
    """The first sentence; the pages behind have the rest."""
    return re.split(r"[.;:] ", words, maxsplit=1)[0].rstrip(".")


def _said(value: Any) -> str:
    if isinstance(value, tuple):
        return ("; " if value and isinstance(value[0], tuple) else ", ").join(map(_said, value))
    return f"{value:g}" if isinstance(value, float | int) else "" if value is None else str(value)
