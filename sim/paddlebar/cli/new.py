"""``paddlebar new``: asks what a builder knows, sizes a craft that flies, and writes it with a first flight and a form to measure by."""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from paddlebar.cli import verb
from paddlebar.cli.progress import progress

if TYPE_CHECKING:
    from paddlebar.flight.result import Flight
    from paddlebar.sizing.answers import Answers
    from paddlebar.sizing.sized import Sized

SENSES = {"cw": "clockwise", "ccw": "counter-clockwise"}


def on_terminal() -> bool:
    """Is there somebody to ask?"""
    return sys.stdin.isatty()


def _sense(_: click.Context, __: click.Parameter, typed: str | None) -> str | None:
    return SENSES.get(typed, typed) if typed else typed


@click.command()
@click.argument("name")
@click.option("--rotor-mm", type=float, metavar="MM", help="Rotor across, tip to tip. [default: 400]")
@click.option(
    "--weight-g", type=float, metavar="G", help="Weight ready to fly, rubber in. [default: usual for the rotor]"
)
@click.option("--material", metavar="balsa|printed", help="What hub and mounts are made of. [default: balsa]")
@click.option("--rubber", metavar="NxWxT", help="Strands x width x thickness in mm, as 6x2x1. [default: what fits]")
@click.option("--rubber-mm", type=float, metavar="MM", help="Length of the skein made up. [default: what fits]")
@click.option(
    "--sense", metavar="cw|ccw", callback=_sense, help="Which way the rotor turns, seen from above. [default: ccw]"
)
@click.option("--hall-m", type=float, metavar="M", help="Height of the hall; 0 for a field. [default: 8]")
@click.option("--yes", is_flag=True, help="Ask nothing: what is not given as an option is sized to the rest.")
@verb.out_option("Folder for the files. [default: here]")
@click.option("--form/--no-form", default=True, help="Also NAME-measure.pdf, to print. [default: yes]")
@verb.answer_options
def new(name: str, yes: bool, out: Path | None, form: bool, **given: Any) -> None:
    """Size a craft that flies: NAME.toml, a first flight NAME-first-flight.toml, and a form to measure by, NAME-measure.pdf.

    On a terminal it asks seven questions, each with a default; every answer is an option too. It sizes blades, bar, tail, balance and stick,
    flies the craft from three launches, mends what does not fly, and writes only what flies. Every figure is invented until you put in your
    own. An existing file is never overwritten.

    Exit code: 0 written; 2 bad input, or answers that cannot fly, with the nearest that do.

    \b
    Example:
      paddlebar new sparrow --rotor-mm 400 --weight-g 10 --sense cw --yes
      paddlebar fly sparrow-first-flight.toml
    """
    from paddlebar.cli.outputs import check_folder, staged
    from paddlebar.errors import BadInput
    from paddlebar.files import load_scenario
    from paddlebar.files.template import check_name, new_files
    from paddlebar.flight.fly import fly_scenario
    from paddlebar.sizing.answers import Answers
    from paddlebar.sizing.sized import size

    folder = out or Path()
    check_name(name)
    craft, flight = folder / f"{name}.toml", folder / f"{name}-first-flight.toml"
    files = [craft, flight, *([folder / f"{name}-measure.pdf"] if form else [])]
    check_folder(folder)
    for path in files:
        if path.exists() or path.is_symlink():
            raise BadInput(f"{path}: exists already and is not overwritten; choose another name or --out")
    answers = Answers.of({key: value for key, value in given.items() if value is not None})
    if not yes and on_terminal():
        answers = _asked(answers)
    with progress() as bar:
        sized = size(answers, name, progress=bar)
        with staged(folder) as hidden:
            for file, text in new_files(name, sized.craft, sized.flight).items():
                (hidden / file).write_text(text, encoding="utf-8", newline="\n")
            scenario = load_scenario(hidden / flight.name)
            flown = fly_scenario(scenario)
            if form:
                from paddlebar.sheet.form import save_form

                save_form(name, hidden / files[-1].name, scenario.craft)
    verb.answer(
        _document(sized, flown),
        lambda _: verb.Screen(
            f"{name} flies: {flown.outcome}, {flown.time[-1]:.0f} s in the air, in control for {flown.controlled_s:.0f} s, {flown.summary['peak_height_m']:.1f} m high",
            [*_told(sized), *(fault.sentence for fault in flown.faults if fault.matters)],
            f"paddlebar check {craft} && paddlebar fly {flight}",
            cautions=True,
        ),
        files,
    )


def _asked(answers: Answers) -> Answers:
    """One question after the other, those left out that were answered by options; a bad answer is asked again."""
    from paddlebar.sizing.answers import ASKED, Answers
    from paddlebar.sizing.sized import filled_in

    given = answers.model_dump(exclude_none=True)
    for key, ask in ASKED.items():
        if key not in given:
            known = getattr(filled_in(Answers.of(given)), key)
            default = f"{known:g}" if isinstance(known, float) else str(known)
            click.echo(f"  {Answers.model_fields[key].description}", err=True)
            given[key] = click.prompt(ask, default=default, value_proc=partial(_answer, given, key), err=True)
    return Answers.of(given)


def _answer(given: dict[str, Any], key: str, typed: str) -> Any:
    """What was typed, as an answer. Raises what click asks again for."""
    from paddlebar.errors import BadInput
    from paddlebar.sizing.answers import Answers
    from paddlebar.sizing.sized import filled_in

    value: Any = click.FLOAT(typed) if key.endswith(("_mm", "_g", "_m")) else SENSES.get(typed, typed)
    try:
        filled_in(Answers.of({**given, key: value}))
    except BadInput as error:
        raise click.BadParameter(str(error)) from None
    return value


def _told(sized: Sized) -> list[str]:
    """What it is, in five lines."""
    from paddlebar.sizing.rules import skein_g

    c, known = sized.craft, sized.known
    rotor, bar, tail, skein = c["rotor"], c["bar"], c["tail"], known.rubber
    nose = next(part for part in c["part"] if part["name"] == "nose weight")
    tilt = c["shaft"]["tilt_right_deg"]
    return [
        f"rubber {skein}, {known.rubber_mm:g} mm long, {skein_g(skein, known.rubber_mm):.1f} g of {known.weight_g:g} g: wind {sized.flight['skein']['turns']} turns",
        f"two blades {rotor['radius_mm']:g} mm to the tip, {rotor['chord_mm']:g} mm wide, {rotor['collective_deg']:g} deg of pitch, {rotor['blade_mass_g']:g} g each",
        f"bar arms {bar['arm_mm']} mm, tips {bar['tip_mass_g']:g} g each, lead {bar['lead_deg']} deg, gain {bar['gain']:g}",
        f"tail rotor {2 * tail['radius_mm']} mm across, pulleys {tail['drive_pulley_mm']:g} to {tail['tail_pulley_mm']} mm, pushes the tail to the {tail['thrust_to']}",
        f"{nose['mass_g']:g} g in the nose, {nose['at_mm'][0]:g} mm ahead of the shaft, whose top leans {abs(tilt):g} deg to the {'right' if tilt >= 0 else 'left'}",
    ]


def _document(sized: Sized, flown: Flight) -> dict[str, Any]:
    from dataclasses import asdict

    return {
        "answers": {**asdict(sized.known), "rubber": str(sized.known.rubber)},
        "outcome": flown.outcome,
        "controlled_s": flown.controlled_s,
        "duration_s": float(flown.time[-1]),
        "peak_height_m": flown.summary["peak_height_m"],
        "flights": sized.flights,
    }
