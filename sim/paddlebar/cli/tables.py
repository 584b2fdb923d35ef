"""What stands on the screen: tables of a flight and of the stand, and the cautions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from paddlebar.files.cautions import CAUTIONS
from paddlebar.pictures.figures import SUMMARY
from paddlebar.pictures.words import apart_words, error_words, ledger_rows, number, solver_words

if TYPE_CHECKING:
    from rich.table import Table

WIDE = 200

# key of a StandPoint -> head of the column, format, what it is multiplied by for the eye
GRAM_FORCE = 9.80665e-3  # N; a kitchen scale reads grams
STAND: dict[str, tuple[str, str, float]] = {
    "rpm": ("rotor\nrpm", ".0f", 1.0),
    "collective_deg": ("pitch\ndeg", ".1f", 1.0),
    "thrust_n": ("thrust\ng", ".2f", 1.0 / GRAM_FORCE),
    "torque_nm": ("torque\nmN m", ".3f", 1e3),
    "power_w": ("power\nmW", ".1f", 1e3),
    "CT": ("CT\n", ".5f", 1.0),
    "CQ": ("CQ\n", ".6f", 1.0),
    "figure_of_merit": ("figure\nof merit", ".3f", 1.0),
    "coning_deg": ("coning\ndeg", ".2f", 1.0),
}
STAND_TAIL: dict[str, tuple[str, str, float]] = {
    "rpm": ("rotor\nrpm", ".0f", 1.0),
    "tail_rpm": ("tail\nrpm", ".0f", 1.0),
    "tail_thrust_n": ("thrust\nmN", ".2f", 1e3),
    "tail_torque_nm": ("torque\nmN m", ".3f", 1e3),
    "tail_power_w": ("power\nmW", ".1f", 1e3),
    "shaft_torque_nm": ("skein must\ngive mN m", ".3f", 1e3),
}


def show_flight(title: str, summary: Mapping[str, Any], ledger: Mapping[str, float]) -> None:
    """Outcome, summary, events and ledger of a flight."""
    click.echo(f"{title or 'flight'}: {summary['outcome']}\n{summary['sentence']}")
    rows = [(words, number(summary[key], form), unit) for key, (words, form, unit) in SUMMARY.items()]
    _print(_table(("", ">", "<"), rows))
    if summary["events"]:
        click.echo("events")
        _print(_table((">", "<"), [(f"{e['time_s']:.2f} s", e["sentence"]) for e in summary["events"]]))
    click.echo("where the energy went, let out by the skein = 100 %")
    _print(_table(("", ">", ">"), ledger_rows(ledger), heads=("", "J", "%")))


def show_rubber(facts: Mapping[str, Any]) -> None:
    """The figures that decide duration and are known worst, beside every answer that rests on them."""
    click.echo(
        f"rubber ({facts['torque_from']}): {facts['mass_g']:.3g} g, {facts['section_mm2']:.3g} mm2, gives {facts['energy_kJ_kg']:.3g} kJ/kg from full wind, "
        f"loses {facts['loss_percent']:.3g} % of the winding, breaks at {facts['breaking_turns']:.0f} turns (constant {facts['breaking_constant']:.3g})"
    )


def show_trust(solver: Mapping[str, Any], more: Mapping[str, Any], seed: int | None) -> None:
    """How far the numbers can be trusted: chance, the solver's own account; where asked for, against a more exact flight, against the record."""
    if seed is not None:
        click.echo(f"turbulence of seed {seed} (air.seed)")
    click.echo(solver_words(solver))
    if record := more.get("against_record"):
        same = "the same, bit for bit" if record["identical"] else apart_words(record)
        click.echo(f"against its record: {same}")
    if error := more.get("error_estimate"):
        click.echo(error_words(error))


def show_stand(points: Sequence[Mapping[str, float]], columns: Mapping[str, tuple[str, str, float]]) -> None:
    """A row a point; columns as STAND or STAND_TAIL."""
    rows = [[number(point[key] * times, form) for key, (_, form, times) in columns.items()] for point in points]
    _print(_table((">",) * len(columns), rows, heads=[head for head, _, _ in columns.values()]))


def show_rows(heads: Sequence[str], rows: Iterable[Sequence[str]], sides: Sequence[str] = ()) -> None:
    """A plain table of words; ``sides`` ">" sets a column to the right."""
    _print(_table(sides or ("",) * len(heads), rows, heads=heads))


def show_files(files: Sequence[Path]) -> None:
    """One path a line, so that it can be copied whole."""
    if files:
        click.echo("written")
        for file in files:
            click.echo(f"  {file}")


def show_cautions() -> None:
    """The two lines that end every flight."""
    for line in CAUTIONS:
        click.echo(line)


def _table(sides: Sequence[str], rows: Iterable[Sequence[str]], heads: Sequence[str] = ()) -> Table:
    from rich.table import Table

    table = Table(box=None, show_header=bool(heads), padding=(0, 2, 0, 0), pad_edge=False, header_style="")
    for index, side in enumerate(sides):
        table.add_column(heads[index] if heads else "", justify="right" if side == ">" else "left", no_wrap=not index)
    for row in rows:
        table.add_row(*row)
    return table


def _print(table: Table) -> None:
    from rich.console import Console
    from rich.padding import Padding

    # markup off: a craft's name may hold brackets
    console = Console(markup=False, emoji=False, highlight=False)
    if not console.is_terminal:
        console.width = WIDE  # into a file or a pipe nothing needs folding
    console.print(Padding(table, (0, 0, 0, 2), expand=False))
