"""``paddlebar map``: two parameters against stability, the design marked in it."""

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
    from paddlebar.studies.axes import Range
    from paddlebar.studies.map.study import Map

STUDY_FILE = "study.h5"
SHOWN_ROWS = 9  # of the table on the screen
WELL = ("stabilises", "decays", "held")  # verdicts of a design that flies
AXIS = "KEY=LOW:HIGH:N"


@click.command(name="map")
@click.argument("scenario", type=click.Path(path_type=Path))
@click.option("--x", "x", required=True, metavar=AXIS, help="Key across the map, N values from LOW to HIGH.")
@click.option("--y", "y", required=True, metavar=AXIS, help="Key up the map.")
@click.option(
    "--by",
    type=click.Choice(["floquet", "flights"]),
    default="floquet",
    show_default=True,
    help="From steady flight and its disturbances, or from a flight at each point.",
)
@workers_option("Rows")
@settings_option
@out_option(
    "Folder for study file, table and picture; a map that was interrupted is gone on with. [default: flights/NAME-map]"
)
@json_option
@pictures_option("Write study file and table alone.")
@click.pass_context
def map_verb(
    ctx: click.Context,
    scenario: Path,
    x: str,
    y: str,
    by: str,
    workers: int | None,
    settings: tuple[str, ...],
    out: Path | None,
    as_json: bool,
    no_pictures: bool,
) -> None:
    """Map two numbers of SCENARIO or its craft: where it flies steadily, where it falls over, and where the design stands.

    Growth of the fastest growing disturbance at the torque of half the run-down; negative: it dies out. With --by flights every
    point is flown instead, high up and without walls, and judged by its sway. The same command after an interruption goes on.

    Exit code: 0 the design itself stabilises (is held), 1 it does not, 2 bad input.

    \b
    Example:
      paddlebar map scenarios/first-flight.toml --x craft.bar.lead_deg=40:160:40 --y craft.bar.tip_mass_g=0.1:1.0:40
      paddlebar map scenarios/first-flight.toml --x craft.bar.gain=-1:1:21 --y skein.turns=200:500:16 --by flights --json
    """
    from paddlebar import api
    from paddlebar.cli import tables
    from paddlebar.cli.outputs import check_folder
    from paddlebar.cli.progress import progress

    chosen = api.load_scenario(scenario, overrides(settings))
    axes = axis_of("--x", x), axis_of("--y", y)
    folder = out or Path("flights") / f"{scenario.stem}-map"
    check_folder(folder)
    with progress(quiet=as_json) as bar:
        found = api.stability_map(chosen, *axes, by, workers=workers, progress=bar, file=folder / STUDY_FILE)
    files = [folder / STUDY_FILE, *_write(found, chosen, folder, not no_pictures)]
    if as_json:
        print_json({**found.to_json(), "craft": chosen.craft.name, "files": [str(file) for file in files]})
    else:
        for line in sentences(found, chosen.craft.name):
            click.echo(line)
        tables.show_rows(*table(found))
        tables.show_files(files)
        tables.show_cautions()
    ctx.exit(0 if found.design_verdict in WELL else 1)


def axis_of(option: str, text: str) -> Range:
    """``craft.bar.gain=-1:1:21`` -> (key, lowest, highest, how many). Raises BadInput."""
    from paddlebar.errors import BadInput

    key, sign, rest = text.partition("=")
    parts = rest.split(":")
    try:
        low, high, count = (float(part) for part in parts)
    except ValueError:
        low = high = count = math.nan
    if not (sign and key.strip() and math.isfinite(low + high + count) and count == int(count)):
        raise BadInput(
            f"{option}: write key=lowest:highest:how many, such as craft.bar.lead_deg=40:160:40, found {text!r}"
        )
    return key.strip(), low, high, int(count)


def sentences(found: Map, name: str) -> list[str]:
    """The answer in words."""
    from paddlebar.studies.runner import failed_words

    where = f"at {found.x_key} = {found.design[0]:g}, {found.y_key} = {found.design[1]:g}"
    rate = found.design_growth
    does = f", growth {rate:+.2f} /s" if math.isfinite(rate) else ""
    half = f"with {found.turns_left:.0f} turns left" if math.isfinite(found.turns_left) else "by flights"
    share = {word: float((found.verdict == word).mean()) for word in dict.fromkeys(found.verdict.ravel().tolist())}
    parts = ", ".join(f"{100 * value:.0f} % {word}" for word, value in sorted(share.items(), key=lambda item: -item[1]))
    lines = [f"{name} {where}: {found.design_verdict}{does}, {half}", f"of {found.growth.size} points: {parts}"]
    return lines + failed_words(found.failed, found.growth.size)


def table(found: Map) -> tuple[list[str], list[list[str]]]:
    """Some rows of the map: where along x it is well, by straight lines between the points."""
    from paddlebar.studies.map.study import windows

    ny = found.y.size
    some = sorted({round(k * (ny - 1) / min(SHOWN_ROWS - 1, ny - 1)) for k in range(min(SHOWN_ROWS, ny))})
    word = "held" if found.by == "flights" else "dies out"
    heads = [found.y_key, f"{word} for {found.x_key}"]
    return heads, [
        [f"{found.y[j]:.4g}", ", ".join(f"{a:.4g} to {b:.4g}" for a, b in windows(found, j)) or "nowhere"]
        for j in reversed(some)
    ]


def _write(found: Map, chosen: Scenario, folder: Path, picture: bool) -> list[Path]:
    from paddlebar.cli.outputs import staged

    names = ["map.csv", *(["map.png"] if picture else [])]
    with staged(folder) as hidden:
        write_table(found, hidden / "map.csv")
        if picture:
            from paddlebar.pictures.map import draw_map  # matplotlib only where it draws
            from paddlebar.pictures.saving import save

            save({"map": draw_map(found, chosen.craft.name)}, hidden, dpi=chosen.pictures.dpi)
    return [folder / name for name in names]


def write_table(found: Map, path: Path) -> None:
    """A row a point; an empty field where there is no figure."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow([found.x_key, found.y_key, "growth_per_s", "growth_without_bar_per_s", "verdict"])
        for j, up in enumerate(found.y):
            for i, across in enumerate(found.x):
                rates = (found.growth[j, i], found.without[j, i])
                writer.writerow(
                    [
                        f"{across:.6g}",
                        f"{up:.6g}",
                        *(f"{r:.5g}" if math.isfinite(r) else "" for r in rates),
                        found.verdict[j, i],
                    ]
                )
