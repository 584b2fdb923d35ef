"""Many flights in few bytes: unpacked here by hand, as the page does it, they are the flights that were put in."""

from __future__ import annotations

import base64
import gzip
import json

import numpy as np
import pytest

from paddlebar.ensemble.whole import flown
from paddlebar.errors import BadInput
from paddlebar.replay_page.data import columns_of
from paddlebar.replay_page.packing import LEVELS, RATES, TURN_STEP, UNBOUND, pack, steps
from paddlebar.replay_page.vary import varied
from replay_page.conftest import CRAFT, scenario_of

A_DEGREE = np.pi / 180.0  # less nobody sees; a bar that hits its stop is rounded off by most of it
AWAY = {
    "attitude": 0.5 * A_DEGREE,
    "flap": A_DEGREE,
    "pitch": A_DEGREE,
    "bar_angle": A_DEGREE,
}  # half an angle in a quaternion


def unpacked(text):
    raw = gzip.decompress(base64.b64decode(text))
    long = int.from_bytes(raw[:4], "little")
    head, body = json.loads(raw[4 : 4 + long]), np.frombuffer(raw[4 + long :], dtype=np.uint8).astype(np.int32)
    low, high = np.split(body, 2)
    words, at = (low | (high << 8)).astype(np.int16).astype(np.int64), 0
    for flight in head["flights"]:
        found = {}
        for column in head["columns"]:
            count = flight["slow"] * (head["often"] if column["often"] else 1) + 1
            own = words[at : at + count * column["width"]].reshape(column["width"], count)
            found[column["name"]] = column["low"] + column["step"] * np.cumsum(np.cumsum(own, axis=1), axis=1).T
            at += own.size
        yield flight, found
    assert at == words.size


@pytest.fixture(scope="module", params=list(CRAFT))
def flights(request):
    plain = scenario_of({**CRAFT[request.param], "run.duration_s": 2.0})
    return [
        flown(plain),
        flown(scenario_of({**CRAFT[request.param], "run.duration_s": 1.3, "craft.rotor.collective_deg": 10.0})),
    ]


def test_what_is_unpacked_is_what_was_packed(flights):
    columns = [columns_of(flight, flight.scenario.craft) for flight in flights]
    for own, (head, found) in zip(columns, unpacked(pack(columns, {})), strict=True):
        assert head["first"] == own["time"][0]
        assert head["last"] == own["time"][-1]
        for name, rates in RATES.items():
            at = np.linspace(head["first"], head["last"], found[name].shape[0])
            values = own[name].reshape(own["time"].size, -1)
            span = np.ptp(values) if name not in UNBOUND else TURN_STEP * LEVELS
            for k in range(values.shape[1]):
                # at the samples nearest to a kept time, moved there by the rate: an error of second order in a part of a step
                near = np.abs(own["time"][:, None] - at[None, :]).argmin(axis=0)
                moved = values[near, k] + own[rates].reshape(values.shape)[near, k] * (at - own["time"][near])
                close = np.abs(at - own["time"][near]) < 1e-3
                assert close.any()
                assert found[name][close, k] == pytest.approx(
                    moved[close], abs=span / LEVELS + 2e-3 + AWAY.get(name, 0.0) / 10
                )


def test_between_kept_samples_the_page_is_near_enough(flights):
    """What the page draws between samples, a cubic through values and rates, against the solver's own samples."""
    from scipy.interpolate import CubicHermiteSpline

    columns = [columns_of(flight, flight.scenario.craft) for flight in flights]
    for own, (head, found) in zip(columns, unpacked(pack(columns, {})), strict=True):
        for name, most in AWAY.items():
            rates = RATES[name]
            if found[name].shape[0] != found[rates].shape[0]:
                continue
            at = np.linspace(head["first"], head["last"], found[name].shape[0])
            drawn = CubicHermiteSpline(at, found[name], found[rates])(own["time"])
            assert drawn.ravel() == pytest.approx(own[name].ravel(), abs=most), name


def test_slow_samples_are_a_whole_share_of_fast_ones():
    for span in (0.0, 0.01, 1.0, 5.99, 6.0):
        assert steps(span, "flap") == 4 * steps(span, "height") >= 4


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("craft.bar.gian", 0.2, 0.4, 3), "is no number that may be changed here"),
        (("craft.head.hinge_offset_mm", 0.0, 1.0, 3), "is no number that may be changed here"),
        (("craft.bar.gain", 0.4, 0.2, 3), "LOW below HIGH"),
        (("craft.bar.gain", 0.2, 0.4, 1), "N from 2"),
        (("craft.bar.gain", 0.2, 0.4, 2.5), "N from 2"),
    ],
)
def test_what_cannot_be_varied(words, says):
    with pytest.raises(BadInput, match=says):
        varied(scenario_of({}), *words)
