"""A flight shown in one line, and as a small table with a picture where a notebook shows its last value."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.errors import BadInput
from paddlebar.flight.figures import SUMMARY

if TYPE_CHECKING:
    from paddlebar.flight.result import FlightData

Array = NDArray[np.float64]

POINTS: Final = 300  # of a curve as wide as a thumb
WIDE, HIGH, GAP = 280, 56, 16  # px, of a panel
LINE: Final = "#3B7DB8"  # seen on white paper and on a dark screen
SHOWN: Final = ("duration_s", "controlled_s", "peak_height_m", "drift_m", "max_tilt_deg", "turns_left", "energy_error")


def title_of(flight: FlightData) -> str:
    """What the flight is called; "" where its description cannot be read by this version of the program."""
    try:
        return flight.scenario.title or flight.scenario.craft.name
    except BadInput:
        return ""


def line(flight: FlightData) -> str:
    """Kind, title, outcome, how long, how many samples."""
    span = float(flight.time[-1] - flight.time[0])
    return f"<{type(flight).__name__} {title_of(flight)!r}: {flight.outcome}, {span:.2f} s, {flight.time.size} samples>"


def html(flight: FlightData) -> str:
    """Title, how it ended, the main figures, and height and tilt against time as a small drawing."""
    rows = "".join(
        f"<tr><td>{escape(each.words)}</td><td style='text-align:right'>{value:{each.form}} {escape(each.unit)}</td></tr>"
        for each in SUMMARY
        if each.name in SHOWN and isinstance(value := flight.summary.get(each.name), int | float)
    )
    curves = (("height [m]", flight.height), ("tilt [deg]", np.degrees(flight.tilt)))
    return (
        f"<div><b>{escape(title_of(flight))}</b>: {escape(flight.outcome)}<br>{escape(flight.sentence)}"
        f"<div style='display:flex;gap:1.5em;align-items:center'><table>{rows}</table>{drawing(flight.time, curves)}</div></div>"
    )


def drawing(x: Array, curves: tuple[tuple[str, Array], ...]) -> str:
    """Curves above each other against one x, as SVG; each with its name and its ends."""
    high = len(curves) * (HIGH + GAP)
    parts = [
        f"<svg xmlns='http://www.w3.org/2000/svg' width='{WIDE + 60}' height='{high}' role='img' "
        f"aria-label='{escape(', '.join(name for name, _ in curves))}' font-size='11' fill='currentColor'>"
    ]
    for row, (name, values) in enumerate(curves):
        top = row * (HIGH + GAP) + GAP
        parts.append(f"<text x='0' y='{top - 4}'>{escape(name)}</text>")
        parts.append(f"<path d='M0 {top + HIGH}H{WIDE}' stroke='currentColor' stroke-opacity='.4' fill='none'/>")
        fine = np.isfinite(x) & np.isfinite(values)
        if fine.sum() < 2:
            continue
        parts.append(_curve(x[fine], values[fine], top))
    return "".join([*parts, "</svg>"])


def _curve(x: Array, values: Array, top: int) -> str:
    kept = np.unique(np.linspace(0, x.size - 1, min(x.size, POINTS)).astype(int))
    low, high = min(float(values.min()), 0.0), float(values.max())
    across = (x[kept] - x[0]) / max(float(np.ptp(x)), 1e-12) * WIDE
    down = top + HIGH - (values[kept] - low) / max(high - low, 1e-12) * HIGH
    points = " ".join(f"{a:.1f},{b:.1f}" for a, b in zip(across, down, strict=True))
    said = f"<text x='{WIDE + 4}' y='{top + 8}'>{high:.3g}</text><text x='{WIDE + 4}' y='{top + HIGH}'>{low:.3g}</text>"
    return f"<polyline points='{points}' fill='none' stroke='{LINE}' stroke-width='1.5'/>{said}"


def table(rows: dict[str, Any]) -> str:
    """Words and values, two columns."""
    return "".join(f"<tr><td>{escape(words)}</td><td>{escape(str(value))}</td></tr>" for words, value in rows.items())
