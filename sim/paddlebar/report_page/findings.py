"""Sections that rest on more than the record: what to change first, margins, yaw balance, stick, sources."""

from __future__ import annotations

import math

import numpy as np

from paddlebar.checks.check import Check
from paddlebar.pictures import captions, words
from paddlebar.pictures.margins import draw_all
from paddlebar.pictures.words import number
from paddlebar.pictures.yaw_study import draw_moments
from paddlebar.report_page.document import Block, Listed, Picture, Section, Words, table
from paddlebar.studies.report.gathered import Account
from paddlebar.studies.rundown import KNEE, RunDown

# first and last share of the turns (studies/rundown.py), up to the knee of the rubber: a third each
THIRDS = (("full wind", 0, KNEE // 3), ("mid-run", KNEE // 3, 2 * KNEE // 3), ("late, before the knee", 2 * KNEE // 3, KNEE), ("below the knee", KNEE, None))  # fmt: skip


def first_section(found: Account) -> Section:
    """What to change first."""
    blocks: list[Block] = [Words(found.unread, "caution")] if found.unread else []
    if found.advice:
        blocks.append(
            Listed(tuple((words.first_up(each.do), f"{each.why} [{each.rests_on}]") for each in found.advice))
        )
    if found.suggestions:
        rows = [
            (
                each.words,
                each.after.outcome,
                f"{each.before.controlled_s:.1f}",
                f"{each.after.controlled_s:.1f}",
                f"{each.after.duration_s:.1f}",
            )
            for each in found.suggestions
        ]
        heads = ("changed", "flight", "in control s, before", "after", "lasted s")
        blocks.append(table("Changes that were flown for this report", heads, rows, "<<>>>", (6, 2, 1.6, 1.4, 1.4)))
    blocks.append(
        Words(
            "In brackets what it rests on: flown so: this change was flown, and is better; flight: read off this flight; check: the craft looked over. "
            "What to do step by step until it flies is answered by: paddlebar advise SCENARIO --follow", "note",
        )
    )  # fmt: skip
    return Section("first", "What to change first", tuple(blocks))


def margins_section(found: Account) -> Section:
    """Verdict of the bar, how far it may move, modes, run-down."""
    m = found.margins
    if m is None:
        return Section("margins", "Margins", (Words(f"No margins: {found.no_margins}.", "note"),))
    blocks: list[Block] = [Words(f"{m.sentence[:1].upper()}{m.sentence[1:]}.", "lead")]
    if m.caution:
        blocks.append(Words(f"But {m.caution}.", "caution"))
    if found.scenario is not None and (found.scenario.mishap or found.scenario.air.wind_m_s > 0.0):
        blocks.append(
            Words(
                "In still air and with nothing lost: what went wrong on cue, wind and room do not enter the margins.",
                "note",
            )
        )
    lines = words.margin_words(m)
    if lines:
        rows = [tuple(line.strip().split(maxsplit=1)) for line in lines[1:]]
        rows = [("tip mass", row[1].removeprefix("mass").strip()) if row[0] == "tip" else row for row in rows]
        blocks.append(table(f"{lines[0][:1].upper()}{lines[0][1:]}", ("", "which way, how far"), rows, "<<", (2, 8)))
    blocks += [Words(f"{line[:1].upper()}{line[1:]}.", "caution") for line in words.rundown_words(m)]
    shown = m.modes[: words.SHOWN_MODES]
    if shown:
        caption = f"Modes with {m.turns_at_verdict:.0f} turns left, the slowest to die out first"
        blocks.append(
            table(caption, _heads(words.MODE_HEADS), [words.mode_row(mode) for mode in shown], "<>>>>", (4, 2, 2, 2, 2))
        )
    sides = ">" * (len(words.RUN_HEADS) - 1) + "<"
    blocks.append(
        table("Along the run-down; flown: mean spin and largest lean of this flight, high up", _heads(words.RUN_HEADS), words.run_rows(m), sides, (*(1.0,) * (len(sides) - 1), 2.0))
    )  # fmt: skip
    blocks += [Picture(name, figure, captions.of_margins(name, m)) for name, figure in draw_all(m).items()]
    return Section("margins", "Margins", tuple(blocks))


def _heads(heads: tuple[str, ...]) -> list[str]:
    return [" ".join(head.split()) for head in heads]


def yaw_section(found: Account) -> Section:
    """What turned the body in this flight, and what held it."""
    run = found.yaw
    if run is None:
        return Section("yaw", "Yaw balance", (Words(f"No balance: {found.no_yaw or found.unread}.", "note"),))
    rotor, tail = _mean(run.rotor_moment_mn_m), _mean(run.tail_moment_mn_m)
    share = 100.0 * _mean(run.tail_power_mw / run.skein_power_mw)
    lead = (
        f"The rotor turned the body with {rotor:+.2f} mN m on average, the tail held it with {tail:+.2f} mN m (right positive); "
        f"the tail took {share:.0f} % of what the skein gave."
    )
    heads = (
        "part of the run-down",
        "spin deg/s",
        "rotor",
        "tail",
        "bar",
        "airframe",
        "left over",
        "tail's push mN",
        "drift m/s",
    )
    blocks: list[Block] = [
        Words(lead, "lead"),
        table("Moments about the vertical [mN m], right positive", heads, _thirds(run), "<>>>>>>>>", (3, *(1.4,) * 8)),
    ]
    blocks.append(Picture("balance", draw_moments(run), captions.of_balance(run)))
    note = "From flying it again; the moments are those of still air far from the floor. Which ratio keeps the body still: paddlebar yaw SCENARIO"
    blocks.append(Words(note, "note"))
    return Section("yaw", "Yaw balance", tuple(blocks))


def _thirds(run: RunDown) -> list[tuple[str, ...]]:
    columns = (
        (run.spin_deg_s, "+.0f"), (run.rotor_moment_mn_m, "+.2f"), (run.tail_moment_mn_m, "+.2f"), (run.bar_moment_mn_m, "+.2f"),
        (run.airframe_moment_mn_m, "+.2f"), (run.rest_moment_mn_m, "+.2f"), (run.tail_thrust_mn, ".1f"), (run.drift_m_s, ".2f"),
    )  # fmt: skip
    rows = [(name, *(number(_mean(values[a:b]), form) for values, form in columns)) for name, a, b in THIRDS]
    return [row for row in rows if set(row[1:]) != {"-"}]


def _mean(values: np.ndarray) -> float:
    fine = values[np.isfinite(values)]
    return float(fine.mean()) if fine.size else math.nan


def stick_section(found: Account) -> Section:
    """Does the stick hold, and all else that a look at the craft finds."""
    look = found.look
    if look is None:
        return Section("stick", "Stick and craft", (Words(f"Not looked over: {found.unread}.", "note"),))
    blocks: list[Block] = [Words(_stick_sentence(look), "lead" if not look.strength.stick_margin < 1.0 else "caution")]
    if look.strength.factors:
        rows = [
            (f.name, f"{f.part} ({f.material})", f.how, number(f.nominal, ".1f"), number(f.low, ".1f"))
            for f in look.strength.factors
        ]
        heads = ("way to fail", "part", "load", "as in the handbook", "poor piece")
        blocks.append(table("How many times its load each part bears", heads, rows, "<<<>>", (2, 2.4, 5, 1.3, 1.1)))
    if look.strength.materials:
        taken = []
        for part, stuff in look.strength.materials.items():
            for name, span in stuff.strengths():
                scale, unit = (1e-9, "GPa") if span.nominal >= 1e9 else (1e-6, "MPa")
                spread = ", ".join(f"{scale * each:.3g}" for each in (span.low, span.nominal, span.high))
                taken.append((f"{part}: {name}", f"{spread} {unit}", span.source))
        blocks.append(
            table(
                "What the materials are taken to bear: a poor piece, as in the handbook, a good one",
                ("", "", "from"),
                taken,
                "<<<",
                (3, 3, 7),
            )
        )
    findings = [(f.severity, f.sentence, "" if f.advice == "nothing" else f.advice) for f in look.findings]
    blocks.append(
        table("What a look at the craft finds, worst first", ("", "found", "what to do"), findings, "<<<", (0.8, 5, 5))
    )
    return Section("stick", "Stick and craft", tuple(blocks))


def _stick_sentence(look: Check) -> str:
    s = look.strength
    if s.unknown:
        return f"The stick's strength is not known: {s.unknown}."
    verb = (
        "holds" if s.stick_margin_low >= 1.0 else "holds if it is no poor piece" if s.stick_margin >= 1.0 else "breaks"
    )
    return (
        f"Wound to {s.turns:.0f} of {s.breaking_turns:.0f} turns the stick {verb}: it bears {s.stick_margin:.1f} times its load, "
        f"{s.stick_margin_low:.1f} times if it is a poor piece."
    )


def sources_section(found: Account) -> Section:
    """Where every relation that the flight used comes from."""
    if not found.relations:
        return Section("sources", "Sources", (Words(f"Not listed: {found.unread}.", "note"),))
    rows = [(each.part, each.function, each.source) for each in found.relations]
    return Section(
        "sources",
        "Sources",
        (
            table("Relations that this flight used, as the equations' own data sheets name them", ("", "function", "source"), rows, "<<<", (2, 3, 7)),
            Words("[P] primary document read, [T] read in a public transcription, [A] abstract or catalogue entry seen, [C] computed from a closed form, [M] from memory.", "note"),
        ),
    )  # fmt: skip
