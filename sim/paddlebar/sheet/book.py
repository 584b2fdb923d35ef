"""The whole build sheet: drawings to scale, outlines to cut by, parts, pulleys, turns, and how to test it."""

from __future__ import annotations

from collections.abc import Sequence
from os import PathLike
from pathlib import Path
from typing import Final

from matplotlib.figure import Figure

from paddlebar.checks.findings import Finding
from paddlebar.errors import BadInput
from paddlebar.files.craft import Craft
from paddlebar.sheet.bar import bar_page
from paddlebar.sheet.blade import blade_pages
from paddlebar.sheet.cutlist import cut_pages
from paddlebar.sheet.head import head_page
from paddlebar.sheet.page import numbered, save_pdf
from paddlebar.sheet.tables import drive_pages, parts_pages
from paddlebar.sheet.testplan import plan_pages
from paddlebar.sheet.views import plan_view, side_view

PNG_DPI: Final = 200  # fine enough to print


def check_sheet(path: str | PathLike[str]) -> Path:
    """The path, or BadInput if no sheet can have such a name."""
    file = Path(path)
    if file.suffix.lower() not in (".pdf", ".png"):
        raise BadInput(f"build sheet: write a name that ends in .pdf or .png, found {str(file)!r}")
    if file.is_dir():
        raise BadInput(f"{file}: is a folder, a file was expected")
    return file


def draw_sheet(craft: Craft, findings: Sequence[Finding] = ()) -> list[Figure]:
    """All pages of the build sheet, A4, everything drawn to the scale that the page names.

    craft    : as loaded
    findings : of bench.check, those that are not fine stand before the test plan
    Returns  : page to build from, side view, plan, head, bar, outlines to cut by, parts list, pulleys and turns, test plan, table of flights
    """
    bar = bar_page(craft)
    return numbered(
        [
            *cut_pages(craft),
            side_view(craft),
            plan_view(craft),
            head_page(craft),
            *([bar] if bar is not None else []),
            *blade_pages(craft),
            *parts_pages(craft),
            *drive_pages(craft),
            *plan_pages(craft, findings),
        ]
    )


def build_sheet(craft: Craft, path: str | PathLike[str], findings: Sequence[Finding] = ()) -> list[Path]:
    """Write the build sheet of a craft: drawings to scale, outlines to cut by, parts, pulleys, turns, test plan, on A4.

    craft    : from load_craft
    path     : NAME.pdf, one file; or NAME.png, a picture a page, NAME-1.png and so on; in an existing folder, overwritten
    findings : check(craft).findings: those that are not fine then stand before the test plan
    Returns  : paths of what was written; the same craft gives the same bytes
    Raises   : BadInput for a name that ends otherwise; OSError where it cannot be written
    """
    return save_sheet(craft, check_sheet(path), findings)


def save_sheet(craft: Craft, path: Path, findings: Sequence[Finding] = (), *, dpi: int = PNG_DPI) -> list[Path]:
    """As build_sheet, its path checked; dpi : of pictures [dots an inch]."""
    figures = draw_sheet(craft, findings)
    if path.suffix.lower() != ".png":
        save_pdf(figures, path, f"Build sheet of {craft.name}")
        return [path]
    files = [path.with_name(f"{path.stem}-{number}{path.suffix}") for number in range(1, len(figures) + 1)]
    for file, figure in zip(files, figures, strict=True):
        figure.savefig(file, dpi=dpi)
    return files
