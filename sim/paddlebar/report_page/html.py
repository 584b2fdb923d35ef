"""The report for a browser: one file that asks nothing of any network and runs no script."""

from __future__ import annotations

import base64
import hashlib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from io import BytesIO
from typing import Final

from jinja2 import Environment, StrictUndefined, Template
from matplotlib import rc_context
from matplotlib.figure import Figure

from paddlebar.pictures.style import alt_text
from paddlebar.report_page.document import Document, Picture

PIXELS_IN: Final = 96  # a browser's
HEAVY: Final = 300_000  # bytes of a drawing above which its picture in dots is lighter
DPI: Final = 160  # of that


@dataclass(frozen=True)
class Embedded:
    """A picture inside the page: data address, size in a browser's pixels, the sentence that stands for it."""

    source: str
    width: int
    height: int
    alt: str


def html(document: Document) -> str:
    """The whole page. Everything that came out of a file is escaped by the template engine.

    Returns : HTML; the same document gives the same text
    """
    style = _part("style.css")  # our own; the page's policy knows it by its hash
    pictures = {
        block.name: embedded(block.figure)
        for section in document.sections
        for block in section.blocks
        if isinstance(block, Picture)
    }
    digest = base64.b64encode(hashlib.sha256(style.encode("utf-8")).digest()).decode("ascii")
    return _template().render(document=document, pictures=pictures, style=style, style_hash=digest)


def embedded(figure: Figure) -> Embedded:
    """A figure as lines where they are light, as dots where a long flight makes them heavy; without the hour of making."""
    image, kind = _lines(figure), "svg+xml"
    if len(image) > HEAVY:
        dots = BytesIO()
        figure.savefig(dots, format="png", dpi=DPI, metadata={"Software": None})
        if len(dots.getvalue()) < len(image):
            image, kind = dots.getvalue(), "png"
    width, height = (round(PIXELS_IN * float(inch)) for inch in figure.get_size_inches())
    source = f"data:image/{kind};base64,{base64.b64encode(image).decode('ascii')}"
    return Embedded(source, width, height, alt_text(figure))


def _lines(figure: Figure) -> bytes:
    out = BytesIO()
    # letters as outlines: they then stand in every browser where they were placed
    with rc_context({"svg.fonttype": "path", "svg.hashsalt": "paddlebar"}):
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    return out.getvalue()


@cache
def _template() -> Template:
    room = Environment(autoescape=True, undefined=StrictUndefined)
    return room.from_string(_part("report.html"))


def _part(name: str) -> str:
    return (files("paddlebar.report_page") / "page" / name).read_text(encoding="utf-8")
