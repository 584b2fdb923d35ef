"""The report for paper: the same document on pages of A4, with the frame and the running text of the build sheet."""

from __future__ import annotations

from typing import Final

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from paddlebar.report_page.document import Block, Document, Listed, Picture, Table, Text, Words
from paddlebar.sheet.flow import Flow
from paddlebar.sheet.page import BODY, SMALL, line_height, numbered, wrapped

DPI: Final = 200  # of pictures: fine enough to print
HIGHEST_MM: Final = 118.0  # of a picture, so that two may share a page
GAP_MM: Final = 3.0  # below a picture and between columns
LEAD: Final = 9.0  # size of the sentences that a section is read for [point]


def paper(document: Document) -> list[Figure]:
    """Pages of A4, numbered, in the order of the document."""
    flow = Flow(f"Report: {document.outcome}", document.title)
    flow.paragraph(document.title, 14.0, bold=True)
    if document.craft and document.craft != document.title:
        flow.paragraph(f"Report of a flight of {document.craft}")
    flow.paragraph(document.verdict, LEAD)
    flow.table(("", document.outcome), (32.0, flow.width - 32.0), document.answers, row_mm=6.0)
    for section in document.sections:
        flow.heading(section.title, _keep(section.blocks[0]))
        for block in section.blocks:
            _put(flow, block)
    return numbered(flow.pages)


def _keep(block: Block) -> float:
    """Height that should stand below a heading on its page [mm]."""
    return HIGHEST_MM + 12.0 if isinstance(block, Picture) else 25.0


def _put(flow: Flow, block: Block) -> None:
    match block:
        case Words():
            size = {"lead": LEAD, "note": SMALL}.get(block.look, BODY)
            flow.paragraph(block.text, size, bold=block.look in ("lead", "caution"))
        case Listed():
            rows = [(str(k), head, rest) for k, (head, rest) in enumerate(block.items, start=1)]
            flow.table(("", "do", "why"), (7.0, 0.45 * (flow.width - 7.0), 0.55 * (flow.width - 7.0)), rows)
        case Table():
            unit = flow.width / sum(block.widths)
            flow.need(30.0)
            flow.paragraph(block.caption, SMALL)
            heads = block.heads if any(block.heads) else ()
            flow.table(heads, [unit * share for share in block.widths], block.rows, sides=block.sides)
        case Picture():
            _picture(flow, block)
        case Text():
            _text(flow, block)


def _picture(flow: Flow, block: Picture) -> None:
    """The figure as dots, as wide as the page unless it would be too high, with its caption below."""
    image = dots(block.figure)
    width, height = flow.width, flow.width * image.shape[0] / image.shape[1]
    if height > HIGHEST_MM:
        width, height = width * HIGHEST_MM / height, HIGHEST_MM
    below = len(wrapped(block.caption, flow.width, SMALL)) * line_height(SMALL) + 2.0
    flow.need(height + below)
    left = flow.page.left
    flow.page.ax.imshow(
        image, extent=(left, left + width, flow.top - height, flow.top), aspect="auto", interpolation="none", zorder=1
    )
    flow.page.ax.set_xlim(0.0, flow.page.width)
    flow.page.ax.set_ylim(0.0, flow.page.height)
    flow.top -= height
    if block.caption:
        flow.paragraph(block.caption, SMALL)
    flow.top -= GAP_MM


def dots(figure: Figure) -> np.ndarray:
    """A figure as (rows, columns, 3) bytes; its own resolution is left as it was."""
    before = figure.dpi
    try:
        figure.set_dpi(DPI)
        canvas = FigureCanvasAgg(figure)
        canvas.draw()
        return np.array(canvas.buffer_rgba())[..., :3]
    finally:
        figure.set_dpi(before)


def _text(flow: Flow, block: Text) -> None:
    """A file line by line in two columns, the indentation kept."""
    flow.paragraph(block.caption, BODY, bold=True)
    width, step = 0.5 * (flow.width - GAP_MM), line_height(SMALL)
    rows: list[tuple[float, str]] = []
    for line in block.text.splitlines():
        indent = len(line) - len(line.lstrip(" "))
        rows += [(float(indent), row) for row in wrapped(line, width - indent, SMALL) or [""]]
    while rows:
        flow.need(4.0 * step)
        fits = max(1, int((flow.top - flow.page.low) / step))
        high = min(fits, -(-len(rows) // 2))  # the last page's columns are as long as each other
        for column in (0, 1):
            here, rows = rows[:high], rows[high:]
            for k, (inset, row) in enumerate(here, start=1):
                x = flow.page.left + column * (width + GAP_MM) + inset
                if row:
                    flow.page.text(x, flow.top - k * step + 0.25 * step, row, SMALL)
        flow.top -= high * step
    flow.top -= 2.0
