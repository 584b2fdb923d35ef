"""A sweep: the flights of fly_many on a labelled grid."""

from __future__ import annotations

import pytest

import paddlebar
from paddlebar import BadInput

SHORT = {"run.duration_s": 0.3}


def test_a_sweep_is_the_flights_one_by_one():
    scenario = paddlebar.load_scenario("scenarios/first-flight.toml", SHORT)
    grid = {"craft.bar.tip_mass_g": [0.4, 0.5], "launch.tilt_deg": [0.0, 3.0, 6.0]}
    found = paddlebar.sweep(scenario, grid, workers=1)
    assert found.shape == found["max_tilt_deg"].shape == (2, 3)
    alone = paddlebar.load_scenario(
        "scenarios/first-flight.toml", SHORT | {"craft.bar.tip_mass_g": 0.5, "launch.tilt_deg": 3.0}
    )
    assert found["max_tilt_deg"][1, 1] == paddlebar.fly_many([alone], workers=1).max_tilt_deg[0]
    assert repr(found) == "Sweep(craft.bar.tip_mass_g 2 x launch.tilt_deg 3)"
    table = found.to_xarray()
    assert float(table.max_tilt_deg.sel({"launch.tilt_deg": 6.0})[0]) == found["max_tilt_deg"][0, 2]


@pytest.mark.parametrize(
    ("grid", "says"),
    [
        ({}, "grid: one key or two, found 0"),
        ({"craft.bar.gian": [1.0]}, "did you mean"),
        ({"craft.bar.kind": [1.0]}, "only a number"),
        ({"launch.tilt_deg": [500.0]}, "launch.tilt_deg"),
    ],
)
def test_bad_grids(grid, says):
    with pytest.raises(BadInput, match=says):
        paddlebar.sweep(paddlebar.load_scenario("scenarios/first-flight.toml", SHORT), grid, workers=1)


def test_a_figure_that_there_is_not():
    found = paddlebar.sweep(
        paddlebar.load_scenario("scenarios/first-flight.toml", SHORT), {"launch.tilt_deg": [1.0]}, workers=1
    )
    with pytest.raises(BadInput, match="hight: no such figure; there are outcome"):
        found["hight"]
