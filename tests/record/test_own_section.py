"""A run file holds the table of a section of one's own, whatever becomes of the file that it came from."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from paddlebar import fly, load_craft, load_scenario, read_run
from paddlebar.craft.build import build
from paddlebar.craft.sections import section_table
from paddlebar.errors import BadInput
from paddlebar.files.tables import section_name
from paddlebar.record.write import write_run

ROOT = Path(__file__).parents[2]
FIRST = ROOT / "scenarios" / "first-flight.toml"
TABLE = "alpha_deg,cl,cd\n-180,0,0.1\n0,0.2,0.05\n\n180,0,0.1\n"


@pytest.fixture
def table(tmp_path) -> Path:
    path = tmp_path / "mine.csv"
    path.write_text(TABLE)
    return path


def test_the_flight_repeats_after_the_table_was_edited_and_lost(table, tmp_path):
    scenario = load_scenario(FIRST, {"craft.rotor.section": str(table), "run.duration_s": 0.3})
    write_run(tmp_path / "run.h5", [fly(scenario)])
    before = build(scenario).tables
    table.write_text(TABLE.replace("0.05", "0.09"))
    np.testing.assert_array_equal(build(scenario).tables, before)  # a loaded description changes no more
    again = load_scenario(tmp_path / "run.h5")
    np.testing.assert_array_equal(build(again).tables, before)
    table.unlink()
    np.testing.assert_array_equal(build(load_scenario(tmp_path / "run.h5")).tables, before)
    assert section_name(read_run(tmp_path / "run.h5")[0].scenario.craft.rotor.section) == "mine.csv"


def test_the_text_gives_the_table_of_the_file(table):
    text = load_craft(ROOT / "models" / "hall-ten.toml", {"tail.section": str(table)}).tail.section
    assert text.endswith(TABLE)
    np.testing.assert_array_equal(section_table(text), section_table(table))
    np.testing.assert_array_equal(section_table(TABLE), section_table(table))
    assert (section_name(text), section_name(TABLE), section_name("flat plate")) == (
        "mine.csv",
        "a table of its own",
        "flat plate",
    )


def test_a_slip_in_it_is_named_by_file_and_line(table):
    table.write_text(TABLE.replace("0,0.2", "0,much"))
    craft = load_craft(ROOT / "models" / "hall-ten.toml", {"tail.section": str(table)})
    with pytest.raises(BadInput, match=r"mine.csv:3: cl: should be a finite number, found much"):
        section_table(craft.tail.section)
    with pytest.raises(BadInput, match=r"section:3: cl"):
        section_table(TABLE.replace("0,0.2", "0,much"))
