"""Pictures of margins and map, from made-up data: titles state the finding, axes have units, labels keep clear of each other."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from matplotlib.figure import Figure

from paddlebar.pictures.map import axis_words, draw_map, regions
from paddlebar.pictures.margins import draw_averaged, draw_growth, draw_modes, draw_shapes, save_pictures, tracks
from paddlebar.pictures.saving import Look
from paddlebar.stability.modes import Mode
from paddlebar.stability.result import Margins, Other, RunDownPoint
from paddlebar.stability.textbook import Averages
from paddlebar.studies.map.study import Map, words

NAN = math.nan


def mode(name: str, rate: float, hertz: float) -> Mode:
    half, double = (-math.log(2.0) / rate, None) if rate < 0.0 else (None, math.log(2.0) / rate)
    body, bar, disc = np.array([1.0, 0.5j]), np.array([0.1, 0.05j]), np.array([0.6, 0.3j])
    return Mode(name, rate, hertz, double, half, 1e-4, {}, body, bar, disc)


OTHERS = (Other(-8.0, 0.1, -0.2), Other(-60.0, 0.0, 1.3))


def point(turns: float, rate: float) -> RunDownPoint:
    found = (mode("slow oscillation", rate, 0.2), mode("nutation", -1.0 - 0.001 * turns, 0.9), mode("tail", -80.0, 3.0))
    return RunDownPoint(turns, 3.0, rate, 3.0, 0.1, 380.0, 20.0, 0.3, 5.0, 1e-9, found, 18.0, 7.0, OTHERS)


MISSING = RunDownPoint(0.0, *([NAN] * 8), 0.2, (), NAN, NAN, ())
GOOD = Margins(
    verdict="stabilises", sentence="", caution="", motion=None, motion_without_bar=None, turns_at_verdict=200.0, worst_growth_per_s=-0.3, worst_growth_without_bar_per_s=3.0,
    error_per_s=1e-4, modes=point(200.0, -0.3).modes, modes_without_bar=(mode("nutation", 3.0, 0.3),), gain_margin=(0.5, 1.4),
    lead_margin_deg=(-12.0, 14.0), mass_margin_g=(None, 0.5), margin_reasons={"gain": ("", ""), "lead": ("", ""), "mass": ("same", "")},
    along_rundown=(*(point(t, -0.3) for t in (400.0, 300.0, 200.0, 100.0)), MISSING), worst_along_rundown_per_s=-0.3, turns_at_worst=400.0,
    wall_s=1.0,
)  # fmt: skip
BAD = replace(
    GOOD,
    along_rundown=tuple(point(t, 0.002 * t - 0.5) for t in (400.0, 300.0, 200.0, 100.0)),
    worst_along_rundown_per_s=0.3,
)


def titled(figure) -> str:
    return str(figure.texts[0].get_text())


def units(figure) -> bool:
    return all(label.endswith("]") or not label for ax in figure.axes for label in (ax.get_xlabel(), ax.get_ylabel()))


def test_modes_are_joined_along_the_run_down_and_fast_ones_left_out():
    joined = tracks(GOOD)
    assert sorted(len(track) for track in joined) == [4, 4]
    assert {track[0][1].name for track in joined} == {"slow oscillation", "nutation"}


def test_titles_state_the_finding_and_axes_have_units():
    assert "die out" in titled(draw_modes(GOOD))
    assert "+0.30 /s with 400 turns left" in titled(draw_modes(BAD))
    assert titled(draw_growth(GOOD)).startswith("Verdict: stabilises: growth -0.30 /s")
    assert "0.1 in slow oscillation" in titled(draw_shapes(GOOD))
    assert all(units(draw(GOOD)) for draw in (draw_modes, draw_growth, draw_shapes))


def test_other_steady_flights_and_the_flown_spin_are_drawn_beside():
    low = draw_growth(GOOD).axes[2]
    words = [text.get_text() for text in low.get_legend().get_texts()]
    assert words == ["this steady flight", "another, dies out", "another, grows", "flown, mean"]
    spins = {line.get_label(): list(line.get_ydata()) for line in low.lines}
    assert spins["another, dies out"] == [-8.0] * 4
    assert spins["flown, mean"][:4] == [18.0] * 4


def test_without_a_bar_none_is_drawn():
    bare = replace(GOOD, verdict="no help", margin_reasons={}, modes_without_bar=())
    assert titled(draw_growth(bare)).startswith("No bar")
    assert titled(draw_shapes(bare)).startswith("No bar")
    legend = draw_shapes(bare).legends[0]
    assert [text.get_text() for text in legend.get_texts()] == ["body", "disc"]


@pytest.mark.parametrize("found", [GOOD, BAD])
def test_numbers_of_the_lines_keep_clear_of_each_other(found):
    figure = draw_modes(found)
    figure.canvas.draw()
    boxes = [t.get_window_extent() for ax in figure.axes for t in ax.texts if t.get_text()]
    assert not any(a.overlaps(b) for k, a in enumerate(boxes) for b in boxes[k + 1 :])


def test_nothing_found_is_still_a_picture(tmp_path):
    empty = replace(GOOD, along_rundown=(MISSING,) * 3, modes=(), worst_growth_per_s=NAN, worst_along_rundown_per_s=NAN)
    assert [file.name for file in save_pictures(empty, tmp_path)] == ["growth.png"]


def test_the_average_says_both_numbers(tmp_path):
    compared = Averages(200.0, 2, np.array([-0.2 + 1j, -3.0]), np.array([0.4 + 1j, -2.0]))
    assert "average over a turn says +0.40 /s, the turning rotor -0.20" in titled(draw_averaged(compared))
    assert "gets the sign wrong" in compared.sentence
    assert units(draw_averaged(compared))
    names = [file.name for file in save_pictures(GOOD, tmp_path, Look(50), compared)]
    assert names == ["growth.png", "modes.png", "shapes.png", "averaged.png"]


def made_up(by: str = "floquet") -> Map:
    x, y = np.linspace(40.0, 160.0, 13), np.linspace(0.1, 1.0, 10)
    growth = 0.04 * (np.abs(x - 95.0) - 25.0)[None, :] + 0.1 * y[:, None]
    growth[0, 0] = NAN
    without = np.full_like(growth, 3.0)
    verdict = np.array([[words(g, w) for g, w in zip(*row, strict=True)] for row in zip(growth, without, strict=True)])
    if by == "flights":
        verdict = np.where(growth < 0.0, "held", "sways")
    return Map(
        "craft.bar.lead_deg",
        "craft.bar.tip_mass_g",
        x,
        y,
        growth,
        without,
        verdict,
        (100.0, 0.6),
        -0.7,
        "stabilises",
        by,
        200.0,
        1.0,
    )


@pytest.mark.parametrize("by", ["floquet", "flights"])
def test_the_map_names_its_regions_and_marks_the_design(by):
    found = made_up(by)
    figure = draw_map(found, "hall ten")
    ax = figure.axes[0]
    assert titled(figure).startswith("hall ten as designed: ")
    assert {name for name, _, _ in regions(found)} <= {text.get_text() for text in ax.texts}
    assert any(line.get_marker() == "*" and line.get_xydata().tolist() == [[100.0, 0.6]] for line in ax.lines)
    assert units(figure)


def test_fills_of_the_map_grow_paler_all_the_way_so_grey_print_keeps_their_order():
    from paddlebar.pictures.map import COLOURS

    rgb = COLOURS(np.linspace(0.0, 1.0, 64))[:, :3]
    lightness = rgb @ [0.2126, 0.7152, 0.0722]
    # at the turn of the colour the two neighbours differ by hue and by the thick line
    assert all(b > a - 0.08 for a, b in pairwise(lightness))
    assert lightness[-1] - lightness[0] > 0.6


@pytest.mark.parametrize("fill", [NAN, 1.0, -1.0, 0.0])
def test_a_map_of_one_kind_is_still_a_picture(fill):
    found = replace(
        made_up(), growth=np.full((10, 13), fill), verdict=np.full((10, 13), "x"), design=(NAN, 0.5), design_growth=NAN
    )
    assert draw_map(found).axes


@pytest.mark.parametrize(
    ("key", "says"),
    [
        ("craft.bar.lead_deg", "craft.bar.lead [deg]"),
        ("craft.bar.gain", "craft.bar.gain [1]"),
        ("skein.turns", "skein.turns [turns]"),
        ("air.wind_m_s", "air.wind [m/s]"),
    ],
)
def test_units_of_axes_are_words(key, says):
    assert axis_words(key) == says


def test_growth_in_axes_of_ones_own():
    figure = Figure()
    axes = figure.subplots(3, 1)
    assert draw_growth(GOOD, axes) is figure
    assert all(ax.has_data() for ax in axes)
    assert figure.texts == []
    with pytest.raises(ValueError, match="axes: this picture takes 3, found 1"):
        draw_growth(GOOD, axes[0])
