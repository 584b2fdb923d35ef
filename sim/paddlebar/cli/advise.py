"""``paddlebar advise``: changes that were flown and found better."""

from __future__ import annotations

import shlex
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from paddlebar.cli import verb
from paddlebar.cli.progress import progress

if TYPE_CHECKING:
    from paddlebar.files.scenario import Scenario
    from paddlebar.studies.advise.study import Advised
    from paddlebar.studies.suggestion import How, Suggestion

CRAFT_FILE, FLIGHT_FILE = (
    "advised.toml",
    "{}-advised.toml",
)  # the flight by the name of its scenario: `fly` writes into a folder of that name


@click.command()
@verb.scenario_argument
@click.option(
    "--follow",
    is_flag=True,
    help="Take the best and go on until it flies well or nothing helps; write craft and flight.",
)
@verb.workers_option("Flights")
@verb.set_option
@verb.out_option("Folder for craft and flight, with --follow. [default: flights/NAME-advise]")
@verb.answer_options
def advise(scenario: Path, follow: bool, workers: int | None, changes: dict[str, Any], out: Path | None) -> None:
    """At most three changes to SCENARIO or its craft, each flown and found better than the craft as it is.

    Each was flown from three launches: as the scenario says, and let go 3 degrees off two ways. With --follow the best is taken, and
    the next looked for, until the craft flies well from all three or nothing helps. Craft and flight are then written, each changed entry with
    what it was. It never ends worse than it began.

    Exit code: 0 it flies well, or a change was found that is better; 1 nothing that was flown helps; 2 bad input.

    \b
    Example:
      paddlebar advise scenarios/reversed-link.toml
      paddlebar advise scenarios/reversed-link.toml --follow --out flights/mended
    """
    import paddlebar

    chosen = paddlebar.load_scenario(scenario, changes)
    folder = verb.folder_for(out, f"{scenario.stem}-advise") if follow else None
    with progress() as bar:
        found = paddlebar.advise(chosen, follow=follow, workers=workers, progress=bar)
        files = _write(found, chosen, folder, scenario.stem) if folder is not None and found.changes else []
    name = chosen.title or scenario.stem
    good = found.final.flew_well or bool(found.suggestions)
    verb.answer(found.to_json(), lambda full: screen(found, name, scenario, changes, files, full), files, good=good)


def screen(
    found: Advised, name: str, scenario: Path, changes: Mapping[str, Any], files: Sequence[Path], full: bool
) -> verb.Screen:
    """What is said: the answer, the changes one by one, what to type next."""
    if found.steps:
        count = f"{len(found.steps)} step{'s' if len(found.steps) > 1 else ''}"
        verdict = f"{name}: {count}, from {how(found.before)} to {how(found.final)}"
        lines = [line for number, each in enumerate(found.steps, 1) for line in said(each, f"{number}. ", full)]
        if found.missing:
            lines.insert(0, found.missing)
        following = (
            f"paddlebar fly {shlex.quote(str(files[1]))}"
            if files
            else f"paddlebar fly {verb.as_typed(scenario, changes)}"
        )
        return verb.Screen(verdict, lines, following, more=not full)
    if found.suggestions:
        verdict = f"{name}: as it is, {how(found.before)}; {len(found.suggestions)} that fly better"
        lines = [line for number, each in enumerate(found.suggestions, 1) for line in said(each, f"{number}. ", full)]
        lines.append("with --follow it goes on from the first one and writes the mended craft beside yours")
        following = verb.as_typed(scenario, {**changes, **found.suggestions[0].changes})
        return verb.Screen(verdict, lines, f"paddlebar fly {following}", more=not full)
    if found.before.flew_well:
        return verb.Screen(
            f"{name}: flies well, {how(found.before)}; nothing that was flown is better",
            [],
            f"paddlebar fly {verb.as_typed(scenario, changes)}",
        )
    return verb.Screen(
        f"{name}: {how(found.before)}; nothing that was flown helps",
        [found.missing],
        f"paddlebar improve {verb.as_typed(scenario, changes)}",
    )


def said(each: Suggestion, mark: str, full: bool) -> list[str]:
    """A suggestion: what a hand does, what it gave."""
    lines = [
        f"{mark}{each.words}",
        f"   {how(each.before)} -> {how(each.after)}" + ("" if each.in_all else " (not from every launch)"),
    ]
    if full:
        lines += [f"   {each.why}", f"   {verb.as_options(each.settings)}"]
    return lines


def how(flown: How) -> str:
    """ "crashed, 5.2 s in control of 7.3 s"."""
    return f"{flown.outcome}, {flown.controlled_s:.1f} s in control of {flown.duration_s:.1f} s"


def _write(found: Advised, chosen: Scenario, folder: Path, stem: str) -> list[Path]:
    from paddlebar.cli.outputs import staged
    from paddlebar.files.keys import value_at
    from paddlebar.files.rewrite import craft_text, scenario_text

    flight = FLIGHT_FILE.format(stem)
    notes = {key: f"was {_plain(value_at(chosen, key))}" for key in found.changes}
    of_craft = {key.removeprefix("craft."): note for key, note in notes.items() if key.startswith("craft.")}
    of_flight = {key: note for key, note in notes.items() if not key.startswith("craft.")}
    with staged(folder) as hidden:
        (hidden / CRAFT_FILE).write_text(craft_text(chosen, found.scenario.craft, of_craft), encoding="utf-8")
        (hidden / flight).write_text(scenario_text(chosen, found.scenario, CRAFT_FILE, of_flight), encoding="utf-8")
    return [folder / CRAFT_FILE, folder / flight]


def _plain(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:g}"
    return str(list(value)) if isinstance(value, tuple) else str(value)
