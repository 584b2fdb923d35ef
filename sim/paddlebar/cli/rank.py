"""``paddlebar rank``: which change helps most, and which measure is worth the most care."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from paddlebar.cli import verb
from paddlebar.cli.progress import progress

if TYPE_CHECKING:
    from paddlebar.files.scenario import Scenario
    from paddlebar.studies.rank.study import Rank

STUDY_FILE = "study.h5"


@click.command()
@verb.scenario_argument
@click.option(
    "--key",
    "keys",
    multiple=True,
    metavar="KEY=TOLERANCE",
    help="A number to vary and how exactly it is built, in its own unit; may be repeated. [default: the usual ones]",
)
@click.option("--usual", "with_usual", is_flag=True, help="Vary the usual ones beside each --key.")
@click.option(
    "--samples",
    type=int,
    default=64,
    show_default=True,
    metavar="N",
    help="Of the global part, a power of two; 0: slopes alone. Makes N x (keys + 2) flights; more are added to those that are there.",
)
@click.option("--seed", type=click.IntRange(0), default=1, show_default=True, metavar="N", help="Of the samples.")
@verb.workers_option("Flights")
@verb.set_option
@verb.out_option(
    "Folder for study file, table and pictures; what was interrupted is gone on with. [default: flights/NAME-rank]"
)
@verb.data_option
@verb.look_options
@verb.answer_options
@verb.pictures_option("Write study file and table alone.")
def rank(
    scenario: Path, keys: tuple[str, ...], with_usual: bool, samples: int, seed: int, workers: int | None, changes: dict[str, Any],
    out: Path | None, data: bool, pictures: bool,
) -> None:  # fmt: skip
    """Rank what a builder of SCENARIO's craft can change or get wrong, by what it does to time in the air, height, spin, stability and stick.

    First each number alone is moved by its build tolerance, both ways: slopes in the builder's own units, and which change helps most.
    Then all of them at once, anywhere within their tolerances: whose part in the spread is largest, which is the one to measure with
    most care. Each build is flown as the scenario says, until the flight ends. The usual numbers, 21 of a craft with bar, tail and stick,
    make 1,515 flights: two and a half minutes on two cores. The same command after an interruption goes on.

    Exit code: 0 the craft as built flies well, 1 it tips over, strikes something or is unstable, 2 bad input.

    \b
    Example:
      paddlebar rank scenarios/first-flight.toml
      paddlebar rank scenarios/first-flight.toml --samples 0
      paddlebar rank scenarios/first-flight.toml --key craft.bar.gain=0.05 --key craft.skein.energy_kJ_kg=0.6 --samples 256
    """
    import paddlebar
    from paddlebar.cli import rank_words as words
    from paddlebar.studies.rank.survey import check_samples
    from paddlebar.studies.tolerances import usual

    chosen = paddlebar.load_scenario(scenario, changes)
    check_samples(samples)
    wanted = dict(key_of(text) for text in keys) or None
    if wanted is not None and with_usual:
        wanted = usual(chosen, "rank") | wanted
    folder = verb.folder_for(out, f"{scenario.stem}-rank")
    with progress() as bar:
        bar.start(1)
        found = paddlebar.rank(
            chosen, wanted, samples=samples, seed=seed, workers=workers, progress=bar, file=folder / STUDY_FILE
        )
        bar.step("writing and drawing")
        files = [folder / STUDY_FILE, *_write(found, chosen, folder, pictures, data)]
    verb.answer(
        {**found.to_json(), "craft": chosen.craft.name},
        lambda full: verb.Screen(
            words.verdict(found, chosen.craft.name),
            words.at_length(found) if full else words.in_short(found),
            words.next_step(found, verb.as_typed(scenario, changes)),
            more=not full,
        ),
        files,
        good=found.sound,
    )


def key_of(text: str) -> tuple[str, float]:
    """``craft.bar.gain=0.05`` -> (key, tolerance). Raises BadInput."""
    from paddlebar.cli.ranges import keyed

    key, (size,) = keyed("--key", text, "tolerance", "craft.bar.gain=0.05")
    return key, size


def _write(found: Rank, chosen: Scenario, folder: Path, picture: bool, data: bool) -> list[Path]:
    from paddlebar.cli.outputs import staged

    with staged(folder) as hidden:
        write_table(found, hidden / "rank.csv")
        drawn = []
        if picture:
            from paddlebar.pictures.rank import save_pictures  # matplotlib only where it draws

            drawn = save_pictures(found, hidden, chosen.craft.name, verb.look(chosen.pictures.dpi), data=data)
    return [folder / "rank.csv", *(folder / file.name for file in drawn)]


HEADS = (
    *("key", "own", "tolerance", "figure", "as_built", "low", "high", "slope", "slope_below", "slope_above", "smooth"),
    *("first", "first_from", "first_to", "total", "total_from", "total_to"),
)


def write_table(found: Rank, path: Path) -> None:
    """A row a parameter and figure; an empty field where there is nothing."""
    s, i = found.slopes, found.indices
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(HEADS)
        for k, key in enumerate(found.keys):
            for j, name in enumerate(found.outputs):
                at = k, j
                values = [found.built[j], found.low[at], found.high[at], s.slope[at], s.below[at], s.above[at]]
                shares = [i.first[at], *i.first_interval[at], i.total[at], *i.total_interval[at]]
                writer.writerow(
                    [key, f"{found.own[k]:.6g}", f"{found.tolerances[k]:.6g}", name, *map(verb.field, values)]
                    + [str(bool(s.smooth[at])).lower(), *map(verb.field, shares)]
                )
