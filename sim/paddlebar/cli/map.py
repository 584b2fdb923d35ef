"""``paddlebar map``: two parameters against stability, the design marked in it."""

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
    from paddlebar.studies.axes import Range
    from paddlebar.studies.map.study import Map

STUDY_FILE = "study.h5"
SHOWN_ROWS = 9  # of the table on the screen
WELL = ("stabilises", "decays", "held")  # verdicts of a design that flies
AXIS = "KEY=LOW:HIGH:N"


@click.command()
@verb.scenario_argument
@click.option("--x", "x", required=True, metavar=AXIS, help="Key across the map, N values from LOW to HIGH.")
@click.option("--y", "y", required=True, metavar=AXIS, help="Key up the map.")
@click.option(
    "--by",
    type=click.Choice(["floquet", "flights"]),
    default="floquet",
    show_default=True,
    help="From steady flight and its disturbances, or from a flight at each point.",
)
@verb.workers_option("Rows")
@verb.set_option
@verb.out_option(
    "Folder for study file, table and picture; a map that was interrupted is gone on with. [default: flights/NAME-map]"
)
@verb.look_options
@verb.answer_options
@verb.pictures_option("Write study file and table alone.")
def map(
    scenario: Path,
    x: str,
    y: str,
    by: str,
    workers: int | None,
    changes: dict[str, Any],
    out: Path | None,
    pictures: bool,
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
    import paddlebar

    chosen = paddlebar.load_scenario(scenario, changes)
    axes = axis_of("--x", x), axis_of("--y", y)
    folder = verb.folder_for(out, f"{scenario.stem}-map")
    with progress() as bar:
        bar.start(1)
        found = paddlebar.stability_map(chosen, *axes, by, workers=workers, progress=bar, file=folder / STUDY_FILE)
        bar.step("writing and drawing")
        files = [folder / STUDY_FILE, *_write(found, chosen, folder, pictures)]
    verb.answer(
        {**found.to_json(), "craft": chosen.craft.name},
        lambda full: verb.Screen(
            verdict(found, chosen.craft.name),
            _lines(found, full),
            next_step(found, verb.as_typed(scenario, changes)),
            more=not full and found.y.size > SHOWN_ROWS,
        ),
        files,
        good=found.design_verdict in WELL,
    )


def axis_of(option: str, text: str) -> Range:
    """``craft.bar.gain=-1:1:21`` -> (key, lowest, highest, how many). Raises BadInput."""
    from paddlebar.cli.ranges import keyed
    from paddlebar.errors import BadInput

    key, (low, high, count) = keyed(option, text, HOW, EXAMPLE)
    if count != int(count):
        raise BadInput(f"{option}: write key={HOW}, such as {EXAMPLE}, found {text!r}")
    return key, low, high, int(count)


HOW, EXAMPLE = "lowest:highest:how many", "craft.bar.lead_deg=40:160:40"


def verdict(found: Map, name: str) -> str:
    """The answer for the design in words."""
    where = f"at {found.x_key} = {found.design[0]:g}, {found.y_key} = {found.design[1]:g}"
    rate = found.design_growth
    does = f", growth {rate:+.2f} /s" if math.isfinite(rate) else ""
    half = f"with {found.turns_left:.0f} turns left" if math.isfinite(found.turns_left) else "by flights"
    return f"{name} {where}: {found.design_verdict}{does}, {half}"


def next_step(found: Map, source: Path | str) -> str:
    """The nearest place that is well, the farther from its edges the better; or to look elsewhere."""
    place = steadiest(found)
    if place is None:
        return "nothing here is well: map other numbers, or a wider range"
    x, y = place
    return f"paddlebar margins {source} --set {found.x_key}={x:.4g} --set {found.y_key}={y:.4g}"


def steadiest(found: Map) -> tuple[float, float] | None:
    """Where disturbances die out fastest, or, by flights, the held point in the middle of the longest stretch; None where nothing is well."""
    from paddlebar.studies.map.study import windows

    if found.by == "flights":
        held = [(b - a, 0.5 * (a + b), float(y)) for j, y in enumerate(found.y) for a, b in windows(found, j)]
        return max(held)[1:] if held else None
    rates = [(rate, i, j) for j, row in enumerate(found.growth.tolist()) for i, rate in enumerate(row) if rate < 0.0]
    _, i, j = min(rates, default=(0.0, -1, -1))
    return (float(found.x[i]), float(found.y[j])) if rates else None


def _lines(found: Map, full: bool) -> list[str]:
    from paddlebar.cli.screen import table
    from paddlebar.studies.runner import failed_words

    share = {word: float((found.verdict == word).mean()) for word in dict.fromkeys(found.verdict.ravel().tolist())}
    parts = ", ".join(f"{100 * value:.0f} % {word}" for word, value in sorted(share.items(), key=lambda item: -item[1]))
    lines = [f"of {found.growth.size} points: {parts}", *failed_words(found.failed, found.growth.size)]
    return lines + table(*rows(found, found.y.size if full else SHOWN_ROWS), full=full)


def rows(found: Map, most: int) -> tuple[list[str], list[list[str]]]:
    """Some rows of the map, the one nearest to the design among them: where along x it is well, by straight lines between the points."""
    from paddlebar.studies.map.study import windows

    ny = found.y.size
    some = {round(k * (ny - 1) / max(min(most, ny) - 1, 1)) for k in range(min(most, ny))}
    own = min(range(ny), key=lambda j: abs(found.y[j] - found.design[1])) if math.isfinite(found.design[1]) else -1
    if own >= 0 and own not in some:  # in place of its nearest neighbour
        some = some - {min(some, key=lambda j: abs(j - own))} | {own}
    word = "held" if found.by == "flights" else "dies out"
    heads = [found.y_key, f"{word} for {found.x_key}", ""]
    return heads, [
        [
            f"{found.y[j]:.4g}",
            ", ".join(f"{a:.4g} to {b:.4g}" for a, b in windows(found, j)) or "nowhere",
            "<- as built" if j == own else "",
        ]
        for j in sorted(some, reverse=True)
    ]


def _write(found: Map, chosen: Scenario, folder: Path, picture: bool) -> list[Path]:
    from paddlebar.cli.outputs import staged

    names = ["map.csv", *([f"map.{verb.look().kind}"] if picture else [])]
    with staged(folder) as hidden:
        write_table(found, hidden / "map.csv")
        if picture:
            from paddlebar.pictures.map import draw_map  # matplotlib only where it draws
            from paddlebar.pictures.saving import save

            save({"map": draw_map(found, chosen.craft.name)}, hidden, look=verb.look(chosen.pictures.dpi))
    return [folder / name for name in names]


def write_table(found: Map, path: Path) -> None:
    """A row a point; an empty field where there is no figure."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow([found.x_key, found.y_key, "growth_per_s", "growth_without_bar_per_s", "verdict"])
        for j, up in enumerate(found.y):
            for i, across in enumerate(found.x):
                rates = [f"{r:.5g}" if math.isfinite(r) else "" for r in (found.growth[j, i], found.without[j, i])]
                writer.writerow([f"{across:.6g}", f"{up:.6g}", *rates, found.verdict[j, i]])
