"""Pictures of a rank, from made-up data: titles state the finding, longest bars on top, names keep clear of each other."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg

from paddlebar.pictures.rank import SHOWN, draw_shares, draw_tornado, save_pictures
from paddlebar.pictures.saving import Look
from paddlebar.pictures.style import alt_text
from paddlebar.studies.axes import Axis
from paddlebar.studies.rank.indices import indices
from paddlebar.studies.rank.outcomes import NAMES
from paddlebar.studies.rank.slopes import slopes
from paddlebar.studies.rank.study import Rank, advise
from paddlebar.studies.rank.survey import Survey, rows

KEYS = tuple(f"craft.part.a part with a long name {k}.mass_g" for k in range(12))
WEIGHTS = np.array([1.0, -2.0, 0.5, 8.0, 0.1, 0.2, -0.3, 0.4, 0.05, 0.06, 0.07, 0.0])

PLACES = [
    NAMES.index(name)
    for name in ("duration_s", "peak_height_m", "spin_deg_s", "mean_spin_deg_s", "growth_per_s", "stick_margin")
]


def made_up(samples: int = 32) -> Rank:
    """Straight lines in twelve numbers; growth crosses zero, the fourth number upsets the craft."""
    axes = [Axis(key, np.array([0.9, 1.1]), False, 1.0) for key in KEYS]
    scale, middle = np.ones(len(NAMES)), np.ones(len(NAMES))
    scale[PLACES], middle[PLACES] = [1.0, 0.1, -5.0, 5.0, 0.04, np.nan], [1, 0.1, 0, 1, -0.005, np.nan]
    values = {
        i: 20.0 * middle + scale * (WEIGHTS @ (np.array(x) - 1.0)) * 10.0 for i, x in rows(axes, samples, 1).items()
    }
    out = np.array(list(values.values()))
    d, s = len(KEYS), len(NAMES)
    pair, blocks = out[1 : 1 + 2 * d].reshape(d, 2, s), out[1 + 2 * d :].reshape(samples, d + 2, s).transpose(1, 2, 0)
    codes = np.zeros(d, dtype=np.int64)
    survey = Survey(
        out[0],
        pair[:, 0],
        pair[:, 1],
        blocks[0],
        blocks[1],
        blocks[2:],
        0,
        codes,
        codes,
        np.zeros((2, samples), dtype=np.int64),
        np.full((d, 2), 0.1),
    )
    found = indices(survey, 1)
    ends = ["landed"] * d
    tipped = [*ends[:3], "tipped over", *ends[4:]]
    return Rank(
        KEYS, np.ones(d), np.full(d, 0.1), NAMES, survey.built, survey.low, survey.high, "landed", tuple(ends), tuple(tipped), slopes(survey), found,
        {"landed": 2 * samples}, 0, tuple(advise(survey, found, [(a.key, a.values) for a in axes])), samples, 1, len(out), len(out), 1.0,
    )  # fmt: skip


@pytest.fixture(scope="module")
def found() -> Rank:
    return made_up()


def names(ax) -> list[str]:
    return [label.get_text() for label in ax.get_yticklabels()]


def test_longest_bars_are_on_top_and_the_least_left_out(found):
    figure = draw_tornado(found, "made up")
    ax = figure.axes[0]
    assert len(names(ax)) == SHOWN
    assert [words.split(".mass")[0][-1] for words in names(ax)[:4]] == ["3", "1", "0", "2"]
    assert ax.get_ylim()[0] > ax.get_ylim()[1]  # the first row is the upper one
    assert (
        "1.mass to 0.9 g adds most time in the air, 2.0 s" in figure.texts[0].get_text()
    )  # the fourth adds more, but it is unstable then
    assert figure.texts[0].get_text() in alt_text(figure)


def test_a_flight_that_ends_otherwise_is_hatched(found):
    hatched = [bar.get_hatch() for bar in draw_tornado(found).axes[0].patches]
    assert hatched.count(None) == len(hatched) - 1
    same = replace(found, high_ending=("landed",) * len(KEYS))
    assert all(bar.get_hatch() is None for bar in draw_tornado(same).axes[0].patches)
    assert len(draw_tornado(found).legends[0].get_texts()) == len(draw_tornado(same).legends[0].get_texts()) + 1


@pytest.mark.parametrize("draw", [draw_tornado, draw_shares])
def test_words_keep_clear_and_stay_on_the_sheet(found, draw):
    figure = draw(found, "made up")
    FigureCanvasAgg(figure).draw()
    sheet = figure.bbox
    boxes = [
        t.get_window_extent()
        for ax in figure.axes
        for t in (*ax.get_yticklabels(), ax._left_title, ax.title)
        if t.get_text()
    ]
    for ax in figure.axes:  # ticks beyond the ends are there, but not drawn
        low, high = ax.get_xlim()
        boxes += [
            t.get_window_extent() for t in ax.get_xticklabels() if t.get_text() and low <= t.get_position()[0] <= high
        ]
    boxes += [t.get_window_extent() for t in (*figure.texts, *figure.legends[0].get_texts())]
    assert all(b.x0 >= sheet.x0 and b.x1 <= sheet.x1 and b.y0 >= sheet.y0 and b.y1 <= sheet.y1 for b in boxes)
    assert [(a, b) for a, b in combinations(boxes, 2) if a.overlaps(b)] == []


def test_shares_say_whether_they_converged(found):
    figure = draw_shares(found, "made up")
    assert ("NOT converged" in figure.axes[0].get_title()) == (not found.indices.converged[0])
    assert ("alone sum to" in figure.axes[0].get_title()) == found.indices.converged[0]
    assert figure.axes[PLACES[-1]].get_title() == "stick bears: no indices"
    assert figure.axes[PLACES[-1]].lines[1:] == [] or len(figure.axes[PLACES[-1]].lines) == 1
    assert "spreads the time in the air most (32 samples" in figure.texts[0].get_text()


def test_files(found, tmp_path):
    assert [path.name for path in save_pictures(found, tmp_path, look=Look(dpi=30))] == ["tornado.png", "shares.png"]
    assert [path.name for path in save_pictures(replace(found, samples=0), tmp_path, look=Look(dpi=30))] == [
        "tornado.png"
    ]
