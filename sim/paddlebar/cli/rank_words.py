"""What ``paddlebar rank`` says: tables of slopes and shares, and the answer in words."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from paddlebar.studies.rank.study import Rank

NAMED_RIVALS = 3
FURTHER = 16  # times the samples: what is worth telling from the widths of intervals
MANY = 100  # flights from which their pace is known


def show(found: Rank, name: str) -> None:
    """Tables and the answer in words."""
    from paddlebar.cli import tables
    from paddlebar.studies.rank.outcomes import OUTPUTS
    from paddlebar.studies.tolerances import short, sized

    for line in opening(found, name):
        click.echo(line)
    heads = ["", *(f"{o.words}\n{o.unit}" for o in OUTPUTS)]
    sides = ["", *(">" for _ in OUTPUTS)]
    tables.show_rows(heads, _summary(found), sides)
    click.echo(
        "slopes: change of the figure for one unit of what is changed; a/b: no slope, it bends or steps there (a below, b above)"
    )
    per = [[short(key), sized(key, found.tolerances[k]), *_slopes(found, k)] for k, key in enumerate(found.keys)]
    tables.show_rows(["", "tolerance", *heads[1:]], per, ["", ">", *sides[1:]])
    if found.samples:
        click.echo("part in the spread (total index, 95 % interval by bootstrap), largest first by its largest")
        order = sorted(range(len(found.keys)), key=lambda k: -_largest(found, k))
        tables.show_rows(heads, [[short(found.keys[k]), *_totals(found, k)] for k in order], sides)
        tables.show_rows(heads, _sums(found), sides)
    for line in answers(found):
        click.echo(line)


def opening(found: Rank, name: str) -> list[str]:
    """What was flown, and how the craft as built flies."""
    from paddlebar.studies.runner import failed_words
    from paddlebar.studies.tolerances import short

    growth = float(found.built[found.outputs.index("growth_per_s")])
    state = (
        "no steady flight found"
        if not math.isfinite(growth)
        else "disturbances die out"
        if growth < 0.0
        else "UNSTABLE"
    )
    kept = f", {found.flights - found.flown} of them kept from before" if found.flown < found.flights else ""
    lines = [
        f"{name} as built: {found.built_ending}, {state} at mid-run",
        f"{len(found.keys)} numbers, {found.flights} flights{kept}, {found.wall_s:.0f} s; flown until they end, not for run.duration_s"
        + (f"; seed {found.seed}" if found.samples else ""),
    ]
    lines += failed_words(found.failed, found.flights)
    ends = [
        (short(key), side, ending)
        for key, pair in zip(found.keys, zip(found.low_ending, found.high_ending, strict=True), strict=True)
        for side, ending in zip(("less", "more"), pair, strict=True)
        if ending != found.built_ending
    ]
    lines += [f"ends otherwise with {side} {key}: {ending}" for key, side, ending in ends]
    j = found.outputs.index("growth_per_s")
    if growth < 0.0:
        grows = [
            f"unstable with {side} {short(key)}: growth {values[k, j]:+.2f} /s"
            for k, key in enumerate(found.keys)
            for side, values in (("less", found.low), ("more", found.high))
            if values[k, j] >= 0.0
        ]
        lines += grows
    if found.samples:
        how = ", ".join(f"{count} {word}" for word, count in found.endings.items())
        lines.append(f"of {2 * found.samples} built within all tolerances: {how}; {found.unstable} unstable at mid-run")
    return lines


def answers(found: Rank) -> list[str]:
    """What helps most, and what to measure."""
    from paddlebar.studies.rank.outcomes import OUTPUTS
    from paddlebar.studies.tolerances import short, sized

    lines = []
    if not found.sound and not any(found.mended):
        lines.append(
            "no single change by its tolerance makes it fly well: ask paddlebar margins and paddlebar map for larger ones"
        )
    for output, a, j in zip(OUTPUTS, found.advice, range(len(OUTPUTS)), strict=True):
        form = output.form.lstrip("+")
        text = "no change by its tolerance helps"
        if a.helps and float(format(a.gain, form)) > 0.0:  # what rounds to nothing is none
            own = found.own[found.keys.index(a.helps)]
            text = f"helps most: {short(a.helps)} {own:.4g} to {sized(a.helps, a.to, '.4g')}, better by {a.gain:{form}} {output.unit}"
        if a.measure:
            more = len(a.rivals) - NAMED_RIVALS
            rivals = ", ".join(short(r) for r in a.rivals[:NAMED_RIVALS]) + (f" and {more} more" if more > 0 else "")
            text += f"; measure most carefully: {short(a.measure)}" + (
                f" (not told apart from {rivals})" if rivals else ""
            )
        lines.append(f"{output.words}: {text}")
        if found.samples:
            lines += [f"  {line}" for line in _doubts(found, j)]
    return lines


def _doubts(found: Rank, j: int) -> Iterator[str]:
    i = found.indices
    if i.missing[j]:
        yield f"{i.missing[j]} of {found.samples} samples have no such figure"
    if not math.isfinite(i.sum_first[j]):
        yield "no indices: it does not change, or too many samples have no such figure"
    elif not i.converged[j]:
        wanted = min(int(i.enough[j]), FURTHER * found.samples)
        flights = wanted * (len(found.keys) + 2)
        pace = found.wall_s / found.flown if found.flown > MANY else math.nan
        lasts = f", some {flights * pace / 60.0:.0f} minutes" if math.isfinite(pace) else ""
        does = "should do" if wanted == i.enough[j] else "is the next to try"
        yield f"not converged: more samples; --samples {wanted} {does} ({flights} flights{lasts})"


def _summary(found: Rank) -> list[list[str]]:
    from paddlebar.pictures.words import number
    from paddlebar.studies.rank.outcomes import OUTPUTS

    def row(words: str, values: list[float]) -> list[str]:
        return [words, *(number(float(v), o.form) for v, o in zip(values, OUTPUTS, strict=True))]

    rows = [row("as built", list(found.built))]
    if found.samples:
        names = ("one build in 20 below", "half of the builds below", "one build in 20 above")
        rows += [row(words, list(found.indices.spread[:, p])) for p, words in enumerate(names)]
    return rows


def _slopes(found: Rank, k: int) -> list[str]:
    from paddlebar.pictures.words import number

    s = found.slopes
    return [
        number(float(s.slope[k, j]), "+.3g")
        if s.smooth[k, j]
        else f"{number(float(s.below[k, j]), '+.2g')}/{number(float(s.above[k, j]), '+.2g')}"
        for j in range(len(found.outputs))
    ]


def _largest(found: Rank, k: int) -> float:
    row = found.indices.total[k]
    return float(max((v for v in row.tolist() if math.isfinite(v)), default=0.0))


def _totals(found: Rank, k: int) -> list[str]:
    i = found.indices
    return [
        f"{i.total[k, j]:.2f} ({i.total_interval[k, j, 0]:.2f} to {i.total_interval[k, j, 1]:.2f})"
        if math.isfinite(i.total[k, j])
        else "-"
        for j in range(len(found.outputs))
    ]


def _sums(found: Rank) -> list[list[str]]:
    from paddlebar.pictures.words import number

    i = found.indices
    return [
        ["sum of the parts taken alone", *(number(float(v), ".2f") for v in i.sum_first)],
        ["converged", *("yes" if c else "no" for c in i.converged)],
    ]
