"""Scenario files: the craft by path or whole, changes, defaults, limits of the skein."""

from __future__ import annotations

from pathlib import Path

import pytest

from paddlebar.craft.limits import check_limits
from paddlebar.craft.rubber import allowed_turns
from paddlebar.errors import BadInput
from paddlebar.files import Scenario, load_scenario, parse_scenario
from paddlebar.physics.skein_limits import breaking_turns

GOOD = Path(__file__).parent / "good"
FLIGHT = GOOD / "flight.toml"
TEXT = FLIGHT.read_text(encoding="utf-8")


def parsed(text: str) -> Scenario:
    return parse_scenario(text, "x.toml", GOOD)


def test_defaults() -> None:
    flight = load_scenario(FLIGHT)
    assert flight.craft.name == "small"
    assert flight.skein.turns == 400.0
    assert flight.launch.release == "free"
    assert flight.launch.push_m_s == (0.0, 0.0, 0.0)
    assert flight.air.temperature_C == 20.0
    assert flight.room.ceiling_m is None
    assert flight.mishap == ()
    assert (flight.run.method, flight.run.rtol, flight.run.tilt_limit_deg) == ("DOP853", 1e-5, 100.0)
    assert flight.pictures.draw == ("height", "plan", "yaw", "bar", "ledger")


def test_the_texts_are_kept() -> None:
    flight = load_scenario(FLIGHT)
    assert flight.source_text == TEXT
    assert flight.craft_text == (GOOD / "craft.toml").read_text(encoding="utf-8")


def test_a_gust_comes_from_where_the_wind_does() -> None:
    assert parsed(TEXT + "\n[air]\nwind_from_deg = 40\n").air.gust_from_deg == 40.0
    assert parsed(TEXT + "\n[air]\nwind_from_deg = 40\ngust_from_deg = 10\n").air.gust_from_deg == 10.0


def test_changes_are_laid_over_the_craft() -> None:
    flight = parsed(
        TEXT
        + '\n[change.head]\nkind = "rigid"\n[change.part.stick]\nmass_g = 2\n'
        + '[change.part.ballast]\nkind = "point"\nat_mm = [60, 0, -150]\nmass_g = 1\n'
    )
    assert flight.craft.head.kind == "rigid"
    assert flight.craft.head.stop_deg == 15.0  # untouched
    assert {part.name: part.mass_g for part in flight.craft.part} == {"stick": 2.0, "boom": 0.5, "ballast": 1.0}
    assert flight.craft.all_up_g == pytest.approx(8.0 + 0.8 + 1.0, rel=1e-12)


def test_a_part_may_become_one_of_another_kind() -> None:
    flight = parsed(TEXT + '\n[change.part.boom]\nkind = "point"\nat_mm = [-120, 0, -100]\n')
    assert flight.craft.part[1].kind == "point"
    assert flight.craft.part[1].mass_g == 0.5


def test_parts_are_changed_by_name_only() -> None:
    with pytest.raises(BadInput, match=r"^x\.toml:11: change\.part: name the part to change"):
        parsed(TEXT + '\n[[change.part]]\nname = "stick"\nmass_g = 1\n')


def test_a_change_of_the_skein_from_strands_to_mass() -> None:
    flight = parsed(TEXT + "\n[change.skein]\nmass_g = 2.0\n")
    assert flight.craft.skein.strands is None


@pytest.mark.parametrize(
    "extra",
    [
        "",
        '\n[change.bar]\nkind = "none"\n',
        '\n[change.tail]\ndrive = "none"\n',
        '\n[[mishap]]\nwhat = "cord off"\nat_turns = 100\n[[mishap]]\nwhat = "bar locked"\nat_s = 1.5\narm = 2\n',
        '\n[room]\nceiling_m = 6\nlength_m = 20\nwidth_m = 10\n[pictures]\ndraw = ["yaw"]\n',
        '\n[change.skein]\nmeasured = "torque.csv"\n',
    ],
)
def test_the_effective_description_loads_to_an_equal_one(extra: str) -> None:
    flight = parsed(TEXT + extra)
    again = parse_scenario(flight.effective_toml(), "effective", "/nowhere")
    assert again == flight
    assert again.effective_toml() == flight.effective_toml()


def test_the_craft_may_stand_in_the_scenario() -> None:
    flight = parsed(load_scenario(FLIGHT).effective_toml())
    assert flight.craft.name == "small"
    with pytest.raises(BadInput, match=r"^x\.toml:\d+: craft\.bar\.gain: input should be"):
        parsed(flight.effective_toml().replace("gain = 0.8", "gain = 80.0"))


def test_later_errors_name_file_and_line() -> None:
    flight = parsed(TEXT + "\n[change.bar]\ngain = 0.5\n")
    assert str(flight.bad("skein.turns", "x")) == "x.toml:5: skein.turns: x"
    assert str(flight.bad("launch.spin_deg_s", "x")) == "x.toml:7: launch.spin_deg_s: x"
    assert str(flight.craft.bad("bar.gain", "x")) == f"x.toml:{len(TEXT.splitlines()) + 3}: change.bar.gain: x"
    assert str(flight.craft.bad("bar.arm_mm", "x")).startswith(str(GOOD / "craft.toml"))


# ---- turns against breaking (craft/limits.py) -----------------------------------------------------------------------


def test_breaking_turns_of_the_published_example() -> None:
    """17 in loop of .083 x .042 in strip, K 10.64: 127.4 turns an inch, 2166 in all (references.md 6.1, [A])."""
    inch = 0.0254
    section = 2 * 0.083 * 0.042 * inch**2
    assert breaking_turns(17 * inch, section, 10.64) == pytest.approx(2166, abs=1)


def test_breaking_turns_of_the_small_craft() -> None:
    # 10 x 200 mm / sqrt(12 mm2)
    assert allowed_turns(load_scenario(FLIGHT).craft.skein) == pytest.approx(577.35, abs=0.01)


def test_winding_to_the_limit_and_past_it() -> None:
    check_limits(load_scenario(FLIGHT, {"skein.turns": 577}))
    with pytest.raises(BadInput, match=r"^overrides: skein\.turns: the skein breaks at 577 turns .*, found 578$"):
        check_limits(load_scenario(FLIGHT, {"skein.turns": 578}))


def test_a_measured_curve_that_goes_further_is_believed() -> None:
    text = TEXT + "\n[change.skein]\nmeasured = [[0, 0], [100, 2], [300, 3], [700, 6]]\n"
    check_limits(parse_scenario(text.replace("turns = 400", "turns = 690"), "x.toml", GOOD))
    with pytest.raises(BadInput, match=r"skein\.turns: the skein's torque was measured up to 700 turns.*, found 710$"):
        check_limits(parse_scenario(text.replace("turns = 400", "turns = 710"), "x.toml", GOOD))
