"""A run file is enough to fly its flight again."""

from __future__ import annotations

from pathlib import Path

import pytest

from paddlebar import BadInput, fly, load_scenario
from paddlebar.record.again import compared, is_run_file, recorded, scenario_of
from paddlebar.record.write import write_run

SCENARIOS = Path(__file__).parents[2] / "scenarios"
SHORT = {"run.duration_s": 2.0}


@pytest.mark.parametrize("name", ["first-flight", "field-breeze", "tip-lost", "cord-off"])
def test_flown_again_from_its_record_it_is_the_same_bit_for_bit(name, tmp_path):
    """Turbulence from its seed, mishaps, changes of the craft included."""
    file = tmp_path / "run.h5"
    write_run(file, [fly(load_scenario(SCENARIOS / f"{name}.toml", SHORT))])
    again = fly(load_scenario(file))
    said = compared(recorded(file), again)
    assert said.identical
    assert said.position_m == said.attitude_deg == 0.0


def test_a_record_may_be_changed_and_the_difference_is_said(tmp_path):
    file = tmp_path / "run.h5"
    write_run(file, [fly(load_scenario(SCENARIOS / "first-flight.toml", SHORT))])
    changed = scenario_of(file, {"craft.bar.tip_mass_g": 0.7})
    assert changed.craft.bar.tip_mass_g == 0.7
    said = compared(recorded(file), fly(changed))
    assert not said.identical
    assert said.position_m > 1e-4
    assert said.attitude_deg > 1e-3


def test_a_torque_curve_of_ones_own_is_in_the_record(tmp_path):
    curve = tmp_path / "curve.csv"
    curve.write_text("turns,torque_mN_m\n0,0\n50,2\n200,3.2\n400,3.6\n500,5\n")
    file = tmp_path / "run.h5"
    write_run(file, [fly(load_scenario(SCENARIOS / "first-flight.toml", SHORT | {"craft.skein.measured": str(curve)}))])
    curve.unlink()
    assert compared(recorded(file), fly(load_scenario(file))).identical


def test_several_flights_are_refused(tmp_path):
    flight = fly(load_scenario(SCENARIOS / "first-flight.toml", SHORT))
    write_run(tmp_path / "two.h5", [flight, flight])
    with pytest.raises(BadInput, match="holds 2 flights, one is due"):
        scenario_of(tmp_path / "two.h5")


def test_run_files_are_known_by_their_name():
    assert is_run_file("a/run.h5")
    assert not is_run_file("a/run.toml")
