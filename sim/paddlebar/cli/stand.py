"""``paddlebar stand``: the craft on a whirl stand or a kitchen scale."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from paddlebar.cli.options import json_option, out_option, overrides, print_json, settings_option

if TYPE_CHECKING:
    from paddlebar.bench.stand import StandPoint
    from paddlebar.files.craft import Craft

KEYS = (
    "rpm",
    "collective_deg",
    "thrust_n",
    "torque_nm",
    "power_w",
    "CT",
    "CQ",
    "figure_of_merit",
    "coning_deg",
)
MOST_POINTS = 1000
FIRST_TIP_SPEED = 8.0  # [m/s] only to find the speed at which the rotor lifts its craft; from memory, middle of the range


@click.command()
@click.argument("craft", type=click.Path(path_type=Path))
@click.option("--rpm", metavar="N | A:B:N", help="Rotor speed, or N of them from A to B. [default: around hover]")
@click.option(
    "--collective", metavar="DEG | A:B:N", help="Pitch at 75 % radius, or N of them from A to B. [default: the craft's]"
)
@settings_option
@out_option("Folder for the picture stand.png. [default: no picture]")
@json_option
def stand(
    craft: Path, rpm: str | None, collective: str | None, settings: tuple[str, ...], out: Path | None, as_json: bool
) -> None:
    """Turn the rotor of CRAFT on a stand: thrust, torque, power, CT, CQ, figure of merit, coning.

    With --json each key holds a number for one point and a list for several; "points" is always a list of points.

    \b
    Example:
      paddlebar stand models/hall-ten.toml --rpm 300:600:7
      paddlebar stand models/hall-ten.toml --rpm 450 --collective 4:16:7 --out flights/stand
    """
    from paddlebar import api  # noqa: PLC0415
    from paddlebar.cli import tables  # noqa: PLC0415
    from paddlebar.cli.outputs import check_folder  # noqa: PLC0415
    from paddlebar.cli.progress import progress  # noqa: PLC0415

    chosen = api.load_craft(craft, overrides(settings))
    pitches = values("--collective", collective) if collective else [chosen.rotor.collective_deg]
    speeds = values("--rpm", rpm) if rpm else _around_hover(chosen, pitches[0])
    if out is not None:
        check_folder(out)
    with progress(quiet=as_json) as bar:
        bar.start(len(speeds) * len(pitches))
        points: list[StandPoint] = []
        for pitch in pitches:
            for speed in speeds:
                bar.step(f"{speed:.0f} rpm, {pitch:g} deg")
                points.append(api.stand(chosen, speed, pitch))
        files = _draw(points, out) if out is not None else []
    rows = [{key: float(getattr(point, key)) for key in KEYS} for point in points]
    if as_json:
        print_json({**_columns(rows), "points": rows, "craft": chosen.name, "files": [str(file) for file in files]})
        return
    click.echo(f"{chosen.name} on the stand")
    tables.show_stand(rows, [f"the whole craft weighs {_weight_g(chosen):.2f} g"])
    tables.show_files(files)
    tables.show_cautions()


def values(option: str, text: str) -> list[float]:
    """``5`` -> [5], ``4:16:7`` -> seven from 4 to 16. Raises BadInput."""
    from paddlebar.errors import BadInput  # noqa: PLC0415

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
    if count != int(count) or not 2 <= count <= MOST_POINTS:  # noqa: PLR2004  two ends
        raise BadInput(f"{option}: how many should be a whole number from 2 to {MOST_POINTS}, found {text!r}")
    n = int(count)
    return [first + (last - first) * k / (n - 1) for k in range(n)]


def _around_hover(craft: Craft, pitch: float) -> list[float]:
    """Nine speeds from half to one and a half times the one at which the rotor lifts its craft, thrust taken ~ rpm^2."""
    from paddlebar import api  # noqa: PLC0415
    from paddlebar.cli.tables import GRAM_FORCE  # noqa: PLC0415

    first = FIRST_TIP_SPEED / (1e-3 * craft.rotor.radius_mm) * 30.0 / math.pi
    thrust = api.stand(craft, first, pitch).thrust_n
    hover = first * math.sqrt(_weight_g(craft) * GRAM_FORCE / thrust) if thrust > 0.0 else first
    middle = max(10.0, round(min(hover, 3.0 * first), -1))
    return [middle * (0.5 + 0.125 * k) for k in range(9)]


def _weight_g(craft: Craft) -> float:
    from paddlebar.files.craft import weights_g  # noqa: PLC0415

    return sum(weights_g(craft).values())


def _columns(rows: list[dict[str, float]]) -> dict[str, Any]:
    return dict(rows[0]) if len(rows) == 1 else {key: [row[key] for row in rows] for key in KEYS}


def _draw(points: list[StandPoint], folder: Path) -> list[Path]:
    from paddlebar.cli.outputs import staged  # noqa: PLC0415
    from paddlebar.pictures.stand import draw_stand  # noqa: PLC0415

    with staged(folder) as hidden:
        draw_stand(points).savefig(hidden / "stand.png", dpi=110)
    return [folder / "stand.png"]
