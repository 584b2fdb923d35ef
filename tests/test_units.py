"""Every row of the unit table against a figure written down elsewhere, and no row left out."""

from __future__ import annotations

import types
import typing

import pytest
from pydantic import BaseModel

from paddlebar.files.craft import Craft
from paddlebar.files.scenario import Scenario
from paddlebar.units import FOREIGN, SUFFIXES, parted, stem_of, suffix_of, to_si

# One of each unit in SI. Prefixes and degrees: SI brochure, 9th ed. (from memory); a turn a minute is 2 pi / 60 rad/s.
ONE_IN_SI = {
    "_g": 0.001,
    "_g_m": 0.001,
    "_mm": 0.001,
    "_m": 1.0,
    "_mm2": 0.000001,
    "_s": 1.0,
    "_m_s": 1.0,
    "_deg": 0.017453292519943295,
    "_deg_s": 0.017453292519943295,
    "_rpm": 0.10471975511965977,
    "_mN": 0.001,
    "_mN_m": 0.001,
    "_mN_m_s": 0.001,
    "_mN_m_rad": 0.001,
    "_percent": 0.01,
    "_percent_per_K": 0.01,
    "_kJ_kg": 1000.0,
    "_kg_m3": 1.0,
    "_C": 274.15,
    "_hPa": 100.0,
}

# Keys of the files that are plain numbers: counts, ratios and shares of one.
PLAIN = {
    *("drag_coefficient", "along", "normal", "blades", "gain", "strands", "breaking_constant", "spike", "measured"),
    *("cord_friction", "turns", "backed_off", "tail_turns", "shear_exponent", "seed", "at_turns", "arm", "rtol", "dpi"),
    *("blade_elements", "tail_elements", "paddle_elements", "drag_factor", "airframe_drag_factor"),
    *(
        "section",
        "paddle_section",
    ),  # where they are no name: rows of alpha_deg, cl, cd and more, by their place as in a csv file's columns
}


@pytest.mark.parametrize(("suffix", "one_in_si"), ONE_IN_SI.items())
def test_one_of_each_unit(suffix: str, one_in_si: float) -> None:
    assert to_si("x" + suffix, 1.0) == pytest.approx(one_in_si, rel=1e-15)


def test_no_row_untested() -> None:
    assert set(SUFFIXES) == set(ONE_IN_SI)


@pytest.mark.parametrize(
    ("key", "value", "si"),
    [
        ("radius_mm", 200.0, 0.2),
        ("blade_mass_g", 0.9, 0.0009),
        ("lead_deg", 180.0, 3.141592653589793),
        ("rotor_rpm", 600.0, 62.83185307179586),  # 10 turns a second
        ("spin_deg_s", -360.0, -6.283185307179586),
        ("temperature_C", 0.0, 273.15),
        ("temperature_C", -30.0, 243.15),
        ("pressure_hPa", 1013.25, 101325.0),  # standard atmosphere, ISO 2533
        ("drag_area_mm2", 1e6, 1.0),
        ("friction_mN_m", 0.02, 2e-5),
        ("damping_mN_m_s", 3.0, 0.003),
        ("spring_mN_m_rad", 3.0, 0.003),
        ("cord_tension_mN", 300.0, 0.3),
        ("percent_per_K", 0.5, 0.005),
        ("gain", -0.5, -0.5),
        ("turns", 400.0, 400.0),
    ],
)
def test_worked_values(key: str, value: float, si: float) -> None:
    assert to_si(key, value) == pytest.approx(si, rel=1e-14)


def test_places_are_converted_entry_by_entry() -> None:
    assert to_si("hub_mm", (1000.0, 0.0, -20.0)) == pytest.approx((1.0, 0.0, -0.02), rel=1e-15)


def test_the_longest_end_wins() -> None:
    ends = {"push_m_s": "_m_s", "height_m": "_m", "hold_s": "_s", "damping_mN_m_s": "_mN_m_s", "friction_mN_m": "_mN_m"}
    assert {key: suffix_of(key) for key in ends} == ends
    assert suffix_of("gain") is None


def test_no_foreign_unit_is_one_of_ours() -> None:
    assert not set(FOREIGN) & set(SUFFIXES)


@pytest.mark.parametrize(
    ("key", "stem"), [("tip_mass_kg", "tip_mass"), ("tip_mass_g", "tip_mass"), ("tilt_rad", "tilt"), ("gain", "gain")]
)
def test_stem(key: str, stem: str) -> None:
    assert stem_of(key) == stem


def _numeric_keys(model: type[BaseModel]) -> set[str]:
    keys = set()
    for name, field in model.model_fields.items():
        if _holds(field.annotation, float) or _holds(field.annotation, int):
            keys.add(name)
        for inner in _models(field.annotation):
            keys |= _numeric_keys(inner)
    return keys


def _holds(annotation: object, kind: type) -> bool:
    if annotation is kind:
        return True
    if typing.get_origin(annotation) in (tuple, types.UnionType, typing.Union, typing.Annotated):
        return any(_holds(each, kind) for each in typing.get_args(annotation))
    return False


def _models(annotation: object) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for each in typing.get_args(annotation) for model in _models(each)]


@pytest.mark.parametrize("model", [Craft, Scenario])
def test_every_number_says_its_unit_or_has_none(model: type[BaseModel]) -> None:
    """A new key with a unit that the table does not know would reach the equations unconverted."""
    assert {key for key in _numeric_keys(model) if suffix_of(key) is None} <= PLAIN


@pytest.mark.parametrize(
    ("key", "stem", "unit"),
    [
        ("craft.bar.lead_deg", "craft.bar.lead", "deg"),
        ("craft.bar.gain", "craft.bar.gain", "1"),
        ("skein.turns", "skein.turns", "turns"),
        ("craft.part.nose weight.at_mm.1", "craft.part.nose weight.at.1", "mm"),
        ("craft.skein.energy_kJ_kg", "craft.skein.energy", "kJ/kg"),
        ("craft.shaft.friction_mN_m", "craft.shaft.friction", "mN m"),
    ],
)
def test_a_key_in_words(key: str, stem: str, unit: str) -> None:
    assert parted(key) == (stem, unit)
