"""``paddlebar stand``."""

from __future__ import annotations

import math

import pytest

from cli.conftest import document
from paddlebar import load_craft, stand
from paddlebar.files.craft import weights_g

KEYS = ("rpm", "collective_deg", "thrust_n", "torque_nm", "power_w", "CT", "CQ", "figure_of_merit", "coning_deg")


def test_one_point_is_numbers(run):
    found = document(run("stand", "craft.toml", "--rpm", "400", "--collective", "8", "--json"))
    point = stand(load_craft("craft.toml"), 400.0, 8.0)
    assert {key: found[key] for key in KEYS} == {key: getattr(point, key) for key in KEYS}
    assert found["points"] == [{key: value for key, value in found.items() if key in found["points"][0]}]
    assert found["files"] == []


def test_power_is_torque_times_speed(run):
    found = document(run("stand", "craft.toml", "--rpm", "400", "--json"))
    assert found["power_w"] == pytest.approx(found["torque_nm"] * 400.0 * math.pi / 30.0, rel=1e-12)


def test_a_range_is_lists_and_a_picture(run, tmp_path):
    found = document(run("stand", "craft.toml", "--rpm", "300:500:3", "--collective", "6:10:2", "--out", "x", "--json"))
    assert found["rpm"] == [300.0, 400.0, 500.0] * 2
    assert found["collective_deg"] == [6.0] * 3 + [10.0] * 3
    assert [point["thrust_n"] for point in found["points"]] == found["thrust_n"]
    assert found["files"] == ["x/stand.png"]
    assert [path.name for path in (tmp_path / "x").iterdir()] == ["stand.png"]


def test_the_table_answers_what_lifts_the_craft(run):
    result = run("stand", "craft.toml")
    assert result.exit_code == 0
    assert result.stdout.startswith("hall ten: the whole craft weighs 10.44 g; ")
    craft = load_craft("craft.toml")
    hover = stand(craft, None)
    assert hover.thrust_n == pytest.approx(sum(weights_g(craft).values()) * 9.80665e-3, rel=1e-4)
    assert f"lifts that at {hover.rpm:.0f} rpm" in result.stdout
    assert "eye protection" in result.stdout


def test_set_with_and_without_the_word_craft(run):
    words = ("stand", "craft.toml", "--rpm", "400", "--json", "--set")
    assert document(run(*words, "rotor.collective_deg=5")) == document(run(*words, "craft.rotor.collective_deg=5"))


def test_a_rotor_that_cannot_lift_its_craft_still_has_a_table(run):
    words = ("stand", "craft.toml", "--collective=-30")
    result = run(*words)
    assert result.exit_code == 2
    assert "--rpm" in result.stderr
    assert run(*words, "--rpm", "400").exit_code == 0
