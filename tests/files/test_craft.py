"""Craft files: defaults, kinds, sums, and the round trip of the effective description."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from paddlebar.errors import BadInput
from paddlebar.files import Craft, load_craft, parse_craft
from paddlebar.files.checks import sum_g
from paddlebar.files.craft import skein_mass_g, weights_g
from paddlebar.files.parts import RodPart

HERE = Path(__file__).parent
GOOD = HERE / "good" / "craft.toml"
MODELS = sorted((HERE.parents[1] / "models").glob("*.toml"))


@pytest.fixture(scope="module")
def craft() -> Craft:
    return load_craft(GOOD)


def changed(**overrides: Any) -> Craft:
    """The good craft with changes; "__" stands for the dot."""
    return load_craft(GOOD, {key.replace("__", "."): value for key, value in overrides.items()})


def test_values_stay_in_file_units(craft: Craft) -> None:
    assert craft.rotor.radius_mm == 200.0
    assert isinstance(craft.rotor.radius_mm, float)  # 200 in the file
    assert craft.skein.hooks_mm == ((0.0, 0.0, -22.0), (0.0, 0.0, -218.0))
    assert isinstance(craft.part[0], RodPart)


def test_defaults(craft: Craft) -> None:
    assert craft.rotor.tip_chord_mm == craft.rotor.chord_mm
    assert craft.bar.paddle_centre_mm == craft.bar.arm_mm
    assert craft.shaft.turns == "counter-clockwise"
    assert craft.skein.breaking_constant == 10.0
    assert craft.skein.density_kg_m3 == 930.0
    assert not craft.bar.given("stop_deg")


def test_sum_of_all_masses(craft: Craft) -> None:
    # By hand: stick 1.2, boom .5, hub .7, blades 1.8, bar 1.2, skein 12 mm2 x 200 mm x .93e-3 g/mm3 = 2.232, tail .4
    assert skein_mass_g(craft.skein) == pytest.approx(2.232, rel=1e-12)
    assert sum_g(craft) == pytest.approx(8.032, rel=1e-12)
    assert weights_g(craft)["bar"] == pytest.approx(1.2, rel=1e-12)


def test_no_bar_keeps_the_other_entries() -> None:
    bare = changed(bar__kind="none")
    assert bare.bar.kind == "none"
    assert bare.bar.arm_mm == 80.0
    assert "bar" not in weights_g(bare)


def test_a_bar_of_kind_none_needs_nothing_else() -> None:
    text = GOOD.read_text(encoding="utf-8")
    start, end = text.index("[bar]"), text.index("[skein]")
    bare = parse_craft(text[:start].replace("all_up_g = 8.0", "") + '[bar]\nkind = "none"\n\n' + text[end:])
    assert bare.bar.kind == "none"
    assert parse_craft(bare.effective_toml()) == bare


def test_no_tail_is_none() -> None:
    assert changed(tail__drive="none").tail is None


def test_the_weighed_total_moves_with_a_change(craft: Craft) -> None:
    heavier = changed(part__stick__mass_g=3.2)
    assert heavier.all_up_g == pytest.approx(8.0 + 2.0, rel=1e-12)
    with pytest.raises(BadInput, match="within 5 %"):
        changed(part__stick__mass_g=3.2, all_up_g=8.0)


def test_a_skein_by_its_mass() -> None:
    weighed = changed(skein__mass_g=2.5)
    assert weighed.skein.strands is None
    assert skein_mass_g(weighed.skein) == 2.5


def test_a_tail_with_its_own_skein() -> None:
    text = GOOD.read_text(encoding="utf-8").replace('drive = "cord"', 'drive = "skein"')
    own = "[tail.skein]\nmass_g = 0.3\nlength_mm = 120\nhooks_mm = [[-250, -4, -100], [-120, -4, -100]]\n"
    craft = parse_craft(text + own)
    assert craft.tail is not None
    assert craft.tail.skein is not None
    assert weights_g(craft)["tail skein"] == 0.3
    assert parse_craft(craft.effective_toml()) == craft


def test_a_measured_curve_is_read_beside_its_file_and_travels_with_the_description() -> None:
    text = GOOD.read_text(encoding="utf-8").replace("strands = 6", 'strands = 6\nmeasured = "torque.csv"')
    craft = parse_craft(text, folder=GOOD.parent)
    assert craft.skein.measured == ((0.0, 0.0), (50.0, 1.8), (200.0, 2.5), (400.0, 3.6))
    assert parse_craft(craft.effective_toml(), folder="/nowhere") == craft


def test_a_section_file_is_found_beside_its_file(tmp_path: Path) -> None:
    (tmp_path / "arc.csv").write_text("", encoding="utf-8")
    text = GOOD.read_text(encoding="utf-8").replace('section = "flat plate"', 'section = "arc.csv"')
    craft = parse_craft(text, folder=tmp_path)
    assert craft.tail is not None
    assert craft.tail.section == f"# {(tmp_path / 'arc.csv').resolve()}\n"  # read at once


@pytest.mark.parametrize("path", [GOOD, *MODELS], ids=lambda path: path.stem)
def test_the_effective_description_loads_to_an_equal_one(path: Path) -> None:
    craft = load_craft(path)
    assert parse_craft(craft.effective_toml(), folder=path.parent) == craft
    assert craft.effective_toml() == parse_craft(craft.effective_toml(), folder=path.parent).effective_toml()


@pytest.mark.parametrize("path", MODELS, ids=lambda path: path.stem)
def test_shipped_models_say_that_they_are_invented(path: Path) -> None:
    assert "INVENTED" in path.read_text(encoding="utf-8")


def test_later_errors_name_file_and_line(craft: Craft) -> None:
    line = GOOD.read_text(encoding="utf-8").splitlines().index("gain = 0.8") + 1
    assert str(craft.bad("bar.gain", "x")) == f"{GOOD}:{line}: bar.gain: x"
    assert str(craft.bad("bar.friction_mN_m", "x")).endswith(": bar.friction_mN_m: x")


# ---- any craft within bounds ----------------------------------------------------------------------------------------


def number(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


@given(
    values=st.fixed_dictionaries(
        {
            "part.stick.mass_g": number(0.01, 20.0),
            "shaft.hub_mass_g": number(0.01, 20.0),
            "bar.tip_mass_g": number(0.01, 20.0),
            "rotor.radius_mm": number(100.0, 190.0),
            "rotor.root_mm": number(0.0, 90.0),
            "rotor.chord_mm": number(1.0, 100.0),
            "rotor.collective_deg": number(-40.0, 60.0),
            "bar.gain": number(-5.0, 5.0),
            "skein.strands": st.integers(1, 100),
            "skein.width_mm": st.just(0.5),
            "head.kind": st.sampled_from(["rigid", "teetering", "flapping"]),
            "bar.kind": st.sampled_from(["none", "locked", "seesaw"]),
            "shaft.turns": st.sampled_from(["clockwise", "counter-clockwise"]),
        }
    ),
    note=st.text(st.characters(exclude_categories=["Cs"]), max_size=40),
)
def test_any_craft_within_bounds_survives_the_round_trip(values: dict[str, Any], note: str) -> None:
    craft = load_craft(GOOD, values).model_copy(update={"note": note})
    again = parse_craft(craft.effective_toml())
    assert again == craft
    assert sum_g(again) == sum_g(craft)
