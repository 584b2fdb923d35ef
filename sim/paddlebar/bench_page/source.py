"""What the bench is set up with: a scenario, or a craft that gets a plain first flight."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

import tomlkit

from paddlebar.craft.limits import check_limits
from paddlebar.craft.motors import motor_of
from paddlebar.files.load import load_craft, parse_scenario
from paddlebar.files.load import load_scenario as read_scenario
from paddlebar.files.places import parse, read_text
from paddlebar.files.scenario import Scenario
from paddlebar.record.again import scenario_of

FIRST: Final = """craft = {craft}
title = {title}
[skein]
turns = {turns:.0f}
[launch]
height_m = 1.5
[run]
duration_s = 20.0
"""


def loaded(file: Path, changes: Mapping[str, Any]) -> Scenario:
    """The scenario of a file or of a run file; a craft is flown from a hand at 1.5 m, for 20 s, wound to 85 % of breaking. Raises BadInput."""
    if file.suffix == ".h5":  # a run file does in place of a scenario
        scenario = scenario_of(file, changes)
        check_limits(scenario)
        return scenario
    raw, _ = parse(read_text(file), str(file))
    if "craft" not in raw and "rotor" in raw and "shaft" in raw:
        craft = load_craft(file)
        text = FIRST.format(
            craft=_quoted(file.name), title=_quoted(f"{craft.name}, first flight"), turns=motor_of(craft.skein).safe
        )
        scenario = parse_scenario(text, str(file), file.parent, changes)
    else:
        scenario = read_scenario(file, changes)
    check_limits(scenario)
    return scenario


def _quoted(text: str) -> str:
    return tomlkit.item(text).as_string()
