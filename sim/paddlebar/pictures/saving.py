"""The one place where pictures become files."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from matplotlib.figure import Figure

from paddlebar.pictures.series import write_series
from paddlebar.pictures.style import alt_text


def save(figures: Mapping[str, Figure], folder: Path, *, dpi: float = 110, data: bool = False) -> list[Path]:
    """Write each figure as NAME.png with its sentence inside and, if asked, what it shows as NAME.csv.

    folder : existing;  data : the numbers as well
    Returns : paths in the order of the figures, each table after its picture
    Raises  : OSError from the disk
    """
    paths = []
    for name, figure in figures.items():
        path = folder / f"{name}.png"
        about = {"Title": name, "Description": alt_text(figure), "Software": "paddlebar"}
        figure.savefig(path, dpi=dpi, format="png", metadata=about, pil_kwargs={"compress_level": 4})
        paths.append(path)
        if data:
            paths.append(folder / f"{name}.csv")
            write_series(figure, paths[-1])
    return paths
