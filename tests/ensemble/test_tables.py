"""Many flights as tables, with what was drawn for each; in one line and as HTML."""

from __future__ import annotations

import numpy as np
import pytest

from paddlebar.ensemble.many import Brief, Flights

DRAWN = [("hop.toml", {"craft.bar.gain": 0.1 * k, "launch.push_m_s": np.array([0.1, 0.0, 0.0])}) for k in range(3)]


@pytest.fixture(scope="module")
def flights() -> Flights:
    return Flights.of(
        [
            Brief(outcome="landed", sentence="a", duration_s=10.0, controlled_s=9.0, flew_well=True),
            Brief(outcome="crashed", sentence="b", duration_s=2.0, controlled_s=1.0),
            Brief(outcome="failed", sentence="<not flown>"),
        ]
    )


def test_a_row_a_flight_draws_first(flights):
    pytest.importorskip("pandas")
    frame = flights.to_pandas(DRAWN)
    assert list(frame.columns)[:3] == ["craft.bar.gain", "launch.push_m_s", "outcome"]
    assert frame["craft.bar.gain"].tolist() == [0.0, 0.1, 0.2]
    assert frame["launch.push_m_s"][0] == "[0.1, 0.0, 0.0]"
    assert frame["duration_s"].tolist()[:2] == [10.0, 2.0]
    assert np.isnan(frame["duration_s"][2])
    assert frame.attrs["units"]["duration_s"] == "s"
    assert "samples" not in frame
    with pytest.raises(ValueError, match="drawn: 2 for 3 flights"):
        flights.to_pandas(DRAWN[:2])


def test_labelled_there_and_back(flights, tmp_path):
    xarray, _ = pytest.importorskip("xarray"), pytest.importorskip("h5netcdf")
    data = flights.to_xarray(DRAWN)
    assert data["craft.bar.gain"].attrs == {"role": "input", "units": "1"}
    assert data.max_tilt_deg.attrs == {"role": "output", "units": "degree"}
    data.to_netcdf(tmp_path / "flights.nc", engine="h5netcdf")
    with xarray.open_dataset(tmp_path / "flights.nc", engine="h5netcdf") as again:
        assert again.identical(data)


def test_said_briefly(flights):
    assert repr(flights) == "<3 flights: 1 landed, 1 crashed, 1 failed>"
    assert "<td>landed</td><td>1</td>" in flights._repr_html_()
    assert repr(Flights.of([])) == "<0 flights: none>"
