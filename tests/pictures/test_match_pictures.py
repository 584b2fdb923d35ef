"""Pictures of a match and of a skein on a torque meter: what stands in them is what was found, and nothing lies over another."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from paddlebar import load_scenario, skein_test
from paddlebar.pictures.match import MOST_OFF, draw_match
from paddlebar.pictures.skein import draw_skein
from paddlebar.pictures.style import alt_text
from paddlebar.studies.match.study import Compared, Match
from paddlebar.studies.match.unknowns import Unknown

SCENARIOS = Path(__file__).parents[2] / "scenarios"


def made_up(readings: int = 12) -> Match:
    unknowns = (
        Unknown("craft.skein.energy_kJ_kg", 6.0, 1.25, 1.0, 11.0),
        Unknown("craft.part.a very long name of a vane.drag_coefficient", 1.2, 0.3, 0.0, 3.0),
    )
    rows = tuple(
        Compared(k, f"a flight with a long name {k}", "duration_s", 30.0, 1.0, 30.0 + 3.0 * k, 30.0 - 0.1 * k, 1.0) for k in range(readings)
    )  # fmt: skip
    lost = replace(rows[-1], after=float("nan"))
    return Match(
        unknowns=unknowns, values=np.array([6.5, 1.1]), sds=np.array([0.2, 0.29]), low=np.array([6.2, 0.6]), high=np.array([6.8, 1.6]),
        at_limit=np.array([False, False]), correlation=np.eye(2), readings=(*rows[:-1], lost), endings=(), chi2=10.0, degrees=readings,
        p=0.6, directions=(), further=(), remarks=(), converged=True, points=40, wall_s=1.0,
    )  # fmt: skip


def overlaps(figure) -> list[tuple[str, str]]:
    """Texts that lie over each other or leave the sheet."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    texts = [t for ax in figure.axes for t in (*ax.texts, ax.xaxis.label, ax.yaxis.label)]
    for ax in figure.axes:  # ticks beyond the ends are kept by the library, but not drawn
        for labels, places, ends in (
            (ax.get_xticklabels(), ax.get_xticks(), ax.get_xlim()),
            (ax.get_yticklabels(), ax.get_yticks(), ax.get_ylim()),
        ):
            texts += [t for t, x in zip(labels, places, strict=True) if ends[0] <= x <= ends[1]]
    texts += [t for ax in figure.axes if ax.get_legend() for t in ax.get_legend().get_texts()]
    texts = [t for t in (*texts, *figure.texts) if t.get_text() and t.get_visible()]
    boxes = [(t.get_text(), t.get_window_extent()) for t in texts]
    found = [(a, b) for i, (a, one) in enumerate(boxes) for b, other in boxes[:i] if one.overlaps(other)]
    width, height = canvas.get_width_height()
    return found + [
        (a, "the edge") for a, box in boxes if box.x0 < 0 or box.y0 < 0 or box.x1 > width or box.y1 > height
    ]


@pytest.mark.parametrize("readings", [1, 3, 12, 40])
def test_nothing_lies_over_another(readings):
    assert overlaps(draw_match(made_up(readings), "hall ten")) == []


def test_each_reading_stands_where_it_is_off():
    left, right = draw_match(made_up()).axes
    fitted = [line for line in left.lines if line.get_marker() == "D" and len(line.get_xdata())]
    assert [float(line.get_xdata()[0]) for line in fitted] == pytest.approx(
        [-0.1 * k for k in range(11)]
    )  # the twelfth has none
    arrows = [line for line in left.lines if line.get_marker() == ">"]
    assert len(arrows) == 9  # 9 errors off and more
    assert all(line.get_xdata()[0] == MOST_OFF for line in arrows)
    marks = [line for line in right.lines if line.get_marker() == "D" and len(line.get_xdata())]
    assert [float(line.get_xdata()[0]) for line in marks] == pytest.approx([0.4, -1.0 / 3.0])


def test_the_alternative_text_says_the_verdict():
    assert "the model fits the record" in alt_text(draw_match(made_up()))
    assert "does not fit" in alt_text(draw_match(replace(made_up(), p=0.001)))


def test_a_match_without_readings_is_refused():
    with pytest.raises(ValueError, match="no reading"):
        draw_match(replace(made_up(), readings=()))


def test_the_loop_of_the_shipped_bench_test():
    test = skein_test(load_scenario(SCENARIOS / "hall-record.toml").craft, SCENARIOS / "hall-skein-bench.csv")
    figure = draw_skein(test, "hall ten")
    assert overlaps(figure) == []
    (ax,) = figure.axes
    assert ax.get_ylabel() == "torque [mN m]"
    rows = [line for line in ax.lines if line.get_marker() in ("o", "s")]
    assert [line.get_xydata().tolist() for line in rows] == [
        [list(r) for r in test.record.winding],
        [list(r) for r in test.record.unwinding],
    ]
    assert f"{test.energy_in_j:.3g} J wound in" in alt_text(figure)
    relative = replace(test, record=replace(test.record, relative=True))
    assert draw_skein(relative).axes[0].get_ylabel() == "torque [units of the meter]"
