"""``paddlebar margins``: does the bar hold the craft up, by how much, and how far may it move."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from paddlebar.cli.options import (
    data_option,
    json_option,
    out_option,
    overrides,
    pictures_option,
    print_json,
    settings_option,
)

if TYPE_CHECKING:
    from paddlebar.files.scenario import Scenario
    from paddlebar.stability.result import Margins
    from paddlebar.stability.textbook import Averages


@click.command()
@click.argument("scenario", type=click.Path(path_type=Path))
@settings_option
@out_option("Folder for the pictures. [default: flights/NAME-margins]")
@data_option
@json_option
@pictures_option("Write nothing.")
@click.option(
    "--averaged", is_flag=True, help="Also ask the textbook's average over a revolution, and draw how far it is off."
)
@click.pass_context
def margins(
    ctx: click.Context, scenario: Path, settings: tuple[str, ...], out: Path | None, data: bool, as_json: bool, no_pictures: bool,
    averaged: bool,
) -> None:  # fmt: skip
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
    from paddlebar.cli import tables
    from paddlebar.cli.outputs import check_folder
    from paddlebar.cli.progress import progress
    from paddlebar.stability.analysis import STEPS_OF_WORK

    chosen = api.load_scenario(scenario, overrides(settings))
    folder = out or Path("flights") / f"{scenario.stem}-margins"
    if not no_pictures:
        check_folder(folder)
    with progress(quiet=as_json) as bar:
        bar.start(STEPS_OF_WORK + averaged + 1)
        bar.step("looking for steady flight")
        found = api.margins(chosen, lambda: bar.step("steady flight and its disturbances"))
        compared = _averages(chosen) if averaged else None
        bar.step("drawing")
        files = [] if no_pictures else _draw(found, compared, chosen, folder, data)
    if as_json:
        more = {"averaged": compared.to_json()} if compared is not None else {}
        print_json({**found.to_json(), **more, "craft": chosen.craft.name, "files": [str(file) for file in files]})
    else:
        _show(found, compared, chosen)
        tables.show_files(files)
        tables.show_cautions()
    ctx.exit(0 if found.worst_growth_per_s < 0.0 else 1)  # nan is no


def _averages(chosen: Scenario) -> Averages:
    from paddlebar.stability.textbook import averages

    return averages(chosen)


def _draw(found: Margins, compared: Averages | None, chosen: Scenario, folder: Path, data: bool) -> list[Path]:
    from paddlebar.cli.outputs import staged
    from paddlebar.pictures.margins import save_pictures

    with staged(folder) as hidden:
        names = [file.name for file in save_pictures(found, hidden, chosen.pictures.dpi, compared, data=data)]
    return [folder / name for name in names]


def _show(found: Margins, compared: Averages | None, chosen: Scenario) -> None:
    from paddlebar.cli import tables
    from paddlebar.pictures import words

    click.echo(f"{chosen.craft.name}: {found.sentence}")
    if found.caution:
        click.echo(f"but {found.caution}")
    for line in (*words.margin_words(found), *words.rundown_words(found)):
        click.echo(line)
    if found.modes:
        click.echo(f"modes with {found.turns_at_verdict:.0f} turns left")
        tables.show_rows(
            words.MODE_HEADS,
            [words.mode_row(mode) for mode in found.modes[: words.SHOWN_MODES]],
            ("", ">", ">", ">", ">"),
        )
        rest = len(found.modes) - words.SHOWN_MODES
        if rest > 0:
            click.echo(f"  and {rest} that die out faster")
    click.echo("along the run-down; flown: mean spin and largest lean of this scenario's own flight, high up")
    tables.show_rows(words.RUN_HEADS, words.run_rows(found), (*(">",) * (len(words.RUN_HEADS) - 1), ""))
    if compared is not None:
        click.echo(compared.sentence)
