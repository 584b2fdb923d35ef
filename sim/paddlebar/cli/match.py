"""``paddlebar match``: unknowns fitted to flights and bench readings; rubber from a bench test."""

from __future__ import annotations

import csv
import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from paddlebar.cli import verb
from paddlebar.cli.progress import progress

if TYPE_CHECKING:
    from paddlebar.files.scenario import Scenario
    from paddlebar.studies.match.study import Match

OVERLAY = "matched.toml"
TABLE = "match.csv"


@click.command()
@verb.scenario_argument
@click.argument("record", type=verb.PATH)
@click.option(
    "--unknown", "asked", multiple=True, metavar="KEY[=SPREAD]",
    help="A number to find, and how far it may be off before (one standard deviation). May be repeated. "
    "[default: energy of the rubber, real pitch, section drag, airframe drag, friction of the bar]",
)  # fmt: skip
@click.option("--no-further", is_flag=True, help="Do not look for the readings that would tell most next.")
@verb.workers_option("Flights")
@verb.set_option
@verb.out_option("Folder for overlay, table and picture. [default: flights/NAME-match]")
@verb.look_options
@verb.answer_options
@verb.pictures_option("Write overlay and table alone.")
def match(
    scenario: Path, record: Path, asked: tuple[str, ...], no_further: bool, workers: int | None, changes: dict[str, Any],
    out: Path | None, pictures: bool,
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
    import paddlebar
    from paddlebar.errors import BadInput
    from paddlebar.files.skein_record import is_skein_record
    from paddlebar.studies.match import words

    chosen = paddlebar.load_scenario(scenario, changes)
    folder = verb.folder_for(out, f"{scenario.stem}-match")
    if is_skein_record(record):
        if asked:
            raise BadInput("--unknown: a skein on a torque meter has none; its law is fitted as a whole")
        from paddlebar.cli.match_skein import match_skein

        match_skein(chosen, scenario, record, changes, folder, pictures=pictures)
    wanted = dict(_spread(text) for text in asked) or None
    with progress() as bar:
        bar.start(1)
        found = paddlebar.match(
            chosen, record, wanted, further=not no_further, workers=workers, progress=bar, folder=folder
        )
        bar.step("writing and drawing")
        files = _write(found, chosen, scenario, record, changes, folder, pictures)
    verb.answer(
        {**words.to_json(found), "craft": chosen.craft.name, "changes": found.changes},
        lambda full: verb.Screen(
            f"{chosen.craft.name}: {words.verdict(found)}", lines(found, full), next_step(found, folder), more=not full
        ),
        files,
        good=found.fits,
    )


def next_step(found: Match, folder: Path) -> str:
    """Fly the fitted craft where the model fits; else see what is off."""
    if not found.fits:
        return f"look at {folder / TABLE}: which readings are off? free another number by --unknown"
    return f"paddlebar fly {folder / OVERLAY}"


def _write(
    found: Match, chosen: Scenario, source: Path, record: Path, given: dict[str, Any], folder: Path, picture: bool
) -> list[Path]:
    from paddlebar.cli.outputs import staged
    from paddlebar.files.overlay import overlay
    from paddlebar.studies.match.words import remarks

    with staged(folder) as hidden:
        text = overlay(chosen, {**given, **found.changes}, folder, remarks(found, str(record)), source)
        (hidden / OVERLAY).write_text(text, encoding="utf-8")
        write_table(found, hidden / TABLE)
        if picture:
            from paddlebar.pictures.match import draw_match  # matplotlib only where it draws
            from paddlebar.pictures.saving import save

            save({"match": draw_match(found, chosen.craft.name)}, hidden, look=verb.look(chosen.pictures.dpi))
        names = sorted(file.name for file in hidden.iterdir())
    return [folder / name for name in names]


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


def lines(found: Match, full: bool) -> list[str]:
    """What was found, and what it leaves open; full : correlations and every reading too."""
    from paddlebar.cli.screen import table
    from paddlebar.studies.match import words

    heads, rows = words.unknown_rows(found)
    out = table(heads, rows, ("", *(">",) * (len(heads) - 1)), full=full)
    jumps = words.jumps(found)  # they may be many, and are the least of it
    out += [*(line for line in words.sentences(found)[1:] if line not in jumps), *jumps]
    if full and len(found.unknowns) > 1:
        heads, rows = words.correlation_rows(found)
        out += table(heads, rows, ("", *(">",) * (len(heads) - 1)), full=True)
    if full:
        heads, rows = words.reading_rows(found)
        out += table(heads, rows, ("", "", *(">",) * (len(heads) - 2)), full=True)
    if found.remarks:
        out += ["remarks of the record", *(f"  line {number}: {text}" for number, text in found.remarks)]
    return out


HEADS = ("line", "row", "quantity", "recorded", "sd", "reckoned_sd", "model_before", "model_fitted", "off_by_errors")


def write_table(found: Match, path: Path) -> None:
    """A row a reading; an empty field where the model has none."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(HEADS)
        for r in found.readings:
            figures = (r.recorded, r.sd, r.reckoned, r.before, r.after, r.off)
            writer.writerow([r.line, r.name, r.quantity, *map(verb.field, figures)])
