"""A file written anew: loads to the changed description, keeps its comments, says what was there."""

from __future__ import annotations

import difflib
import json
import shutil
from pathlib import Path

import pytest

from paddlebar.files import load_craft, load_scenario
from paddlebar.files.parts import RodPart
from paddlebar.files.rewrite import craft_text, scenario_text

ROOT = Path(__file__).parents[2]


def written(folder, start, overrides, notes_craft=None, notes_flight=None, source=None):
    """Start, changed scenario, and both texts read back from a folder of their own."""
    changed = load_scenario(source, {**start[1], **overrides})
    before = load_scenario(source, start[1])
    folder.mkdir()
    texts = (
        craft_text(before, changed.craft, notes_craft or {}),
        scenario_text(before, changed, "improved.toml", notes_flight or {}),
    )
    (folder / "improved.toml").write_text(texts[0], encoding="utf-8")
    (folder / "flight.toml").write_text(texts[1], encoding="utf-8")
    assert load_craft(folder / "improved.toml") == changed.craft
    assert load_scenario(folder / "flight.toml") == changed
    return texts


def test_comments_stay_and_changed_entries_say_what_was(tmp_path):
    craft, flight = written(
        tmp_path / "new",
        ("", {}),
        {"craft.shaft.tilt_right_deg": 1.5, "craft.rotor.blade_mass_g": 0.7, "craft.all_up_g": 10.54, "craft.part.boom.mass_g": 0.45,
         "craft.bar.friction_mN_m": 0.5, "craft.head.delta3_deg": 5.0, "skein.turns": 380.0, "run.duration_s": 90.0},
        {"shaft.tilt_right_deg": "was 2.5", "rotor.blade_mass_g": "was 0.68", "all_up_g": "was 10.5", "part.boom.mass_g": "was 0.4",
         "bar.friction_mN_m": "was 0", "head.delta3_deg": "was 0"},
        {"skein.turns": "was 350", "run.duration_s": "was 60"},
        ROOT / "scenarios" / "first-flight.toml",
    )  # fmt: skip
    old = (ROOT / "models" / "hall-ten.toml").read_text(encoding="utf-8")
    gone = [line for line in difflib.ndiff(old.splitlines(), craft.splitlines()) if line.startswith("- ")]
    assert len(gone) == 5  # tilt, blade, scale, boom, friction
    assert "tilt_right_deg = 1.5 # was 2.5; found by trial" in craft
    assert "delta3_deg = 5.0 # was 0" in craft  # an entry that the file left out
    assert "turns = 380.0 # was 350; seven tenths of what `check` lets it take" in flight
    assert "duration_s = 90.0 # was 60" in flight
    assert flight.startswith("# INVENTED")


def test_changes_of_the_scenario_are_written_into_the_craft(tmp_path):
    craft, flight = written(
        tmp_path / "new", ("", {"air.wind_m_s": 1.0}), {"craft.bar.lead_deg": 100.0}, {"bar.lead_deg": "was 60"}, {},
        ROOT / "scenarios" / "poor-start.toml",
    )  # fmt: skip
    assert "lead_deg = 100.0 # was 60; in the file 102" in craft
    assert "drive_pulley_mm = 16.0 # in the file 23" in craft
    assert "change" not in flight
    assert "wind_m_s = 1.0" in flight


@pytest.mark.parametrize("path", sorted((ROOT / "scenarios").glob("*.toml")), ids=lambda path: path.stem)
def test_every_scenario_that_ships_can_be_written_anew(tmp_path, path):
    written(tmp_path / "new", ("", {}), {}, source=path)


def test_tables_beside_the_craft_are_found_from_another_folder(tmp_path):
    shutil.copytree(ROOT / "models", tmp_path / "models")
    sections = next((ROOT / "sim/paddlebar/craft/section_data").glob("*.csv"))
    shutil.copy(sections, tmp_path / "models" / "own.csv")
    (tmp_path / "models" / "curve.csv").write_text("turns,torque_mN_m\n0,0\n100,3\n300,4\n600,6\n", encoding="utf-8")
    craft = tmp_path / "models" / "hall-ten.toml"
    text = craft.read_text(encoding="utf-8").replace(
        'section = "shallow cambered plate"', 'section = "own.csv"  # mine'
    )
    craft.write_text(text.replace("strands = 6", 'strands = 6\nmeasured = "curve.csv"'), encoding="utf-8")
    (tmp_path / "flight.toml").write_text(
        'craft = "models/hall-ten.toml"\n[skein]\nturns = 400\n[launch]\nheight_m = 1.0\n', encoding="utf-8"
    )
    (tmp_path / "deep").mkdir()
    text, _ = written(
        tmp_path / "deep" / "new",
        ("", {}),
        {"craft.bar.gain": 0.5},
        {"bar.gain": "was 0.46"},
        {},
        tmp_path / "flight.toml",
    )
    assert "# mine" in text
    assert "was 0.46" in text


def test_a_craft_that_stands_in_the_scenario_gets_a_file_of_its_own(tmp_path):
    whole = load_scenario(ROOT / "scenarios" / "first-flight.toml").effective_toml()
    (tmp_path / "whole.toml").write_text(whole, encoding="utf-8")
    written(tmp_path / "new", ("", {}), {"craft.bar.gain": 0.5}, {"bar.gain": "was 0.46"}, {}, tmp_path / "whole.toml")


@pytest.mark.parametrize(
    ("start", "says"),
    [
        ({"craft.tail.drive": "none"}, 'drive = "none"'),
        ({"craft.part.ballast.kind": "point", "craft.part.ballast.at_mm": [20, 0, -150], "craft.part.ballast.mass_g": 0.5, "craft.all_up_g": 10.9}, 'name = "ballast"'),
        ({"craft.skein.mass_g": 2.2}, "mass_g = 2.2"),
        ({"craft.part.boom.kind": "point", "craft.part.boom.at_mm": [-120, 0, -100]}, 'kind = "point"'),
    ],
)  # fmt: skip
def test_what_a_scenario_adds_takes_away_or_makes_of_another_kind(tmp_path, start, says):
    """A tail gone, a part more, rubber by weight, a rod that is a lump: the texts load to just that (asserted by `written`)."""
    text, _ = written(
        tmp_path / "new", ("", start), {"craft.bar.gain": 0.5}, {"bar.gain": "was 0.46"}, {}, ROOT / "scenarios" / "first-flight.toml",
    )  # fmt: skip
    assert says in text
    assert "# was 0.46" in text  # written into the user's own text, not anew
    assert "INVENTED" in text


def test_parts_written_inline_are_rewritten(tmp_path):
    """part = [{...}]: the file loads, and so does what is made of it."""
    text = (ROOT / "models" / "hall-ten.toml").read_text(encoding="utf-8")
    parts = load_craft(ROOT / "models" / "hall-ten.toml").part
    first, last = text.index("[[part]]"), text.index("[shaft]")
    rows = [
        ", ".join(f"{key} = {json.dumps(value)}" for key, value in each.model_dump(exclude_unset=True).items())
        for each in parts
    ]
    inline = "part = [" + ", ".join(f"{{ {row} }}" for row in rows) + "]\n"
    (tmp_path / "craft.toml").write_text(text[:first] + inline + text[last:], encoding="utf-8")
    (tmp_path / "flight.toml").write_text(
        'craft = "craft.toml"\n[skein]\nturns = 400\n[launch]\nheight_m = 1.0\n', encoding="utf-8"
    )
    text, _ = written(
        tmp_path / "new",
        ("", {}),
        {"craft.part.boom.mass_g": 0.45},
        {"part.boom.mass_g": "was 0.4", "all_up_g": "was 10.5"},
        {},
        tmp_path / "flight.toml",
    )
    assert "mass_g = 0.45 # was 0.4" in text
    boom = text[text.index('name = "boom"') :].split("[[part]]")[0]
    keys = [line.split(" = ")[0] for line in boom.splitlines() if " = " in line]
    assert keys == [key for key in RodPart.model_fields if key in keys]  # the same text each time it is written
