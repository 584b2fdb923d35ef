"""Whatever a user does wrong costs one line, exit code 2, and no file."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import click
import pytest

from cli.conftest import ANSWERS, one_line
from paddlebar.cli.main import main

WRONG = Path(__file__).parents[1] / "files" / "wrong"


@pytest.mark.parametrize("path", sorted(WRONG.glob("*.toml")), ids=lambda path: path.stem)
def test_each_file_of_the_gallery(run, untouched, monkeypatch, tmp_path, path):
    """The command says the sentence that stands beside the file."""
    monkeypatch.chdir(path.parent)
    result = run("stand" if "_craft_" in path.stem else "fly", path.name, "--json", "--out", tmp_path / "x")
    assert result.exit_code == 2
    assert one_line(result) == "paddlebar: " + path.with_suffix(".txt").read_text(encoding="utf-8")
    assert untouched()


@pytest.mark.parametrize("verb", ["fly", "stand"])
@pytest.mark.parametrize("path", ["nothing.toml", "no/such/folder.toml", "."])
def test_absent_file_or_folder(run, untouched, verb, path):
    result = run(verb, path)
    assert result.exit_code == 2
    assert path in one_line(result)
    assert untouched()


@pytest.mark.parametrize(
    ("verb", "setting", "expected"),
    [
        ("fly", "launch.tilt_dg=3", "tilt_deg"),
        ("fly", "craft.bar.tip_mass_kg=3", "tip_mass_g"),
        ("fly", "launch.tilt_deg", "key=value"),
        ("fly", "=3", "key=value"),
        ("fly", "launch.tilt_deg=much", "number"),
        ("fly", "skein.turns=1e9", "found"),
        ("stand", "rotor.chord_cm=3", "chord_mm"),
        ("stand", "rotor.blades=1", "found"),
    ],
)
def test_a_wrong_set(run, untouched, verb, setting, expected):
    result = run(verb, "hop.toml" if verb == "fly" else "craft.toml", "--set", setting)
    assert result.exit_code == 2
    line = one_line(result)
    assert "--set" in line or "turns" in line
    assert expected in line
    assert untouched()


def test_what_only_launching_shows(run, untouched):
    result = run("fly", "hop.toml", "--set", "launch.height_m=0")
    assert result.exit_code == 2
    assert "launch.height_m" in one_line(result)
    assert untouched()


def test_a_craft_given_to_fly(run, untouched):
    result = run("fly", "craft.toml")
    assert result.exit_code == 2
    assert "craft file" in one_line(result)
    assert untouched()


@pytest.mark.parametrize("out", ["hop.toml", "hop.toml/deeper"])
@pytest.mark.parametrize("words", [("fly", "hop.toml"), ("stand", "craft.toml", "--rpm", "400")])
def test_a_file_where_the_folder_should_be(run, untouched, words, out):
    result = run(*words, "--out", out)
    assert result.exit_code == 2
    assert "hop.toml" in one_line(result)
    assert untouched()


@pytest.mark.skipif(
    os.name == "nt" or not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write anywhere"
)
def test_a_folder_that_may_not_be_written_to(run, tmp_path):
    closed = tmp_path / "closed"
    closed.mkdir(mode=0o500)
    result = run("fly", "hop.toml", "--out", closed / "x")
    assert result.exit_code == 2
    assert "closed" in one_line(result)
    assert list(closed.iterdir()) == []


@pytest.mark.parametrize("where", ["paddlebar.record.write.write_run", "paddlebar.pictures.flight.save_pictures"])
def test_a_full_disk_leaves_nothing(run, untouched, monkeypatch, where):
    """Half a file and then no space: the folders made for it are gone too."""

    def full(path: Path, *_: object, **__: object) -> None:
        (path / "half" if path.is_dir() else path).write_bytes(b"half")
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    def full_pictures(_: object, path: Path, *rest: object, **__: object) -> None:
        full(path, *rest)

    monkeypatch.setattr(where, full_pictures if where.endswith("pictures") else full)
    result = run("fly", "hop.toml", "--out", "new/folder")
    assert result.exit_code == 2
    line = one_line(result)
    assert "new/folder" in line
    assert os.strerror(errno.ENOSPC) in line
    assert untouched()


@pytest.mark.parametrize(
    "where", ["paddlebar.api.fly", "paddlebar.record.write.write_run", "paddlebar.pictures.flight.save_pictures"]
)
def test_ctrl_c_half_way_leaves_nothing(run, untouched, monkeypatch, where):
    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(where, interrupted)
    result = run("fly", "hop.toml", "--out", "new/folder")
    assert result.exit_code == 130
    assert "interrupted" in one_line(result)
    assert untouched()


def test_ctrl_c_keeps_the_earlier_flight(run, tmp_path, monkeypatch):
    run("fly", "hop.toml", "--out", "x")
    before = {path.name: path.read_bytes() for path in (tmp_path / "x").iterdir()}

    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("paddlebar.pictures.flight.save_pictures", interrupted)
    assert run("fly", "hop.toml", "--out", "x", "--set", "launch.height_m=0.5").exit_code == 130
    assert {path.name: path.read_bytes() for path in (tmp_path / "x").iterdir()} == before


def test_no_place_to_keep_compiled_code(run, untouched, monkeypatch):
    """Program's folder and home both closed: numba's own words, seen from a user without a home."""

    def homeless(*_: object) -> None:
        raise RuntimeError("cannot cache function 'middle_torque': no locator available for file 'skein.py'")

    monkeypatch.setattr("paddlebar.api.fly", homeless)
    result = run("fly", "hop.toml")
    assert result.exit_code == 2
    assert "NUMBA_CACHE_DIR" in one_line(result)
    assert untouched()


def test_a_fault_of_the_program_is_not_hidden(run, monkeypatch):
    def broken(*_: object) -> None:
        raise RuntimeError("something else")

    monkeypatch.setattr("paddlebar.api.fly", broken)
    assert isinstance(run("fly", "hop.toml").exception, RuntimeError)


@pytest.mark.parametrize(
    "text", ["fast", "1:2", "1:2:3:4", "1:2:1", "1:2:2.5", "1:2:1001", "nan", "inf", "", ":", "1::3"]
)
@pytest.mark.parametrize("option", ["--rpm", "--collective"])
def test_a_wrong_range(run, untouched, option, text):
    result = run("stand", "craft.toml", f"{option}={text}")
    assert result.exit_code == 2
    assert option in one_line(result)
    assert untouched()


@pytest.mark.parametrize(
    "words", [("--rpm", "0"), ("--rpm=-100",), ("--rpm", "1e9"), ("--rpm", "400", "--collective", "90")]
)
def test_a_stand_out_of_the_possible(run, untouched, words):
    result = run("stand", "craft.toml", *words)
    assert result.exit_code == 2
    assert "found" in one_line(result)
    assert untouched()


def _numbers() -> list[tuple[str, str]]:
    """Every option of a number, by its verb."""
    found = []
    for verb in ANSWERS:
        command = main.get_command(click.Context(main), verb)
        for option in command.params if command is not None else ():
            if isinstance(option, click.Option) and isinstance(option.type, click.types.FloatParamType):
                found.append((verb, option.opts[-1]))
    return found


@pytest.mark.parametrize(("verb", "option"), _numbers())
def test_what_is_no_number_is_in_no_range(run, untouched, verb, option):
    """--dpi nan, which is beyond no limit, was drawn with, and Matplotlib fell over it."""
    words = {"check": ["craft.toml"], "stand": ["craft.toml"], "new": ["dunlin"], "replay": ["out"], "report": ["out"]}
    record = ["rec.csv"] if verb == "match" else []
    result = run(verb, *words.get(verb, ["hop.toml"]), *record, option, "nan")
    assert result.exit_code == 2
    assert "nan" in result.stderr
    assert option.strip("-").replace("-", "_") in result.stderr.replace("-", "_")
    assert untouched()
