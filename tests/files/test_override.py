"""Overrides: dotted keys, TOML values, and the same sentences as a file gives."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from paddlebar.errors import BadInput
from paddlebar.files import load_craft, load_scenario
from paddlebar.files.override import parse_setting, parse_value, tree

ROOT = Path(__file__).parents[2]
GOOD = Path(__file__).parent / "good"
FLIGHT = GOOD / "flight.toml"


@pytest.mark.parametrize(
    ("text", "key", "value"),
    [
        ("launch.tilt_deg=5", "launch.tilt_deg", 5),
        ("craft.bar.gain = -0.5", "craft.bar.gain", -0.5),
        ("launch.release=held", "launch.release", "held"),
        ("run.after_tipping=fly on", "run.after_tipping", "fly on"),
        ('title="a = b"', "title", "a = b"),
        ("air.turbulence=true", "air.turbulence", True),
        ("launch.push_m_s=[1, 0, 0.5]", "launch.push_m_s", (1, 0, 0.5)),
        ("note=", "note", ""),
    ],
)
def test_settings_are_read_as_toml(text: str, key: str, value: Any) -> None:
    assert parse_setting(text) == (key, value)


@pytest.mark.parametrize("text", ["", "launch.tilt_deg", "=5", "launch..tilt_deg=5"])
def test_a_setting_without_key_or_value_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match=r"^--set: .*write key=value"):
        parse_setting(text)


def test_nan_is_read_as_nan_and_refused() -> None:
    assert math.isnan(parse_value("nan"))
    with pytest.raises(BadInput, match=r"^overrides: launch\.tilt_deg: input should be a finite number, found nan$"):
        load_scenario(FLIGHT, {"launch.tilt_deg": "nan"})


def test_scenario_and_craft_are_set() -> None:
    flight = load_scenario(
        FLIGHT, {"launch.tilt_deg": "5", "craft.bar.gain": -0.5, "craft.part.stick.mass_g": "2", "air.wind_m_s": 1}
    )
    assert flight.launch.tilt_deg == 5.0
    assert flight.craft.bar.gain == -0.5
    assert flight.craft.part[0].mass_g == 2.0
    assert flight.air.wind_m_s == 1.0


def test_a_setting_wins_over_a_change(tmp_path: Path) -> None:
    text = FLIGHT.read_text(encoding="utf-8").replace('"craft.toml"', f'"{GOOD / "craft.toml"}"')
    (tmp_path / "x.toml").write_text(text + "\n[change.bar]\ngain = 0.1\n", encoding="utf-8")
    assert load_scenario(tmp_path / "x.toml").craft.bar.gain == 0.1
    assert load_scenario(tmp_path / "x.toml", {"craft.bar.gain": 0.2}).craft.bar.gain == 0.2


def test_another_craft_file() -> None:
    model = Path(__file__).parents[2] / "models" / "printed-28.toml"
    assert load_scenario(FLIGHT, {"craft": str(model)}).craft.name == "printed 28"


@pytest.mark.parametrize("key", ["bar.gain", "craft.bar.gain"])
def test_a_craft_is_set_with_or_without_its_prefix(key: str) -> None:
    assert load_craft(GOOD / "craft.toml", {key: "-0.5"}).bar.gain == -0.5


def test_one_entry_of_a_list(tmp_path: Path) -> None:
    text = FLIGHT.read_text(encoding="utf-8").replace('"craft.toml"', f'"{GOOD / "craft.toml"}"')
    (tmp_path / "x.toml").write_text(text + '\n[[mishap]]\nwhat = "cord off"\nat_s = 1\n', encoding="utf-8")
    assert load_scenario(tmp_path / "x.toml", {"mishap.1.at_s": 2.5}).mishap[0].at_s == 2.5
    with pytest.raises(BadInput, match=r"^overrides: mishap\.2: no such mishap; there is 1$"):
        load_scenario(tmp_path / "x.toml", {"mishap.2.at_s": 2.5})
    assert load_scenario(FLIGHT, {"craft.shaft.hub_mm.3": 1}).craft.shaft.hub_mm == (0.0, 0.0, 1.0)


@pytest.mark.parametrize(
    ("key", "value", "sentence"),
    [
        ("launch.tilt_rad", 0.1, "overrides: launch.tilt_rad: no such key; did you mean tilt_deg?"),
        ("lunch.tilt_deg", 3, "overrides: lunch: no such key; did you mean launch?"),
        ("craft.bar.gian", 1, "overrides: craft.bar.gian: no such key; did you mean gain?"),
        ("craft.bar.gain", 9, "overrides: craft.bar.gain: input should be less than or equal to 5, found 9"),
        ("craft.bar.gain", "big", "overrides: craft.bar.gain: input should be a number, found 'big'"),
        ("craft.part.stck.mass_g", 1, "overrides: craft.part.stck: no such part; did you mean stick?"),
        ("craft.part.stick.mas_g", 1, "overrides: craft.part.stick.mas_g: no such key; did you mean mass_g?"),
        ("skein.turns.x", 1, "overrides: skein.turns.x: turns holds a value and no entries"),
        ("skein", 1, "overrides: skein: input should be a table, found 1"),
        ("craft.skein.measured", "no.csv", "overrides: craft.skein.measured: no such file, found 'no.csv'"),
        ("craft", "no.toml", "overrides: craft: no such file, found 'no.toml'"),
    ],
)
def test_a_wrong_setting_gives_its_sentence(key: str, value: Any, sentence: str) -> None:
    with pytest.raises(BadInput) as caught:
        load_scenario(FLIGHT, {key: value})
    assert str(caught.value) == sentence


@given(st.text(max_size=30), st.text(max_size=30))
def test_any_setting_works_or_is_refused_in_one_line(key: str, value: str) -> None:
    sentence = "fine"
    try:
        load_scenario(FLIGHT, {key: value})
    except BadInput as error:
        sentence = str(error)
    assert len(sentence.splitlines()) == 1


def test_one_of_some_that_no_file_names() -> None:
    """The others are as the mean; a list that is there keeps its own."""
    one = load_craft(ROOT / "models" / "hall-ten.toml", {"rotor.blade_masses_g.2": 0.7, "bar.tip_masses_g.1": 0.5})
    assert one.rotor.blade_masses_g == (0.68, 0.7)
    assert one.bar.tip_masses_g == (0.5, 0.6)
    listed = {"rotor.blade_pitches_deg": [8.0, 10.0]}
    assert load_craft(ROOT / "models" / "hall-ten.toml", listed).rotor.blade_pitches_deg == (8.0, 10.0)
    with pytest.raises(BadInput, match=r"rotor\.blade_pitches_deg: input should be a list, found a table"):
        load_craft(ROOT / "models" / "hall-ten.toml", {"rotor.blade_pitches_deg.3": 9.0})


@pytest.mark.parametrize(
    ("setting", "says"),
    [
        ("bar.gain=0.5", "overrides: bar: no such key; did you mean craft.bar?"),
        ("craft.bar.gain=0,5", "found '0,5'; with a point: 0.5"),
        ("craft.bar.arm_mm=95mm", "found '95mm'; the unit stands in the key's name: 95"),
        ("craft.bar.arm_mm=95 mm", "the unit stands in the key's name: 95"),
        ("craft.bar.arm_mm=long", "input should be a number, found 'long'"),
    ],
)
def test_slips_of_a_hand_are_told_with_what_to_write(setting: str, says: str) -> None:
    with pytest.raises(BadInput) as told:
        load_scenario(ROOT / "scenarios/first-flight.toml", dict([parse_setting(setting)]))
    assert says in str(told.value)
    assert str(told.value).endswith(says)


@pytest.mark.parametrize(("typed", "value"), [(".5", 0.5), ("-.25", -0.25), ("3.", 3.0)])
def test_numbers_as_a_hand_writes_them(typed: str, value: float) -> None:
    assert parse_setting(f"craft.bar.gain={typed}") == ("craft.bar.gain", value)


def test_a_scenario_in_place_of_a_craft_is_told_with_its_craft() -> None:
    with pytest.raises(
        BadInput, match=r"looks like a scenario; a craft file is wanted, and it names '.*hall-ten.toml'"
    ):
        load_craft(ROOT / "scenarios/first-flight.toml")


@pytest.mark.parametrize("swap", [False, True])
def test_settings_merge_in_any_order(swap: bool) -> None:
    """The gain was lost in one order of the two."""
    both = {"bar.gain": 0.1, "bar": {"lead_deg": 90.0}}
    bar = load_craft(GOOD / "craft.toml", dict(reversed(both.items())) if swap else both).bar
    assert (bar.gain, bar.lead_deg) == (0.1, 90.0)


@pytest.mark.parametrize("swap", [False, True])
@pytest.mark.parametrize(
    ("both", "says"),
    [
        ({"craft": "other.toml", "craft.bar.gain": 0.1}, "overrides: craft: was set as a whole, and craft.bar as well"),
        (
            {"craft.bar.gain": 0.1, "craft.bar": {"gain": 0.2}},
            "overrides: craft.bar.gain: was set twice, to 0.[12] and to 0.[12]",
        ),
        ({"launch": 3, "launch.tilt_deg": 2}, "overrides: launch: was set as a whole, and launch.tilt_deg as well"),
    ],
)
def test_settings_that_contradict_each_other_are_refused_in_any_order(
    both: dict[str, Any], says: str, swap: bool
) -> None:
    with pytest.raises(BadInput, match=says):
        load_scenario(FLIGHT, dict(reversed(both.items())) if swap else both)


def test_quoted_text_of_a_setting_stays_text() -> None:
    """It was read as TOML twice, and came out as a number."""
    assert load_scenario(FLIGHT, dict([parse_setting('title="5"')])).title == "5"
    assert tree({"title": "5"})[0] == {"title": 5}


def test_a_console_that_knows_no_umlaut_hands_on_the_same_text() -> None:
    """Under LC_ALL=C the bytes come as halves of characters; the run file could not be written, with a traceback."""
    assert parse_setting("title=Ärger".encode().decode("ascii", "surrogateescape")) == ("title", "Ärger")
    with pytest.raises(BadInput, match="is no text in UTF-8"):
        parse_setting("title=\udcff")
