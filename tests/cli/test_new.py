"""``paddlebar new``."""

from __future__ import annotations

import re

import pytest
from click.testing import CliRunner

from cli.conftest import document, flat, one_line
from once import once
from paddlebar import check, load_craft, load_scenario
from paddlebar.cli.main import main
from paddlebar.ensemble.many import fly_brief

NAMES = ["sparrow-first-flight.toml", "sparrow-measure.pdf", "sparrow.toml"]


@pytest.fixture(autouse=True)
def sized_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Most of these ask for the same sparrow; each writes it, loads it and flies it for itself."""
    once(monkeypatch, "paddlebar.sizing.sized:size")


def test_writes_two_files_that_load_and_a_form_to_print(run, tmp_path):
    result = run("new", "sparrow", "--out", "a/b")
    assert result.exit_code == 0
    assert sorted(p.name for p in (tmp_path / "a/b").iterdir()) == NAMES
    assert load_craft("a/b/sparrow.toml").name == "sparrow"
    assert load_scenario("a/b/sparrow-first-flight.toml").craft.name == "sparrow"
    assert "eye protection" in flat(result.stdout)
    assert "carries a person" in flat(result.stdout)  # the cautions in full
    last = result.stdout.splitlines()[-2:]
    assert flat(" ".join(last)).endswith(
        "next: paddlebar check a/b/sparrow.toml && paddlebar fly a/b/sparrow-first-flight.toml"
    )
    assert (tmp_path / "a/b/sparrow-measure.pdf").read_bytes().startswith(b"%PDF")


def test_what_it_writes_flies(run):
    """Nothing asked and nothing edited: it climbs, keeps its nose, and comes down upright with its rubber nearly run down; check finds nothing to put right."""
    assert "sparrow flies: landed" in run("new", "sparrow", "--no-form").stdout
    scenario = load_scenario("sparrow-first-flight.toml")
    brief = fly_brief(scenario)
    assert brief.outcome == "landed"
    assert brief.flew_well, brief.faults
    assert brief.controlled_s > 40.0
    assert brief.peak_height_m > 3.0
    assert brief.turns_left < 0.25 * scenario.skein.turns
    assert check(load_craft("sparrow.toml")).sound


def test_the_form_may_be_left_out(run, tmp_path):
    assert run("new", "sparrow", "--no-form", "--out", "a").exit_code == 0
    assert sorted(p.name for p in (tmp_path / "a").iterdir()) == ["sparrow-first-flight.toml", "sparrow.toml"]


def test_json_names_the_files(run):
    assert document(run("new", "sparrow", "--json"))["files"] == [
        "sparrow.toml",
        "sparrow-first-flight.toml",
        "sparrow-measure.pdf",
    ]


@pytest.mark.parametrize("there", NAMES)
def test_never_overwrites_and_never_writes_half(run, tmp_path, there):
    (tmp_path / there).write_text("mine")
    result = run("new", "sparrow")
    assert result.exit_code == 2
    assert there in one_line(result)
    assert (tmp_path / there).read_text() == "mine"
    assert len(list(tmp_path.iterdir())) == 3  # with hop.toml and craft.toml


@pytest.mark.parametrize("name", ["", "a/b", "../x", "x y", ".x", "-"])
def test_a_name_that_makes_no_file_name_is_refused(run, untouched, name):
    result = run("new", "--", name)
    assert result.exit_code == 2
    one_line(result)
    assert untouched()


def test_a_file_where_the_folder_should_be(run, untouched):
    result = run("new", "sparrow", "--out", "hop.toml")
    assert result.exit_code == 2
    assert "hop.toml" in one_line(result)
    assert untouched()


def test_answers_by_options_are_what_is_written(run):
    """The mirror image, another size, and a field: no room in the scenario."""
    options = ("--rotor-mm", 330, "--weight-g", 8, "--material", "printed", "--sense", "cw", "--hall-m", 0)
    found = document(run("new", "wren", "--no-form", "--yes", "--json", *options))
    assert found["outcome"] == "landed"
    assert found["controlled_s"] > 15.0
    assert found["answers"]["sense"] == "clockwise"
    scenario = load_scenario("wren-first-flight.toml")
    assert scenario.craft.shaft.turns == "clockwise"
    assert scenario.craft.rotor.radius_mm == 165.0
    assert scenario.craft.all_up_g == 8.0
    assert scenario.room.ceiling_m is None
    assert next(part for part in scenario.craft.part if part.name == "bearing").material == "printed PLA"


def test_on_a_terminal_it_asks_and_asks_again_for_what_is_no_answer(run, monkeypatch):
    """Three are options, four are asked; 90 mm and "wood" are asked again; an empty line takes what is proposed."""
    monkeypatch.setattr("paddlebar.cli.new.on_terminal", lambda: True)
    typed = "90\n400\nwood\nbalsa\n\n\n"
    shown = CliRunner().invoke(
        main,
        ["new", "owl", "--no-form", "--weight-g", "9.8", "--sense", "ccw", "--hall-m", "8"],
        input=typed,
        prog_name="paddlebar",
    )
    assert shown.exit_code == 0
    assert "greater than or equal to 150" in shown.output
    assert "'balsa' or 'printed'" in shown.output
    assert "ruler over the hub" in shown.output
    assert load_craft("owl.toml").rotor.radius_mm == 200.0


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (
            ("--rubber", "6x9x1"),
            r"new: weight: 6x9x1 of 200 mm weighs \d+ % of the craft; the nearest that flies: --rubber ",
        ),
        (
            ("--rubber", "2x1x1"),
            r"new: rubber: 2x1x1 of 200 mm gives .* where hovering takes .*; the nearest that flies: --rubber 2x",
        ),
    ],
)
def test_answers_that_cannot_fly_are_told_with_the_nearest_that_do(run, untouched, options, says):
    """And those do: the options that are told are taken."""
    result = run("new", "owl", "--yes", *options)
    assert result.exit_code == 2
    line = one_line(result)
    assert re.search(says, line)
    assert untouched()
    assert run("new", "owl", "--yes", "--no-form", *line.split("that flies: ")[1].split()).exit_code == 0


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--rotor-mm", 90), "rotor_mm"),
        (("--weight-g", 0), "weight_g"),
        (("--material", "wood"), "'balsa' or 'printed'"),
        (("--sense", "left"), "counter-clockwise"),
        (("--rubber", "6-2"), "6x2x1"),
        (("--rubber", "0x2x1"), "6x2x1"),
        (("--hall-m", -1), "hall_m"),
    ],
)
def test_what_is_no_answer_is_one_line(run, untouched, options, says):
    result = run("new", "owl", "--yes", *options)
    assert result.exit_code == 2
    assert says in one_line(result)
    assert untouched()
