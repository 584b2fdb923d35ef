"""A design of the bench as files: a craft and a flight beside the first, never over anything."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from paddlebar.errors import BadInput
from paddlebar.files.keys import value_at
from paddlebar.files.rewrite import craft_text, scenario_text
from paddlebar.files.scenario import Scenario

NAME: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,39}")
DEVICES: Final = re.compile(r"(?i)con|prn|aux|nul|(com|lpt)\d")  # no files on some systems


def save(plain: Scenario, changed: Scenario, changes: Mapping[str, Any], folder: Path, name: str) -> list[Path]:
    """Write NAME.toml and NAME-flight.toml.

    plain, changed : before and after;  changes : keys that differ, each gets a remark with what it was
    Raises : BadInput for a name that is none or is taken, OSError from the disk; then nothing new stands in the folder
    """
    if not NAME.fullmatch(name) or DEVICES.fullmatch(name):
        raise BadInput(f"name: should be up to 40 letters, digits, - and _, and no device, found {name[:60]!r}")
    notes = {key: f"was {_said(value_at(plain, key))}" for key in changes}
    of_craft = {key.removeprefix("craft."): note for key, note in notes.items() if key.startswith("craft.")}
    of_flight = {key: note for key, note in notes.items() if not key.startswith("craft.")}
    craft, flight = folder / f"{name}.toml", folder / f"{name}-flight.toml"
    texts = {
        craft: craft_text(plain, changed.craft, of_craft),
        flight: scenario_text(plain, changed, craft.name, of_flight),
    }
    return written_anew(texts)


def written_anew(texts: Mapping[Path, str]) -> list[Path]:
    """Write files, all or none, and never over one. Raises BadInput for one that is there, OSError from the disk."""
    for path in texts:
        if path.exists() or path.is_symlink():
            raise BadInput(f"{path.name}: exists already and is not overwritten; choose another name")
    written: list[Path] = []
    try:
        for path, text in texts.items():
            with path.open("x", encoding="utf-8", newline="\n") as file:  # somebody may have been quicker
                written.append(path)
                file.write(text)
    except BaseException as error:
        for path in written:
            path.unlink(missing_ok=True)
        if isinstance(error, FileExistsError):
            raise BadInput("a file of that name exists already and is not overwritten; choose another name") from error
        raise
    return written


def _said(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:g}"
    return str(list(value)) if isinstance(value, tuple) else str(value)
