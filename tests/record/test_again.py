"""A run file is enough to fly its flight again."""

from __future__ import annotations

from pathlib import Path

import h5py
import numpy as np
import pytest

from paddlebar import BadInput, fly, fly_many, load_scenario, samples
from paddlebar.record.again import compared, is_run_file, recorded, scenario_of
from paddlebar.record.write import write_run
from same_runs import differences

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


@pytest.mark.parametrize("method", ["DOP853", "LSODA"])
def test_flown_twice_the_files_are_the_same_but_for_the_clock(method, tmp_path):
    """Every dataset and every attribute, also of a flight in gusts and turbulence."""
    for name in ("a.h5", "b.h5"):
        write_run(
            tmp_path / name, [fly(load_scenario(SCENARIOS / "field-breeze.toml", SHORT | {"run.method": method}))]
        )
    found = differences(tmp_path / "a.h5", tmp_path / "b.h5")
    assert len(found) > 200
    assert [each for each in found if each.size != 0.0] == []


def test_the_comparison_sees_what_differs(tmp_path):
    """The last bit of one sample, a figure in a summary, a word, an attribute that is gone, a sample that is missing."""
    flight = fly(load_scenario(SCENARIOS / "first-flight.toml", SHORT))
    write_run(tmp_path / "a.h5", [flight])

    def seen(change) -> dict[str, float]:
        write_run(tmp_path / "b.h5", [flight])
        with h5py.File(tmp_path / "b.h5", "r+") as file:
            change(file["flight/0000"])
        return {each.where: each.size for each in differences(tmp_path / "a.h5", tmp_path / "b.h5") if each.size > 0.0}

    def last_bit(group) -> None:
        group["height"][7] = np.nextafter(group["height"][7], 9.0)

    def shorter(group) -> None:
        values = group["tilt"][()]
        del group["tilt"]
        group["tilt"] = values[:-1]

    assert seen(lambda group: None) == {}
    assert 0.0 < seen(last_bit)["/flight/0000/height"] < 1e-15
    text = (tmp_path / "a.h5", "summary")
    with h5py.File(text[0]) as file:
        summary = file["flight/0000"].attrs[text[1]]
    turned = summary.replace('"turns_left": ', '"turns_left": 1')
    assert turned != summary
    assert set(seen(lambda group: group.attrs.modify("summary", turned))) == {"/flight/0000@summary.turns_left"}
    assert seen(lambda group: group.attrs.modify("sentence", "other")) == {"/flight/0000@sentence": np.inf}
    assert seen(lambda group: group["height"].attrs.pop("units")) == {"/flight/0000/height@units": np.inf}
    assert seen(shorter)["/flight/0000/tilt"] == np.inf
    energy = seen(lambda group: group["ledger/residual"].write_direct(group["ledger/residual"][()] + 1e-9))
    assert energy["/flight/0000/ledger/residual"] == pytest.approx(1e-9 / max(flight.ledger["skein"]), rel=0.5)


def test_one_drawn_out_of_an_ensemble_is_repeated_from_its_record(tmp_path):
    """What chance drew stands in the record, the turbulence's own seed included; in compiled steps it is the same flight too."""

    def draw(rng) -> dict[str, object]:
        return {"launch.tilt_deg": float(rng.uniform(0.0, 5.0)), "air.seed": int(rng.integers(1, 10**6)), **SHORT}

    drawn = samples(SCENARIOS / "field-breeze.toml", 4, draw, seed=11)
    assert drawn == samples(SCENARIOS / "field-breeze.toml", 4, draw, seed=11)
    assert drawn[3] != samples(SCENARIOS / "field-breeze.toml", 4, draw, seed=12)[3]
    chosen = load_scenario(*drawn[3])
    file = tmp_path / "run.h5"
    write_run(file, [fly(chosen)])
    again = load_scenario(file)
    assert compared(recorded(file), fly(again)).identical
    assert recorded(file).seed == drawn[3][1]["air.seed"]
    ours, theirs = fly_many(drawn, workers=1)[3], fly_many([again], workers=1)[0]
    assert repr(sorted(ours.items())) == repr(sorted(theirs.items()))  # nan beside nan
