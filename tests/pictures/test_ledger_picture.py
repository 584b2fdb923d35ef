"""The areas of the energy picture add up to what the skein let out."""

from __future__ import annotations

import dataclasses

import numpy as np
from matplotlib.collections import PolyCollection
from matplotlib.colors import to_rgb

from paddlebar.flight.result import Flight
from paddlebar.pictures.ledger import AREAS, COLOURS, WORDS, draw_ledger


def test_areas_add_up_to_the_energy_let_out(flight: Flight) -> None:
    (ax,) = draw_ledger(flight).axes
    t, signed = flight.time, 0.0
    for area in ax.collections:
        assert isinstance(area, PolyCollection)
        x, y = np.asarray(area.get_paths()[0].vertices).T
        size = 0.5 * abs(float(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1])))  # of the polygon
        signed += size if y.max() > 1e-12 else -size
    residual = np.trapezoid(flight.ledger["residual"], t)
    assert abs(signed + float(residual) - float(np.trapezoid(flight.ledger["skein"], t))) < 1e-6 * signed


def test_the_title_states_the_residual_in_per_cent(flight: Flight) -> None:
    (title,) = [text.get_text() for text in draw_ledger(flight).texts]
    assert "5.51 J" in title
    assert "0.03 %" in title
    nothing = {name: np.zeros_like(values) for name, values in flight.ledger.items()}
    (title,) = [text.get_text() for text in draw_ledger(dataclasses.replace(flight, ledger=nothing)).texts]
    assert "nothing to close" in title


def test_labels_never_lie_over_each_other(flight: Flight) -> None:
    figure = draw_ledger(flight)
    figure.canvas.draw()
    boxes = [text.get_window_extent() for text in figure.axes[0].texts]
    assert len(boxes) > 5
    assert not any(a.overlaps(b) for i, a in enumerate(boxes) for b in boxes[i + 1 :])
    assert all(box.x1 <= figure.bbox.x1 for box in boxes)


def lightness(colour: str) -> float:
    """CIE L* of an sRGB colour, what a grey print keeps of it (IEC 61966-2-1 and CIE 1976; from memory)."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    y = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    return 116.0 * y ** (1 / 3) - 16.0 if y > 0.008856 else 903.3 * y


def test_areas_that_touch_differ_in_lightness() -> None:
    """As they are, and with one row more of either kind."""
    stores = [AREAS[name] for name in ("potential", "kinetic", "hinge springs")]
    more = [*stores, *COLOURS["air"], *COLOURS["lost"], AREAS["parts lost"]]
    for colours in (list(AREAS.values()), more):
        values = [lightness(colour) for colour in colours]
        assert min(abs(a - b) for a, b in zip(values, values[1:], strict=False)) > 14.0
        assert len(set(colours)) == len(colours)
    assert len(more) == len(AREAS) + 2


def test_every_entry_of_the_ledger_has_a_colour_and_words(flight: Flight) -> None:
    assert set(AREAS) == set(WORDS) == set(flight.ledger) - {"skein", "residual"}
