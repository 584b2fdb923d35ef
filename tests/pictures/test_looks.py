"""The same pictures as svg or pdf, for a dark page, in axes of one's own; lines that stay apart; a room that dwarfs the path."""

from __future__ import annotations

import matplotlib as mpl
import pytest
from matplotlib.colors import to_hex, to_rgb
from matplotlib.figure import Figure

import paddlebar
from paddlebar.pictures import style
from paddlebar.pictures.dark import PAPER, dark
from paddlebar.pictures.saving import Look, save


@pytest.mark.parametrize(("kind", "begins"), [("png", b"\x89PNG"), ("svg", b"<?xml"), ("pdf", b"%PDF")])
def test_the_same_picture_is_the_same_file_of_any_kind(flight, tmp_path, kind, begins):
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        (path,) = save({"height": paddlebar.draw_height(flight)}, tmp_path / name, Look(kind=kind, dpi=40))
        assert path.name == f"height.{kind}"
        assert path.read_bytes().startswith(begins)
    assert path.read_bytes() == (tmp_path / "a" / path.name).read_bytes()


def contrast(one: str, other: str) -> float:
    """Of two colours as WCAG 2.1 reckons it (relative luminance, from memory): 1 none, 21 black on white."""

    def light(colour: str) -> float:
        parts = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
        return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]

    high, low = sorted((light(one), light(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize(
    "draw", [paddlebar.draw_height, paddlebar.draw_yaw, paddlebar.draw_plan, paddlebar.draw_ledger]
)
def test_on_a_dark_page_words_and_lines_are_read(flight, draw):
    figure = dark(draw(flight))
    assert to_hex(figure.get_facecolor()) == PAPER.lower()
    for ax in figure.axes:
        words = [ax.xaxis.label, ax.yaxis.label, *ax.texts, *ax.get_xticklabels()]
        words += ax.get_legend().get_texts() if ax.get_legend() else []
        assert min(contrast(to_hex(each.get_color()), PAPER) for each in words) > 7.0
        thick = [line for line in ax.lines if line.get_linewidth() > 1.0 and line.get_transform() == ax.transData]
        assert all(contrast(to_hex(line.get_color()), PAPER) > 3.0 for line in thick)


def test_a_callers_dark_style_does_not_reach_our_figures(flight):
    plain = paddlebar.draw_yaw(flight).axes[2]
    with mpl.rc_context({"axes.facecolor": "black", "text.color": "white", "legend.facecolor": "black"}):
        styled = paddlebar.draw_yaw(flight).axes[2]
    assert styled.get_facecolor() == plain.get_facecolor()
    assert to_hex(styled.get_legend().get_texts()[0].get_color()) == style.INK


@pytest.mark.parametrize(
    ("draw", "panels"), [(paddlebar.draw_height, 4), (paddlebar.draw_yaw, 3), (paddlebar.draw_plan, 1)]
)
def test_in_axes_of_ones_own(flight, draw, panels):
    """As many as the picture has panels; the caller's figure comes back, without a title of ours."""
    figure = Figure()
    axes = figure.subplots(1, panels + 1)
    assert draw(flight, axes[0] if panels == 1 else axes[:panels]) is figure
    assert all(ax.has_data() for ax in axes[:panels])
    assert not axes[panels].has_data()
    assert figure.texts == []
    with pytest.raises(ValueError, match=f"axes: this picture takes {panels}, found {panels + 1}"):
        draw(flight, axes)


def test_in_dark_axes_it_is_drawn_in_light_colours(flight):
    figure = Figure()
    axes = figure.subplots(4, 1, subplot_kw={"facecolor": "black"})
    paddlebar.draw_height(flight, axes)
    assert contrast(to_hex(axes[0].lines[-1].get_color()), "black") > 3.0
    assert contrast(to_hex(axes[0].yaxis.label.get_color()), "black") > 7.0


def test_thirty_six_lines_differ():
    looks = {(look["color"], str(look["linestyle"]), look["linewidth"]) for look in map(style.line, range(36))}
    assert len(looks) == 36
    assert [style.line(k) for k in range(len(style.LINES))] == list(style.LINES)
