"""Help to look at printed pages: what stands on them, and whether words lie over one another."""

from __future__ import annotations

import io
import re
import zlib
from functools import cache
from pathlib import Path

from matplotlib.backends.backend_pdf import PdfFile, RendererPdf
from matplotlib.figure import Figure

Box = tuple[float, float, float, float]


@cache
def words(figure: Figure) -> list[tuple[str, Box]]:
    """Every word on a page and the box that its letters take in the PDF [points]."""
    figure.set_dpi(72)
    width, height = figure.get_size_inches()
    renderer = RendererPdf(PdfFile(io.BytesIO()), 72, height, width)  # as printed: letters not fitted to any dots
    found = []
    for text in figure.axes[0].texts:
        if text.get_text().strip():
            text.set_bbox(None)  # its white ground may touch a neighbour's, its letters may not
            box = text.get_window_extent(renderer)
            found.append((text.get_text(), (box.x0, box.y0, box.x1, box.y1)))
    return found


def overlaps(figure: Figure) -> list[tuple[str, str]]:
    """Pairs of words that lie over one another."""
    every = words(figure)
    return [
        (a, b)
        for n, (a, (ax0, ay0, ax1, ay1)) in enumerate(every)
        for b, (bx0, by0, bx1, by1) in every[:n]
        if ax0 < bx1 and bx0 < ax1 and ay0 < by1 and by0 < ay1
    ]


def outside(figure: Figure, border_mm: float = 8.0) -> list[str]:
    """Words that reach over the frame of the page."""
    edge = border_mm / 25.4 * 72.0
    width, height = (72.0 * side for side in figure.get_size_inches())
    return [
        text
        for text, (x0, y0, x1, y1) in words(figure)
        if x0 < edge or y0 < edge or x1 > width - edge or y1 > height - edge
    ]


def pdf_streams(path: Path) -> list[str]:
    """Contents of a PDF's pages, unpacked: what the printer is told, in points."""
    data = path.read_bytes()
    found = []
    for packed in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", data, re.DOTALL):
        try:
            text = " ".join(zlib.decompress(packed).decode("latin-1").split())
        except zlib.error:
            continue
        if " m " in text and " BT " in text:
            found.append(text)
    return found


def pdf_rectangles(stream: str) -> list[tuple[float, float, float, float]]:
    """Rectangles drawn as four lines: left, low, width, height [points]."""
    number = r"(-?[\d.]+)"
    start, corner = rf"{number} {number} m ", rf"{number} {number} l "
    found = []
    for each in re.finditer(rf"{start}{corner}{corner}{corner}(?:{corner})?h ", stream):
        x, y = ([float(v) for v in each.groups()[k:8:2]] for k in (0, 1))
        found.append((min(x), min(y), max(x) - min(x), max(y) - min(y)))
    return found


def pdf_lines(stream: str) -> list[list[tuple[float, float]]]:
    """Lines drawn from point to point [points]."""
    found = re.findall(r"((?:-?[\d.]+ -?[\d.]+ [ml] )+)S", stream)
    return [[(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+) [ml]", line)] for line in found]
