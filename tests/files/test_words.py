"""Words of the keys stand at the fields: none without, plain, short, and what is made from them is whole."""

from __future__ import annotations

import re

import pytest

from paddlebar.files.craft import Bar, Craft, Rotor, Skein, Tail
from paddlebar.files.explained import Key, key_at, keys_of
from paddlebar.files.key_table import FILES, as_markdown, rows
from paddlebar.files.scenario import CHANGE, Scenario
from paddlebar.files.sentences import models_of
from paddlebar.files.strict import Described, Strict
from paddlebar.units import SUFFIXES, suffix_of

LONGEST = 200
JARGON = (
    "nutation", "phasor", "eigen", "floquet", "chi-square", "covariance", "quaternion", "hysteresis", "inertia", "azimuth",
    "cyclic", "damped", "jacobian", "residual", "stiffness matrix", "polar", "reynolds", "collocation", "None", "tuple", "float",
)  # fmt: skip
"""What a builder should not have to look up, and what only a programmer says."""


def models(model: type[Strict], seen: set[type[Strict]]) -> set[type[Strict]]:
    """The class and all classes of tables in it."""
    if model not in seen:
        seen.add(model)
        for field in model.model_fields.values():
            for inner in models_of(field.annotation):
                assert issubclass(inner, Strict)
                models(inner, seen)
    return seen


FIELDS = [
    (each.__name__, name)
    for each in sorted(models(Scenario, set()), key=lambda m: m.__name__)
    for name in each.model_fields
]
MODELS = {each.__name__: each for each in models(Scenario, set())}


def test_all_classes_are_looked_at() -> None:
    assert {"Craft", "Scenario", "TubePart", "Station", "Mishap", "Pictures"} <= set(MODELS)
    assert len(FIELDS) > 190


@pytest.mark.parametrize(("model", "name"), FIELDS)
def test_every_field_says_what_it_is(model: str, name: str) -> None:
    words = MODELS[model].model_fields[name].description
    assert words is not None
    assert 4 < len(words) <= LONGEST
    assert words.endswith(".")
    assert words == " ".join(words.split())
    assert "NAME" not in words
    assert [each for each in JARGON if re.search(rf"\b{each}", words, re.IGNORECASE if each.islower() else 0)] == []


def test_words_of_a_change_are_as_plain() -> None:
    assert len(CHANGE) <= LONGEST
    assert [each for each in JARGON if each in CHANGE.lower()] == []


@pytest.mark.parametrize("model", [Craft, Scenario])
def test_keys_are_all_fields_each_once_for_each_kind(model: type[Strict]) -> None:
    """keys_of walks by itself; here against the classes, without what it names only."""
    found = list(keys_of(model))
    assert len(found) == len(set(map(str, found)))
    inside = models(model, set()) - (models(Craft, set()) if model is Scenario else set())
    held = {
        (each, name)
        for each in inside
        for name, field in each.model_fields.items()
        if not _entered(each, field.annotation)
    }
    assert {(key.model, key.name) for key in found} == held


def _entered(model: type[Strict], annotation: object) -> bool:
    """A table that is entered, not named: neither a whole description nor the tail's own skein."""
    return model is not Tail and any(not issubclass(each, Described) for each in models_of(annotation))


@pytest.mark.parametrize(
    ("model", "key", "unit"),
    [
        (Craft, "rotor.radius_mm", "mm"),
        (Craft, "rotor.station.pitch_deg", "deg"),
        (Craft, "skein.reference_C", "deg C"),
        (Craft, "skein.linear_density_g_m", "g/m"),
        (Craft, "skein.hooks_mm", "mm"),
        (Craft, "head.spring_mN_m_rad", "mN m/rad"),
        (Craft, "bar.gain", ""),
        (Craft, "shaft.turns", ""),
        (Craft, "rotor.blades", ""),
        (Scenario, "skein.turns", "turns"),
        (Scenario, "launch.push_m_s", "m/s"),
    ],
)
def test_unit_of_a_key(model: type[Strict], key: str, unit: str) -> None:
    assert key_at(model, key).unit == unit


def test_every_number_with_a_unit_in_its_name_shows_it() -> None:
    for model in (Craft, Scenario):
        for key in keys_of(model):
            if suffix_of(key.name) in SUFFIXES:
                assert key.unit, key
                assert "_" not in key.unit


@pytest.mark.parametrize("model", [Craft, Scenario])
def test_no_key_that_is_demanded_is_said_to_be_dispensable(model: type[Strict]) -> None:
    demanded = [key for key in keys_of(model) if key.field.is_required()]
    assert len(demanded) > 1
    assert [key for key in demanded if key.may_go] == []


@pytest.mark.parametrize(
    ("model", "name", "may_go"),
    [
        (Bar, "lead_deg", False),
        (Bar, "stop_deg", True),
        (Tail, "tail_pulley_mm", False),
        (Skein, "mass_g", False),
        (Rotor, "material", True),
    ],
)
def test_what_a_kind_or_a_way_needs_may_not_go(model: type[Strict], name: str, may_go: bool) -> None:
    assert Key("", name, model.model_fields[name], model).may_go is may_go


def test_needs_and_ways_name_keys_that_exist() -> None:
    for model in MODELS.values():
        named = {key for keys in (*model.needs.values(), *model.ways) for key in keys}
        assert named <= set(model.model_fields)
        kinds = key_at(model, model.picker).choices if model.needs else []
        assert set(model.needs) <= set(kinds)


def test_a_choice_names_what_there_is_to_choose_from() -> None:
    for model in (Craft, Scenario):
        for key in keys_of(model):
            for choice in key.choices if len(key.choices) > 1 else ():
                assert choice in key.words, key


@pytest.mark.parametrize("file", FILES)
def test_the_table_of_keys_has_every_key(file: str) -> None:
    found = rows(file)
    assert {row.key for row in found} == {f"{key.table}.{key.name}".strip(".") for key in keys_of(FILES[file])}
    assert all(row.allowed and row.words for row in found)
    text = as_markdown(file)
    for row in found:
        assert f"- `{row.key.rpartition('.')[2]}` ({row.allowed}{' ' * bool(row.unit)}{row.unit}; " in text, row
    assert text.count("\n- `") + text.startswith("- `") == len(found)
    assert text in as_markdown()


@pytest.mark.parametrize(
    ("file", "row"),
    [
        ("craft", ("rotor.chord_mm", "mm", "above 0 and at most 500", "needed")),
        ("craft", ("rotor.tip_chord_mm", "mm", "above 0 and at most 500", "as chord_mm")),
        ("craft", ("rotor.blades", "", "whole number, 2 to 6", "needed")),
        ("craft", ("bar.gain", "", "-5 to 5", 'needed with kind "locked" or "seesaw"')),
        ("craft", ("bar.tip_masses_g", "g", "list of 2, each 0 to 500", "")),
        ("craft", ("skein.mass_g", "g", "above 0 and at most 200", "needed in one of 3 ways")),
        ("craft", ("skein.run_out", "", '"freewheel", "rewinds", "locked"', '"freewheel"')),
        ("craft", ("skein.hooks_mm", "mm", "list of 2, each list of 3, each -2000 to 2000", "needed")),
        ("craft", ("tail.skein", "", "a table", 'needed with drive "skein"')),
        ("craft", ("part.touches", "", "true or false", "true")),
        ("craft", ("part.kind", "", '"tube"', "needed")),
        ("scenario", ("craft", "", "a path or a table", "needed")),
        ("scenario", ("launch.push_m_s", "m/s", "list of 3, each number", "[0, 0, 0]")),
        ("scenario", ("skein.turns", "turns", "0 to 100000", "needed")),
    ],
)
def test_rows_of_the_table_of_keys(file: str, row: tuple[str, ...]) -> None:
    assert row in [each[:4] for each in rows(file)]


def test_a_key_of_some_kinds_of_part_says_of_which() -> None:
    words = [row.words for row in rows("craft") if row.key in ("part.from_mm", "part.mass_g", "part.kind")]
    assert "(rod, tube) One end." in words
    assert "On the scale, glue included." in words
    assert len([each for each in words if each.startswith("(")]) == 7
