"""Records without a judgement are judged as they are read; what claims to be faults is looked at first."""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path
from typing import Any

import h5py
import numpy as np
import pytest

from factories import made_up_flight
from paddlebar.errors import NotARunFile
from paddlebar.flight.result import Event, Flight
from paddlebar.record.read import RecordedFlight, read_run
from paddlebar.record.write import write_run

WITHOUT = ("controlled_s", "flew_well", "faults")


def old(tmp_path: Path, flight: Flight, **changes: Any) -> RecordedFlight:
    """As a program wrote it that judged by where a flight ended."""
    summary = {key: value for key, value in flight.summary.items() if key not in WITHOUT}
    write_run(tmp_path / "run.h5", [dataclasses.replace(flight, **{"summary": summary} | changes)])
    return read_run(tmp_path / "run.h5")[0]


def level(flight: Flight, down: float) -> dict[str, Any]:
    """Upright, still, sinking at that speed [m/s], nothing left in the skein."""
    n = flight.time.size
    return {
        "attitude": np.tile([1.0, 0.0, 0.0, 0.0], (n, 1)), "tilt": np.zeros(n), "rate_body": np.zeros((n, 3)),
        "velocity_body": np.tile([0.0, 0.0, down], (n, 1)), "turns_left": np.linspace(200.0, 0.0, n),
    }  # fmt: skip


@pytest.fixture(scope="module")
def flight() -> Flight:
    return made_up_flight(duration=2.0)


def test_a_landing_stays_one_and_a_fall_becomes_one(tmp_path, flight):
    good = old(tmp_path, flight, **level(flight, 0.5))
    assert (good.outcome, good.summary["outcome"], good.flew_well) == ("landed", "landed", True)
    assert good.controlled_s == pytest.approx(float(flight.time[-1]))
    hard = old(tmp_path, flight, **level(flight, 4.0))
    assert hard.outcome == "crashed"
    assert [fault.code for fault in hard.faults] == ["hit hard"]
    over = old(tmp_path, flight, **level(flight, 0.5) | {"tilt": np.full(flight.time.size, 1.7)})
    assert over.outcome == "crashed"
    assert over.controlled_s == 0.0


@pytest.mark.parametrize("outcome", ["failed", "a word of another program"])
def test_what_cannot_be_judged_stays_as_it_is(tmp_path, flight, outcome):
    read = old(tmp_path, flight, outcome=outcome)
    assert read.outcome == outcome
    assert np.isnan(read.controlled_s)
    assert read.faults == ()
    assert not read.flew_well


def test_what_was_held_to_the_end_was_never_let_go(tmp_path, flight):
    still = np.repeat(flight.position[:1], flight.time.size, axis=0)
    events = [event for event in flight.events if event.name != "release"]
    assert old(tmp_path, flight, outcome="still flying", position=still, events=events).outcome == "never let go"


def test_numbers_that_are_none_are_no_error(tmp_path, flight):
    spoilt = flight.rate_body.copy()
    spoilt[5:] = np.inf
    assert old(tmp_path, flight, rate_body=spoilt, events=[Event("release", 0.1, "let go")]).outcome


@pytest.mark.parametrize(
    "faults", [3, {"code": "x"}, [3], [{"code": "x"}], [{"code": "x", "from_s": "1", "sentence": "", "matters": True}], [{"code": "x", "from_s": 1.0, "sentence": "", "matters": True, "more": 1}]]
)  # fmt: skip
def test_faults_of_another_shape_are_refused_in_one_line(tmp_path, flight, faults):
    write_run(tmp_path / "run.h5", [flight])
    with h5py.File(tmp_path / "run.h5", "r+") as file:
        group = file["flight/0000"]
        group.attrs["summary"] = json.dumps({**json.loads(group.attrs["summary"]), "faults": faults})
    with pytest.raises(NotARunFile, match="its faults are no list of faults"):
        read_run(tmp_path / "run.h5")


def test_what_is_written_is_read(tmp_path, flight):
    fault = {"code": "leaned", "from_s": 1.5, "sentence": "leaned past 30 deg", "matters": True}
    told = {**flight.summary, "controlled_s": 1.25, "faults": [fault], "flew_well": False}
    write_run(tmp_path / "run.h5", [dataclasses.replace(flight, summary=told, outcome="crashed")])
    (read,) = read_run(tmp_path / "run.h5")
    assert (read.outcome, read.controlled_s, read.flew_well) == ("crashed", 1.25, False)
    assert vars(read.faults[0]) == fault
    with h5py.File(tmp_path / "run.h5") as file:
        group = file["flight/0000"]
        assert group.attrs["controlled_s"] == 1.25
        assert json.loads(group.attrs["faults"]) == [fault]
