"""Colours, dashes and label places of all pictures."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from paddlebar.flight.result import Event
from paddlebar.pictures import style


def test_no_two_lines_differ_by_colour_alone() -> None:
    looks = [(str(line["linestyle"]), line["linewidth"]) for line in style.LINES]
    assert len(set(looks)) == len(looks)
    assert len({line["color"] for line in style.LINES}) == len(style.LINES)


def test_reference_is_a_band_under_the_line() -> None:
    assert style.REFERENCE["linewidth"] > 2.5 * style.MAIN["linewidth"]


@given(st.lists(st.floats(0.0, 10.0), min_size=1, max_size=25), st.floats(0.0, 1.0))
def test_spread_keeps_order_gap_and_bounds(wanted: list[float], gap: float) -> None:
    places = style.spread(wanted, gap, 0.0, 10.0)
    gap = min(gap, 10.0 / max(len(wanted) - 1, 1))
    order = sorted(range(len(wanted)), key=lambda i: wanted[i])
    assert all(places[b] - places[a] >= gap - 1e-9 for a, b in zip(order, order[1:], strict=False))
    assert min(places) >= -1e-9
    assert max(places) <= 10.0 + 1e-9


def test_spread_leaves_what_has_room() -> None:
    assert style.spread([1.0, 5.0, 3.0], 0.5, 0.0, 10.0) == [1.0, 5.0, 3.0]


@given(st.lists(st.tuples(st.floats(0.0, 12.0), st.text("abc", min_size=1, max_size=15)), min_size=1, max_size=15))
def test_event_rows_never_collide(found: list[tuple[float, str]]) -> None:
    events = [Event(name, time, "") for time, name in found]
    rows, starts = style.event_rows(events, 0.0, 12.0, 6.0, 1.0)
    ends = [start + style._CHARACTER_IN * len(event.name) for start, event in zip(starts, events, strict=True)]
    for i in range(len(events)):
        assert ends[i] <= 7.0
        for j in range(i):
            if rows[i] == rows[j]:
                assert ends[i] <= starts[j] + 1e-9 or ends[j] <= starts[i] + 1e-9


def test_two_close_events_put_the_earlier_higher() -> None:
    rows, _ = style.event_rows([Event("first", 1.0, ""), Event("second", 1.1, "")], 0.0, 12.0, 6.0, 1.0)
    assert rows == [1, 0]


def test_sheets_are_white_and_carry_their_words() -> None:
    figure = style.sheet(3.0, title="A title", alt="A sentence.")
    assert style.alt_text(figure) == "A sentence."
    assert figure.get_facecolor() == pytest.approx((1.0, 1.0, 1.0, 1.0))
