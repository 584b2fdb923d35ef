"""``paddlebar margins``: does the bar hold the craft up, by how much, and how far may it move."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from paddlebar.cli.options import json_option, out_option, overrides, print_json, settings_option

if TYPE_CHECKING:
    from paddlebar.files.scenario import Scenario
    from paddlebar.margins.modes import Mode
    from paddlebar.margins.result import Margins
    from paddlebar.studies.averages import Averages

SHOWN_MODES = 8  # slowest to die out first; the others are gone within a turn or two

MODE_HEADS = ("mode", "growth\n1/s", "frequency\nHz", "doubles\nin s", "halves\nin s")
RUN_HEADS = (
    "turns\nleft", "growth\n1/s", "without\nbar 1/s", "climb\nm/s", "rotor\nrpm", "body\ndeg/s", "drift\nm/s", "lean\ndeg", "flown\ndeg/s", "leans\ndeg", "slowest mode",
)  # fmt: skip
KINDS = {"gain": ("gain", "times"), "lead": ("lead", "deg"), "mass": ("tip mass", "g each")}


@click.command()
@click.argument("scenario", type=click.Path(path_type=Path))
@settings_option
@out_option("Folder for the pictures. [default: flights/NAME-margins]")
@json_option
@click.option("--no-pictures", is_flag=True, help="Write nothing.")
@click.option(
    "--averaged", is_flag=True, help="Also ask the textbook's average over a revolution, and draw how far it is off."
)
@click.pass_context
def margins(
    ctx: click.Context, scenario: Path, settings: tuple[str, ...], out: Path | None, as_json: bool, no_pictures: bool, averaged: bool
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
    from paddlebar.margins.analysis import STEPS_OF_WORK

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
        files = [] if no_pictures else _draw(found, compared, chosen, folder)
    if as_json:
        more = {"averaged": compared.to_json()} if compared is not None else {}
        print_json({**found.to_json(), **more, "craft": chosen.craft.name, "files": [str(file) for file in files]})
    else:
        _show(found, compared, chosen)
        tables.show_files(files)
        tables.show_cautions()
    ctx.exit(0 if found.worst_growth_per_s < 0.0 else 1)  # nan is no


def _averages(chosen: Scenario) -> Averages:
    from paddlebar.studies.averages import averages

    return averages(chosen)


def _draw(found: Margins, compared: Averages | None, chosen: Scenario, folder: Path) -> list[Path]:
    from paddlebar.cli.outputs import staged
    from paddlebar.pictures.margins import save_pictures

    with staged(folder) as hidden:
        names = [file.name for file in save_pictures(found, hidden, chosen.pictures.dpi, compared)]
    return [folder / name for name in names]


def _show(found: Margins, compared: Averages | None, chosen: Scenario) -> None:
    from paddlebar.cli import tables

    click.echo(f"{chosen.craft.name}: {found.sentence}")
    if found.caution:
        click.echo(f"but {found.caution}")
    for line in (*margin_words(found), *rundown_words(found)):
        click.echo(line)
    if found.modes:
        click.echo(f"modes with {found.turns_at_verdict:.0f} turns left")
        tables.show_rows(MODE_HEADS, [_mode_row(mode) for mode in found.modes[:SHOWN_MODES]], ("", ">", ">", ">", ">"))
        rest = len(found.modes) - SHOWN_MODES
        if rest > 0:
            click.echo(f"  and {rest} that die out faster")
    click.echo("along the run-down; flown: mean spin and largest lean of this scenario's own flight, high up")
    tables.show_rows(RUN_HEADS, _run_rows(found), (*(">",) * (len(RUN_HEADS) - 1), ""))
    if compared is not None:
        click.echo(compared.sentence)


def margin_words(found: Margins) -> list[str]:
    """How far gain, lead and tip mass may move before the verdict changes; nothing without a bar."""
    if not found.margin_reasons:
        return []
    pairs = {"gain": found.gain_margin, "lead": found.lead_margin_deg, "mass": found.mass_margin_g}
    lines = [f"it stays so ({found.verdict}) while"]
    for name, (words, unit) in KINDS.items():
        sides = []
        for value, reason, side in zip(pairs[name], found.margin_reasons[name], ("down to", "up to"), strict=True):
            figure = (
                f"{value:.2f}" if name != "lead" and value is not None else f"{value:+.1f}" if value is not None else ""
            )
            sides.append(f"{side} {figure} {unit}" if value is not None else f"{side.split(' ')[0]}: {reason}")
        lines.append(f"  {words:<9} {'; '.join(sides)}")
    return lines


def rundown_words(found: Margins) -> list[str]:
    """What the middle of the run-down does not tell."""
    lines = []
    if (
        math.isfinite(found.worst_along_rundown_per_s)
        and found.worst_growth_per_s < 0.0 <= found.worst_along_rundown_per_s
    ):
        lines.append(
            f"but not all the way: with {found.turns_at_worst:.0f} turns left a disturbance doubles in "
            f"{math.log(2.0) / max(found.worst_along_rundown_per_s, 1e-12):.2g} s"
        )
    missing = [p.turns_left for p in found.along_rundown if not math.isfinite(p.worst_growth_per_s)]
    if missing and len(missing) < len(found.along_rundown):
        lines.append(f"no steady flight was found with {', '.join(f'{t:.0f}' for t in missing)} turns left")
    return lines


def _mode_row(mode: Mode) -> list[str]:
    from paddlebar.cli.tables import number

    values: list[tuple[float | None, str]] = [
        (mode.growth_per_s, "+.3f"), (mode.frequency_hz, ".3f"), (mode.time_to_double_s, ".2f"), (mode.time_to_half_s, ".2f"),
    ]  # fmt: skip
    return [mode.name, *(number(*each) for each in values)]


def _run_rows(found: Margins) -> list[list[str]]:
    from paddlebar.cli.tables import number

    columns: dict[str, Any] = {
        "turns_left": ".0f", "worst_growth_per_s": "+.3f", "worst_growth_without_bar_per_s": "+.3f", "climb_m_s": "+.2f", "rotor_rpm": ".0f",
        "body_rate_deg_s": "+.0f", "drift_m_s": ".2f", "tilt_deg": ".1f", "flown_body_rate_deg_s": "+.0f", "flown_tilt_deg": ".0f",
    }  # fmt: skip
    return [
        [
            *(number(getattr(point, key), form) for key, form in columns.items()),
            point.modes[0].name if point.modes else "none found",
        ]
        for point in found.along_rundown
    ]
