"""What is extreme but legal, by the command as a user gives it: an outcome in words, no traceback, numbers that are numbers."""

from __future__ import annotations

import json
import math
import tomllib

import pytest
import tomlkit
from click.testing import CliRunner

from cli.conftest import messages
from hard.test_random_craft import FIRST, scaled
from paddlebar import load_scenario
from paddlebar.cli.main import main
from paddlebar.flight.endings import Outcome

OUTCOMES = {outcome.value for outcome in Outcome} - {"failed", "never let go"}
HIGH = (
    "launch.height_m=200",
    "run.after_tipping=fly on",
    "room.ceiling_m=500",
    "room.length_m=1000",
    "room.width_m=1000",
)
SHORT = "run.duration_s=3"
CASES = {
    "six blades": ("craft.rotor.blades=6", "craft.head.kind=flapping", SHORT),
    "thin air": ("air.density_kg_m3=0.1", SHORT),
    "a minute of spin": ("launch.spin_deg_s=3600", "run.duration_s=60", "craft.tail.drive=none", *HIGH),
    "upside down": ("launch.tilt_deg=179", SHORT),
    "no turns": ("skein.turns=0", "skein.backed_off=0", SHORT),
}


def flown(*words: str) -> dict[str, object]:
    result = CliRunner().invoke(main, ["fly", *words, "--json", "--no-pictures", "--out", "out"], prog_name="paddlebar")
    assert messages(result.stderr) == ""
    found = json.loads(result.stdout)
    assert result.exit_code == int(found["outcome"] not in ("landed", "still flying"))
    assert found["outcome"] in OUTCOMES
    assert math.isfinite(found["duration_s"])
    return found


@pytest.mark.parametrize("case", CASES)
def test_by_set(case, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    found = flown(str(FIRST), *(word for setting in CASES[case] for word in ("--set", setting)))
    if case == "a minute of spin":
        assert found["duration_s"] > 20.0


@pytest.mark.parametrize("grams", [1.2, 450.0])
def test_the_lightest_and_the_heaviest_as_files(grams, tmp_path, monkeypatch):
    """Also on the stand and looked over: `check` may find much, and says it."""
    monkeypatch.chdir(tmp_path)
    raw = tomllib.loads(load_scenario(FIRST).effective_toml())
    factor = (grams / (raw["craft"].get("all_up_g") or 10.4)) ** (1.0 / 3.0)
    (tmp_path / "craft.toml").write_text(scaled(tomlkit.dumps(raw["craft"]), factor))
    raw |= {"craft": "craft.toml", "room": {}, "launch": raw["launch"] | {"height_m": 2.0 * max(1.0, factor)}}
    raw["run"]["duration_s"] = 3.0
    (tmp_path / "s.toml").write_text(tomlkit.dumps(raw))
    flown("s.toml")
    for words in (("check", "craft.toml", "--json"), ("stand", "craft.toml", "--json")):
        result = CliRunner().invoke(main, words, prog_name="paddlebar")
        assert result.exit_code in (0, 1), result.stderr
        assert messages(result.stderr) == ""
        assert json.loads(result.stdout)
