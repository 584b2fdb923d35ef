"""The picture of the stand."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from paddlebar.pictures.stand import draw_stand


@dataclass(frozen=True)
class MadeUpPoint:
    rpm: float
    collective_deg: float

    thrust_n: float = 0.1
    torque_nm: float = 2e-3
    power_w: float = 0.2
    CT: float = 0.01
    CQ: float = 0.001
    figure_of_merit: float = 0.45
    coning_deg: float = 3.0


SPEEDS = [MadeUpPoint(rpm, 12.0, thrust_n=1e-7 * rpm**2) for rpm in (900.0, 500.0, 700.0)]


def test_speed_sweep_shows_its_numbers_in_order() -> None:
    axes = draw_stand(SPEEDS).axes
    (line,) = axes[0].lines
    assert np.asarray(line.get_xdata()).tolist() == [500.0, 700.0, 900.0]
    assert np.asarray(line.get_ydata()).tolist() == pytest.approx(
        [2.5493, 4.9966, 8.2597], rel=1e-4
    )  # mN as a scale reads them, over 9.80665
    assert [ax.get_xlabel() for ax in axes[2:]] == ["rotor speed [rpm]"] * 2
    assert all(ax.get_ylabel().endswith("]") for ax in axes)


def test_collective_sweep_is_found_out_and_lines_are_named() -> None:
    points = [MadeUpPoint(rpm, deg) for rpm in (600.0, 800.0) for deg in (4.0, 8.0, 12.0)]
    figure = draw_stand(points)
    assert figure.axes[2].get_xlabel() == "collective [deg]"
    legend = figure.axes[0].get_legend()
    assert legend is not None
    assert [text.get_text() for text in legend.get_texts()] == ["600 rpm", "800 rpm"]


def test_the_title_says_the_most_lift_in_grams() -> None:
    (title,) = [text.get_text() for text in draw_stand(SPEEDS).texts]
    assert "8.3 g of lift, at 900 rpm" in title


def test_wrong_calls_are_refused() -> None:
    with pytest.raises(ValueError, match="no points"):
        draw_stand([])
    with pytest.raises(ValueError, match="rpm, collective_deg"):
        draw_stand(SPEEDS, against="speed")
