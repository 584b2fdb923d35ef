"""The one place where pictures become files."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from matplotlib import rc_context
from matplotlib.figure import Figure

from paddlebar.pictures.dark import dark
from paddlebar.pictures.series import write_series
from paddlebar.pictures.style import alt_text

KINDS: Final = ("png", "svg", "pdf")


@dataclass(frozen=True)
class Look:
    """How pictures are written.

    dpi : dots an inch, of png;  kind : of KINDS;  dark : for a dark page
    """

    dpi: float = 110.0
    kind: str = "png"
    dark: bool = False


def save(figures: Mapping[str, Figure], folder: Path, look: Look | None = None, *, data: bool = False) -> list[Path]:
    """Write each figure as NAME.png, or as another kind, with its sentence inside and, if asked, what it shows as NAME.csv.

    folder : existing;  look : None: png for white paper;  data : the numbers as well
    Returns : paths in the order of the figures, each table after its picture
    Raises  : OSError from the disk
    """
    look = look or Look()
    paths = []
    for name, figure in figures.items():
        path = folder / f"{name}.{look.kind}"
        table = folder / f"{name}.csv"
        if data:
            write_series(figure, table)
        if look.dark:
            dark(figure)
        with rc_context({"svg.hashsalt": "paddlebar"}):  # names inside an svg by what it shows, not by chance
            figure.savefig(path, dpi=look.dpi, format=look.kind, **_inside(look.kind, name, alt_text(figure)))
        paths += [path, table] if data else [path]
    return paths


def _inside(kind: str, name: str, sentence: str) -> dict[str, Any]:
    """What a file says of itself, in the words of its kind; no date, so that the same picture is the same file."""
    if kind == "png":
        about = {"Title": name, "Description": sentence, "Software": "paddlebar"}
        return {"metadata": about, "pil_kwargs": {"compress_level": 4}}
    if kind == "svg":
        return {"metadata": {"Title": name, "Description": sentence, "Creator": "paddlebar", "Date": None}}
    return {"metadata": {"Title": name, "Subject": sentence, "Creator": "paddlebar", "CreationDate": None}}
