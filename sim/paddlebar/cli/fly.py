"""``paddlebar fly``: one flight; its run file, pictures and how it went."""

from __future__ import annotations

import time as clock
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from paddlebar.cli import verb
from paddlebar.cli.progress import progress
from paddlebar.errors import BadInput

if TYPE_CHECKING:
    from paddlebar.files.scenario import Scenario
    from paddlebar.flight.result import Flight
    from paddlebar.progress import Progress
    from paddlebar.studies.suggestion import Suggestion

RUN_FILE = "run.h5"


@click.command()
@verb.scenario_argument
@verb.set_option
@verb.out_option("Folder for run file and pictures. [default: flights/NAME of the scenario]")
@verb.look_options
@verb.answer_options
@verb.pictures_option("Write the run file alone.")
@click.option(
    "--error", "wants_error", is_flag=True, help="Fly it again a hundred times as exactly, and say what differs."
)
@verb.data_option
@click.option(
    "--builds",
    type=int,
    metavar="N",
    help="Fly N builds of this craft instead, each number anywhere within its tolerance: a spread.",
)
@click.option("--seed", type=click.IntRange(0), default=1, show_default=True, metavar="N", help="Of these builds.")
@verb.workers_option("Builds")
def fly(
    scenario: Path, changes: dict[str, Any], out: Path | None, pictures: bool, wants_error: bool, data: bool,
    builds: int | None, seed: int, workers: int | None,
) -> None:  # fmt: skip
    """Fly SCENARIO: how it went on the screen, a run file and pictures in a folder.

    SCENARIO may be a run file: that flight is flown again from its own record, and laid beside it.

    With --builds N the craft is built N times as careful hands build it, one blade and tip unlike the other, and each is flown: how long they
    stay up and in control, how many fly well, which is the worst and which number spoilt it. A table of all is written, no run file.

    Exit code: 0 landed upright or still flying in control, 1 any other end (crashed, tipped over, out of control, broke,
    never let go, touched ceiling or wall, failed), 2 bad input. With --builds 1 if fewer than half of them fly well.

    \b
    Example:
      paddlebar fly scenarios/first-flight.toml
      paddlebar fly scenarios/first-flight.toml --set skein.turns=300 --set craft.bar.gain=-0.5 --out flights/reversed
      paddlebar fly scenarios/first-flight.toml --json --no-pictures
      paddlebar fly flights/reversed/run.h5 --error
      paddlebar fly scenarios/first-flight.toml --builds 50
    """
    if builds is not None:
        for option, wanted in (("--error", wants_error), ("--data", data)):
            if wanted:
                raise BadInput(f"{option}: is about one flight; leave it or --builds out")
        from paddlebar.cli import builds as several

        several.fly_builds(scenario, changes, out, builds, seed, workers)
    start = clock.perf_counter()
    from paddlebar import api
    from paddlebar.craft.motors import facts
    from paddlebar.flight.error import error_estimate

    chosen = api.load_scenario(scenario, changes)
    folder = verb.folder_for(out, _name(scenario))
    drawn = chosen.pictures.draw if pictures else ()
    with progress() as bar:
        bar.start(2 + len(drawn) + wants_error)
        bar.step("flying")
        flight = api.fly(chosen)
        more = _beside(flight, None if changes else scenario)
        if wants_error:
            bar.step("flying again, more exactly")
            more["error_estimate"] = flight.solver["error_estimate"] = error_estimate(flight, chosen)
        files = _write(flight, chosen, folder, drawn, bar, data)
    summary = {**flight.summary, "wall_s": clock.perf_counter() - start}  # from the files to the files
    told = {
        **summary,
        **more,
        "seed": flight.seed,
        "ledger_j": {entry: float(values[-1]) for entry, values in flight.ledger.items()},
        "rubber": facts(chosen.craft.skein),
    }
    title = chosen.title or scenario.stem
    good, gusty = _exit_code(flight) == 0, chosen.air.turbulence
    notes = [*masses_left(chosen), *left_out(chosen, flight)]
    asked = verb.as_typed(scenario, changes)

    def says(full: bool) -> verb.Screen:
        aid = None if told["flew_well"] or told["outcome"] == "failed" else _first_aid(chosen, flight)
        mended = verb.as_typed(scenario, {**changes, **aid.changes}) if aid is not None else ""
        return _screen(title, told, folder, (asked, mended), aid, gusty=gusty, notes=notes, full=full)

    verb.answer(told, says, files, good=good)


def _first_aid(chosen: Scenario, flown: Flight) -> Suggestion | None:
    """What to try first; None too where the flight cannot be flown otherwise, as one of a run file that another machine wrote."""
    from paddlebar.errors import BadInput
    from paddlebar.studies.advise.study import first_aid

    with progress() as bar, suppress(BadInput):
        bar.start(1)
        bar.step("flying what might help")
        return first_aid(chosen, flown)
    return None


MOST_NOTES = 2
OUTDOORS_FROM_M = 3.0  # the low-altitude form begins at 10 ft


def _screen(
    title: str, told: Mapping[str, Any], folder: Path, typed: tuple[str, str], aid: Suggestion | None, *,
    gusty: bool, notes: list[str], full: bool,
) -> verb.Screen:  # fmt: skip
    """typed : the command behind its verb, as it was and with what is to be tried."""
    from paddlebar.cli import fly_words
    from paddlebar.pictures.judged import headline

    lines = fly_words.opening(told, full=full)
    if not told["flew_well"] and told["outcome"] != "failed":  # a computation that failed says nothing of the craft
        lines += fly_words.to_try(aid)
    lines += how_it_went(told, gusty=gusty) if full else fly_words.figures(told)
    if gusty and not full:
        lines.append(chance(told))
    lines += notes
    return verb.Screen(f"{title}: {headline(told)}", lines, fly_words.next_step(told, folder, *typed), more=not full)


def how_it_went(told: Mapping[str, Any], *, gusty: bool) -> list[str]:
    """All lines about a flight from what its JSON document holds; gusty : chance was in it."""
    from paddlebar.cli.screen import table
    from paddlebar.flight.figures import SUMMARY
    from paddlebar.pictures.words import ledger_rows, number, solver_words

    rows = [(each.words, number(told[each.name], each.form), each.unit) for each in SUMMARY]
    lines = table((), rows, ("", ">"), full=True)
    if gusty:
        lines.append(chance(told))
    solved = solver_words(told["solver"])
    if told["events"]:
        events = [(f"{event['time_s']:.2f} s", event["sentence"]) for event in told["events"]]
        lines += ["events", *table((), events, (">",), full=True)]
    lines += [rubber(told["rubber"]), "where the energy went, let out by the skein = 100 %"]
    lines += table(("", "J", "%"), ledger_rows(told["ledger_j"]), ("", ">", ">"), full=True)
    return [*lines, solved]


def chance(told: Mapping[str, Any]) -> str:
    """What a gusty flight is repeated by."""
    return f"turbulence of seed {told['seed']} (air.seed)"


def masses_left(scenario: Scenario) -> list[str]:
    """Weights that stayed as they were while a change made their part larger or smaller, a line each."""
    from paddlebar.craft.following_masses import left_behind

    return [
        f"note: craft.{key} stays {own:g}; of its new size it would weigh some {follows:.2g}: --set craft.{key}={follows:.2g}"
        for key, (own, follows) in left_behind(scenario.craft).items()
    ][:MOST_NOTES]


def left_out(scenario: Scenario, flight: Flight) -> list[str]:
    """What of the air around this flight the model does not know, a line each."""
    lines = []
    air, ceiling = scenario.air, scenario.room.ceiling_m
    if air.turbulence and air.turbulence_like == "outdoors" and scenario.launch.height_m < OUTDOORS_FROM_M:
        lines.append('below 3 m this turbulence is a guess; in a room air.turbulence_like = "indoors"')
    near = 2e-3 * scenario.craft.rotor.radius_mm
    if ceiling is not None and flight.summary["peak_height_m"] > ceiling - near:
        lines.append("it came close to the ceiling, which would have sucked it up; that is left out")
    return lines


def rubber(facts: Mapping[str, Any]) -> str:
    """The figures that decide duration and are known worst."""
    return (
        f"rubber ({facts['torque_from']}): {facts['mass_g']:.3g} g, {facts['section_mm2']:.3g} mm2, gives {facts['energy_kJ_kg']:.3g} kJ/kg from full wind, "
        f"loses {facts['loss_percent']:.3g} % of the winding, breaks at {facts['breaking_turns']:.0f} turns (constant {facts['breaking_constant']:.3g})"
    )


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
    drawn = [f"{name}.{kind}" for name in PICTURES for kind in ("png", "svg", "pdf", "csv")]
    with staged(folder, RUN_FILE, drawn) as hidden:
        bar.step("writing the run file")
        write_run(hidden / RUN_FILE, [flight])
        for name in pictures:
            from paddlebar.pictures.flight import save_pictures  # matplotlib only where it draws

            bar.step(f"drawing {name}")
            names += [
                file.name for file in save_pictures(flight, hidden, [name], verb.look(scenario.pictures.dpi), data=data)
            ]
    return [folder / name for name in names]


def _exit_code(flight: Flight) -> int:
    from paddlebar.flight.endings import Outcome

    return Outcome(flight.outcome).exit_code
