"""A map as a table of other libraries, in one line, and as a small drawing."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from paddlebar.flight.labelled import CONVENTIONS, optional
from paddlebar.units import udunits

if TYPE_CHECKING:
    import pandas as pd
    import xarray as xr

    from paddlebar.studies.map.study import Map

RATES: Final = {
    "growth": "growth of the fastest growing disturbance",
    "without": "the same with the bar disconnected",
}
WIDE: Final = 240  # px
HIGH: Final = 160
DIES, GROWS, NOTHING = "#4C86C6", "#D98C94", "#BBBBBB"


def to_xarray(found: Map) -> xr.Dataset:
    """See Map.to_xarray."""
    library = optional("xarray", "to_xarray()")
    across = (found.y_key, found.x_key)
    data: dict[str, Any] = {
        name: (across, getattr(found, name), {"units": "s-1", "long_name": words}) for name, words in RATES.items()
    }
    data["verdict"] = (across, found.verdict.astype(object), {"long_name": "verdict in words"})
    coords = {
        key: (key, values, {"units": udunits(key)}) for key, values in ((found.y_key, found.y), (found.x_key, found.x))
    }
    about = {
        "Conventions": CONVENTIONS, "by": found.by, "turns_left": found.turns_left, "design_growth": found.design_growth,
        "design_verdict": found.design_verdict, f"design {found.x_key}": found.design[0], f"design {found.y_key}": found.design[1],
    }  # fmt: skip
    made: xr.Dataset = library.Dataset(data, coords, about)
    return made


def to_pandas(found: Map) -> pd.DataFrame:
    """See Map.to_pandas."""
    library = optional("pandas", "to_pandas()")
    x, y = np.meshgrid(found.x, found.y)
    columns = {
        found.x_key: x,
        found.y_key: y,
        "growth": found.growth,
        "without": found.without,
        "verdict": found.verdict,
    }
    frame: pd.DataFrame = library.DataFrame({name: values.ravel() for name, values in columns.items()})
    return frame


def line(found: Map) -> str:
    """Keys, points, and what the design is."""
    size = f"{found.x.size} x {found.y.size}"
    return f"<Map of {found.x_key} and {found.y_key}: {size} points by {found.by}, the design {found.design_verdict}>"


def html(found: Map) -> str:
    """A cell a point: blue where disturbances die out, red where they grow, grey where nothing was found."""
    ny, nx = found.growth.shape
    cells = "".join(
        f"<rect x='{i * WIDE / nx:.1f}' y='{(ny - 1 - j) * HIGH / ny:.1f}' width='{WIDE / nx + 0.3:.1f}' "
        f"height='{HIGH / ny + 0.3:.1f}' fill='{_colour(found.growth[j, i])}'/>"
        for j in range(ny)
        for i in range(nx)
    )
    picture = f"<svg xmlns='http://www.w3.org/2000/svg' width='{WIDE}' height='{HIGH}' role='img' aria-label='map'>{cells}</svg>"
    ends = f"{found.x_key} {found.x[0]:g} to {found.x[-1]:g} across, {found.y_key} {found.y[0]:g} to {found.y[-1]:g} up"
    words = "blue: disturbances die out; red: they grow; grey: no steady flight found"
    return f"<div>{escape(line(found))}<br>{picture}<br>{escape(ends)}<br>{words}</div>"


def _colour(growth: float) -> str:
    return NOTHING if not np.isfinite(growth) else DIES if growth < 0.0 else GROWS
