"""Run and study files by the conventions of the libraries that read labelled arrays; files of earlier programs."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import h5py
import numpy as np
import pytest

from factories import made_up_flight
from paddlebar.flight.labelled import DERIVED, LAYOUT
from paddlebar.flight.result import Flight
from paddlebar.record.read import read_run
from paddlebar.record.write import write_run

# Units that UDUNITS-2 knows by these names: base and derived units of its lib/udunits2-base.xml, -derived.xml and -accepted.xml, and
# "turn" = 2 pi rad of lib/udunits2-common.xml (read in the repository Unidata/UDUNITS-2). "N m" is a product there.
UDUNITS = {"1", "m", "s", "rad", "kg", "N", "J", "W", "turn"}


@pytest.fixture
def run(tmp_path: Path, flight: Flight) -> Path:
    return flight.save(tmp_path / "run.h5")


def test_every_unit_is_one_that_udunits_knows():
    words = {word for row in LAYOUT + DERIVED for product in row.unit.split("/") for word in product.split()}
    assert words <= UDUNITS


def test_no_attribute_is_of_a_kind_that_netcdf_does_not_have(run):
    """Texts, whole numbers, numbers: true and false are none of these."""
    found = []

    def look(name: str, member: h5py.HLObject) -> None:
        for key, value in member.attrs.items():
            if key not in ("DIMENSION_LIST", "REFERENCE_LIST") and isinstance(value, bool | np.bool_):
                found.append(f"{name}@{key}")

    with h5py.File(run) as file:
        look("/", file)
        file.visititems(look)
        assert file.attrs["Conventions"] == "CF-1.8"
    assert found == []


@pytest.mark.parametrize("group", ["flight/0000", "flight/0000/ledger", "flight/0000/events"])
def test_what_is_opened_can_be_written(tmp_path, run, group):
    xarray, _ = pytest.importorskip("xarray"), pytest.importorskip("h5netcdf")
    with xarray.open_dataset(run, engine="h5netcdf", group=group) as data:
        data.load().to_netcdf(tmp_path / "copy.nc", engine="h5netcdf")
        with xarray.open_dataset(tmp_path / "copy.nc", engine="h5netcdf") as copy:
            assert copy.identical(data)


def test_every_group_knows_its_time(run, flight):
    xarray, _ = pytest.importorskip("xarray"), pytest.importorskip("h5netcdf")
    for group in ("flight/0000", "flight/0000/ledger"):
        with xarray.open_dataset(run, engine="h5netcdf", group=group) as data:
            assert np.array_equal(data.time, flight.time)
            assert data.time.units == "s"
    with xarray.open_dataset(run, engine="h5netcdf", group="flight/0000/events") as data:
        assert list(data.time_s.values) == [event.time_s for event in flight.events]
        assert list(data.event.values) == list(range(1, len(flight.events) + 1))


def test_a_tree_of_flights_can_be_written(tmp_path):
    xarray, _ = pytest.importorskip("xarray"), pytest.importorskip("h5netcdf")
    write_run(tmp_path / "run.h5", [made_up_flight(duration=0.2), made_up_flight(duration=0.1, nf=0, nb=2)])
    with xarray.open_datatree(tmp_path / "run.h5", engine="h5netcdf") as tree:
        tree.to_netcdf(tmp_path / "copy.nc", engine="h5netcdf")
        with xarray.open_datatree(tmp_path / "copy.nc", engine="h5netcdf") as copy:
            assert copy.identical(tree)
            assert np.array_equal(copy["flight/0001/ledger/time"], copy["flight/0001/time"])


def test_in_memory_and_in_the_file_it_is_the_same(run, flight):
    xarray, _ = pytest.importorskip("xarray"), pytest.importorskip("h5netcdf")
    ours = flight.to_xarray()
    with xarray.open_dataset(run, engine="h5netcdf", group="flight/0000") as data:
        for name in data.variables:
            assert ours[name].variable.identical(data[name].variable), name
        assert {key: ours.attrs[key] for key in data.attrs} == data.attrs
    assert set(ours.variables) - set(data.variables) == {
        "ledger", "entry", "event", "event_time_s", "event_name", "event_sentence",
    }  # fmt: skip


def test_netcdf_there_and_back(tmp_path, flight):
    xarray, _ = pytest.importorskip("xarray"), pytest.importorskip("h5netcdf")
    flight.to_xarray().to_netcdf(tmp_path / "flight.nc", engine="h5netcdf")
    with xarray.open_dataset(tmp_path / "flight.nc", engine="h5netcdf") as data:
        assert data.identical(flight.to_xarray())


def test_what_was_read_can_be_saved_and_keeps_who_flew_it(tmp_path, run):
    (first,) = read_run(run)
    other = dataclasses.replace(first, versions={**first.versions, "paddlebar": "0.0.9"})
    (again,) = read_run(other.save(tmp_path / "again.h5"))
    assert again.program_version == again.versions["paddlebar"] == "0.0.9"
    for name in ("height", "attitude", "flap"):
        assert np.array_equal(getattr(again, name), getattr(first, name))
    assert again.events == first.events
    assert again.effective_toml == first.effective_toml


def test_a_file_of_format_1_is_read():
    """Written by the program at commit cc3132a: events by `time`, no time in the ledger, complete true."""
    path = Path(__file__).parent / "format-1.h5"
    with h5py.File(path) as file:
        assert file.attrs["format"] == 1
        wanted = file["flight/0000/events/event"][()]
    (read,) = read_run(path)
    assert [event.time_s for event in read.events] == list(wanted)
    assert "time" not in read.ledger
    assert read.ledger["skein"].shape == read.time.shape
    assert read.complete
