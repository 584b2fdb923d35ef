"""``paddlebar stand``: the craft on a whirl stand or a kitchen scale."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from paddlebar.cli import verb
from paddlebar.cli.progress import progress
from paddlebar.units import GRAM_FORCE

if TYPE_CHECKING:
    from paddlebar.files.craft import Craft
    from paddlebar.whirl_stand import StandPoint

Columns = dict[str, tuple[str, str, float]]

# key of a StandPoint -> head of the column, format, what it is multiplied by for the eye
ROTOR: Final[Columns] = {
    "rpm": ("rotor\nrpm", ".0f", 1.0),
    "collective_deg": ("pitch\ndeg", ".1f", 1.0),
    "thrust_n": ("thrust\ng", ".2f", 1.0 / GRAM_FORCE),
    "torque_nm": ("torque\nmN m", ".3f", 1e3),
    "power_w": ("power\nmW", ".1f", 1e3),
    "CT": ("CT\n", ".5f", 1.0),
    "CQ": ("CQ\n", ".6f", 1.0),
    "figure_of_merit": ("figure\nof merit", ".3f", 1.0),
    "coning_deg": ("coning\ndeg", ".2f", 1.0),
}
TAIL: Final[Columns] = {
    "rpm": ("rotor\nrpm", ".0f", 1.0),
    "tail_rpm": ("tail\nrpm", ".0f", 1.0),
    "tail_thrust_n": ("thrust\ng", ".2f", 1.0 / GRAM_FORCE),
    "tail_torque_nm": ("torque\nmN m", ".3f", 1e3),
    "tail_power_w": ("power\nmW", ".1f", 1e3),
    "shaft_torque_nm": ("skein must\ngive mN m", ".3f", 1e3),
}
BUILDERS: Final[Columns] = {
    **{key: ROTOR[key] for key in ("rpm", "collective_deg", "thrust_n", "torque_nm", "power_w", "coning_deg")},
    "tail_thrust_n": ("tail\ng", ".2f", 1.0 / GRAM_FORCE),
    "shaft_torque_nm": TAIL["shaft_torque_nm"],
}


@click.command()
@verb.craft_argument
@click.option("--rpm", metavar="N | A:B:N", help="Rotor speed, or N of them from A to B. [default: around hover]")
@click.option(
    "--collective", metavar="DEG | A:B:N", help="Pitch at 75 % radius, or N of them from A to B. [default: the craft's]"
)
@verb.set_option
@verb.out_option("Folder for the picture stand.png. [default: no picture]")
@verb.data_option
@verb.look_options
@verb.answer_options
def stand(
    craft: Path, rpm: str | None, collective: str | None, changes: dict[str, Any], out: Path | None, data: bool
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
    from paddlebar.cli.outputs import check_folder
    from paddlebar.cli.ranges import values
    from paddlebar.whirl_stand import stand_range

    chosen = api.load_craft(craft, changes)
    pitches = values("--collective", collective) if collective is not None else [chosen.rotor.collective_deg]
    speeds = values("--rpm", rpm) if rpm is not None else None
    if out is not None:
        check_folder(out)
    with progress() as bar:
        bar.start(len(pitches) + (out is not None))
        points: list[StandPoint] = []
        for pitch in pitches:
            bar.step(f"turning at {pitch:g} deg collective")
            points += stand_range(chosen, speeds or _around_hover(chosen, pitches[0]), [pitch])
        bar.step("drawing")
        files = _draw(points, out, data) if out is not None else []
    rows = [asdict(point) for point in points]
    verb.answer(
        {**_columns(rows), "points": rows, "craft": chosen.name},
        lambda full: verb.Screen(
            _lifting(chosen, pitches[0]),
            _tables(rows, full),
            f"paddlebar check {craft}  # does the skein give that torque?",
            more=not full,
        ),
        files,
    )


def _tables(rows: Sequence[dict[str, float]], full: bool) -> list[str]:
    from paddlebar.cli.screen import figures

    tail = any(math.isfinite(row["tail_rpm"]) for row in rows)
    if not full:
        columns = BUILDERS if tail else {key: each for key, each in BUILDERS.items() if key in ROTOR}
        return ["on the stand, its blades alone", *figures(rows, columns)]
    lines = ["on the stand, its blades alone", *figures(rows, ROTOR, full=True)]
    if tail:
        lines += ["its tail rotor on the cord, away from the main rotor's wash", *figures(rows, TAIL, full=True)]
    return lines


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

    weight = f"{craft.name}: the whole craft weighs {sum(weights_g(craft).values()):.2f} g"
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
        drawn = save({"stand": draw_stand(points)}, hidden, verb.look(), data=data)
    return [folder / file.name for file in drawn]
