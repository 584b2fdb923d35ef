"""``paddlebar match``: unknowns fitted to flights and bench readings; rubber from a bench test."""

from __future__ import annotations

import csv
import math
from pathlib import Path
from typing import TYPE_CHECKING

import click

from paddlebar.cli.options import (
    json_option,
    out_option,
    overrides,
    pictures_option,
    print_json,
    settings_option,
    workers_option,
)

if TYPE_CHECKING:
    from paddlebar.files.scenario import Scenario
    from paddlebar.studies.match.study import Match

OVERLAY = "matched.toml"
TABLE = "match.csv"


@click.command()
@click.argument("scenario", type=click.Path(path_type=Path))
@click.argument("record", type=click.Path(path_type=Path))
@click.option(
    "--unknown", "asked", multiple=True, metavar="KEY[=SPREAD]",
    help="A number to find, and how far it may be off before (one standard deviation). May be repeated. "
    "[default: energy of the rubber, real pitch, section drag, airframe drag, friction of the bar]",
)  # fmt: skip
@click.option("--no-further", is_flag=True, help="Do not look for the readings that would tell most next.")
@workers_option("Flights")
@settings_option
@out_option("Folder for overlay, table and picture. [default: flights/NAME-match]")
@json_option
@pictures_option("Write overlay and table alone.")
@click.pass_context
def match(
    ctx: click.Context, scenario: Path, record: Path, asked: tuple[str, ...], no_further: bool, workers: int | None,
    settings: tuple[str, ...], out: Path | None, as_json: bool, no_pictures: bool,
) -> None:  # fmt: skip
    """Find what cannot be measured on SCENARIO's craft from RECORD, a csv of flights and bench readings.

    A row a flight or a reading, columns as in `paddlebar help record`: turns, backed_off, change, duration_s, peak_height_m, body_turns, rotor_rpm,
    thrust_g, ... Written are matched.toml, a scenario with the fitted craft that `fly` takes, a table and a picture. A RECORD with a
    column `branch` is a skein on a torque meter, wound and let out: the rubber's energy, loss and curve go into matched.toml.

    Exit code: 0 the model fits the record, 1 it does not (chi-square, p < 0.01, or flights end otherwise), 2 bad input.

    \b
    Example:
      paddlebar match scenarios/hall-record.toml scenarios/hall-record.csv
      paddlebar match scenarios/hall-record.toml scenarios/hall-record.csv --unknown craft.rotor.collective_deg=1.5
      paddlebar match scenarios/hall-record.toml scenarios/hall-skein-bench.csv --out flights/rubber
    """
    from paddlebar import api
    from paddlebar.cli.outputs import check_folder
    from paddlebar.errors import BadInput
    from paddlebar.files.skein_record import is_skein_record

    given = overrides(settings)
    chosen = api.load_scenario(scenario, given)
    folder = out or Path("flights") / f"{scenario.stem}-match"
    check_folder(folder)
    if is_skein_record(record):
        if asked:
            raise BadInput("--unknown: a skein on a torque meter has none; its law is fitted as a whole")
        from paddlebar.cli.match_skein import match_skein

        match_skein(chosen, scenario, record, given, folder, as_json=as_json, pictures=not no_pictures)
        return
    found, files = _fit(
        chosen, scenario, record, asked, given, folder, not no_further, workers, as_json, not no_pictures
    )
    if as_json:
        from paddlebar.studies.match.words import to_json

        print_json(
            {
                **to_json(found),
                "craft": chosen.craft.name,
                "changes": found.changes,
                "files": [str(file) for file in files],
            }
        )
    else:
        _show(found, chosen, files)
    ctx.exit(0 if found.fits else 1)


def _fit(
    chosen: Scenario, source: Path, record: Path, asked: tuple[str, ...], given: dict[str, object], folder: Path, further: bool,
    workers: int | None, quiet: bool, picture: bool,
) -> tuple[Match, list[Path]]:  # fmt: skip
    from paddlebar import api
    from paddlebar.cli.outputs import staged
    from paddlebar.cli.progress import progress
    from paddlebar.files.overlay import overlay
    from paddlebar.studies.match.words import remarks

    wanted = dict(_spread(text) for text in asked) or None
    with progress(quiet=quiet) as bar:
        found = api.match(chosen, record, wanted, further=further, workers=workers, progress=bar, folder=folder)
        with staged(folder) as hidden:
            text = overlay(chosen, {**given, **found.changes}, folder, remarks(found, str(record)), source)
            (hidden / OVERLAY).write_text(text, encoding="utf-8")
            write_table(found, hidden / TABLE)
            if picture:
                from paddlebar.pictures.match import draw_match  # matplotlib only where it draws
                from paddlebar.pictures.saving import save

                save({"match": draw_match(found, chosen.craft.name)}, hidden, dpi=chosen.pictures.dpi)
            names = sorted(file.name for file in hidden.iterdir())
    return found, [folder / name for name in names]


def _spread(text: str) -> tuple[str, float | None]:
    """``craft.rotor.collective_deg=1.5`` -> (key, spread); None without one. Raises BadInput."""
    from paddlebar.errors import BadInput

    key, sign, spread = text.partition("=")
    try:
        value = float(spread) if sign else None
    except ValueError:
        value = math.nan
    if not key.strip() or (value is not None and not math.isfinite(value)):
        raise BadInput(f"--unknown: write KEY or KEY=SPREAD, such as craft.rotor.collective_deg=1.5, found {text!r}")
    return key.strip(), value


def _show(found: Match, chosen: Scenario, files: list[Path]) -> None:
    from paddlebar.cli import tables
    from paddlebar.studies.match import words

    click.echo(f"{chosen.craft.name}: {words.verdict(found)}")
    heads, rows = words.unknown_rows(found)
    tables.show_rows(heads, rows, ("", *(">",) * (len(heads) - 1)))
    if len(found.unknowns) > 1:
        heads, rows = words.correlation_rows(found)
        tables.show_rows(heads, rows, ("", *(">",) * (len(heads) - 1)))
    heads, rows = words.reading_rows(found)
    tables.show_rows(heads, rows, ("", "", *(">",) * (len(heads) - 2)))
    for line in words.sentences(found)[1:]:
        click.echo(line)
    if found.remarks:
        click.echo("remarks of the record")
        for number, text in found.remarks:
            click.echo(f"  line {number}: {text}")
    tables.show_files(files)
    tables.show_cautions()


def write_table(found: Match, path: Path) -> None:
    """A row a reading; an empty field where the model has none."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(
            [
                "line",
                "row",
                "quantity",
                "recorded",
                "sd",
                "reckoned_sd",
                "model_before",
                "model_fitted",
                "off_by_errors",
            ]
        )
        for r in found.readings:
            figures = (r.recorded, r.sd, r.reckoned, r.before, r.after, r.off)
            writer.writerow([r.line, r.name, r.quantity, *(f"{v:.6g}" if math.isfinite(v) else "" for v in figures)])
