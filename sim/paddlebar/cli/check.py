"""``paddlebar check``: a craft before its first flight."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from paddlebar.cli import verb
from paddlebar.cli.progress import progress

if TYPE_CHECKING:
    from paddlebar.checks.check import Check
    from paddlebar.craft.strength.materials import Stuff
    from paddlebar.files.craft import Craft

SHOWN_GAPS = 6
NOTHING = "nothing"  # advice that need not be printed


@click.command()
@verb.craft_argument
@click.option("--turns", type=float, metavar="N", help="Turns wound. [default: 85 % of those that break the skein]")
@click.option("--sheet", type=verb.PATH, metavar="FILE", help="Build sheet: FILE.pdf, or FILE.png.")
@click.option(
    "--cut",
    type=verb.PATH,
    metavar="DIR",
    help="Outlines for a cutter, full size: SVG and DXF of every blade, paddle, plate.",
)
@verb.set_option
@verb.answer_options
def check(craft: Path, turns: float | None, sheet: Path | None, cut: Path | None, changes: dict[str, Any]) -> None:
    """Look CRAFT over before it flies: weights, balance, strength, turns, cord, clearance, doubtful entries.

    Every finding says what to do; --full adds the figures behind them. Writes nothing but, if asked, the build sheet: drawings to scale
    on A4, outlines to cut by, parts, pulleys, turns, test plan; and outlines for a cutter.

    Exit code: 0 nothing against a flight, 1 something would break, slip, strike or not lift, 2 bad input.

    \b
    Example:
      paddlebar check models/hall-ten.toml
      paddlebar check models/hall-ten.toml --full --sheet hall-ten.pdf
      paddlebar check models/hall-ten.toml --cut hall-ten-cut
      paddlebar check models/hall-ten.toml --turns 550 --set part.stick.diameter_mm=3
      paddlebar check models/hall-ten.toml --json
    """
    from paddlebar import api
    from paddlebar.cli.fly import rubber
    from paddlebar.cli.outputs import check_folder
    from paddlebar.craft.motors import facts
    from paddlebar.files.cautions import CAUTIONS

    chosen = api.load_craft(craft, changes)
    if sheet is not None:
        from paddlebar.sheet.book import check_sheet

        check_sheet(sheet)
        check_folder(sheet.parent)
    if cut is not None:
        check_folder(cut)
    with progress() as bar:
        bar.start(1 + (sheet is not None) + (cut is not None))
        bar.step("weighing, loading, turning")
        found = api.check(chosen, turns)
        if sheet is not None:
            bar.step("drawing")
        files = _draw(chosen, found, sheet) if sheet is not None else []
        if cut is not None:
            bar.step("drawing what is cut")
            files += _cut(chosen, cut)
    verb.answer(
        {**found.to_json(), "cautions": CAUTIONS},
        lambda full: verb.Screen(
            verdict(found),
            [*_findings(found, full), rubber(facts(chosen.skein)), *(_figures(found) if full else [])],
            next_step(found, craft),
            more=not full,
            cautions=full,
        ),
        files,
        good=found.sound,
    )


def verdict(found: Check) -> str:
    """How many findings of each kind."""
    how_many = Counter(finding.severity for finding in found.findings)
    stops, looks = (how_many[severity] or "nothing" for severity in ("stop", "look"))
    says = (
        f"{stops} to put right before a flight, {looks} to look at"
        if how_many["stop"] + how_many["look"]
        else "nothing against a flight"
    )
    return f"{found.craft}, {found.balance.total_g:.2f} g: {says}"


def next_step(found: Check, craft: Path) -> str:
    """The worst finding first; without one that stops it, a flight."""
    if found.sound:
        return f'paddlebar fly SCENARIO (a file with craft = "{craft.name}")'
    return f"put right {found.findings[0].key} in {craft}, then check again"


def _draw(craft: Craft, found: Check, sheet: Path) -> list[Path]:
    from paddlebar.cli.outputs import staged
    from paddlebar.sheet.book import build_sheet

    with staged(sheet.parent) as hidden:
        files = build_sheet(craft, hidden / sheet.name, found.findings)
    return [sheet.parent / file.name for file in files]


def _cut(craft: Craft, folder: Path) -> list[Path]:
    from paddlebar.cli.outputs import staged
    from paddlebar.sheet.cut import write_cuts

    with staged(folder) as hidden:
        files = write_cuts(craft, hidden)
    return [folder / file.name for file in files]


def _findings(found: Check, full: bool) -> Iterator[str]:
    """Worst first, each with what to do; full : with what could be done about those that are fine, too."""
    for finding in found.findings:
        yield f"  {finding.severity}  {finding.sentence}"
        if finding.advice != NOTHING and (full or finding.severity != "fine"):
            yield f"        -> {finding.advice}"


def _figures(found: Check) -> Iterator[str]:
    """What the findings rest on."""
    from paddlebar.cli.screen import table
    from paddlebar.pictures.words import number

    balance, strength, drive = found.balance, found.strength, found.drive
    yield "weights"
    yield from table(
        ("", "g", "%", "kg/m3", "of"),
        [
            (row.name, f"{row.mass_g:.2f}", f"{100.0 * row.share:.1f}", number(row.density_kg_m3, ".0f"), row.material)
            for row in found.weights
        ],
        ("", ">", ">", ">"),
        full=True,
    )
    yield "measured up"
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
    yield from table((), rows, ("", ">"), full=True)
    if strength.factors:
        yield "how many times the load each bears (of the skein's pull only the order of size is known)"
        yield from table(
            ("", "part", "handbook", "poor"),
            [(f.name, f"{f.part} ({f.material})", number(f.nominal, ".1f"), number(f.low, ".1f")) for f in strength.factors],
            ("", "", ">", ">"),
            full=True,
        )  # fmt: skip
        yield from _materials(strength.materials)
    yield "nearest to each other, over all travel of the hinges"
    yield from table(
        ("", "and", "mm apart", "mm from the shaft"),
        [(gap.what, gap.other, f"{gap.gap_mm:.1f}", f"{gap.out_mm:.0f}") for gap in found.gaps[:SHOWN_GAPS]],
        ("", "", ">", ">"),
        full=True,
    )


def _materials(materials: Mapping[str, Stuff]) -> Iterator[str]:
    """What the factors rest on, with its source: a table a material, a column a part."""
    from paddlebar.cli.screen import table

    for name in dict.fromkeys(stuff.name for stuff in materials.values()):
        parts = {part: stuff for part, stuff in materials.items() if stuff.name == name}
        yield f"{name}, taken for that: a poor piece, as in the handbook, a good one; marks: [T] read, [A] abstract read, [M] from memory, [C] computed"
        rows = []
        for index, (words, first) in enumerate(next(iter(parts.values())).strengths()):
            spans = [stuff.strengths()[index][1] for stuff in parts.values()]
            scale, unit = (1e-9, "GPa") if first.nominal >= 1e9 else (1e-6, "MPa")
            figures = [
                ", ".join(f"{scale * each:.3g}" for each in (span.low, span.nominal, span.high)) for span in spans
            ]
            rows.append((words, *figures, unit, first.source))
        yield from table(("", *parts, "", "from"), rows, ("", *(">" for _ in parts)), full=True)
