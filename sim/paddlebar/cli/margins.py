"""``paddlebar margins``: does the bar hold the craft up, by how much, and how far may it move."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from paddlebar.cli import verb
from paddlebar.cli.progress import progress

if TYPE_CHECKING:
    from paddlebar.files.scenario import Scenario
    from paddlebar.stability.result import Margins
    from paddlebar.stability.textbook import Averages


@click.command()
@verb.scenario_argument
@verb.set_option
@verb.out_option("Folder for the pictures. [default: flights/NAME-margins]")
@verb.data_option
@verb.look_options
@verb.answer_options
@verb.pictures_option("Write nothing.")
@click.option(
    "--averaged", is_flag=True, help="Also ask the textbook's average over a revolution, and draw how far it is off."
)
def margins(
    scenario: Path, changes: dict[str, Any], out: Path | None, data: bool, pictures: bool, averaged: bool
) -> None:
    """Say whether the bar of SCENARIO's craft keeps it upright, from its steady flight and the disturbances of that.

    Steady flight is found at nine points of the run-down, in open still air; of several the steadiest counts. The verdict
    is given at half the turns, against the same craft with the bar's link taken off. One flight from the scenario's own launch is laid beside.

    Exit code: 0 all disturbances die out, 1 one grows, or no steady flight was found, 2 bad input.

    \b
    Example:
      paddlebar margins scenarios/first-flight.toml
      paddlebar margins scenarios/first-flight.toml --set craft.bar.lead_deg=90 --out flights/lead-90
      paddlebar margins scenarios/first-flight.toml --json --no-pictures
    """
    from paddlebar import api

    chosen = api.load_scenario(scenario, changes)
    name = f"{scenario.stem}-margins"
    folder = verb.folder_for(out, name) if pictures else Path()
    with progress() as bar:
        bar.start(averaged + pictures)
        found = api.margins(chosen, progress=bar)
        compared = None
        if averaged:
            bar.step("the average over a revolution")
            compared = _averages(chosen)
        if pictures:
            bar.step("drawing")
        files = _draw(found, compared, chosen, folder, data) if pictures else []
    more = {"averaged": compared} if compared is not None else {}
    good = found.worst_growth_per_s < 0.0  # nan is no
    verb.answer(
        {**found.to_json(), **more, "craft": chosen.craft.name},
        lambda full: verb.Screen(
            f"{chosen.craft.name}: {found.sentence}",
            _lines(found, compared, full),
            next_step(verb.as_typed(scenario, changes), chosen, good),
            more=not full,
        ),
        files,
        good=good,
    )


def next_step(source: Path | str, chosen: Scenario, good: bool) -> str:
    """Where to look on."""
    from paddlebar.files.kinds import BARS

    if good:
        return f"paddlebar fly {source}  # does it come to that?"
    if not BARS[chosen.craft.bar.kind].present:
        return "give the craft a bar: nothing else holds it up"
    lead = chosen.craft.bar.lead_deg
    return f"paddlebar map {source} --x craft.bar.lead_deg={lead - 40:g}:{lead + 40:g}:9 --y craft.bar.gain=-0.6:0.6:7"


def _averages(chosen: Scenario) -> Averages:
    from paddlebar.stability.textbook import averages

    return averages(chosen)


def _draw(found: Margins, compared: Averages | None, chosen: Scenario, folder: Path, data: bool) -> list[Path]:
    from paddlebar.cli.outputs import staged
    from paddlebar.pictures.margins import save_pictures

    with staged(folder) as hidden:
        names = [
            file.name for file in save_pictures(found, hidden, verb.look(chosen.pictures.dpi), compared, data=data)
        ]
    return [folder / name for name in names]


def _lines(found: Margins, compared: Averages | None, full: bool) -> list[str]:
    from paddlebar.cli.screen import table
    from paddlebar.pictures import words

    lines = [f"but {found.caution}"] if found.caution else []
    lines += [*words.margin_words(found), *words.rundown_words(found)]
    if compared is not None:
        lines.append(compared.sentence)
    if full and found.modes:
        lines.append(f"modes with {found.turns_at_verdict:.0f} turns left")
        shown = [words.mode_row(mode) for mode in found.modes[: words.SHOWN_MODES]]
        lines += table(words.MODE_HEADS, shown, ("", ">", ">", ">", ">"), full=True)
        rest = len(found.modes) - words.SHOWN_MODES
        if rest > 0:
            lines.append(f"  and {rest} that die out faster")
    if full:
        lines.append("along the run-down; flown: mean spin and largest lean of this scenario's own flight, high up")
        return lines + table(words.RUN_HEADS, words.run_rows(found), (">",) * (len(words.RUN_HEADS) - 1), full=True)
    lines.append("along the run-down, and flown from its own launch")
    rows = [[row[k] for k in BUILDERS] for row in words.run_rows(found)[::2]]
    return lines + table([words.RUN_HEADS[k] for k in BUILDERS], rows, (">",) * len(BUILDERS))


BUILDERS = (0, 1, 2, 3, 4, 5, 8, 9)  # columns of the run-down that a builder needs, of words.RUN_HEADS
