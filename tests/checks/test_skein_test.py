"""A skein on a torque meter: areas in closed form, and constants found again from a loop made with them.

Broken : 2 pi left out; branches swapped; transient of the set not taken out of the curve; torque between skeins by S instead of S^1.5:
         each refused here.
"""

from __future__ import annotations

import dataclasses
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from paddlebar import BadInput, load_scenario, skein_test
from paddlebar.checks import skein_test as bench
from paddlebar.cli.match_skein import sentences
from paddlebar.craft.motors import motor_of
from paddlebar.craft.rubber import set_after_backing_off
from paddlebar.files.craft import Skein, skein_mass_g
from paddlebar.files.skein_record import SkeinRecord, is_skein_record, read_skein_record
from paddlebar.physics.motor import TABLE, middle_torque
from paddlebar.physics.skein import hysteresis_factor

SCENARIOS = Path(__file__).parents[2] / "scenarios"
HOOKS = ((0.0, 0.0, -20.0), (0.0, 0.0, -200.0))


def skein(**keys: Any) -> Skein:
    return Skein(**{"mass_g": 2.2, "length_mm": 200.0, "hooks_mm": HOOKS, **keys})


def loop(made: Skein, share: float, count: int = 40) -> SkeinRecord:
    """Winding to a share of the breaking turns and back, without noise."""
    c = motor_of(made, 293.15).record.view(np.recarray)[0]
    turns = np.linspace(0.0, share * c.breaking, count)
    middle = np.array([middle_torque(n, c.breaking, c.plateau, c.knee, c.spike) for n in turns]) * 1e3
    z = np.array([set_after_backing_off(turns[-1] - n, c.settle) for n in turns])
    up, down = middle * hysteresis_factor(1.0, c.half_loss), middle * hysteresis_factor(z, c.half_loss)
    return SkeinRecord("made", tuple(zip(turns, up, strict=True)), tuple(zip(turns, down, strict=True)), relative=False)


def test_areas_of_straight_lines():
    """Torque 2 mN m to 100 turns: 2 pi 0.2 J in; 1 mN m back: half of it lost; 1.26 J a 2.2 g."""
    turns = (0.0, 50.0, 75.0, 100.0)
    record = SkeinRecord("x", tuple((n, 2.0) for n in turns), tuple((n, 1.0) for n in turns), relative=False)
    found = bench.skein_test(skein(), record)
    assert found.energy_in_j == pytest.approx(2.0 * math.pi * 0.2, rel=1e-12)
    assert found.energy_out_j == pytest.approx(2.0 * math.pi * 0.1, rel=1e-12)
    assert found.lost_percent == pytest.approx(50.0, rel=1e-12)
    assert found.energy_kJ_kg == pytest.approx(2.0 * math.pi * 0.1 / 2.2, rel=1e-12)


def test_constants_of_a_loop_are_found_again():
    """Made with other constants than believed, wound to 95 % of breaking: each again within 3 %, energy within 1 %; what the torque does in
    the first turns of unwinding shows in two or three rows only, and there the belief (4 +- 2 %) draws: 10 %."""
    truth = {"energy_kJ_kg": 7.2, "loss_percent": 24.0, "spike": 3.1, "knee_percent": 5.5, "settle_percent": 3.0}
    within = {"energy_kJ_kg": 0.01, "settle_percent": 0.1}
    found = bench.skein_test(skein(), loop(skein(**truth), 0.95))
    for key, value in truth.items():
        print(f"{key}: {found.fitted[key]:.4f} of {value}")
        assert found.fitted[key] == pytest.approx(value, rel=within.get(key, 0.03))
    assert found.misfit_percent < 0.3


def test_the_curve_flies_as_it_was_measured():
    """Put into a craft, wound to the same turns and let out at once, the law with the measured curve gives the recorded torque: 1 %."""
    made = skein(loss_percent=25.0, spike=2.0)
    record = loop(made, 0.8)
    found = bench.skein_test(skein(), record)
    motor = motor_of(skein(measured=found.curve, **found.change), 293.15)
    assert motor.record["kind"] == TABLE
    top = record.unwinding[-1][0]
    for n, q in record.unwinding[6:]:
        z = set_after_backing_off(top - n, float(motor.record["settle"][0]))
        assert 1e3 * motor.torque(n, z) == pytest.approx(q, rel=0.01)


def test_a_short_sample_speaks_for_the_craft():
    """Half the length and half the section of the same rubber: turns go by L/sqrt(S), torque by S^1.5; energy a kilogram and loss stay."""
    full, part = skein(), skein(mass_g=0.55, length_mm=100.0)
    whole = bench.skein_test(full, loop(full, 0.8))
    record = loop(part, 0.8)
    small = bench.skein_test(full, SkeinRecord(**{**vars(record), "mass_g": 0.55, "length_mm": 100.0}))
    assert np.array(small.curve) == pytest.approx(np.array(whole.curve), rel=2e-3, abs=1e-6)
    assert small.fitted["energy_kJ_kg"] == pytest.approx(whole.fitted["energy_kJ_kg"], rel=1e-3)
    assert small.energy_out_j == pytest.approx(whole.energy_out_j * 0.55 / 2.2, rel=1e-3)


def test_breaking_constant():
    """N sqrt(S)/L from the turns at which it broke; what was stood is stood; else it is believed."""
    made, c = skein(), motor_of(skein())
    record = loop(made, 0.8)
    assert bench.skein_test(made, record).breaking_constant == pytest.approx(10.0)
    assert not bench.skein_test(made, record).broke
    broken = bench.skein_test(made, SkeinRecord(**{**vars(record), "broke": 0.9 * c.breaking}))
    assert broken.broke
    assert broken.breaking_constant == pytest.approx(9.0)
    stood = bench.skein_test(skein(breaking_constant=7.0), record)
    assert stood.breaking_constant == pytest.approx(8.0)


def test_own_units_without_calibration_give_shape_alone():
    record = loop(skein(loss_percent=20.0), 0.9)
    scaled = SkeinRecord(
        "x",
        tuple((n, 7.3 * q) for n, q in record.winding),
        tuple((n, 7.3 * q) for n, q in record.unwinding),
        relative=True,
    )
    found = bench.skein_test(skein(), scaled)
    assert math.isnan(found.energy_out_j)
    assert "energy_kJ_kg" not in found.change
    assert found.fitted["loss_percent"] == pytest.approx(20.0, rel=0.03)


def test_more_back_than_in_is_refused():
    record = loop(skein(), 0.9)
    with pytest.raises(BadInput, match="the right way round"):
        bench.skein_test(skein(), SkeinRecord("x.csv", record.unwinding, record.winding, relative=False))


def test_the_shipped_record(tmp_path):
    """Made with K 10.9, 6.8 kJ/kg, 26 % and 1.5 % noise on a pointer: found again within 3 %, 5 % and three points."""
    craft = load_scenario(SCENARIOS / "hall-record.toml").craft
    assert is_skein_record(SCENARIOS / "hall-skein-bench.csv")
    found = skein_test(craft, SCENARIOS / "hall-skein-bench.csv")
    assert found.breaking_constant == pytest.approx(10.9, rel=0.03)
    assert found.fitted["energy_kJ_kg"] == pytest.approx(6.8, rel=0.05)
    assert found.fitted["loss_percent"] == pytest.approx(26.0, abs=3.0)
    assert found.mass_g == 1.1
    assert skein_mass_g(craft.skein) == pytest.approx(2.51937)


CAL = "branch,turns,reading,weight_g,arm_mm\ncalibration,,50,25,40\n"
LOOP = "".join(f"winding,{n},{2 * n}\n" for n in (0, 10, 20, 30)) + "".join(
    f"unwinding,{n},{n}\n" for n in (30, 20, 10, 0)
)


def test_a_weight_on_an_arm_calibrates(tmp_path):
    """25 g at 40 mm are 9.80665 mN m; at 50 divisions 0.196133 a division."""
    (tmp_path / "x.csv").write_text(CAL + LOOP, encoding="utf-8")
    record = read_skein_record(tmp_path / "x.csv")
    assert not record.relative
    assert record.winding[-1] == pytest.approx((30.0, 60.0 * 9.80665 / 50.0), rel=1e-12)
    assert [n for n, _ in record.unwinding] == [0.0, 10.0, 20.0, 30.0]
    (tmp_path / "y.csv").write_text(CAL.splitlines()[0] + "\n" + LOOP, encoding="utf-8")
    assert read_skein_record(tmp_path / "y.csv").relative


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("branch,turns\nwinding,1\n", "should hold turns and one of torque_mN_m and reading"),
        ("branch,turns,torque_mNm\n", r"no such column 'torque_mNm'; did you mean torque_mN_m\?"),
        ("branch,turns,reading\n" + LOOP.replace("unwinding,20", "unwinding,40"), "x.csv:7: turns: should fall from row to row"),
        ("branch,turns,reading\n" + LOOP.replace("winding,20,40", "winding,5,40", 1), "x.csv:4: turns: should rise from row to row"),
        ("branch,turns,reading\n" + LOOP.replace("winding,20,40", "windin,20,40", 1), r"x.csv:4: branch: .* did you mean 'winding'\?"),
        ("branch,turns,reading\n" + LOOP.replace("winding,20,40", "winding,20,-4", 1), "x.csv:4: reading: should be at least 0"),
        ("branch,turns,reading\nwinding,0,0\n", "winding: should have at least 4 rows, found 1"),
        (CAL + CAL.splitlines()[1] + "\n" + LOOP, "only one row calibration"),
        (CAL.replace("25", "") + LOOP, "x.csv:2: weight_g: is missing"),
        ("branch,turns,reading\n" + LOOP + "broke,12\n", "should be at least the 30 turns"),
        ("branch,turns,reading,mass_g\n" + LOOP + "sample,,,2\n", "length_mm: is missing"),
        ("branch,turns,reading\n" + LOOP.replace("winding,0,0\n", "winding,8,1\n", 1), "should go down to less than 15 %"),
        ("", "holds no header"),
        ("branch;turns\n", "parted by commas"),
    ],
)  # fmt: skip
def test_a_wrong_record_is_one_line(tmp_path, text, rule):
    file = tmp_path / "x.csv"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput, match=rule) as caught:
        read_skein_record(file)
    assert "\n" not in str(caught.value)


def test_what_a_test_of_a_skein_says():
    """Broken or believed, with torque or in own units."""
    made = loop(skein(), 0.9)
    whole = sentences(bench.skein_test(skein(), made))
    assert any(line.startswith("it was not broken, breaking constant 10 is a belief; wound to 90 %") for line in whole)
    assert "J wound in" in whole[0]
    top = max(made.winding)[0]
    broke = sentences(bench.skein_test(skein(), dataclasses.replace(made, broke=top)))
    assert any(line.startswith("it broke: breaking constant 9; wound to 100 % of its breaking turns") for line in broke)
    own = sentences(bench.skein_test(skein(), dataclasses.replace(made, relative=True)))
    assert "own units without a calibration" in own[0]
    assert "kJ/kg" not in own[0]
