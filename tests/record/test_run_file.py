"""A run file gives back what was flown, labelled, the same bytes for the same flight."""

from __future__ import annotations

import dataclasses
import os
import tomllib
from pathlib import Path

import h5py
import numpy as np
import pytest

from factories import made_up_flight, made_up_scenario
from paddlebar.flight.labelled import RECORDED, slug
from paddlebar.flight.result import Flight, FlightData
from paddlebar.plain import plain
from paddlebar.record.read import RecordedFlight, read_run
from paddlebar.record.write import write_run


def same(written: Flight, read: RecordedFlight) -> None:
    for field in dataclasses.fields(FlightData):
        before, after = getattr(written, field.name), getattr(read, field.name)
        if isinstance(before, np.ndarray):
            assert after.dtype == np.float64, field.name
            assert np.array_equal(before, after), field.name
        elif field.name != "ledger":
            assert after == before, field.name
    assert list(read.ledger) == list(written.ledger)
    assert all(np.array_equal(read.ledger[entry], written.ledger[entry]) for entry in written.ledger)


@pytest.mark.parametrize("nf", [0, 1, 3])
def test_what_was_written_is_read(tmp_path: Path, nf: int) -> None:
    flown = made_up_flight(duration=0.5, nf=nf, nb=3)
    write_run(tmp_path / "run.h5", [flown])
    (read,) = read_run(tmp_path / "run.h5")
    same(flown, read)
    assert read.flap.shape == (flown.time.size, nf)


def test_texts_and_origin_come_along(tmp_path: Path, flight: Flight) -> None:
    write_run(tmp_path / "run.h5", [flight])
    (read,) = read_run(tmp_path / "run.h5")
    assert read.scenario_toml == flight.scenario_toml
    assert read.craft_toml == flight.craft_toml
    assert tomllib.loads(read.effective_toml)["air"]["seed"] == read.seed == 7
    assert read.versions["numpy"] == np.__version__
    assert read.created.endswith("+00:00")
    assert np.array_equal(read.spin, flight.spin)
    assert read.energy_error == flight.energy_error


def test_flights_keep_their_order_and_their_own_texts(tmp_path: Path) -> None:
    flights = [made_up_flight(duration=0.1 * k, scenario=made_up_scenario(f"# {k}")) for k in (3, 2, 4)]
    write_run(tmp_path / "run.h5", flights)
    assert [read.scenario_toml for read in read_run(tmp_path / "run.h5")] == ["# 3", "# 2", "# 4"]


def test_the_same_flight_gives_the_same_bytes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    class Noon:
        @staticmethod
        def now(_zone: object) -> Noon:
            return Noon()

        @staticmethod
        def isoformat(timespec: str) -> str:
            return f"2000-01-01T12:00:00+00:00 {timespec}"

    monkeypatch.setattr("paddlebar.record.write.datetime", Noon)
    for name in ("a.h5", "b.h5"):
        write_run(tmp_path / name, [made_up_flight(duration=0.5)])
    assert (tmp_path / "a.h5").read_bytes() == (tmp_path / "b.h5").read_bytes()


def test_every_quantity_is_labelled(tmp_path: Path, flight: Flight) -> None:
    write_run(tmp_path / "run.h5", [flight])
    with h5py.File(tmp_path / "run.h5") as file:
        group = file["flight/0000"]
        for row in RECORDED:
            dataset = group[row.name]
            assert dataset.attrs["units"] == row.unit
            assert dataset.attrs["long_name"] == row.long_name
            assert dataset.attrs.get("frame", "") == row.frame
            assert dataset.dims[0].keys() == ["time"]
            assert [dim.keys() for dim in dataset.dims][1:] == ([[row.along]] if row.along else [])
        assert {group["ledger"][slug(entry)].attrs["entry"] for entry in flight.ledger} == set(flight.ledger)
        assert group["time"].attrs["units"] == "s"


def test_array_tools_open_it_as_labelled_data(tmp_path: Path, flight: Flight) -> None:
    xarray = pytest.importorskip("xarray")
    pytest.importorskip("h5netcdf")
    write_run(tmp_path / "run.h5", [flight])
    with xarray.open_dataset(tmp_path / "run.h5", engine="h5netcdf", group="flight/0000") as data:
        assert data.sizes["time"] == flight.time.size
        assert data.position.dims == ("time", "axis")
        assert data.flap.dims == ("time", "hinge")
        assert data.height.units == "m"
        assert list(data.axis.values) == ["x", "y", "z"]
        down = data.position_cg.sel(axis="z").sel(time=0.412, method="nearest")
        nearest = int(np.argmin(np.abs(flight.time - 0.412)))
        assert float(down) == flight.position_cg[nearest, 2]
    with xarray.open_dataset(tmp_path / "run.h5", engine="h5netcdf", group="flight/0000/ledger") as data:
        assert data.skein.dims == ("time",)
        assert np.array_equal(data.air_rotor.values, flight.ledger["air: rotor"])
    with xarray.open_dataset(tmp_path / "run.h5", engine="h5netcdf", group="flight/0000/events") as data:
        assert list(data.sentence.values) == [event.sentence for event in flight.events]


def test_long_texts_and_no_events_fit(tmp_path: Path, flight: Flight) -> None:
    text = "# ü\n" * 60_000  # HDF5 keeps small attributes in 64 KiB; ours must not be bound by that
    quiet = dataclasses.replace(flight, events=[], scenario=made_up_scenario(text))
    write_run(tmp_path / "run.h5", [quiet])
    (read,) = read_run(tmp_path / "run.h5")
    assert read.scenario_toml == text
    assert read.events == []


def test_what_is_not_finite_stays_in_arrays_and_is_null_in_json(tmp_path: Path, flight: Flight) -> None:
    broken = flight.height.copy()
    broken[-1] = np.nan
    summary = {"drift_m": float("nan"), "numpy": np.float64(1.5), "list": [np.inf, np.int64(3)], "yes": np.True_}
    write_run(tmp_path / "run.h5", [dataclasses.replace(flight, height=broken, summary=summary, complete=False)])
    (read,) = read_run(tmp_path / "run.h5")
    assert np.isnan(read.height[-1])
    assert not read.complete
    assert read.summary == {"drift_m": None, "numpy": 1.5, "list": [None, 3], "yes": True}


def test_plain_leaves_plain_things_alone() -> None:
    value = {"a": [1, 2.5, "x", None, True], "b": {"c": 0}}
    assert plain(value) == value
    assert plain(Path("x") / "y") == os.path.join("x", "y")  # noqa: PTH118


def test_arrays_that_do_not_fit_are_refused_by_name(tmp_path: Path, flight: Flight) -> None:
    with pytest.raises(ValueError, match="tilt: shape"):
        write_run(tmp_path / "run.h5", [dataclasses.replace(flight, tilt=flight.tilt[:-1])])
    with pytest.raises(ValueError, match="1 to 9999 flights, not 0"):
        write_run(tmp_path / "run.h5", [])
    assert list(tmp_path.iterdir()) == []
