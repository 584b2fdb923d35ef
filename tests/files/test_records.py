"""Records of flights as builders type them: what is read, what is refused in one line; overlays; numbers by their keys."""

from __future__ import annotations

from pathlib import Path

import pytest

from paddlebar.errors import BadInput
from paddlebar.files import load_scenario
from paddlebar.files.flight_record import QUANTITIES, read_flight_record, standard_error
from paddlebar.files.keys import number_at, with_number
from paddlebar.files.overlay import overlay

SCENARIOS = Path(__file__).parents[2] / "scenarios"


def read(tmp_path: Path, text: str):
    file = tmp_path / "x.csv"
    file.write_text(text, encoding="utf-8")
    return read_flight_record(file)


def test_a_row_of_each_kind(tmp_path):
    record = read(
        tmp_path,
        "# a remark line\n"
        "kind,name,turns,backed_off,change,duration_s,duration_s_sd,rotor_rpm,rpm_at_s,at_rpm,thrust_g,torque_mN_m,outcome,remarks\n"
        ',first,400,30,"craft.bar.tip_mass_g=0.5; craft.rotor.collective_deg+=2",31.5,2,388,4,,,,landed,"a, b"\n'
        "\n"
        "stand,scale,,,,,,,,350,7.9,2.9,,\n"
        "skein,meter,200,50,,,,,,,,3.1,,\n",
    )
    flight, stand, skein = record.rows
    assert (flight.line, flight.kind, flight.name, flight.outcome, flight.remarks) == (
        3,
        "flight",
        "first",
        "landed",
        "a, b",
    )
    assert flight.changes == {"craft.bar.tip_mass_g": 0.5, "skein.turns": 400.0, "skein.backed_off": 30.0}
    assert flight.shifts == {"craft.rotor.collective_deg": 2.0}
    assert flight.readings[0] == ("duration_s", 31.5, 2.0)
    assert flight.readings[1] == ("rotor_rpm", 388.0, standard_error("rotor_rpm", 388.0))
    assert flight.rpm_at_s == 4.0
    assert (stand.at_rpm, [r.quantity for r in stand.readings]) == (350.0, ["thrust_g", "torque_mN_m"])
    assert (skein.turns, skein.backed_off) == (200.0, 50.0)


def test_frames_of_a_film_are_rotor_speed(tmp_path):
    """240 frames a second, 36 of them a turn: 6 2/3 turns a second, 400 a minute; half a frame of 36 is 5.6 of them."""
    first, own = read(
        tmp_path, "turns,frames_per_turn,fps,rpm_at_s,rotor_rpm_sd\n100,36,240,3,\n100,36,240,3,1.5\n"
    ).rows
    (reading,) = first.readings
    assert reading.quantity == "rotor_rpm"
    assert reading.value == pytest.approx(400.0)
    assert reading.sd == pytest.approx((standard_error("rotor_rpm", 400.0) ** 2 + (400.0 / 72.0) ** 2) ** 0.5)
    assert first.rpm_at_s == 3.0
    assert own.readings[0].sd == 1.5


@pytest.mark.parametrize(
    ("remark", "time"),
    [
        ("tipped left at 3 s", 3.0),
        ("Tipped over at 2.5 s, broke a leg", 2.5),
        ("it tipped forward at 4 s", 4.0),
        ("tipped at once", None),
    ],
)
def test_a_remark_that_says_when_it_tipped_is_a_reading(tmp_path, remark, time):
    (row,) = read(tmp_path, f'turns,turns_left,remarks\n100,20,"{remark}"\n').rows
    assert row.remarks == remark
    tipped = [r.value for r in row.readings if r.quantity == "tipped_at_s"]
    assert tipped == ([] if time is None else [time])
    assert row.outcome == ("" if time is None else "tipped over")


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("turns,duration\n1,2\n", r"x.csv:1: header: no such column 'duration'; did you mean duration_s\?"),
        ("turns,peak_height_ft\n1,2\n", r"no such column 'peak_height_ft'; did you mean peak_height_m\?"),
        ("turns,turns\n1,2\n", "each column needs a name of its own"),
        ("turns,duration_s\n100,12 s\n", "x.csv:2: duration_s: should be a number, found '12 s'"),
        ("turns,duration_s\n100,-1\n", "x.csv:2: duration_s: should be at least 0"),
        ("turns,duration_s\n100,nan\n", "x.csv:2: duration_s: should be at least 0"),
        ("turns,duration_s\n100,1,5\n", "has 3 cells for 2 columns"),
        ("kind,turns,duration_s\nfly,1,2\n", "kind: should be 'flight' or 'stand' or 'skein', found 'fly'"),
        ("kind,thrust_g\nstand,7\n", "at_rpm: is missing"),
        ("kind,at_rpm,thrust_g,duration_s\nstand,300,7,3\n", "duration_s: a row of kind 'stand' has none"),
        ("kind,turns,at_rpm,thrust_g\nstand,100,300,7\n", "turns: a stand turns the rotor itself"),
        ("kind,turns,thrust_g\nflight,100,7\n", "thrust_g: a row of kind 'flight' has none"),
        ("turns,rotor_rpm\n100,400\n", "rpm_at_s: is missing"),
        ("turns,frames_per_turn,fps\n100,20,240\n", "rpm_at_s: is missing"),
        ("turns,frames_per_turn,rpm_at_s\n100,20,3\n", "fps: is missing"),
        ("turns,fps,rpm_at_s\n100,240,3\n", "frames_per_turn: is missing"),
        ("turns,frames_per_turn,fps,rpm_at_s\n100,1.5,240,3\n", "frames_per_turn: should be at least 2"),
        ("turns,frames_per_turn,fps,rpm_at_s\n100,20,0,3\n", "fps: should be at least 1"),
        (
            "turns,frames_per_turn,fps,rpm_at_s,rotor_rpm\n100,20,240,3,700\n",
            "rotor_rpm: stands beside frames_per_turn",
        ),
        (
            "kind,at_rpm,thrust_g,frames_per_turn,fps\nstand,300,7,20,240\n",
            "frames_per_turn: a row of kind 'stand' has none",
        ),
        ("turns,duration_s,duration_s_sd\n100,,2\n", "duration_s_sd: there is no duration_s in this row"),
        ("turns,duration_s,duration_s_sd\n100,3,0\n", "duration_s_sd: should be at least"),
        ("turns,change,duration_s\n100,gain,3\n", "change: should be key=value or key"),
        ("turns,change,duration_s\n100,craft.bar.gain+=much,3\n", "change: should be key=value or key"),
        ("turns,outcome\n100,fell\n", "outcome: should be 'landed'"),
        ("turns,outcome,tipped_at_s\n100,landed,3\n", "outcome: it tipped over in the same row"),
        ("turns,duration_s\n100,\n", "holds no reading"),
        ("turns,duration_s\n", "holds no reading"),
        ("", "holds no header"),
    ],
)
def test_a_wrong_record_is_one_line(tmp_path, text, rule):
    with pytest.raises(BadInput, match=rule) as caught:
        read(tmp_path, text)
    assert "\n" not in str(caught.value)


def test_absent_and_foreign_files(tmp_path):
    with pytest.raises(BadInput, match="no such file"):
        read_flight_record(tmp_path / "none.csv")
    with pytest.raises(BadInput, match="is a folder"):
        read_flight_record(tmp_path)
    (tmp_path / "b.csv").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(BadInput, match="is not UTF-8"):
        read_flight_record(tmp_path / "b.csv")


def test_every_quantity_has_an_error_and_a_place_in_the_manual():
    text = (SCENARIOS.parent / "sim" / "paddlebar" / "docs" / "record.md").read_text(encoding="utf-8")
    for name in QUANTITIES:
        assert standard_error(name, 10.0) > 0.0
        assert f"`{name}`" in text, name


# ---- overlays


def test_an_overlay_is_the_scenario_with_the_changes(tmp_path):
    """From another folder, with a change of the scenario's own, with keys of parts whose names hold a space."""
    source = SCENARIOS / "hall-record.toml"
    before = load_scenario(source)
    changes = {
        "craft.rotor.collective_deg": 9.7,
        "craft.part.long vane.mass_g": "0.4",
        "launch.tilt_deg": 3,
        "craft.airframe_drag_factor": 1.2,
    }
    (tmp_path / "deep").mkdir()
    text = overlay(before, changes, tmp_path / "deep", ["found, so to say", "two\nlines"], source)
    file = tmp_path / "deep" / "m.toml"
    file.write_text(text, encoding="utf-8")
    assert load_scenario(file) == load_scenario(source, changes)
    assert text.startswith("# found, so to say\n# two\n# lines\n# INVENTED")
    assert "an imagined sports hall" in text  # the user's own remarks stay


def test_paths_in_an_overlay_start_at_its_folder(tmp_path):
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    curve = "turns,torque_mN_m\n0,0\n100,2\n200,3\n500,5\n"
    (tmp_path / "a" / "curve.csv").write_text(curve, encoding="utf-8")
    source = tmp_path / "a" / "s.toml"
    text = (
        (SCENARIOS / "hall-record.toml")
        .read_text(encoding="utf-8")
        .replace("../models", str(SCENARIOS.parent / "models"))
    )
    source.write_text(text + '[change.skein]\nmeasured = "curve.csv"\n', encoding="utf-8")
    before = load_scenario(source)
    (tmp_path / "b" / "m.toml").write_text(
        overlay(before, {"craft.skein.loss_percent": 20.0}, tmp_path / "b", source=source), encoding="utf-8"
    )
    after = load_scenario(tmp_path / "b" / "m.toml")
    assert after.craft.skein.measured == before.craft.skein.measured
    assert after.craft.skein.loss_percent == 20.0


def test_without_a_file_the_whole_description_is_written(tmp_path):
    before = load_scenario(SCENARIOS / "hall-record.toml")
    (tmp_path / "m.toml").write_text(overlay(before, {"craft.bar.gain": 0.5}, tmp_path), encoding="utf-8")
    assert load_scenario(tmp_path / "m.toml") == load_scenario(SCENARIOS / "hall-record.toml", {"craft.bar.gain": 0.5})


# ---- numbers by their keys


def test_numbers_by_key():
    scenario = load_scenario(SCENARIOS / "hall-record.toml")
    assert number_at(scenario, "craft.bar.tip_mass_g", "x") == (0.6, 0.0, 500.0)
    assert number_at(scenario, "craft.part.stick.mass_g", "x").value == 0.75
    assert number_at(scenario, "craft.rotor.drag_factor", "x") == (1.0, 0.2, 5.0)
    for key, value in (("craft.bar.gain", 0.7), ("craft.part.stick.diameter_mm", 5.0), ("launch.tilt_deg", 4.0)):
        again = load_scenario(SCENARIOS / "hall-record.toml", {key: value})
        quick, slow = (
            each.model_dump(exclude={"craft": {"all_up_g"}}) for each in (with_number(scenario, key, value), again)
        )
        assert quick == slow


@pytest.mark.parametrize(
    ("key", "rule"),
    [
        ("craft.bar.gian", r"no such key; did you mean gain\?"),
        ("craft.rotor.blades", "no count"),
        ("craft.rotor", "no count"),
        ("craft.bar.kind", "no count"),
        ("craft.part.stik.mass_g", "there is no stik"),
        ("craft.bar.gain.x", "no count"),
        ("craft.skein.hooks_mm", "no count"),
    ],
)
def test_keys_that_hold_no_number(key, rule):
    with pytest.raises(BadInput, match=rule):
        number_at(load_scenario(SCENARIOS / "hall-record.toml"), key, "unknowns")


def test_a_builder_may_write_every_end_that_a_flight_may_have():
    """The reader of files knows no flight, so the words stand twice; all but a failure of the computation, which no builder sees."""
    from paddlebar.files.flight_record import OUTCOMES
    from paddlebar.flight.endings import Outcome

    assert set(OUTCOMES) == {outcome.value for outcome in Outcome} - {"failed"}


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ('2,"first', "x.csv:2: row: is no row of a csv"),
        ("27,4,first", "x.csv:2: row: has 3 cells for 2 columns.*a number a point"),
        ("27_4,first", "x.csv:2: duration_s: should be a number, found '27_4'"),
        ("27", "x.csv:2: row: has 1 cells for 2 columns"),
    ],
)
def test_slips_in_a_row_are_told_and_not_read_as_something_else(tmp_path, row, says):
    """An open quote dropped a row, a decimal comma became another cell, 27_4 was 274, a short row was filled up."""
    with pytest.raises(BadInput, match=says):
        read(tmp_path, f"duration_s,name\n{row}\n31.5,second\n")
