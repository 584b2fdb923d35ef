"""A form to print: what to weigh and measure, in the order in which a craft is built, a line a key of the craft file."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Final

from matplotlib.figure import Figure

from paddlebar.files.cautions import CAUTIONS
from paddlebar.files.craft import Craft
from paddlebar.files.explained import Key, key_at, keys_of
from paddlebar.sheet.dims import arrow
from paddlebar.sheet.flow import Flow
from paddlebar.sheet.page import CHAIN, INK, LIGHT, MID, PALE, SMALL, THICK, Page, numbered, save_pdf

READINGS: Final = 3
PART_LINES: Final = 16
ROW_MM: Final = 5.4
WIDTHS: Final = (38.0, 81.0, 16.0, 17.0, 17.0, 19.0)
SKETCH_MM: Final = 78.0


def draw_form(name: str) -> list[Figure]:
    """All pages of the form, A4, every key of the craft file on them.

    name : of the craft
    """
    keys = list(keys_of(Craft))
    first = Flow("To weigh and measure", name)
    for words in CAUTIONS:
        first.paragraph(words, bold=True)
    first.paragraph(
        "Weigh everything before it is glued, three times, taking it off the scale between, on one that shows 0.01 g; enter the middle "
        "reading. Measure places from one datum of your choice (here the hub's centre): forward, right and up in mm, behind, left and "
        f"below negative. The keys are those of {name}.toml; one with an asterisk may stay empty."
    )
    first.need(SKETCH_MM)
    _sketch(first.page, first.top)
    first.top -= SKETCH_MM
    _section(first, "", [key for key in keys if not key.table])
    parts = Flow("Parts of the fuselage", name, landscape=True)
    _parts(parts, [key for key in keys if key.table == "part"])
    for table in dict.fromkeys(key.table for key in keys):
        if table not in ("", "part"):
            _section(first, table, [key for key in keys if key.table == table])
    return numbered([first.pages[0], *parts.pages, *first.pages[1:]])


def save_form(name: str, path: Path) -> None:
    """Write the form as a PDF for A4; the same name gives the same bytes."""
    save_pdf(draw_form(name), path, f"What to weigh and measure of {name}")


def _section(flow: Flow, table: str, keys: Iterable[Key]) -> None:
    rows = [[_named(key), key.words, key.unit, *_blanks(key.unit)] for key in keys]
    keep = flow.height(rows, WIDTHS, ROW_MM) + ROW_MM
    if table:
        holder = key_at(Craft, table)
        flow.heading(holder.header, keep=keep + ROW_MM)
        flow.paragraph(holder.words)
    else:
        flow.heading("The whole craft", keep=keep)
    flow.table(["key", "what it is", "unit", "1", "2", "3"], WIDTHS, rows, row_mm=ROW_MM)


def _named(key: Key) -> str:
    """With an asterisk: the file may do without it."""
    return key.name + (" *" if key.may_go else "")


def _blanks(unit: str) -> list[str]:
    """Three readings of what is weighed or measured; one entry of what is chosen or counted."""
    return [""] * READINGS if unit else ["", "-", "-"]


def _parts(flow: Flow, keys: Sequence[Key]) -> None:
    """A line a part, and below what each key means and which kinds have it."""
    kinds: dict[tuple[str, ...], list[str]] = {}
    for key in keys:
        kinds.setdefault((_named(key), key.words, key.unit), []).append(key.kind)
    flow.paragraph(
        "[[part]] One line for each thing that is fixed to the fuselage: stick, boom, bearing, hooks, legs, fin, ballast, glue."
    )
    heads = [
        "name",
        "kind",
        "mass_g 1",
        "2",
        "3",
        "at_mm or from_mm",
        "to_mm, or along",
        "other measures, by the keys below",
    ]
    widths = (36.0, 18.0, 17.0, 15.0, 15.0, 47.0, 47.0, 77.0)
    flow.table(heads, widths, [[""] * len(heads)] * PART_LINES, row_mm=7.6)
    every = len({kind for found in kinds.values() for kind in found})
    rows = [[*said, "all" if len(found) == every else ", ".join(found)] for said, found in kinds.items()]
    flow.need(len(rows) * ROW_MM + 8.0)
    flow.table(["key", "what it is", "unit", "kinds that have it"], (42.0, 120.0, 20.0, 90.0), rows, row_mm=ROW_MM)


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
