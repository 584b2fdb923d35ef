"""Keys of a scenario that do nothing in it: the flight says so."""

from __future__ import annotations

from pathlib import Path

import pytest

from paddlebar import fly, load_scenario

FIRST = Path(__file__).parents[2] / "scenarios" / "first-flight.toml"


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"launch.release": "free", "launch.hold_s": 0.5}, 'with release = "free" nobody holds the craft'),
        ({"launch.release": "floor", "launch.hold_s": 0.5}, 'with release = "floor" the craft stands until it lifts'),
        ({"air.turbulence": True}, "outdoors it grows with the wind, and there is none"),
    ],
)
def test_a_key_that_does_nothing_is_named(changes, says):
    said = [event.sentence for event in fly(load_scenario(FIRST, {**changes, "run.duration_s": 0.05})).events]
    assert any(says in each for each in said)


@pytest.mark.parametrize(
    "changes",
    [
        {"air.turbulence": True, "air.wind_m_s": 1.0},
        {"air.turbulence": True, "air.turbulence_m_s": 0.1},
        {"launch.release": "free", "launch.hold_s": 0.0},
    ],
)
def test_one_that_does_something_is_not(changes):
    said = [event.name for event in fly(load_scenario(FIRST, {**changes, "run.duration_s": 0.05})).events]
    assert not [name for name in said if name.endswith("not used")]
