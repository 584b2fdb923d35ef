"""From a file to a checked description: read, merge changes, validate, check across tables."""

from __future__ import annotations

import os
from collections.abc import Mapping
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from paddlebar.errors import BadInput
from paddlebar.files import checks
from paddlebar.files.craft import Craft
from paddlebar.files.examples import CRAFT, FLIGHTS, found
from paddlebar.files.override import GIVEN, laid_over, tree, under
from paddlebar.files.places import Places, parse, read_text
from paddlebar.files.scenario import Scenario
from paddlebar.files.sentences import raise_first, show, validated
from paddlebar.files.strict import spoilt
from paddlebar.files.tables import with_tables

Raw = dict[str, Any]


def load_craft(path: str | os.PathLike[str], overrides: Mapping[str, Any] | None = None) -> Craft:
    """The craft described by a TOML file.

    path      : craft file, or the bare name of one that comes with the program; tables that it names are looked for beside it
    overrides : dotted keys, e.g. {"bar.gain": -0.5, "part.stick.mass_g": "2"}, with or without a leading "craft.";
                text is read as TOML
    Returns   : frozen Craft, values in file units
    Raises    : BadInput, one line: file, line, key, rule, what was found
    """
    file = found(path, CRAFT)
    return parse_craft(read_text(file), str(path), file.parent, overrides)


def parse_craft(
    text: str, file: str = "craft", folder: str | os.PathLike[str] = ".", overrides: Mapping[str, Any] | None = None
) -> Craft:
    """The craft described by TOML text; ``file`` is what errors call it, ``folder`` where tables are looked for."""
    raw, places = parse(text, file)
    if isinstance(raw.get("craft"), str) and "rotor" not in raw:
        raise BadInput(f"{file}: this looks like a scenario; a craft file is wanted, and it names {show(raw['craft'])}")
    craft = _craft(with_tables(raw, Path(folder), places), places)
    settings = {str(key).removeprefix("craft."): value for key, value in (overrides or {}).items()}
    if not settings:
        return craft
    change, change_places = tree(settings)
    return _changed(craft, with_tables(raw, Path(folder), places), places, [(change, change_places, Path())])


def load_scenario(path: str | os.PathLike[str], overrides: Mapping[str, Any] | None = None) -> Scenario:
    """The flight described by a TOML file, its craft read and changed.

    path      : scenario file, or the bare name of one that comes with the program; the craft's path is relative to it
    overrides : dotted keys, the craft's under "craft.", e.g. {"launch.tilt_deg": 5, "craft.bar.gain": -0.5}
    Returns   : frozen Scenario, values in file units
    Raises    : BadInput, one line: file, line, key, rule, what was found
    """
    file = found(path, FLIGHTS)
    return parse_scenario(read_text(file), str(path), file.parent, overrides)


def parse_scenario(
    text: str,
    file: str = "scenario",
    folder: str | os.PathLike[str] = ".",
    overrides: Mapping[str, Any] | None = None,
    *,
    sections: bool = True,
) -> Scenario:
    """The flight described by TOML text; ``craft`` may be a path (relative to ``folder``) or a whole table.

    sections : False does not ask for tables of sections: for a flight from another machine, which is drawn but not flown
    """
    folder = Path(folder)
    raw, places = parse(text, file)
    if "craft" not in raw and "rotor" in raw and "shaft" in raw:
        hint = 'this looks like a craft file, a scenario names one by craft = "..."'
        raise BadInput(f"{file}: craft: is missing; {hint}")
    settings, set_places = tree(overrides or {})
    change = raw.pop("change", {})
    if not isinstance(change, dict):
        raise BadInput(places.sentence(("change",), f"input should be a table, found {show(change)}"))
    layers = [(change, under(places, ("change",)), folder)] if change else []
    for word in ("change", "craft"):
        if isinstance(settings.get(word), dict):
            layers.append((settings.pop(word), under(set_places, (word,)), Path()))
    places = places.over(set_places)
    craft_text = ""
    craft = raw.get("craft")
    at = folder
    if "craft" in settings:
        craft, at = settings["craft"], Path()
    if isinstance(craft, str):
        craft_raw, craft_places, craft_text, at = _read_craft(craft, at, places)
    elif isinstance(craft, dict):
        craft_raw, craft_places = craft, under(places, ("craft",))
    else:
        rule = "is missing" if craft is None else f"input should be the path of a craft file, found {show(craft)}"
        raise BadInput(places.sentence(("craft",), rule))
    craft_raw = with_tables(craft_raw, at, craft_places, sections=sections)
    built = _craft(craft_raw, craft_places)
    if layers:
        built = _changed(built, craft_raw, craft_places, layers)
    settings.pop("craft", None)
    whole = laid_over({**raw, "craft": built}, settings, set_places)
    return _scenario(whole, places).with_texts(text, craft_text)


def _scenario(whole: Raw, places: Places) -> Scenario:
    scenario = validated(Scenario, whole, places)
    raise_first(checks.scenario_problems(scenario), places)
    return scenario.located(places)


def replaced_craft(craft: Craft, changes: Mapping[str, Any]) -> Craft:
    """See Craft.replace."""
    change, places = tree({key.removeprefix("craft."): value for key, value in changes.items()})
    raw = craft.model_dump(exclude_unset=True, exclude_none=True)  # what follows another key goes on following it
    return _changed(craft, raw, craft.places, [(change, places, Path())]) if change else craft


def replaced_scenario(scenario: Scenario, changes: Mapping[str, Any]) -> Scenario:
    """See Scenario.replace."""
    other = changes.get("craft")
    craft = scenario.craft if other is None else other
    if not isinstance(craft, Craft):
        raise BadInput(f"{GIVEN}: craft: input should be a Craft, found {show(craft)}; load_craft reads one")
    settings, set_places = tree({key: value for key, value in changes.items() if key != "craft"})
    change = settings.pop("craft", {})
    if change:
        raw = craft.model_dump(exclude_unset=True, exclude_none=True)
        craft = _changed(craft, raw, craft.places, [(change, under(set_places, ("craft",)), Path())])
    rest = scenario.model_dump(exclude_unset=True, exclude_none=True, exclude={"craft"})
    whole = laid_over({**rest, "craft": craft}, settings, set_places)
    text = scenario.craft_text if other is None else ""
    return _scenario(whole, scenario.places.over(set_places)).with_texts(scenario.source_text, text)


def _read_craft(path: str, folder: Path, places: Places) -> tuple[Raw, Places, str, Path]:
    file = Path(os.path.normpath(folder / path))
    if not os.path.exists(file):  # noqa: PTH110  that one is calm about names that no file can have
        near = [str(each.name) for each in file.parent.glob("*.toml")] if file.parent.is_dir() else []
        close = get_close_matches(file.name, near, n=1)
        guess = f"; did you mean {os.path.normpath(Path(path).parent / close[0])}?" if close else ""
        raise BadInput(places.sentence(("craft",), f"no such file, found {show(path)}{guess}"))
    if file.is_dir():
        raise BadInput(places.sentence(("craft",), f"input should be a file, found the folder {show(path)}"))
    text = read_text(file)
    raw, craft_places = parse(text, str(file))
    return raw, craft_places, text, file.parent


def _craft(raw: Raw, places: Places) -> Craft:
    craft = validated(Craft, raw, places)
    raise_first(checks.craft_problems(craft), places)
    return craft.located(places)


def _changed(craft: Craft, raw: Raw, places: Places, layers: list[tuple[Raw, Places, Path]]) -> Craft:
    """The craft with changes laid over it; it was weighed before them, so the weighed total moves with the sum."""
    weighed_again = False
    for written, change_places, folder in layers:
        change = with_tables(written, folder, change_places)
        if isinstance(change.get("part"), tuple):
            raise BadInput(change_places.sentence(("part",), "name the part to change: [change.part.NAME]"))
        raw = laid_over(raw, change, change_places)
        places = places.over(change_places)
        weighed_again = weighed_again or "all_up_g" in change
    if craft.all_up_g is not None and not weighed_again:
        unweighed = validated(Craft, {key: value for key, value in raw.items() if key != "all_up_g"}, places)
        moved = round(craft.all_up_g + checks.sum_g(unweighed) - checks.sum_g(craft), 9)  # no digits of the sums' own
        raw = {**raw, "all_up_g": moved}
    files = tuple(sorted({changes.file for _, changes, _ in layers}))
    try:
        return _craft(raw, places).changed_from(craft, files)
    except BadInput as error:  # the craft by itself was right
        raise spoilt(error, files) from None
