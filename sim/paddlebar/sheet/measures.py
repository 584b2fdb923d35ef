"""The page to measure by: one drawing with arrows, and beside it every measure that matters, what was proposed and room for one's own."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from paddlebar.files.craft import Craft
from paddlebar.files.keys import value_at
from paddlebar.files.parts import PointPart
from paddlebar.sheet.dims import arrow
from paddlebar.sheet.flow import Flow
from paddlebar.sheet.page import CHAIN, INK, LIGHT, MID, PALE, SMALL, THICK, Page

ROW_MM: Final = 4.9
WIDTHS: Final = (43.0, 29.0, 22.0, 43.0, 29.0, 22.0)  # two columns of key, proposed, measured
SKETCH_MM: Final = 78.0
# what a builder measures, in the order in which a craft is built; the rest has good defaults
MEASURED: Final = (
    "all_up_g", "rotor.radius_mm", "rotor.root_mm", "rotor.chord_mm", "rotor.tip_chord_mm", "rotor.collective_deg", "rotor.twist_deg",
    "rotor.blade_mass_g", "rotor.thickness_mm", "rotor.mass_axis_percent", "head.precone_deg", "shaft.tilt_forward_deg", "shaft.tilt_right_deg",
    "shaft.hub_mass_g", "bar.arm_mm", "bar.height_mm", "bar.lead_deg", "bar.gain", "bar.tip_mass_g", "bar.wire_mass_g", "skein.strands",
    "skein.width_mm", "skein.thickness_mm", "skein.length_mm", "skein.hooks_mm", "tail.at_mm", "tail.radius_mm", "tail.chord_mm", "tail.pitch_deg",
    "tail.drive_pulley_mm", "tail.tail_pulley_mm", "tail.mass_g",
)  # fmt: skip


def measures(flow: Flow, craft: Craft | None) -> None:
    """The drawing and the table, on the page that the flow is at.

    craft : whose values are proposed, and whose parts are named; None: the lines stay empty
    """
    flow.need(SKETCH_MM)
    _sketch(flow.page, flow.top)
    flow.top -= SKETCH_MM
    rows = [*_of_craft(craft), *(_of_parts(craft) if craft is not None else ())]
    half = (len(rows) + 1) // 2
    pairs = [[*a, *b] for a, b in zip(rows[:half], [*rows[half:], ("", "", "")], strict=False)]
    flow.table(["key", "proposed", "mine", "key", "proposed", "mine"], WIDTHS, pairs, row_mm=ROW_MM)


def _of_craft(craft: Craft | None) -> Iterator[tuple[str, str, str]]:
    for key in MEASURED:
        if craft is None:
            yield key, "", ""
        elif not key.startswith("tail.") or craft.tail is not None:
            yield key, _said(value_at(craft, key)), ""


def _of_parts(craft: Craft) -> Iterator[tuple[str, str, str]]:
    """Each part's weight; of a lump its place, too."""
    for part in craft.part:
        yield f"{part.name}, g", _said(part.mass_g), ""
        if isinstance(part, PointPart):
            yield f"{part.name}, at mm", _said(part.at_mm), ""


def _said(value: Any) -> str:
    if isinstance(value, tuple):
        return (
            ", ".join(map(_said, value))
            if not value or not isinstance(value[0], tuple)
            else "; ".join(map(_said, value))
        )
    return f"{value:g}" if isinstance(value, float | int) else "" if value is None else str(value)


def _sketch(page: Page, top: float) -> None:
    """From where to where the main keys are measured; not to scale, no real craft."""
    x, y = page.left + 112.0, top - 22.0  # the datum, here the hub's centre
    page.line([(x, y - 12.0), (x, y + 7.0)], width=2.0 * THICK)
    page.line([(x - 4.0, y), (x + 4.0, y)], width=4.0 * THICK)
    for side in (-1.0, 1.0):
        page.area(
            [(x + side * a, y + b) for a, b in ((9.0, -0.6), (62.0, 1.0), (62.0, 2.0), (9.0, 0.6))],
            face="white",
            width=THICK,
        )
    page.line([(x - 26.0, y + 7.0), (x + 26.0, y + 7.0)], width=THICK)
    for side in (-1.0, 1.0):
        page.disc(x + side * 26.0, y + 7.0, 1.3, face="0.3")
    page.area(
        [(x + a, y + b) for a, b in ((-1.0, -12.0), (1.0, -12.0), (1.0, -48.0), (-1.0, -48.0))], face=LIGHT, width=THICK
    )
    page.area(
        [(x + a, y + b) for a, b in ((4.0, -10.0), (6.0, -10.0), (6.0, -52.0), (4.0, -52.0))], face="white", width=THICK
    )
    page.area(
        [(x + a, y + b) for a, b in ((4.0, -29.0), (-80.0, -29.0), (-80.0, -30.0), (4.0, -30.0))],
        face="white",
        width=THICK,
    )
    page.disc(x - 80.0, y - 29.5, 13.0, linestyle=CHAIN, edgecolor=MID)
    page.disc(x - 80.0, y - 29.5, 0.8, face=INK)
    page.area(
        [(x + a, y + b) for a, b in ((-64.0, -30.0), (-52.0, -30.0), (-52.0, -40.0), (-64.0, -40.0))],
        face=PALE,
        width=THICK,
    )
    page.disc(x, y, 1.5, width=THICK, zorder=7)
    page.line([(x - 2.6, y), (x + 2.6, y)], zorder=7)
    page.line([(x, y - 2.6), (x, y + 2.6)], zorder=7)
    for words, first, last, where in (
        ("radius_mm, shaft to tip", (x, y + 14.0), (x + 62.0, y + 14.0), (x + 31.0, y + 15.2)),
        ("arm_mm", (x - 26.0, y + 11.0), (x, y + 11.0), (x - 13.0, y + 12.2)),
        ("root_mm", (x, y - 4.0), (x + 9.0, y - 4.0), (x + 17.0, y - 4.9)),
        ("height_mm", (x - 32.0, y), (x - 32.0, y + 7.0), (x - 42.0, y + 4.4)),
        ("tail radius_mm", (x - 80.0, y - 46.0), (x - 67.0, y - 46.0), (x - 73.5, y - 50.0)),
    ):
        page.line([first, last])
        arrow(page, first, last)
        arrow(page, last, first)
        page.text(*where, words, SMALL, ha="center")
    for words, at, where in (
        ("datum and hub_mm", (x, y), (x + 12.0, y - 9.5)),
        ("hooks_mm, upper", (x, y - 12.0), (x + 12.0, y - 15.5)),
        ("from_mm of the stick", (x + 5.0, y - 10.0), (x + 12.0, y - 21.5)),
        ("to_mm of the boom, tail at_mm", (x - 80.0, y - 29.5), (x - 76.0, y - 12.0)),
        ("at_mm of a fin: its centre", (x - 58.0, y - 35.0), (x - 48.0, y - 43.5)),
        ("hooks_mm, lower", (x, y - 48.0), (x + 12.0, y - 45.5)),
        ("to_mm of the stick", (x + 5.0, y - 52.0), (x + 12.0, y - 51.5)),
    ):
        page.line([at, where], color=MID)
        page.disc(*at, 0.45, face=INK, zorder=7)
        page.text(where[0] + 0.6, where[1] - 0.8, words, SMALL)
    origin = (x + 46.0, y - 33.0)
    for words, (dx, dy) in (("forward", (16.0, 0.0)), ("up", (0.0, 14.0)), ("right (towards you)", (-7.0, -7.0))):
        tip = (origin[0] + dx, origin[1] + dy)
        page.line([origin, tip], width=THICK)
        arrow(page, tip, origin)
        below = dy < 0.0
        page.text(
            tip[0] + (0.0 if below else 1.0),
            tip[1] - (3.2 if below else -0.6 if dy else 1.0),
            words,
            SMALL,
            ha="center" if below else "left",
        )
    page.text(page.left, top - SKETCH_MM + 2.0, "Sketch, not to scale: seen from the right, nose to the right.", SMALL)
