"""Each key allowed by itself, the whole not: one sentence that names the key to change; values that are no values."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from paddlebar.craft.limits import check_limits
from paddlebar.craft.rubber import allowed_turns
from paddlebar.errors import BadInput
from paddlebar.files import load_craft, load_scenario, parse_craft, parse_scenario
from paddlebar.files.checks import suspect
from paddlebar.files.places import read_text
from paddlebar.files.skein_record import read_skein_record

GOOD = Path(__file__).parent / "good"
CRAFT, FLIGHT = GOOD / "craft.toml", GOOD / "flight.toml"


def station(*radii: float) -> dict[str, Any]:
    rows = [{"radius_mm": radius, "chord_mm": 30.0, "pitch_deg": 12.0} for radius in radii]
    return {"rotor.station": rows}


OWN_SKEIN = {
    "tail.drive": "skein",
    "tail.skein.mass_g": 0.3,
    "tail.skein.length_mm": 120.0,
    "tail.skein.hooks_mm": [[-250.0, -4.0, -100.0], [-120.0, -4.0, -100.0]],
}


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        (station(30.0, 210.0), "rotor.station.2.radius_mm: input should be at most radius_mm 200, found 210"),
        (station(30.0), "rotor.station.1.radius_mm: one station makes no blade; give at least two"),
        (
            {"skein.knee_percent": 50.0, "skein.settle_percent": 41.0},
            "skein.knee_percent: knee_percent and settle_percent should leave a plateau (90 at most together), found 50 and 41",
        ),
        ({"bar.arm_mm": 0.0}, "bar.arm_mm: input should be greater than 0, found 0"),
        (
            {"bar.wire_mass_g": 0.0, "bar.tip_mass_g": 0.0, "all_up_g": 7.0},
            'bar.tip_mass_g: a bar needs some mass; give one, or kind = "none", found 0',
        ),
        (
            {"bar.paddle_span_mm": 50.0, "bar.paddle_chord_mm": 15.0, "bar.paddle_centre_mm": 20.0},
            "bar.paddle_centre_mm: the paddle reaches past the hinge: should be at least half of paddle_span_mm 50, found 20",
        ),
        ({"tail.root_mm": 45.0}, "tail.root_mm: input should be less than radius_mm 45, found 45"),
        ({"skein.measured": [[0, 0], [50, "much"]]}, "row: should be two finite numbers (turns, torque_mN_m), found"),
        (
            {"skein.measured": [[0, 0], [50, 1], [50, 2], [90, 3]]},
            "turns: should increase from row to row and not be negative, found 50",
        ),
        (
            {"skein.measured": [[0, 0], [50, 1], [60, -2], [90, 3]]},
            "torque_mN_m: should not be negative, found -2",
        ),
        ({"bar.gain.much": 1}, "gain holds a value and no entries"),
        ({"bar.gain": [1, 2]}, "found [1, 2]"),
        ({"bar": 3, "bar.gain": 0.5}, "bar: was set as a whole, and bar.gain as well"),
        (
            {"part.boom.name": "b.oom"},
            "a name should not be blank nor hold any of",
        ),
    ],
)  # fmt: skip
def test_a_craft_that_cannot_be(changes: dict[str, Any], sentence: str) -> None:
    with pytest.raises(BadInput) as caught:
        load_craft(CRAFT, changes)
    assert sentence in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("extra", "sentence"),
    [
        (
            "[launch]\nheight_m = 1.0\npush_m_s = [0.0, 31.0, 0.0]\n",
            "push_m_s: each speed should lie in -30..30, found [0.0, 31.0, 0.0]",
        ),
        (
            '[launch]\nheight_m = 1.0\n[[mishap]]\nwhat = "cord off"\nat_turns = 401\n',
            "mishap.1.at_turns: input should be at most the turns wound at launch 400, found 401",
        ),
        ("[launch]\nheight_m = { much = 1 }\n", "launch.height_m: input should be a number, found a table"),
        ("[launch]\nheight_m = 1.0\n", "change: input should be a table, found 3"),
    ],
)
def test_a_flight_that_cannot_be(extra: str, sentence: str) -> None:
    change = "change = 3\n" if "change" in sentence else ""
    text = f'craft = "craft.toml"\n{change}[skein]\nturns = 400\n{extra}'
    with pytest.raises(BadInput) as caught:
        parse_scenario(text, "x.toml", GOOD)
    assert str(caught.value).startswith("x.toml:")
    assert sentence in str(caught.value)


def test_the_tails_own_skein_is_not_wound_past_breaking_either() -> None:
    own = {f"craft.{key}": value for key, value in OWN_SKEIN.items()}
    scenario = load_scenario(FLIGHT, own)
    assert scenario.craft.tail is not None
    assert scenario.craft.tail.skein is not None
    most = allowed_turns(scenario.craft.tail.skein)
    check_limits(load_scenario(FLIGHT, {**own, "skein.tail_turns": most - 1.0}))
    with pytest.raises(BadInput, match=rf"skein\.tail_turns: the skein breaks at {most:.0f} turns"):
        check_limits(load_scenario(FLIGHT, {**own, "skein.tail_turns": most + 1.0}))


def test_a_file_that_the_system_will_not_open() -> None:
    with pytest.raises(BadInput, match=r"cannot be read \(File name too long\)"):
        read_text(Path("x" * 300 + ".toml"), "x.toml")


def test_a_curve_with_a_word_in_it_names_its_line(tmp_path: Path) -> None:
    (tmp_path / "curve.csv").write_text("# a remark\nturns,torque_mN_m\n0,0\n50,much\n", encoding="utf-8")
    text = CRAFT.read_text(encoding="utf-8").replace("strands = 6", 'strands = 6\nmeasured = "curve.csv"')
    with pytest.raises(BadInput, match=r"curve\.csv:4: torque_mN_m: should be a number, found 'much'"):
        parse_craft(text, folder=tmp_path)


ROWS = "".join(
    f"{turns},{turns},{way},,\n"
    for way, step in (("winding", 1), ("unwinding", -1))
    for turns in (0, 50, 90, 200)[::step]
)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("turns,torque_mN_m,branch\n0,0,winding\n10,1,\n", "x.csv:3: branch: is missing (one of"),
        (
            f"turns,torque_mN_m,branch,weight_g,arm_mm\n{ROWS}10,1,calibration,5,30\n",
            "x.csv:10: branch: torque_mN_m needs no calibration; name the column reading if it is in own units",
        ),
    ],
)
def test_a_wrong_record_of_a_skein(tmp_path: Path, text: str, sentence: str) -> None:
    file = tmp_path / "x.csv"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        read_skein_record(file)
    assert sentence in str(caught.value)


@pytest.mark.parametrize(
    ("weights", "scale", "says"),
    [
        ({"part stick": 3.8, "blades": 1.4, "hub": 0.7}, 2.48, "part stick of 3.8 g would fit as 0.38 g"),
        ({"part stick": 0.087, "blades": 1.4, "hub": 0.7}, 2.97, "part stick of 0.087 g would fit as 0.87 g"),
        ({"a": 3.0, "b": 2.0, "c": 1.0, "d": 0.5}, 5.0, "weigh the heaviest again: a 3.00 g, b 2.00 g, c 1.00 g"),
        ({"a": 3.0, "b": 2.0}, 6.0, "1.00 g are missing"),
    ],
)
def test_the_suspicious_weight_is_named(weights: dict[str, float], scale: float, says: str) -> None:
    assert suspect(weights, scale).startswith(says)
