"""Scenarios, craft and csv files that are spoilt in every way: a good load, or one line that names the file; nothing else, and soon."""

from __future__ import annotations

import os
import socket
import stat
import time as clock
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from cli.conftest import messages
from hard.commands import ROOT
from hard.mutations import VALUES, spoilt
from paddlebar.cli.main import main
from paddlebar.craft.build import build
from paddlebar.errors import BadInput
from paddlebar.files.load import load_craft, load_scenario
from paddlebar.files.override import parse_setting

# the same examples each time: what a long run finds gets a line below
FEW = settings(derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture])
CRAFT = (ROOT / "models" / "hall-ten.toml").read_bytes()
SCENARIO = b"""craft = "craft.toml"
title = "spoilt"
[skein]
turns = 300
[launch]
height_m = 1.2
release = "held"
hold_s = 0.5
[air]
wind_m_s = 1.0
[change.bar]
gain = 0.5
[change.part.stick]
mass_g = 0.7
[[mishap]]
what = "cord off"
at_s = 2.0
"""
CURVE = b"turns,torque_mN_m\n# unwinding\n0,0\n100,3.5\n200,4.0\n300,5.5\n400,9\n"
POLAR = b"alpha_deg,cl,cd,Re\n-10,-0.6,0.1,20000\n0,0.3,0.03,20000\n10,0.9,0.1,20000\n-10,-0.7,0.09,60000\n0,0.35,0.02,60000\n10,1,0.09,60000\n"
RECORD = b"kind,turns,duration_s,change,remarks\nflight,300,20,craft.bar.gain=0.5,\nflight,310,21,,tipped left at 3 s\n"
BENCH = b"branch,turns,torque_mN_m\n" + b"".join(b"winding,%d,%d\n" % (n, n) for n in (5, 50, 150, 250)) + b"".join(
    b"unwinding,%d,%d\n" % (n, n // 2) for n in (250, 150, 50, 5))  # fmt: skip
OTHER_CRAFT = (ROOT / "models" / "hall-ten.toml").read_text(encoding="utf-8")
NO_CRAFT = "etc/hostname:1: is not TOML", "/dev/zero: is a device"  # what is there and VALUES name
LONGEST_S = 4.0  # of processor time, for what takes 20 ms


def one_line_that_names(error: BadInput, *files: str) -> None:
    said = str(error)
    assert said.isprintable() or all(sign.isprintable() or sign in " \t" for sign in said), repr(said)
    assert any(file in said for file in files), said
    assert len(said) < 1000, len(said)


def refused_or_good(load: Callable[[], object], *files: str) -> None:
    start = clock.process_time()
    try:
        load()
    except BadInput as error:
        one_line_that_names(error, *files)
    assert clock.process_time() - start < LONGEST_S


@pytest.fixture
def folder(tmp_path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "craft.toml").write_bytes(CRAFT)
    return tmp_path


@FEW
@given(text=spoilt(CRAFT))
@example(text=CRAFT.replace(b'name = "bearing"', b'name = "a\\u0000b\\u001b.csv"'))
def test_craft_files(folder, text):
    (folder / "c.toml").write_bytes(text)
    refused_or_good(lambda: load_craft("c.toml"), "c.toml")


@FEW
@given(text=spoilt(SCENARIO))
def test_scenarios(folder, text):
    (folder / "s.toml").write_bytes(text)
    refused_or_good(lambda: build(load_scenario("s.toml")), "s.toml", "craft.toml", *NO_CRAFT)


@FEW
@given(text=spoilt(CURVE))
def test_measured_curves(folder, text):
    (folder / "curve.csv").write_bytes(text)
    change = {"skein.measured": "curve.csv"}
    refused_or_good(lambda: load_craft("craft.toml", change), "curve.csv", "--set")


@FEW
@given(text=spoilt(POLAR))
@example(text=b'"""a\nb""",cl,cd,Re\n-10,-0.6,0.1,20000\n')
def test_sections(folder, text):
    (folder / "polar.csv").write_bytes(text)
    (folder / "s.toml").write_bytes(SCENARIO)
    change = {"craft.rotor.section": "polar.csv"}
    refused_or_good(lambda: build(load_scenario("s.toml", change)), "polar.csv", "--set")


@FEW
@given(record=st.sampled_from((RECORD, BENCH)).flatmap(spoilt))
def test_records(folder, record):
    from paddlebar.files.flight_record import read_flight_record
    from paddlebar.files.skein_record import is_skein_record, read_skein_record

    (folder / "r.csv").write_bytes(record)

    def read() -> None:
        if is_skein_record(Path("r.csv")):
            read_skein_record(Path("r.csv"))
        else:
            read_flight_record(Path("r.csv"))

    refused_or_good(read, "r.csv")


@pytest.mark.slow
@FEW
@given(key=st.sampled_from(("launch.tilt_deg", "craft.bar.gain", "craft.part.stick", "craft.part", "craft", "mishap", "mishap.1", "craft.rotor.station", "run", "title", "x" * 3000, "a" + ".a" * 900)),
       value=st.one_of(st.sampled_from(VALUES), st.binary(max_size=40)))  # fmt: skip
@example(key="launch.tilt_deg", value=b"[" * 3000)
@example(key="launch.tilt_deg", value=b"9" * 5000)
def test_settings(folder, key, value):
    (folder / "s.toml").write_bytes(SCENARIO)
    text = f"{key}={value.decode('utf-8', 'replace')}"
    refused_or_good(
        lambda: load_scenario("s.toml", dict([parse_setting(text)])),
        "--set",
        "overrides",
        "s.toml",
        "craft.toml",
        *NO_CRAFT,
    )


@pytest.mark.parametrize("share", [k / 50 for k in range(50)])
def test_cut_off_anywhere(folder, share):
    (folder / "craft.toml").write_bytes(CRAFT[: int(share * len(CRAFT))])
    (folder / "s.toml").write_bytes(SCENARIO[: int(share * len(SCENARIO))])
    refused_or_good(lambda: load_craft("craft.toml"), "craft.toml")
    refused_or_good(lambda: load_scenario("s.toml"), "s.toml", "craft.toml")


@pytest.mark.slow
@pytest.mark.parametrize("text", [
    b"x = [" + b"1," * 1_500_000 + b"]", b"[[part]]\n" * 200_000, b"\n" * 1_000_000, b"# " + b"x" * 3_900_000, b"x = '" + b"y" * 3_900_000 + b"'",
    b"".join(b"k%d = 1\n" % k for k in range(30_000)), b"[rotor]\nstation = [" + b"{radius_mm = 1}," * 50_000 + b"]", b"a." * 1_900_000 + b"a = 1", b"x = {" + b"a . " * 900_000 + b"a = 1}", b"x = \"" + b"\\u0041" * 100_000 + b"\"",
], ids=["numbers", "parts", "empty lines", "a remark", "a text", "keys", "stations", "a dotted key", "one in a table", "escapes"])  # fmt: skip
def test_large_files_are_refused_soon(folder, text):
    (folder / "c.toml").write_bytes(text)
    start = clock.process_time()
    with pytest.raises(BadInput) as caught:
        load_craft("c.toml")
    one_line_that_names(caught.value, "c.toml")
    assert clock.process_time() - start < 4 * LONGEST_S


def test_a_file_without_end_is_not_read(folder):
    with (folder / "c.toml").open("wb") as file:
        file.truncate(10**12)  # takes no room on the disk
    with pytest.raises(BadInput, match="has 1000000 MB"):
        load_craft("c.toml")


def pipe(path: Path) -> None:
    os.mkfifo(path)


def zero(path: Path) -> None:
    path.symlink_to("/dev/zero")


def door(path: Path) -> None:
    with socket.socket(socket.AF_UNIX) as end:
        end.bind(path.name)  # in the folder where the test stands: a whole path may be too long for a socket


def round_about(path: Path) -> None:
    path.symlink_to(path.name)


def home_of_nobody(path: Path) -> None:
    path.symlink_to("no/such/place")


@pytest.mark.skipif(os.name == "nt", reason="special files of POSIX")
@pytest.mark.parametrize("make", [pipe, zero, door, round_about, home_of_nobody, Path.mkdir])
@pytest.mark.parametrize("words", [
    ("fly", "X.toml"), ("fly", "s.toml", "--set", "craft=X.toml"), ("fly", "s.toml", "--set", "craft.rotor.section=X.csv"), ("fly", "s.toml", "--set", "craft.skein.measured=X.csv"),
    ("check", "X.toml"), ("match", "s.toml", "X.csv"), ("replay", "X.h5"), ("fly", "X.h5"), ("report", "X.h5"),
], ids=" ".join)  # fmt: skip
def test_what_is_no_file(folder, make, words):
    """Pipes, devices, sockets, links to themselves and to nothing, folders: one line, and none of them is waited for."""
    (folder / "s.toml").write_bytes(SCENARIO)
    (name,) = [word.rpartition("=")[2] for word in words if "X." in word]
    make(folder / name)
    result = CliRunner().invoke(
        main, [*words, *(["--out", "out"] if words[0] != "check" else [])], prog_name="paddlebar"
    )
    assert result.exit_code == 2, result.output
    assert isinstance(result.exception, SystemExit)
    assert messages(result.stderr).count("\n") == 1
    assert "X." in result.stderr
    assert not (folder / "out").exists()


def test_a_link_to_a_good_craft_is_good(folder):
    (folder / "elsewhere").mkdir()
    (folder / "craft.toml").rename(folder / "elsewhere" / "craft.toml")
    (folder / "craft.toml").symlink_to("elsewhere/craft.toml")
    (folder / "s.toml").write_bytes(SCENARIO)
    assert load_scenario("s.toml").craft.name == load_craft("elsewhere/craft.toml").name


def test_no_message_commands_the_terminal(folder):
    """An escape sequence in a name or in a text is written out."""
    result = CliRunner().invoke(main, ["fly", "\x1b[31mred\x07.toml"], prog_name="paddlebar")
    assert result.stderr == "paddlebar: \\x1b[31mred\\x07.toml: no such file\n"


def test_a_file_that_may_not_be_read(folder):
    (folder / "c.toml").write_bytes(CRAFT)
    (folder / "c.toml").chmod(0)
    if os.access("c.toml", os.R_OK):
        pytest.skip("root may read anything")
    with pytest.raises(BadInput, match=r"c\.toml: cannot be read"):
        load_craft("c.toml")
    (folder / "c.toml").chmod(stat.S_IRWXU)
