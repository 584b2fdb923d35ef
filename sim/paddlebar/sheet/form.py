"""A form to print: what to weigh and measure, in the order in which a craft is built, a line a key of the craft file."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Final

from matplotlib.figure import Figure

from paddlebar.files.cautions import CAUTIONS
from paddlebar.files.craft import Craft
from paddlebar.files.explained import Key, key_at, keys_of
from paddlebar.sheet.flow import Flow
from paddlebar.sheet.measures import measures
from paddlebar.sheet.page import numbered, save_pdf

READINGS: Final = 3
PART_LINES: Final = 16
ROW_MM: Final = 5.4
WIDTHS: Final = (38.0, 81.0, 16.0, 17.0, 17.0, 19.0)


def draw_form(name: str, craft: Craft) -> list[Figure]:
    """All pages of the form, A4: first the page to measure by, then every key of the craft file.

    name : of the craft;  craft : whose shape and values the first page shows
    """
    keys = list(keys_of(Craft))
    first = Flow("To weigh and measure", name)
    for words in CAUTIONS:
        first.paragraph(words, bold=True)
    first.paragraph(
        "Weigh before glueing, three times, on a scale that shows 0.01 g; the pages behind have room for all three, the middle one is "
        "yours. Measure places from one datum, your 0, 0, 0: forward, right and up in mm, behind, left and below negative. The keys are "
        f"those of {name}.toml; one with an asterisk may stay empty."
    )
    measures(first, craft)
    front = len(first.pages)
    first.turn()
    _section(first, "", [key for key in keys if not key.table])
    parts = Flow("Parts of the fuselage", name, landscape=True)
    _parts(parts, [key for key in keys if key.table == "part"])
    for table in dict.fromkeys(key.table for key in keys):
        if table not in ("", "part"):
            _section(first, table, [key for key in keys if key.table == table])
    return numbered([*first.pages[:front], *parts.pages, *first.pages[front:]])


def save_form(name: str, path: Path, craft: Craft) -> None:
    """Write the form as a PDF for A4; the same name and craft give the same bytes."""
    save_pdf(draw_form(name, craft), path, f"What to weigh and measure of {name}")


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
