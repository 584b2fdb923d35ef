"""The state table holds together: no gaps, every row explained, constants where the table says."""

from __future__ import annotations

import dataclasses

import pytest

from paddlebar.flight import layout
from paddlebar.flight.result import FlightData

LEDGER_ROWS = {row.name for row in layout.LAYOUT if row.unit == "J"}


@pytest.mark.parametrize("nf", [0, 1, 2, 6])
def test_rows_follow_each_other_without_gap(nf: int) -> None:
    places = list(layout.slices(nf).values())
    assert places[0].start == 0
    assert all(a.stop == b.start for a, b in zip(places, places[1:], strict=False))
    assert places[-1].stop == layout.state_size(nf) == len(layout.scales(nf)) == len(layout.bounded(nf))


@pytest.mark.parametrize("nf", [0, 2])
@pytest.mark.parametrize("row", layout.LAYOUT, ids=lambda row: row.name)
def test_constants_stand_where_the_table_says(row: layout.Row, nf: int) -> None:
    if row.name != "flap_rate":  # its start depends on the head
        assert getattr(layout, row.name.upper()) == layout.slices(nf)[row.name].start


def test_order_that_the_equations_rely_on() -> None:
    assert (layout.POSITION, layout.ATTITUDE, layout.VELOCITY_BODY, layout.RATE_BODY) == (0, 3, 7, 10)
    assert layout.FLAP == 32
    assert layout.slices(2)["flap_rate"] == slice(layout.FLAP + 2, layout.FLAP + 4)


def test_only_unbounded_coordinates_escape_the_relative_tolerance() -> None:
    free = {row.name for row in layout.LAYOUT if not row.relative}
    assert free == {"position", "rotor_azimuth", "tail_angle"} | LEDGER_ROWS


@pytest.mark.parametrize("row", layout.LAYOUT + layout.DERIVED, ids=lambda row: row.name)
def test_every_row_is_explained(row: layout.Row) -> None:
    assert row.unit
    assert row.long_name
    assert row.scale > 0.0
    assert bool(row.along) == (row.size != 1)


def test_a_flight_carries_every_row() -> None:
    fields = {field.name for field in dataclasses.fields(FlightData)}
    rows = {row.name for row in layout.LAYOUT + layout.DERIVED} - LEDGER_ROWS
    assert rows <= fields  # the rows in J are the ledger of the flight
    assert fields - rows == {"time", "ledger", "events", "outcome", "sentence", "complete", "summary", "solver"}


def test_a_state_can_be_named() -> None:
    assert layout.name_of(layout.BAR_RATE, 1).name == "bar_rate"
    assert layout.name_of(layout.state_size(2) - 1, 2).name == "flap_rate"
    with pytest.raises(IndexError):
        layout.name_of(layout.state_size(1), 1)
