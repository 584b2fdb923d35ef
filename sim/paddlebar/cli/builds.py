"""``paddlebar fly --builds N``: my craft within my tolerances, on one screen."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from paddlebar.cli import verb
from paddlebar.cli.progress import progress

if TYPE_CHECKING:
    from paddlebar.studies.builds.study import Builds
    from paddlebar.studies.suggestion import How

TABLE = "builds.csv"
FIGURES = ("controlled_s", "duration_s", "peak_height_m", "drift_m", "max_tilt_deg", "turns_left")


def fly_builds(
    scenario: Path, changes: dict[str, Any], out: Path | None, count: int, seed: int, workers: int | None
) -> NoReturn:
    """Fly them, write the table, answer. Raises BadInput."""
    import paddlebar
    from paddlebar.cli.outputs import staged

    chosen = paddlebar.load_scenario(scenario, changes)
    folder = verb.folder_for(out, f"{scenario.stem}-builds")
    with progress() as bar:
        found = paddlebar.fly_builds(chosen, count, seed=seed, workers=workers, progress=bar)
        with staged(folder) as hidden:
            write_table(found, hidden / TABLE)
    title = chosen.title or scenario.stem
    verb.answer(
        {**found.to_json(), "craft": chosen.craft.name},
        lambda full: verb.Screen(
            verdict(found, title),
            list(lines(found, full=full)),
            next_step(found, verb.as_typed(scenario, changes)),
            more=not full,
        ),
        [folder / TABLE],
        good=found.sound,
    )


def verdict(found: Builds, title: str) -> str:
    """How many fly well."""
    flew = len(found.flew)
    if not flew:
        return f"{title}: none of {len(found.flights)} builds could be flown"
    return f"{title}: {found.well} of {flew} builds fly well ({100.0 * found.share_well:.0f} %)"


def lines(found: Builds, *, full: bool) -> Iterator[str]:
    """The spread, how they ended, the worst and what spoilt it, how they were drawn."""
    from paddlebar.cli.screen import table
    from paddlebar.craft.knobs import sized
    from paddlebar.flight.figures import BY_NAME
    from paddlebar.studies.builds.study import LEVELS

    yield f"as drawn: {_went(found.as_drawn)}"
    rows = [
        (BY_NAME[name].words, *(f"{value:.1f}" for value in found.spread(name).values()), "s")
        for name in ("controlled_s", "duration_s")
    ]
    heads = ("of the builds", *LEVELS, "")
    yield from table(heads, rows, ("", *(">" for _ in LEVELS)), full=full)
    yield "  (a tenth of the builds lie below low, a tenth above high)"
    yield f"how they ended: {_counted(found.outcomes)}"
    if found.faults:
        yield f"what went wrong: {_counted(found.faults)}"
    if found.worst >= 0:
        yield f"the worst is build {found.worst + 1}: {_went(found.how(found.worst))}"
        it = found.culprit
        if it is None:
            yield "  no single number spoilt it: with any one of them put right it flies no better"
        else:
            yield (
                f"  {it.noun} did most: {sized(it.key, it.built)}, drawn as {sized(it.key, it.drawn)}; "
                f"with that put right: {_went(it.after)}"
            )
    lost = [
        f"{count} {what}"
        for count, what in ((found.not_built, "could not be built"), (len(found.flights.failed), "failed numerically"))
        if count
    ]
    if lost:
        yield f"not counted: {', '.join(lost)}"
    yield f"{len(found.keys)} numbers, each anywhere within its tolerance, seed {found.seed}: --full lists them"
    if full:
        rows = [
            (key, f"{own:.4g}", f"{size:.3g}")
            for key, own, size in zip(found.keys, found.own, found.tolerances, strict=True)
        ]
        yield from table(("number", "drawn", "tolerance"), rows, ("", ">", ">"), full=True)


def next_step(found: Builds, scenario: Path | str) -> str:
    """What a builder does then."""
    if not found.as_drawn.flew_well:
        return f"paddlebar advise {scenario}  # the drawing itself does not fly well"
    return f"paddlebar rank {scenario}  # which number to measure with most care"


def _went(how: How) -> str:
    """How one went, with what went wrong."""
    from paddlebar.pictures.judged import headline

    return "; ".join([headline(how.to_json()), *sorted(how.troubles)])


def _counted(words: dict[str, int]) -> str:
    return ", ".join(f"{word} {count}" for word, count in words.items())


def write_table(found: Builds, path: Path) -> None:
    """A row a build: how it flew, and its numbers; an empty field where there is nothing."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["build", "outcome", "flew_well", *FIGURES, *found.keys])
        for k, values in enumerate(found.values):
            figures = [float(getattr(found.flights, name)[k]) for name in FIGURES]
            how = [found.flights.outcome[k], str(found.flights.flew_well[k]).lower()]
            writer.writerow([k + 1, *how, *map(verb.field, figures), *map(verb.field, values)])
