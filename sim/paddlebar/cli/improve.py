"""``paddlebar improve``: a search of named parameters under limits."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from paddlebar.cli import verb
from paddlebar.cli.progress import progress

if TYPE_CHECKING:
    from paddlebar.files.scenario import Scenario
    from paddlebar.studies.improve.study import Improved

STUDY_FILE, CRAFT_FILE, FLIGHT_FILE = "study.h5", "improved.toml", "improved-flight.toml"
RANGE = "KEY=LOW:HIGH"


@click.command()
@verb.scenario_argument
@click.option(
    "--vary",
    "vary",
    multiple=True,
    metavar=RANGE,
    help="Key that may vary, with its limits. May be repeated. [default: lead, gain and tip mass of the bar, rotor pitch, "
    "tilt of the shaft, place of the heaviest lump to the side, turns and strands (or mass) of the skein, drive pulley, pitch and radius of "
    "the tail, as far as the craft has them]",
)
@click.option(
    "--for",
    "wanted",
    default="duration",
    show_default=True,
    metavar="GOAL",
    help="duration, control, height, stability or stillness.",
)
@click.option(
    "--margin", type=float, metavar="PER_S", help="Disturbances decay at least so fast at all points. [default: 0.05]"
)
@click.option(
    "--at", "at", metavar="SHARES", help="Points along the run-down, as shares of the turns. [default: 1,0.75,0.5,0.25]"
)
@click.option("--share", type=float, metavar="SHARE", help="Turns over breaking turns, at most. [default: 0.9]")
@click.option(
    "--control", type=float, metavar="S", help="Time in control, at least. [default: 10, or half of run.duration_s]"
)
@click.option("--spin", type=float, metavar="DEG_S", help="Mean spin of the body, at most. [default: 30]")
@click.option(
    "--stick", type=float, metavar="FACTOR", help="Safety factor of the stick at full wind, at least. [default: 1.5]"
)
@click.option("--heaviest", type=float, metavar="G", help="All-up weight, at most. [default: 1.25 times the start's]")
@click.option("--budget", type=int, metavar="N", help="Designs to work out. [default: 500]")
@click.option(
    "--seed",
    type=click.IntRange(0),
    default=1,
    show_default=True,
    metavar="N",
    help="Another seed searches another way.",
)
@verb.workers_option("Designs")
@verb.set_option
@verb.out_option(
    "Folder for the improved files, study file, table and picture; a search that was interrupted is gone on with. [default: flights/NAME-improve]"
)
@verb.data_option
@verb.look_options
@verb.answer_options
@verb.pictures_option("Draw nothing.")
def improve(
    scenario: Path,
    vary: tuple[str, ...],
    wanted: str,
    margin: float | None,
    at: str | None,
    share: float | None,
    control: float | None,
    spin: float | None,
    stick: float | None,
    heaviest: float | None,
    budget: int | None,
    seed: int,
    workers: int | None,
    changes: dict[str, Any],
    out: Path | None,
    data: bool,
    pictures: bool,
) -> None:
    """Look for a better craft: vary named numbers of SCENARIO and its craft within limits, and keep what must be kept.

    A design must not be overwound, must not get too heavy (masses follow measures: a longer blade weighs more), must not tip over nor
    strike anything, must not spin, and its disturbances must die out all along the run-down. Among those that keep all that, the one
    with the most of --for wins. It is written as a craft file and a flight that `fly` takes, each changed entry with what it was.
    Every design is kept as soon as it is worked out: the same command after an interruption goes on, and comes to the same result.

    Exit code: 0 a design that keeps all demands was found, 1 none was, 2 bad input.

    \b
    Example:
      paddlebar improve scenarios/poor-start.toml
      paddlebar improve scenarios/poor-start.toml --vary craft.bar.lead_deg=60:120 --vary craft.tail.drive_pulley_mm=15:30 --for duration
    """
    import paddlebar

    chosen = paddlebar.load_scenario(scenario, changes)
    folder = verb.folder_for(out, f"{scenario.stem}-improve")
    limits = {
        "margin": None if margin is None else -margin,
        "share": share,
        "control": control,
        "spin": spin,
        "stick": stick,
        "heaviest": heaviest,
    }
    with progress() as bar:
        bar.start(1)
        found = paddlebar.improve(
            chosen, [range_of(text) for text in vary] or None, wanted,
            limits={name: limit for name, limit in limits.items() if limit is not None}, shares=None if at is None else shares_of(at),
            budget=budget, seed=seed, workers=workers, progress=bar, file=folder / STUDY_FILE,
        )  # fmt: skip
        bar.step("writing and drawing")
        files = [folder / STUDY_FILE, *_write(found, chosen, folder, pictures, data)]
    verb.answer(
        {**found.to_json(), "craft": chosen.craft.name},
        lambda full: verb.Screen(
            verdict(found, chosen.craft.name), lines(found, full), next_step(found, folder), more=not full
        ),
        files,
        good=found.feasible,
    )


def range_of(text: str) -> tuple[str, float, float]:
    """``craft.bar.lead_deg=60:120`` -> (key, lowest, highest). Raises BadInput."""
    from paddlebar.cli.ranges import keyed

    key, (low, high) = keyed("--vary", text, "lowest:highest", "craft.bar.lead_deg=60:120")
    return key, low, high


def shares_of(text: str) -> list[float]:
    """``1,0.5`` -> [1.0, 0.5]. Raises BadInput."""
    from paddlebar.cli.ranges import listed

    return listed("--at", text, "shares of the turns, such as 1,0.75,0.5,0.25")


def verdict(found: Improved, name: str) -> str:
    """Better by how much, or what is in the way."""
    from paddlebar.studies.improve.demands import GOALS

    if not found.feasible:
        return f"{name}: no design keeps all demands; in the way of the nearest:"
    aim = GOALS[found.goal]
    before, after = found.before[aim.name], found.after[aim.name]
    better = "" if found.differences else ", nothing better found"
    return f"{name}: {aim.words}: from {before:.3g} to {after:.3g} {aim.unit}{better}"


def next_step(found: Improved, folder: Path) -> str:
    """Fly what was found, or look on."""
    if found.feasible and found.differences:
        return f"paddlebar fly {folder / FLIGHT_FILE}"
    if found.feasible:
        return f"wider limits by --vary, or --budget {2 * found.budget}"
    return f"loosen what is in the way, vary more by --vary, or --budget {2 * found.budget}"


def lines(found: Improved, full: bool) -> list[str]:
    """Start and result, what was changed and what each change is worth; full : masses, all demands, and the second look too."""
    from paddlebar.cli.screen import table
    from paddlebar.pictures.words import number
    from paddlebar.studies.figures import figures_of

    out = [] if found.feasible else [f"  {line}" for line in found.obstacles]
    again = found.confirmed_after
    if again is not None:
        out.append(f"flown once more by scipy: {again.outcome} after {again.summary['duration_s']:.1f} s")
    if found.differences:
        out.append("what was changed, and the result with that one change undone")
        heads = ["key", "from", "to", "undone: s", "growth /s", "spin deg/s", "then it"]
        changed = difference_rows(found, full)
        if not full:  # of the figures, the time in the air
            heads, changed = [*heads[:4], heads[-1]], [[*row[:4], row[-1]] for row in changed]
        out += table(heads, changed, ("", *(">" for _ in heads[1:-1])), full=full)
    rows = [
        [each.words, number(found.before[each.name], each.form), number(found.after[each.name], each.form), each.unit]
        for each in figures_of("improve")
    ]
    out += table(["", "start", "result", ""], rows, ("", ">", ">"), full=full)
    out += sentences(found)
    if full and found.masses:
        out.append("masses that followed, in g")
        masses = [[key, f"{was:.4g}", f"{now:.4g}"] for key, (was, now) in found.masses.items()]
        out += table(["key", "from", "to"], masses, ("", ">", ">"), full=True)
    if full and again is not None:
        out.append("looked at again: growth [1/s] of steady flight at shares of the turns, - where none was found")
        both = [("start", found.confirmed_before), ("result", again)]
        grown = [[word, *(number(of.growth[s], "+.2f") for s in again.growth)] for word, of in both if of is not None]
        out += table(
            ["turns", *(f"{s:.3g}" for s in again.growth)], grown, ("", *(">" for _ in again.growth)), full=True
        )
    return out


def sentences(found: Improved) -> list[str]:
    """What was searched, and what was demanded."""
    from paddlebar.studies.improve.demands import BY_NAME
    from paddlebar.studies.runner import failed_words

    good = int((found.violation == 0.0).sum())
    said = [f"{BY_NAME[key].words} {'at most' if BY_NAME[key].most else 'at least'} {limit:g}{BY_NAME[key].unit}"
            for key, limit in found.limits.items() if key != "ending"]  # fmt: skip
    points = ", ".join(f"{share:g}" for share in found.shares)
    return [
        f"{len(found.rows)} designs worked out in {found.wall_s:.0f} s (seed {found.seed}), {good} of them keep all demands",
        f"demands: {'; '.join(said)} (at {points} of the turns); no tipping over, nothing struck",
        *failed_words(found.failed, len(found.rows)),
    ]


# demand -> what a design does that breaks it, at length and in a word
DOES = {
    "share": ("is overwound", "overwound"),
    "heaviest": ("is too heavy", "too heavy"),
    "stick": ("bends its stick", "stick bends"),
    "ending": ("tips over or strikes something", "falls or strikes"),
    "control": ("gets out of control early", "out of control"),
    "spin": ("spins", "spins"),
    "margin": ("sways grow or hardly die out", "sways grow"),
}


def difference_rows(found: Improved, full: bool) -> list[list[str]]:
    """A row a changed key: from, to, the figures with this one change undone, and what would then be wrong."""
    from paddlebar.pictures.words import number

    forms = {"duration_s": ".1f", "worst_growth_per_s": "+.2f", "mean_spin_deg_s": ".0f"}
    return [
        [
            d.key,
            f"{d.was:g}",
            f"{d.now:g}",
            *(number(d.undone[key], form) for key, form in forms.items()),
            d.note or ", ".join(DOES.get(name, (name, name))[not full] for name in d.breaks),
        ]
        for d in found.differences
    ]


def _write(found: Improved, chosen: Scenario, folder: Path, picture: bool, data: bool) -> list[Path]:
    from paddlebar.cli.outputs import staged
    from paddlebar.files.rewrite import craft_text, scenario_text
    from paddlebar.plain import document

    notes = {d.key: f"was {d.was:g}" for d in found.differences} | {
        key: f"was {was:g}" for key, (was, _) in found.masses.items()
    }
    of_craft = {key.removeprefix("craft."): note for key, note in notes.items() if key.startswith("craft.")}
    of_flight = {key: note for key, note in notes.items() if not key.startswith("craft.")}
    if found.scenario.run.duration_s != chosen.run.duration_s:
        of_flight["run.duration_s"] = f"was {chosen.run.duration_s:g}"
    names = [CRAFT_FILE, FLIGHT_FILE, "designs.csv", "improve.json"]
    with staged(folder) as hidden:
        (hidden / CRAFT_FILE).write_text(craft_text(chosen, found.scenario.craft, of_craft), encoding="utf-8")
        (hidden / FLIGHT_FILE).write_text(
            scenario_text(chosen, found.scenario, CRAFT_FILE, of_flight), encoding="utf-8"
        )
        write_table(found, hidden / "designs.csv")
        (hidden / "improve.json").write_text(document(found.to_json()), encoding="utf-8")
        if picture:
            from paddlebar.pictures.improve import draw_improved  # matplotlib only where it draws
            from paddlebar.pictures.saving import save

            drawn = save(
                {"improve": draw_improved(found, chosen.craft.name)},
                hidden,
                look=verb.look(chosen.pictures.dpi),
                data=data,
            )
            names += [file.name for file in drawn]
    return [folder / name for name in names]


def write_table(found: Improved, path: Path) -> None:
    """A row a design in the order in which it was asked for; an empty field where a figure was not worked out."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow([*(v.key for v in found.variables), *found.names, "violation"])
        for row, figures, violation in zip(found.rows, found.figures, found.violation, strict=True):
            writer.writerow(
                [
                    *(f"{x:.9g}" for x in row),
                    *map(verb.field, figures),
                    f"{violation:.5g}",
                ]
            )
