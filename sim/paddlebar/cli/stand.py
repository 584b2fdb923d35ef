"""``paddlebar stand``: the craft on a whirl stand or a kitchen scale."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from paddlebar.cli.options import data_option, json_option, out_option, overrides, print_json, settings_option

if TYPE_CHECKING:
    from paddlebar.files.craft import Craft
    from paddlebar.whirl_stand import StandPoint

MOST_POINTS = 1000


@click.command()
@click.argument("craft", type=click.Path(path_type=Path))
@click.option("--rpm", metavar="N | A:B:N", help="Rotor speed, or N of them from A to B. [default: around hover]")
@click.option(
    "--collective", metavar="DEG | A:B:N", help="Pitch at 75 % radius, or N of them from A to B. [default: the craft's]"
)
@settings_option
@out_option("Folder for the picture stand.png. [default: no picture]")
@data_option
@json_option
def stand(
    craft: Path,
    rpm: str | None,
    collective: str | None,
    settings: tuple[str, ...],
    out: Path | None,
    data: bool,
    as_json: bool,
) -> None:
    """Turn the rotor of CRAFT on a stand: thrust, torque, power, CT, CQ, figure of merit, coning.

    With --json each key holds a number for one point and a list for several; "points" is always a list of points.

    \b
    Example:
      paddlebar stand models/hall-ten.toml --rpm 300:600:7
      paddlebar stand models/hall-ten.toml --rpm 450 --collective 4:16:7 --out flights/stand
    """
    from dataclasses import asdict

    from paddlebar import api
    from paddlebar.cli import tables
    from paddlebar.cli.outputs import check_folder
    from paddlebar.cli.progress import progress
    from paddlebar.whirl_stand import stand_range

    chosen = api.load_craft(craft, overrides(settings))
    pitches = values("--collective", collective) if collective is not None else [chosen.rotor.collective_deg]
    speeds = values("--rpm", rpm) if rpm is not None else None
    if out is not None:
        check_folder(out)
    with progress(quiet=as_json) as bar:
        bar.start(len(pitches) + (out is not None))
        points: list[StandPoint] = []
        for pitch in pitches:
            bar.step(f"turning at {pitch:g} deg collective")
            points += stand_range(chosen, speeds or _around_hover(chosen, pitches[0]), [pitch])
        bar.step("drawing")
        files = _draw(points, out, data) if out is not None else []
    rows = [asdict(point) for point in points]
    if as_json:
        print_json({**_columns(rows), "points": rows, "craft": chosen.name, "files": [str(file) for file in files]})
        return
    click.echo(f"{chosen.name} on the stand, its blades alone")
    tables.show_stand(rows, tables.STAND)
    if any(math.isfinite(row["tail_rpm"]) for row in rows):
        click.echo("its tail rotor on the cord, away from the main rotor's wash")
        tables.show_stand(rows, tables.STAND_TAIL)
    click.echo(_lifting(chosen, pitches[0]))
    tables.show_files(files)
    tables.show_cautions()


def values(option: str, text: str) -> list[float]:
    """``5`` -> [5], ``4:16:7`` -> seven from 4 to 16. Raises BadInput."""
    from paddlebar.errors import BadInput

    wanted = f"{option}: write a number, or first:last:how many, such as 4:16:7"
    try:
        parts = [float(part) for part in text.split(":")]
    except ValueError:
        raise BadInput(f"{wanted}, found {text!r}") from None
    if not all(math.isfinite(part) for part in parts) or len(parts) not in (1, 3):
        raise BadInput(f"{wanted}, found {text!r}")
    if len(parts) == 1:
        return parts
    first, last, count = parts
    if count != int(count) or not 2 <= count <= MOST_POINTS:
        raise BadInput(f"{option}: how many should be a whole number from 2 to {MOST_POINTS}, found {text!r}")
    n = int(count)
    return [first + (last - first) * k / (n - 1) for k in range(n)]


def _around_hover(craft: Craft, pitch: float) -> list[float]:
    """Nine speeds from half to one and a half times the one at which the rotor lifts its craft. Raises BadInput."""
    from paddlebar.errors import BadInput
    from paddlebar.whirl_stand import hover_point

    try:
        hover = round(hover_point(craft, pitch).rpm, -1)
    except BadInput as error:
        raise BadInput(f"{error}; choose the speeds by --rpm") from None
    return [hover * (0.5 + 0.125 * k) for k in range(9)]


def _lifting(craft: Craft, pitch: float) -> str:
    """The builder's question: at which speed does it lift itself, and what does that take."""
    from paddlebar.errors import BadInput
    from paddlebar.files.craft import weights_g
    from paddlebar.whirl_stand import hover_point

    weight = f"the whole craft weighs {sum(weights_g(craft).values()):.2f} g"
    try:
        point = hover_point(craft, pitch)
    except BadInput as error:
        return f"{weight}; {error}"
    return f"{weight}; its rotor lifts that at {point.rpm:.0f} rpm and {pitch:g} deg, which takes {1e3 * point.power_w:.0f} mW"


def _columns(rows: list[dict[str, float]]) -> dict[str, Any]:
    return dict(rows[0]) if len(rows) == 1 else {key: [row[key] for row in rows] for key in rows[0]}


def _draw(points: list[StandPoint], folder: Path, data: bool) -> list[Path]:
    from paddlebar.cli.outputs import staged
    from paddlebar.pictures.saving import save
    from paddlebar.pictures.stand import draw_stand

    with staged(folder) as hidden:
        drawn = save({"stand": draw_stand(points)}, hidden, data=data)
    return [folder / file.name for file in drawn]
