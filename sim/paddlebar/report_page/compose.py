"""From the account of a flight to its report: which sections, in which order."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from paddlebar.craft.motors import facts
from paddlebar.errors import BadInput
from paddlebar.files.cautions import CAUTIONS
from paddlebar.files.scenario import Scenario
from paddlebar.flight.endings import WELL
from paddlebar.flight.figures import SUMMARY
from paddlebar.pictures import captions
from paddlebar.pictures.flight import PICTURES
from paddlebar.pictures.judged import did_it_fly, matter
from paddlebar.pictures.words import error_words, first_up, ledger_rows, number, solver_words
from paddlebar.record.read import RecordedFlight
from paddlebar.record.write import versions
from paddlebar.report_page.document import Block, Document, Picture, Section, Text, Words, table
from paddlebar.report_page.findings import (
    first_section,
    margins_section,
    sources_section,
    stick_section,
    yaw_section,
)
from paddlebar.studies.report.gathered import Account, AnyFlight

SHOWN = ("height", "plan", "yaw", "bar")  # the ledger has its own section
MISHAPS = ("cord off", "cord slips", "skein breaks", "tip mass lost", "paddle lost", "bar locked", "teeter locked", "tail vortex ring", "tail stalled")  # fmt: skip


def compose(found: Account, name: str) -> Document:
    """The report of a flight as a document.

    found : from studies.account;  name : of the file that it was read from, shown among the inputs
    """
    flight, scenario = found.flight, _described(found.flight)
    craft = scenario.craft.name if scenario is not None else ""
    return Document(
        title=(scenario.title if scenario is not None else "") or craft or "flight",
        craft=craft,
        outcome=flight.outcome,
        well=not matter(flight.summary) and flight.outcome in WELL,
        verdict=_verdict(found),
        answers=_answers(found),
        generator=f"paddlebar {versions()['paddlebar']}",
        sections=(
            first_section(found),
            _figures(found, scenario),
            _pictures(found),
            margins_section(found),
            yaw_section(found),
            _ledger(found),
            stick_section(found),
            _inputs(found, name),
            _versions(found),
            sources_section(found),
            Section("cautions", "Cautions", tuple(Words(line, "caution") for line in CAUTIONS)),
        ),
    )


def _described(flight: AnyFlight) -> Scenario | None:
    """What was flown, None where this version of the program cannot read it."""
    try:
        return flight.scenario
    except BadInput:
        return None


def _verdict(found: Account) -> str:
    """Of the flight and, where it is known, of the bar."""
    ended = found.flight.sentence if found.flight.outcome != "tipped over" else _tipped(found)
    whole = "with nothing lost " if found.scenario is not None and found.scenario.mishap else ""
    of_bar = f"; {whole}{found.margins.sentence}" if found.margins is not None else ""
    return f"{ended[:1].upper()}{ended[1:]}{of_bar}."


def _tipped(found: Account) -> str:
    first = next((e for e in found.flight.events if e.name == "tipped over"), None)
    return "tipped over" if first is None else f"tipped over at {first.time_s:.1f} s"


def _answers(found: Account) -> tuple[tuple[str, str], ...]:
    """Did it fly, how long, why did it end, what first: what a builder asks before anything else."""
    flight, s = found.flight, found.flight.summary
    leaned = f", leaned {number(s.get('max_tilt_deg'), '.0f')} deg at most"
    rose = f", at most {number(s.get('peak_height_m'), '.1f')} m up"
    lasted = f"{number(s.get('duration_s'), '.1f')} s"
    free = next((e.time_s for e in flight.events if e.name == "release"), 0.0)
    if free > 0.0:
        lasted += f", let go at {free:.1f} s"
    powered = s.get("powered_s")
    if isinstance(powered, float) and powered < float(flight.time[-1]):
        lasted += f", {powered:.1f} s of it with turns left"
    first = "See the notes below"
    if found.advice:
        best = found.advice[0]
        first = first_up(best.do) + (f"; {best.why}" if best.rests_on == "flown so" else "")
    return (
        ("Did it fly?", did_it_fly(s) + leaned),
        ("How long?", lasted + rose),
        ("Why did it end?", _why(found)),
        ("What first?", first),
    )


def _why(found: Account) -> str:
    """The last sentence, and what had happened before."""
    flight = found.flight
    ran_down = [e for e in flight.events if e.name == "run down"]
    before = [e for e in flight.events if e.name in MISHAPS]
    tipped = [e for e in flight.events if e.name == "tipped over"][:1]
    words = [f"{flight.sentence[:1].upper()}{flight.sentence[1:]}"]
    if tipped and tipped[0].sentence != flight.sentence:
        words.append(tipped[0].sentence)
    words += [f"{e.sentence} at {e.time_s:.1f} s" if " s" not in e.sentence else e.sentence for e in before]
    words += [f"the skein had run down at {e.time_s:.1f} s" for e in ran_down]
    if flight.outcome == "landed" and not ran_down:
        words.append(f"{number(flight.summary.get('turns_left'), '.0f')} turns were left")
    return (
        "; before that, ".join(words[:2]) + "".join(f"; {each}" for each in words[2:]) if tipped else "; ".join(words)
    )


def _figures(found: Account, scenario: Scenario | None) -> Section:
    flight = found.flight
    rows = [(each.words, _figure(flight.summary.get(each.name), each.form), each.unit) for each in SUMMARY]
    notes = (scenario.note, scenario.craft.note) if scenario is not None else ()
    blocks: list[Block] = [Words(text) for text in notes if text]
    blocks.append(table("The flight in figures", ("", "", ""), rows, "<><", (5, 2, 3)))
    events = [(f"{e.time_s:.2f} s", e.name, e.sentence) for e in flight.events]
    if events:
        blocks.append(table("What happened", ("time", "event", ""), events, "><<", (1, 2, 6)))
    if found.again:
        blocks.append(Words(f"{found.again[:1].upper()}{found.again[1:]}.", "note" if found.same else "caution"))
    return Section("figures", "Figures", tuple(blocks))


def _figure(value: Any, form: str) -> str:
    return number(value, form) if isinstance(value, int | float) and not isinstance(value, bool) else "-"


def _pictures(found: Account) -> Section:
    blocks: list[Block] = []
    for name in SHOWN:
        try:
            blocks.append(Picture(name, PICTURES[name](found.flight), captions.of_flight(name, found.flight)))
        except (ValueError, KeyError) as error:  # a failed flight has nothing to draw, an old one no description
            blocks.append(Words(f"{name}: not drawn ({error})", "note"))
    return Section("pictures", "Pictures", tuple(blocks))


def _ledger(found: Account) -> Section:
    flight = found.flight
    totals = {entry: float(values[-1]) for entry, values in flight.ledger.items()}
    error = flight.energy_error
    closes = (
        f"The ledger closes to {100.0 * error:.2g} % of what the skein let out."
        if math.isfinite(error)
        else "Nothing was let out."
    )
    blocks: list[Block] = [Words(closes, "lead" if not error > 1e-3 else "caution")]
    blocks += [Words(first_up(line) + ".", "note") for line in _trust(flight.solver)]
    blocks.append(table("Where the energy went", ("", "J", "%"), ledger_rows(totals), "<>>", (5, 2, 2)))
    try:
        blocks.append(Picture("ledger", PICTURES["ledger"](flight), captions.of_flight("ledger", flight)))
    except ValueError as error_:
        blocks.append(Words(f"ledger: not drawn ({error_})", "note"))
    if found.scenario is not None:
        blocks.append(table("Settings of the rubber", ("", "", ""), _rubber(found), "<><", (5, 2, 3)))
        blocks.append(
            Words(
                "Energy and loss of rubber are the weakest figures here (club tests give 4 to 9 kJ/kg and about 30 %, references 6.4 [A], [M]); "
                "the time in the air follows them directly. Measure your own rubber, or fit them to flights.", "note",
            )
        )  # fmt: skip
    return Section("ledger", "Energy ledger", tuple(blocks))


def _trust(solver: Mapping[str, Any]) -> list[str]:
    """How the solver fared, and how far its answer is from the equations' own, where that was asked for."""
    lines = [solver_words(solver)] if {"method", "rtol"} <= solver.keys() else []
    estimate = solver.get("error_estimate")
    return [
        *lines,
        error_words(estimate)
        if estimate
        else "how far off it is as a solution was not asked for: paddlebar fly RUN.h5 --error",
    ]


def _rubber(found: Account) -> list[tuple[str, str, str]]:
    assert found.scenario is not None
    wound, rubber = found.scenario.skein, facts(found.scenario.craft.skein)
    return [
        (f"energy from full wind, by the {rubber['torque_from']}", f"{rubber['energy_kJ_kg']:.3g}", "kJ/kg"),
        ("loss, of the winding work", f"{rubber['loss_percent']:.3g}", "%"),
        ("mass of the skein", f"{rubber['mass_g']:.3g}", "g"),
        ("breaking turns", f"{rubber['breaking_turns']:.0f}", f"constant {rubber['breaking_constant']:.3g}"),
        ("wound to, then backed off by", f"{wound.turns:g}, {wound.backed_off:g}", "turns"),
    ]


def _inputs(found: Account, name: str) -> Section:
    flight = found.flight
    blocks: list[Block] = [
        Words(
            f"Read from {'/'.join(Path(name).parts[-2:])}. The whole input stands in the run file too; with it the flight can be repeated."
        )
    ]
    for caption, text in (
        ("Scenario as written", flight.scenario_toml),
        ("Craft as written", flight.craft_toml),
        ("What was flown, defaults and changes filled in", flight.effective_toml),
    ):
        if text.strip():
            blocks.append(Text(caption, text))
    return Section("inputs", "Inputs", tuple(blocks))


def _versions(found: Account) -> Section:
    flight = found.flight
    rows = []
    if isinstance(flight, RecordedFlight):
        rows = [("flown", flight.created), *flight.versions.items()]
    rows += [
        (f"solver: {key}", value if isinstance(value, str) else json.dumps(value))
        for key, value in flight.solver.items()
    ]
    rows += [("seed of the turbulence", str(flight.seed)), ("report made by", f"paddlebar {versions()['paddlebar']}")]
    return Section("versions", "Versions", (table("Programs and settings", ("", ""), rows, "<<", (3, 7)),))
