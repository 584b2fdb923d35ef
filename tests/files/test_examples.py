"""What comes with the program: in a source tree, in a wheel, by bare name, written out."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

import paddlebar
from paddlebar.files import examples
from paddlebar.files.load import load_craft, load_scenario

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    """The program packed as whoever installs it gets it."""
    pytest.importorskip("hatchling")
    folder = tmp_path_factory.mktemp("wheel")
    words = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    subprocess.run(words, cwd=ROOT, check=True, capture_output=True, timeout=120)
    (found,) = folder.glob("*.whl")
    return found


def test_each_is_there_with_a_title_and_those_that_load_load():
    found = paddlebar.examples()
    assert {each.what for each in found} == {"craft", "flight", "lesson"}
    assert all(each.title and each.path.is_file() for each in found)
    for each in found:
        if each.what == "flight":
            assert load_scenario(each.name).title == each.title
        elif each.what == "craft":
            load_craft(each.name)


def test_a_file_of_that_name_comes_first(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    text = (ROOT / "models" / "hall-ten.toml").read_text(encoding="utf-8")
    (tmp_path / "hall-ten.toml").write_text(text.replace('name = "', 'name = "own ', 1), encoding="utf-8")
    assert load_craft("hall-ten.toml").name.startswith("own ")
    assert not load_craft("hall-ten").name.startswith("own ")  # that one is called hall-ten.toml
    (tmp_path / "hall-ten").mkdir()  # a folder is no craft
    assert not load_craft("hall-ten").name.startswith("own ")


@pytest.mark.parametrize("typed", ["first-flihgt", "frist-flight", "first_flight"])
def test_a_name_mistyped_costs_one_line_with_the_nearest(typed):
    with pytest.raises(paddlebar.BadInput, match=f"^{typed}: no such file.* did you mean first-flight\\?$"):
        load_scenario(typed)


@pytest.mark.parametrize("typed", ["nowhere/first-flight", "first-flight.h6", "first-flight/", "", "\0", "x" * 5000])
def test_what_is_no_bare_name_is_looked_for_as_it_is(typed):
    with pytest.raises(paddlebar.BadInput) as error:
        load_scenario(typed)
    assert "\n" not in str(error.value)


def test_written_out_they_load_and_are_never_overwritten(tmp_path):
    written = paddlebar.write_examples(tmp_path / "a" / "b")
    assert len(written) >= len(paddlebar.examples())
    assert load_scenario(tmp_path / "a/b/scenarios/first-flight.toml").craft == load_scenario("first-flight").craft
    with pytest.raises(paddlebar.BadInput, match="exists already"):
        paddlebar.write_examples(tmp_path / "a" / "b")


def test_a_wheel_holds_them_all_and_finds_them_there(wheel, tmp_path):
    """Unpacked as an installer does it, away from the source tree, and asked by another Python."""
    with zipfile.ZipFile(wheel) as packed:
        names = packed.namelist()
        packed.extractall(tmp_path / "site")
    for each in paddlebar.examples():
        assert f"paddlebar/shipped/{each.path.parent.name}/{each.path.name}" in names
    assert any(name.endswith("shipped/scenarios/hall-record.csv") for name in names)
    code = "import paddlebar; print(paddlebar.examples()[0].path); print(paddlebar.load_scenario('first-flight').title)"
    environment = {**os.environ, "PYTHONPATH": str(tmp_path / "site")}
    words = [sys.executable, "-c", code]
    said = subprocess.run(
        words, cwd=tmp_path, env=environment, check=True, capture_output=True, text=True
    ).stdout.splitlines()
    assert said[0].startswith(str(tmp_path / "site" / "paddlebar" / "shipped" / "models"))
    assert said[1] == load_scenario("first-flight").title


def test_in_a_source_tree_they_are_found_at_its_top():
    assert examples.shipped() == ROOT


def test_lessons_for_students_hold_no_answer_and_nothing_that_a_run_left(tmp_path):
    """All else is as it stands: each cell of the reader's own prediction, each question, each drawing's code."""
    paddlebar.write_examples(tmp_path, lessons_blank=True)
    for path in sorted((ROOT / "notebooks").glob("*.ipynb")):
        stored, given = (
            json.loads(each.read_text(encoding="utf-8"))["cells"] for each in (path, tmp_path / "notebooks" / path.name)
        )
        tags = [tag for cell in given for tag in cell["metadata"].get("tags", [])]
        assert not {"answer", "told"} & set(tags)
        assert tags.count("predict") >= 1
        assert all(
            not cell["outputs"] and cell["execution_count"] is None for cell in given if cell["cell_type"] == "code"
        )
        kept = [cell["source"] for cell in stored if not {"answer", "told"} & set(cell["metadata"].get("tags", []))]
        kept = [source for source in kept if not "".join(source).startswith("## Answers")]
        assert [cell["source"] for cell in given] == kept
        assert len(stored) - len(given) >= 3  # two answers and their heading, at least
        for cell in given:  # and what is left is a program all the same
            if cell["cell_type"] == "code":
                compile("".join(cell["source"]).replace("%matplotlib inline", ""), path.name, "exec")
