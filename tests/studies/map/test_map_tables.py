"""A map as tables, in one line and as a small drawing."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import numpy as np
import pytest

from paddlebar.studies.map.study import Map

GROWTH = np.array([[-0.5, 0.2, np.nan], [-0.1, 0.4, 1.0]])


@pytest.fixture(scope="module")
def found() -> Map:
    return Map(
        x_key="craft.bar.lead_deg", y_key="craft.bar.tip_mass_g", x=np.array([80.0, 90.0, 100.0]), y=np.array([0.4, 0.6]),
        growth=GROWTH, without=np.full((2, 3), 1.5), verdict=np.array([["decays", "grows", "no"], ["decays", "grows", "grows"]]),
        design=(90.0, 0.5), design_growth=0.3, design_verdict="grows", by="floquet", turns_left=185.0, wall_s=1.0,
    )  # fmt: skip


def test_labelled_there_and_back(found, tmp_path):
    xarray, _ = pytest.importorskip("xarray"), pytest.importorskip("h5netcdf")
    data = found.to_xarray()
    assert float(data.growth.sel({"craft.bar.lead_deg": 90.0, "craft.bar.tip_mass_g": 0.6})) == 0.4
    assert data["craft.bar.lead_deg"].units == "degree"
    data.to_netcdf(tmp_path / "map.nc", engine="h5netcdf")
    with xarray.open_dataset(tmp_path / "map.nc", engine="h5netcdf") as again:
        assert again.identical(data)


def test_a_row_a_point(found):
    pytest.importorskip("pandas")
    frame = found.to_pandas()
    assert len(frame) == 6
    row = frame[(frame["craft.bar.lead_deg"] == 100.0) & (frame["craft.bar.tip_mass_g"] == 0.6)]
    assert row["growth"].tolist() == [1.0]


def test_said_briefly_and_drawn(found):
    assert (
        repr(found) == "<Map of craft.bar.lead_deg and craft.bar.tip_mass_g: 3 x 2 points by floquet, the design grows>"
    )
    cells = [
        each for each in ET.fromstring(found._repr_html_().replace("<br>", "<br/>")).iter() if each.tag.endswith("rect")
    ]
    assert len(cells) == 6
    assert len({cell.attrib["fill"] for cell in cells}) == 3
