"""``paddlebar fly``: one flight; its run file, pictures and summary."""

from __future__ import annotations

import time as clock
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from paddlebar.cli.options import (
    data_option,
    json_option,
    out_option,
    overrides,
    pictures_option,
    print_json,
    settings_option,
)

if TYPE_CHECKING:
    from paddlebar.cli.progress import Progress
    from paddlebar.files.scenario import Scenario
    from paddlebar.flight.result import Flight

RUN_FILE = "run.h5"


@click.command()
@click.argument("scenario", type=click.Path(path_type=Path))
@settings_option
@out_option("Folder for run file and pictures. [default: flights/NAME of the scenario]")
@json_option
@pictures_option("Write the run file alone.")
@click.option(
    "--error", "wants_error", is_flag=True, help="Fly it again a hundred times as exactly, and say what differs."
)
@data_option
@click.pass_context
def fly(
    ctx: click.Context,
    scenario: Path,
    settings: tuple[str, ...],
    out: Path | None,
    as_json: bool,
    no_pictures: bool,
    wants_error: bool,
    data: bool,
) -> None:
    """Fly SCENARIO: a table on the screen, a run file and pictures in a folder.

    SCENARIO may be a run file: that flight is flown again from its own record, and laid beside it.

    Exit code: 0 landed or still flying, 1 tipped over, touched ceiling or wall, or failed, 2 bad input.

    \b
    Example:
      paddlebar fly scenarios/first-flight.toml
      paddlebar fly scenarios/first-flight.toml --set skein.turns=300 --set craft.bar.gain=-0.5 --out flights/reversed
      paddlebar fly scenarios/first-flight.toml --json --no-pictures
      paddlebar fly flights/reversed/run.h5 --error
    """
    start = clock.perf_counter()
    from paddlebar import api
    from paddlebar.cli import tables
    from paddlebar.cli.outputs import check_folder
    from paddlebar.cli.progress import flying, progress
    from paddlebar.craft.motors import facts

    chosen = api.load_scenario(scenario, overrides(settings))
    folder = out or Path("flights") / _name(scenario)
    check_folder(folder)
    pictures = () if no_pictures else chosen.pictures.draw
    with progress(quiet=as_json) as bar:
        bar.start(2 + len(pictures) + wants_error)
        bar.step(flying())
        flight = api.fly(chosen)
        more = _beside(flight, None if settings else scenario)
        if wants_error:
            bar.step("flying again, more exactly")
            more["error_estimate"] = flight.solver["error_estimate"] = api.error_estimate(flight, chosen)
        files = _write(flight, chosen, folder, pictures, bar, data)
    summary = {**flight.summary, "wall_s": clock.perf_counter() - start}  # from the files to the files
    ledger = {entry: float(values[-1]) for entry, values in flight.ledger.items()}
    rubber = facts(chosen.craft.skein)
    if as_json:
        print_json(
            {
                **summary,
                **more,
                "seed": flight.seed,
                "ledger_j": ledger,
                "rubber": rubber,
                "files": [str(file) for file in files],
            }
        )
    else:
        tables.show_flight(chosen.title or scenario.stem, summary, ledger)
        tables.show_rubber(rubber)
        tables.show_trust(flight.solver, more, seed=flight.seed if chosen.air.turbulence else None)
        tables.show_files(files)
        tables.show_cautions()
    ctx.exit(_exit_code(flight))


def _name(scenario: Path) -> str:
    from paddlebar.record.again import is_run_file

    return f"{scenario.absolute().parent.name}-again" if is_run_file(scenario) else scenario.stem


def _beside(flight: Flight, source: Path | None) -> dict[str, Any]:
    """What it says against its own record, where it was flown from one as it stands."""
    from paddlebar.record import again

    if source is None or not again.is_run_file(source):
        return {}
    return {"against_record": vars(again.compared(again.recorded(source), flight))}


def _write(
    flight: Flight, scenario: Scenario, folder: Path, pictures: tuple[str, ...], bar: Progress, data: bool
) -> list[Path]:
    """Run file and pictures, all or none; pictures of an earlier run that this one does not draw are taken away."""
    from paddlebar.cli.outputs import staged
    from paddlebar.files.scenario import PICTURES
    from paddlebar.record.write import write_run

    names = [RUN_FILE]
    drawn = [f"{name}.{kind}" for name in PICTURES for kind in ("png", "csv")]
    with staged(folder, RUN_FILE, drawn) as hidden:
        bar.step("writing the run file")
        write_run(hidden / RUN_FILE, [flight])
        for name in pictures:
            from paddlebar.pictures.flight import save_pictures  # matplotlib only where it draws

            bar.step(f"drawing {name}")
            names += [file.name for file in save_pictures(flight, hidden, [name], scenario.pictures.dpi, data=data)]
    return [folder / name for name in names]


def _exit_code(flight: Flight) -> int:
    from paddlebar.flight.endings import Ending

    return next(ending.exit_code for ending in Ending if ending.outcome == flight.outcome)
