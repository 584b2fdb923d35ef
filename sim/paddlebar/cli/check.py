"""``paddlebar check``: a craft before its first flight."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING

import click

from paddlebar.cli.options import json_option, overrides, print_json, settings_option

if TYPE_CHECKING:
    from paddlebar.checks.check import Check
    from paddlebar.checks.materials import Stuff
    from paddlebar.files.craft import Craft

SHOWN_GAPS = 6
NOTHING = "nothing"  # advice that need not be printed


@click.command()
@click.argument("craft", type=click.Path(path_type=Path))
@click.option("--turns", type=float, metavar="N", help="Turns wound. [default: 85 % of those that break the skein]")
@click.option("--sheet", type=click.Path(path_type=Path), metavar="FILE", help="Build sheet: FILE.pdf, or FILE.png.")
@settings_option
@json_option
@click.pass_context
def check(
    ctx: click.Context,
    craft: Path,
    turns: float | None,
    sheet: Path | None,
    settings: tuple[str, ...],
    as_json: bool,
) -> None:
    """Look CRAFT over before it flies: weights, balance, strength, turns, cord, clearance, doubtful entries.

    Every finding says what to do. Writes nothing but, if asked, the build sheet: drawings to scale on A4, outlines to cut
    by, parts, pulleys, turns, test plan.

    Exit code: 0 nothing against a flight, 1 something would break, slip, strike or not lift, 2 bad input.

    \b
    Example:
      paddlebar check models/hall-ten.toml
      paddlebar check models/hall-ten.toml --sheet hall-ten.pdf
      paddlebar check models/hall-ten.toml --turns 550 --set part.stick.diameter_mm=3
      paddlebar check models/hall-ten.toml --json
    """
    from paddlebar import api
    from paddlebar.cli.outputs import check_folder
    from paddlebar.cli.progress import progress
    from paddlebar.cli.tables import show_cautions, show_files, show_rubber
    from paddlebar.craft.motors import facts
    from paddlebar.files.cautions import CAUTIONS

    chosen = api.load_craft(craft, overrides(settings))
    if sheet is not None:
        from paddlebar.sheet.book import check_sheet

        check_sheet(sheet)
        check_folder(sheet.parent)
    with progress(quiet=as_json) as bar:
        bar.start(1 + (sheet is not None))
        bar.step("weighing, loading, turning")
        found = api.check(chosen, turns)
        if sheet is not None:
            bar.step("drawing")
        files = _draw(chosen, found, sheet) if sheet is not None else []
    if as_json:
        print_json({**found.to_json(), "cautions": list(CAUTIONS), "files": [str(file) for file in files]})
    else:
        _show(found)
        show_rubber(facts(chosen.skein))
        show_files(files)
        show_cautions()
    ctx.exit(0 if found.sound else 1)


def _draw(craft: Craft, found: Check, sheet: Path) -> list[Path]:
    from paddlebar import api
    from paddlebar.cli.outputs import staged

    with staged(sheet.parent) as hidden:
        files = api.build_sheet(craft, hidden / sheet.name, found.findings)
    return [sheet.parent / file.name for file in files]


def _show(found: Check) -> None:
    from paddlebar.cli.tables import show_rows
    from paddlebar.pictures.words import number

    balance, strength, drive = found.balance, found.strength, found.drive
    click.echo(f"{found.craft}: {balance.total_g:.2f} g")
    show_rows(
        ("", "g", "%", "kg/m3", "of"),
        [
            (row.name, f"{row.mass_g:.2f}", f"{100.0 * row.share:.1f}", number(row.density_kg_m3, ".0f"), row.material)
            for row in found.weights
        ],
        ("", ">", ">", ">", ""),
    )
    click.echo("measured up")
    place, beside, wanted = balance.cg_mm, balance.off_shaft_mm, balance.wanted_mm
    inertia = [1e9 * value for value in (*balance.inertia_kg_m2, balance.rotor_kg_m2, balance.bar_kg_m2)]
    share = drive.turns / drive.breaking_turns
    rows = [
        ("centre of gravity, forward, right, up of the datum", ", ".join(f"{value:.1f}" for value in place), "mm"),
        ("of the shaft's line, forward, right", ", ".join(f"{value:+.1f}" for value in beside), "mm"),
        ("wanted there", ", ".join(f"{value:+.1f}" for value in wanted), "mm"),
        ("inertia: rolling, pitching, yawing", ", ".join(f"{value:.3g}" for value in inertia[:3]), "g mm2"),
        ("about the shaft: rotor, bar", ", ".join(f"{value:.3g}" for value in inertia[3:]), "g mm2"),
        ("turns, of those that break the skein", f"{drive.turns:.0f} of {drive.breaking_turns:.0f} ({100.0 * share:.0f} %)", ""),
        ("greatest torque, pull on the hooks", f"{1e3 * drive.torque_nm:.2f} mN m, {strength.pull_n:.2f}", "N"),
        ("energy held", f"{drive.energy_j:.2f}", "J"),
        ("rotor to hover, freshly wound", f"{number(drive.hover_rpm, '.0f')}, {number(drive.full_rpm, '.0f')}", "rpm"),
        ("twist of the stick", number(math.degrees(strength.twist_rad), ".1f"), "deg"),
    ]  # fmt: skip
    show_rows((), rows, ("", ">", ""))
    if strength.factors:
        click.echo("how many times the load each bears (of the skein's pull only the order of size is known)")
        show_rows(
            ("", "part", "handbook", "poor"),
            [(f.name, f"{f.part} ({f.material})", number(f.nominal, ".1f"), number(f.low, ".1f")) for f in strength.factors],
            ("", "", ">", ">"),
        )  # fmt: skip
        _show_materials(strength.materials)
    click.echo("nearest to each other, over all travel of the hinges")
    show_rows(
        ("", "and", "mm apart", "mm from the shaft"),
        [(gap.what, gap.other, f"{gap.gap_mm:.1f}", f"{gap.out_mm:.0f}") for gap in found.gaps[:SHOWN_GAPS]],
        ("", "", ">", ">"),
    )
    click.echo("found")
    said = [(f.severity, f.sentence if f.advice == NOTHING else f"{f.sentence}\n-> {f.advice}") for f in found.findings]
    show_rows((), said, ("", ""))
    stops = sum(f.severity == "stop" for f in found.findings)
    looks = sum(f.severity == "look" for f in found.findings)
    click.echo(
        f"{stops or 'nothing'} to put right before a flight, {looks or 'nothing'} to look at" if stops or looks else "nothing against a flight"
    )  # fmt: skip


def _show_materials(materials: dict[str, Stuff]) -> None:
    """What the factors rest on, with its source: a table a material, a column a part."""
    from paddlebar.cli.tables import show_rows

    for name in dict.fromkeys(stuff.name for stuff in materials.values()):
        parts = {part: stuff for part, stuff in materials.items() if stuff.name == name}
        click.echo(
            f"{name}, taken for that: a poor piece, as in the handbook, a good one; marks: [T] read, [A] abstract read, [M] from memory, [C] computed"
        )
        rows = []
        for index, (words, first) in enumerate(next(iter(parts.values())).strengths()):
            spans = [stuff.strengths()[index][1] for stuff in parts.values()]
            scale, unit = (1e-9, "GPa") if first.nominal >= 1e9 else (1e-6, "MPa")
            figures = [
                ", ".join(f"{scale * each:.3g}" for each in (span.low, span.nominal, span.high)) for span in spans
            ]
            rows.append((words, *figures, unit, first.source))
        show_rows(("", *parts, "", "from"), rows, ("", *(">" for _ in parts), "", ""))
