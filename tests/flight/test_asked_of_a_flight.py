"""What a flight is asked for: leans, planes, means, moments between samples, tables of other libraries, one line."""

from __future__ import annotations

import dataclasses
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from factories import made_up_flight
from paddlebar.errors import BadInput
from paddlebar.flight.labelled import RECORDED
from paddlebar.flight.result import Flight


@pytest.fixture(scope="module")
def flight() -> Flight:
    return made_up_flight(duration=2.0)


def leaning(flight: Flight, degrees: float, toward: float) -> Flight:
    """Turned as a whole: upright, nose to the east, then tipped over by so much toward a place, both [deg]."""
    half, way, quarter = np.radians(degrees) / 2.0, np.radians(toward), np.pi / 4.0
    tip = np.array([np.cos(half), np.sin(half) * -np.sin(way), np.sin(half) * np.cos(way), 0.0]) * [
        1.0,
        -1.0,
        -1.0,
        1.0,
    ]
    w, x, y, z = tip
    a, d = np.cos(quarter), np.sin(quarter)
    attitude = np.array([w * a - z * d, x * a + y * d, y * a - x * d, z * a + w * d])  # tip after the turn of the nose
    return dataclasses.replace(flight, attitude=np.tile(attitude, (flight.time.size, 1)))


@pytest.mark.parametrize(("degrees", "toward"), [(5.0, 0.0), (30.0, 90.0), (80.0, 210.0), (120.0, -45.0), (0.0, 0.0)])
def test_the_lean_is_where_the_top_went(flight, degrees, toward):
    """An angle and a compass direction, whatever way the nose looks."""
    north, east = leaning(flight, degrees, toward).lean[0]
    assert np.degrees(north) == pytest.approx(degrees * np.cos(np.radians(toward)), abs=1e-9)
    assert np.degrees(east) == pytest.approx(degrees * np.sin(np.radians(toward)), abs=1e-9)


def test_both_parts_of_the_lean_make_the_tilt(flight):
    assert flight.lean.shape == (flight.time.size, 2)
    assert np.hypot(*flight.lean.T) == pytest.approx(flight.tilt, abs=1e-7)


def test_a_bar_that_keeps_its_plane_leans_alike_all_along(flight):
    """The made-up bar sweeps one plane while the body sways: its plane stays, the body's lean does not."""
    bar = np.degrees(flight.bar_plane)
    assert np.ptp(bar[20:], axis=0).max() < 0.15 * np.degrees(np.ptp(flight.lean[20:], axis=0)).max()


def test_without_a_bar_there_is_no_plane_of_it(flight):
    from paddlebar.files.load import load_scenario

    bare = dataclasses.replace(flight, scenario=load_scenario("no-bar"))
    assert np.isnan(bare.bar_plane).all()
    assert np.isfinite(bare.disc_plane).all()


def test_a_rotor_that_stands_has_the_plane_of_its_hub(flight):
    still = dataclasses.replace(flight, rotor_speed=np.zeros_like(flight.rotor_speed))
    assert np.array_equal(still.disc_plane, still.bar_plane)


def test_the_mean_spin_is_heading_over_time(flight):
    a, b = 0.5, 1.5
    gained = np.interp(b, flight.time, flight.heading) - np.interp(a, flight.time, flight.heading)
    assert flight.mean_spin(a, b) == pytest.approx(gained / (b - a), rel=1e-12)
    whole = (flight.heading[-1] - flight.heading[0]) / (flight.time[-1] - flight.time[0])
    assert flight.mean_spin() == pytest.approx(whole, rel=1e-12)
    with pytest.raises(BadInput, match="start, stop: should rise within the flight"):
        flight.mean_spin(1.0, 0.5)


def test_at_a_sample_stands_the_sample_and_between_them_a_cubic(flight):
    k = 7
    here = flight.at(flight.time[k])
    assert set(here) == {"time", *(row.name for row in RECORDED)}
    assert isinstance(here["height"], float)
    for row in RECORDED:
        assert np.allclose(here[row.name], getattr(flight, row.name)[k], rtol=0.0, atol=1e-12), row.name
    times = np.linspace(0.2, 1.2, 6).reshape(2, 3)
    several = flight.at(times)
    assert several["height"].shape == (2, 3)
    assert several["position"].shape == (2, 3, 3)
    assert several["flap"].shape == (2, 3, flight.flap.shape[1])
    assert np.linalg.norm(several["attitude"], axis=-1) == pytest.approx(1.0, abs=1e-12)
    middle = 0.5 * (flight.time[50] + flight.time[51])
    exact = made_up_flight(duration=2.0).at(middle)["rotor_azimuth"]
    straight = float(np.interp(middle, flight.time, flight.rotor_azimuth))
    assert exact != straight


@pytest.mark.parametrize("when", [-0.1, 2.1, float("nan"), [0.5, 9.0]])
def test_a_time_outside_the_flight_is_refused(flight, when):
    with pytest.raises(BadInput, match="time: should be within the flight, 0 to 2 s"):
        flight.at(when)


def test_one_line_and_a_small_drawing(flight):
    """A notebook shows its last value: 14,000 characters of arrays helped nobody."""
    said = repr(flight)
    assert said.startswith("<Flight '")
    assert "landed, 2.00 s" in said
    assert len(said) < 120
    shown = flight._repr_html_()
    root = ET.fromstring(shown.replace("<br>", "<br/>"))
    lines = [each for each in root.iter() if each.tag.endswith("polyline")]
    assert len(lines) == 2
    assert "nan" not in lines[0].attrib["points"]
    assert len(shown) < 15_000


def test_words_of_a_file_are_words_in_html(flight):
    assert "<script>" not in dataclasses.replace(flight, sentence="<script>alert(1)</script>")._repr_html_()


def test_as_labelled_arrays(flight):
    pytest.importorskip("xarray")
    data = flight.to_xarray()
    assert data.height.units == "m"
    assert data.position.dims == ("time", "axis")
    assert np.array_equal(data.ledger.sel(entry="air: rotor"), flight.ledger["air: rotor"])
    assert list(data.event_time_s.values) == [event.time_s for event in flight.events]
    assert data.attrs["outcome"] == "landed"
    assert data.sel(time=1.0, method="nearest").height.item() in flight.height


def test_as_a_table(flight):
    pytest.importorskip("pandas")
    frame = flight.to_pandas()
    assert frame.index.name == "time"
    assert np.array_equal(frame["position_z"], flight.position[:, 2])
    assert np.array_equal(frame["flap_1"], flight.flap[:, 0])
    assert set(frame.attrs["units"]) == {"time", *frame.columns}
    assert frame.attrs["units"]["skein_torque"] == "N m"


def test_without_the_library_it_says_what_to_install(flight, monkeypatch):
    from importlib import import_module

    from paddlebar.flight import labelled

    def missing(name):
        raise ImportError(name) if name in ("xarray", "pandas") else import_module(name)

    monkeypatch.setattr(labelled, "import_module", missing)
    with pytest.raises(ImportError, match=r"to_pandas\(\) needs pandas: pip install 'paddlebar\[data\]'"):
        flight.to_pandas()
