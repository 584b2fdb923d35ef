"""What ``paddlebar rank`` says: the answer in words, in short for a builder, at length with all slopes and shares."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from paddlebar.cli.screen import table

if TYPE_CHECKING:
    from paddlebar.studies.rank.study import Advice, Rank

NAMED_RIVALS = 3
NAMED_EDGES = 3  # changes after which it ends otherwise, on a short screen
FURTHER = 16  # times the samples: what is worth telling from the widths of intervals
MANY = 100  # flights from which their pace is known


def verdict(found: Rank, name: str) -> str:
    """How the craft as built flies."""
    growth = float(found.built[found.outputs.index("growth_per_s")])
    state = "disturbances die out" if growth < 0.0 else "UNSTABLE"
    return f"{name} as built: {found.built_ending}, {state if math.isfinite(growth) else 'no steady flight found'} at mid-run"


def next_step(found: Rank, source: Path | str) -> str:
    """The change that mends it, else the one for the first figure; flown."""
    from paddlebar.studies.rank.study import is_sound

    if not found.sound:
        ends = ((found.low_ending, found.low, -1.0), (found.high_ending, found.high, 1.0))
        for k, key in enumerate(found.keys):
            for endings, values, sign in ends:
                if is_sound(endings[k], values[k]):
                    return f"paddlebar fly {source} --set {key}={found.own[k] + sign * found.tolerances[k]:.6g}  # that mends it"
        return f"paddlebar advise {source}  # no small change mends it"
    for advice in found.advice:
        if advice.helps:
            return f"paddlebar fly {source} --set {advice.helps}={advice.to:.6g}"
    return f"paddlebar fly {source}  # no small change makes it better"


def in_short(found: Rank) -> list[str]:
    """A line a figure: as built, what helps most; then what to measure, and what is near an edge."""
    from paddlebar.pictures.words import number
    from paddlebar.studies.rank.outcomes import OUTPUTS

    rows = [
        [o.words, f"{number(float(found.built[j]), o.form)} {o.unit}", *_change(found, found.advice[j], o.form, o.unit)]
        for j, o in enumerate(OUTPUTS)
    ]
    out = table(["", "as built", "helps most", "better by"], rows, ("", ">", "", ">"))
    by_key: dict[str, list[str]] = {}
    for output, advice, sure in zip(OUTPUTS, found.advice, found.indices.converged, strict=True):
        if advice.measure and sure:
            by_key.setdefault(advice.measure, []).append(output.words.split(",")[0])
    out += [f"measure {_short(key)} most carefully: {', '.join(dict.fromkeys(words))}" for key, words in by_key.items()]
    near = [*edges(found), *unstable(found)]
    out += near[:NAMED_EDGES]
    if len(near) > NAMED_EDGES:
        out.append(f"and {len(near) - NAMED_EDGES} more that end otherwise or are unstable")
    if found.samples:
        out.append(_spread(found))
        more = list(_unsure(found))
        if more:
            out.append(f"what to measure is not sure yet; {more[0]}")
    return [*out, _made(found), *_failed(found)]


def at_length(found: Rank) -> list[str]:
    """Tables and the answer in words."""
    from paddlebar.craft.knob import short, sized
    from paddlebar.studies.rank.outcomes import OUTPUTS

    out = [_made(found), *_failed(found), *edges(found), *unstable(found)]
    if found.samples:
        out.append(_spread(found))
    out += answers(found)
    heads = ["", *(f"{o.words}\n{o.unit}" for o in OUTPUTS)]
    sides = ["", *(">" for _ in OUTPUTS)]
    out += table(heads, _summary(found), sides, full=True)
    out += [
        "slopes: change of the figure for one unit of what is changed; a/b: no slope, it bends or steps there (a below, b above)",
        "  each holds as far as its tolerance, for that change alone: gains of several changes do not add up; fly them together",
    ]
    per = [[short(key), sized(key, found.tolerances[k]), *_slopes(found, k)] for k, key in enumerate(found.keys)]
    out += table(["", "tolerance", *heads[1:]], per, ["", ">", *sides[1:]], full=True)
    if found.samples:
        out.append("part in the spread (total index, 95 % interval by bootstrap), largest first by its largest")
        order = sorted(range(len(found.keys)), key=lambda k: -_largest(found, k))
        out += table(heads, [[short(found.keys[k]), *_totals(found, k)] for k in order], sides, full=True)
        out += table(heads, _sums(found), sides, full=True)
    return out


def _made(found: Rank) -> str:
    kept = f", {found.flights - found.flown} of them kept from before" if found.flown < found.flights else ""
    seed = f"; seed {found.seed}" if found.samples else ""
    return (
        f"{len(found.keys)} numbers, {found.flights} flights{kept}, {found.wall_s:.0f} s; "
        f"flown until they end, not for run.duration_s{seed}"
    )


def _failed(found: Rank) -> list[str]:
    from paddlebar.studies.runner import failed_words

    return failed_words(found.failed, found.flights)


def edges(found: Rank) -> list[str]:
    """Changes after which it ends otherwise."""
    return [
        f"ends otherwise with {side} {_short(key)}: {ending}"
        for key, pair in zip(found.keys, zip(found.low_ending, found.high_ending, strict=True), strict=True)
        for side, ending in zip(("less", "more"), pair, strict=True)
        if ending != found.built_ending
    ]


def unstable(found: Rank) -> list[str]:
    """Changes after which a disturbance grows, where none does as built."""
    j = found.outputs.index("growth_per_s")
    return [
        f"unstable with {side} {_short(key)}: growth {values[k, j]:+.2f} /s"
        for k, key in enumerate(found.keys)
        for side, values in (("less", found.low), ("more", found.high))
        if found.built[j] < 0.0 <= values[k, j]
    ]


def _spread(found: Rank) -> str:
    how = ", ".join(f"{count} {word}" for word, count in found.endings.items())
    return f"of {2 * found.samples} built within all tolerances: {how}; {found.unstable} unstable at mid-run"


def _change(found: Rank, advice: Advice, form: str, unit: str) -> tuple[str, str]:
    """What to change and by how much that is better; what rounds to nothing is none."""
    from paddlebar.craft.knob import sized

    plain = form.lstrip("+")
    if not advice.helps or not float(format(advice.gain, plain)) > 0.0:
        return "no change by its tolerance", ""
    own = found.own[found.keys.index(advice.helps)]
    return (
        f"{_short(advice.helps)} {own:.4g} to {sized(advice.helps, advice.to, '.4g')}",
        f"{advice.gain:{plain}} {unit}",
    )


def answers(found: Rank) -> list[str]:
    """What helps most, and what to measure."""
    from paddlebar.studies.rank.outcomes import OUTPUTS

    lines = []
    if not found.sound and not any(found.mended):
        lines.append(
            "no single change by its tolerance makes it fly well: ask paddlebar margins and paddlebar map for larger ones"
        )
    for output, a, j in zip(OUTPUTS, found.advice, range(len(OUTPUTS)), strict=True):
        what, gain = _change(found, a, output.form, output.unit)
        text = f"helps most: {what}, better by {gain}" if gain else "no change by its tolerance helps"
        if a.measure:
            more = len(a.rivals) - NAMED_RIVALS
            rivals = ", ".join(_short(r) for r in a.rivals[:NAMED_RIVALS]) + (f" and {more} more" if more > 0 else "")
            text += f"; measure most carefully: {_short(a.measure)}" + (
                f" (not told apart from {rivals})" if rivals else ""
            )
        lines.append(f"{output.words}: {text}")
        if found.samples:
            lines += [f"  {line}" for line in _doubts(found, j)]
    return lines


def _short(key: str) -> str:
    from paddlebar.craft.knob import short

    return short(key)


def _doubts(found: Rank, j: int) -> Iterator[str]:
    i = found.indices
    if i.missing[j]:
        yield f"{i.missing[j]} of {found.samples} samples have no such figure"
    if not math.isfinite(i.sum_first[j]):
        yield "no indices: it does not change, or too many samples have no such figure"
    elif not i.converged[j]:
        yield f"not converged: more samples; {_enough(found, int(i.enough[j]))}"


def _unsure(found: Rank) -> Iterator[str]:
    """How many samples would do for all figures, where those at hand do not."""
    i = found.indices
    wanting = [
        int(n) for n, well, s in zip(i.enough, i.converged, i.sum_first, strict=True) if math.isfinite(s) and not well
    ]
    if wanting:
        yield f"not converged: more samples; {_enough(found, max(wanting))}"


def _enough(found: Rank, enough: int) -> str:
    wanted = min(enough, FURTHER * found.samples)
    flights = wanted * (len(found.keys) + 2)
    pace = found.wall_s / found.flown if found.flown > MANY else math.nan
    lasts = f", some {flights * pace / 60.0:.0f} minutes" if math.isfinite(pace) else ""
    does = "should do" if wanted == enough else "is the next to try"
    return f"--samples {wanted} {does} ({flights} flights{lasts})"


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


UNSURE = "?"  # what has not converged is no figure yet; the table in rank.csv has it with its interval


def _largest(found: Rank, k: int) -> float:
    row = found.indices.total[k]
    return float(max((v for v in row.tolist() if math.isfinite(v)), default=0.0))


def _totals(found: Rank, k: int) -> list[str]:
    i = found.indices
    return [
        "-"
        if not math.isfinite(i.total[k, j])
        else f"{i.total[k, j]:.2f} ({i.total_interval[k, j, 0]:.2f} to {i.total_interval[k, j, 1]:.2f})"
        if i.converged[j]
        else UNSURE
        for j in range(len(found.outputs))
    ]


def _sums(found: Rank) -> list[list[str]]:
    from paddlebar.pictures.words import number

    i = found.indices
    return [
        [
            "sum of the parts taken alone",
            *(number(float(v), ".2f") if sure else UNSURE for v, sure in zip(i.sum_first, i.converged, strict=True)),
        ],
        ["converged", *("yes" if c else "no" for c in i.converged)],
    ]
