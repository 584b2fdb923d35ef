"""``paddlebar replay``: one or two flights to look at, as a page for a browser and, on request, as a film."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import NoReturn

import click

from paddlebar.cli import verb
from paddlebar.cli.progress import progress
from paddlebar.cli.ranges import Within

PAGE = "replay.html"


@click.command()
@click.argument("runs", metavar="RUN [RUN]", nargs=-1, required=True, type=verb.PATH)
@click.option("--out", type=verb.PATH, metavar="FILE", help=f"The page. [default: {PAGE} beside the first RUN]")
@click.option("--flight", default=1, type=click.IntRange(1), metavar="N", help="Which flight of a file. [default: 1]")
@click.option("--film", type=verb.PATH, metavar="FILE", help="A film as well: .mp4 (by ffmpeg) or .gif.")
@click.option(
    "--speed",
    default=1.0,
    type=Within(0.001, 100.0),
    metavar="X",
    help="Of the film: 0.1 is ten times slower.",
)
@click.option("--from", "first", default=0.0, type=Within(0.0), metavar="S", help="Where the film begins.")
@click.option("--to", "last", default=float("inf"), type=Within(0.0), metavar="S", help="Where the film ends.")
@click.option(
    "--vary",
    multiple=True,
    metavar="KEY=LOW:HIGH:N",
    help="Sliders in place of a record: RUN is a scenario, flown at N values. Once or twice.",
)
@click.option("--seconds", default=6.0, type=Within(0.5, 30.0), metavar="S", help="Of each with --vary. [default: 6]")
@verb.answer_options
def replay(
    runs: tuple[Path, ...],
    out: Path | None,
    flight: int,
    film: Path | None,
    speed: float,
    first: float,
    last: float,
    vary: tuple[str, ...],
    seconds: float,
) -> None:
    """Make a page on which the flight of a run file can be watched: any browser, no network, straight from the disk.

    RUN is a run file or the folder that holds one; two RUNs fly side by side under one clock. On the page: the craft drawn from its
    own measures, slower than real time down to 1/50, cameras beside the craft, on its body and on its turning hub, the planes of
    blade disc, bar and horizon, trails, forces, and charts that follow the clock. Keys are listed on it.

    Exit code: 0 the page was written, 2 bad input. How the flight ended is no failure of the page.

    \b
    Example:
      paddlebar replay flights/first-flight
      paddlebar replay flights/tilted-launch flights/reversed-link --out lesson.html
      paddlebar replay flights/first-flight/run.h5 --film bar.gif --from 2 --to 4 --speed 0.1
      paddlebar replay scenarios/first-flight.toml --vary craft.bar.gain=0.2:0.8:7 --out gain.html
    """
    from paddlebar.cli.outputs import check_folder, same_place, staged
    from paddlebar.errors import BadInput
    from paddlebar.replay_page.page import save_page
    from paddlebar.replay_page.runs import chosen, run_file

    if vary:
        if film is not None:
            raise BadInput("--vary, --film: a film shows one flight; film it from its run file")
        _varied(runs, vary, out, seconds)
    if len(runs) > 2:
        raise BadInput(f"replay: one or two run files go on a page, found {len(runs)}")
    page = out or run_file(runs[0]).parent / PAGE
    if page.is_dir():
        raise BadInput(f"--out: should be the name of a file, found the folder {page}")
    if film is not None and same_place(film, page):
        raise BadInput(f"--out, --film: page and film cannot both be {page}")
    for target in (page, film):
        if target is not None:
            check_folder(target.parent)
    with progress() as bar, ExitStack() as stack:
        bar.start(2)
        bar.step("reading")
        flights, names = zip(*(chosen(run, flight) for run in runs), strict=True)
        if film is not None:
            from paddlebar.replay_page.film import check_film

            check_film(film)
        hidden = stack.enter_context(staged(page.parent))
        bar.step("laying out the page")
        size = save_page(flights, names, hidden / page.name)
        if film is not None:
            from paddlebar.replay_page.film import save_film

            beside = stack.enter_context(staged(film.parent))
            save_film(flights, names, beside / film.name, speed=speed, first=first, last=last, progress=bar)
    told = [
        {"file": name, "outcome": each.outcome, "sentence": each.sentence, "duration_s": float(each.time[-1])}
        for name, each in zip(names, flights, strict=True)
    ]
    verdict, *others = [f"{each['file']}: {each['outcome']}: {each['sentence']}" for each in told]
    verb.answer(
        {"flights": told, "page_bytes": size},
        lambda _: verb.Screen(
            verdict, others, f"open {page} in a browser; keys are listed on it ({size / 1e6:.1f} MB)"
        ),
        [page, *([film] if film is not None else [])],
    )


def _varied(runs: Sequence[Path], vary: Sequence[str], out: Path | None, seconds: float) -> NoReturn:
    """The page with sliders; a scenario, or a run file in its place."""
    import paddlebar
    from paddlebar.cli.outputs import check_folder, staged
    from paddlebar.cli.ranges import keyed
    from paddlebar.errors import BadInput
    from paddlebar.replay_page.vary import save_varied, varied

    if len(runs) != 1 or len(vary) > 2:
        raise BadInput("--vary: one scenario, and --vary once or twice")
    scenario = paddlebar.load_scenario(runs[0])
    ranges = [keyed("--vary", text, "LOW:HIGH:N", "craft.bar.gain=0.2:0.8:7") for text in vary]
    sliders = [varied(scenario, key, *numbers) for key, numbers in ranges]
    if len({each.key for each in sliders}) < len(sliders):
        raise BadInput(f"--vary: {sliders[0].key}: stands there twice")
    page = out or Path("flights") / f"{runs[0].stem}-replay" / PAGE
    if page.is_dir():
        raise BadInput(f"--out: should be the name of a file, found the folder {page}")
    check_folder(page.parent)
    with progress() as bar, staged(page.parent) as hidden:
        size, count = save_varied(scenario, sliders, hidden / page.name, seconds, bar)
    names = " and ".join(each.noun for each in sliders)
    verb.answer(
        {"flights_flown": count, "page_bytes": size},
        lambda _: verb.Screen(
            f"{scenario.title or runs[0].stem}: {count} flights over {names}",
            ["sliders choose among them; the page needs no network and no program"],
            f"open {page} in a browser ({size / 1e6:.1f} MB)",
        ),
        [page],
    )
