"""What `fly` says on the screen: what went wrong, the figures, what else happened, what to do next."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from itertools import zip_longest
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from paddlebar.flight.figures import SUMMARY
from paddlebar.flight.motion import NOTED
from paddlebar.pictures.judged import matter, minor
from paddlebar.pictures.words import number, solver_words, trust_words

if TYPE_CHECKING:
    from paddlebar.studies.suggestion import Suggestion

COLUMNS: Final = 80
MOST_FAULTS: Final = 8  # lines of them
OPEN: Final = 1e-3  # of the energy let out: a ledger that misses more is a reason to distrust the flight
# Tolerances up to which 5 s of first-flight came out within a centimetre and a degree of the same at 1e-9, by method (own flights; coarser
# ones were up to 1.6 m and 77 deg off with a ledger closed to 0.03 %, which tells nothing then). DOP853's steps are short anyhow.
TIGHT_ENOUGH: Final = {"RK45": 1e-4, "RK23": 1e-5, "Radau": 1e-4, "BDF": 1e-5, "LSODA": 1e-5}
# events that headline, last sentence and faults have told already
TOLD: Final = frozenset(
    {
        "release",
        "landed",
        "crashed",
        "touched ceiling",
        "touched wall",
        "tipped over",
        "bar at stop",
        "blades at stop",
        "cord grips",
        "failed",
        *NOTED,
    }
)


def opening(summary: Mapping[str, Any], *, full: bool = False) -> list[str]:
    """Why it ended, what went wrong, and whether to believe it; what was asked for stands before what is told unasked."""
    lines = [_up(str(summary["sentence"])), *trust_words(summary), *_faults(summary, full=full), *_distrust(summary)]
    if summary["solver"].get("failure"):
        lines.insert(1, solver_words(summary["solver"]))
    return lines


def figures(summary: Mapping[str, Any]) -> list[str]:
    """The figures, two to a line, and events that nothing above has told."""
    others = [e for e in summary["events"] if e["name"] not in TOLD]
    return [*_figures(summary), *(f"  at {e['time_s']:.1f} s {e['sentence']}" for e in others)]


def next_step(summary: Mapping[str, Any], folder: Path, asked: str, mended: str) -> str:
    """What a builder does after such a flight.

    asked : scenario and settings, as they were typed;  mended : the same with what is to be tried, "" where nothing is
    """
    if summary["flew_well"]:
        return f"paddlebar replay {folder}  # look at it"
    if summary["outcome"] == "failed":
        return f"paddlebar report {folder}"
    return f"paddlebar fly {mended}" if mended else f"paddlebar advise {asked}"


def to_try(found: Suggestion | None) -> list[str]:
    """The one change to begin with, flown."""
    if found is None:
        return ["try: none of the usual repairs helps by itself; advise flies many more"]
    words = textwrap.shorten(found.words, 2 * COLUMNS - 20, placeholder=" ...")
    after = found.after
    return [
        f"try: {words}",
        f"  (flown: {after.outcome}, {after.controlled_s:.1f} s in control of {after.duration_s:.1f} s)",
    ]


def _distrust(summary: Mapping[str, Any]) -> list[str]:
    """Said where the energy does not add up, and where it adds up but the solver's tolerance is loose."""
    error, solver = summary["energy_error"], summary["solver"]
    if isinstance(error, float) and error > OPEN:
        return [
            f"distrust this flight: {100.0 * error:.2g} % of the energy is not accounted for; fly it with a smaller run.rtol"
        ]
    method, rtol = solver.get("method"), solver.get("rtol", 0.0)
    if rtol > TIGHT_ENOUGH.get(method, 1.0):
        return [
            f"distrust this flight: {method} at run.rtol = {rtol:g} may be far off, whatever the ledger says; `--error` says how far"
        ]
    return []


def _faults(summary: Mapping[str, Any], *, full: bool) -> list[str]:
    """What went wrong, a line or two each; what is not shown is counted."""
    # what the last sentence says already, such as what broke, is not said twice
    wrong, known = (
        [each for each in said if each not in summary["sentence"]] for said in (matter(summary), minor(summary))
    )
    lines: list[str] = []
    shown = 0
    for mark, sentence in [*(("- ", each) for each in wrong), *(("  ", each) for each in known)]:
        each = textwrap.wrap(sentence, COLUMNS - 4, initial_indent=f"  {mark}", subsequent_indent="    ")
        if not full and len(lines) + len(each) > MOST_FAULTS - 1:
            break
        lines += each
        shown += 1
    hidden = len(wrong) + len(known) - shown
    return lines + ([f"    and {hidden} more: --full"] if hidden else [])


def _figures(summary: Mapping[str, Any]) -> list[str]:
    """The figures, two to a line."""
    cells = []
    for each in SUMMARY:
        if each.name == "energy_error":
            continue
        cells.append(f"{each.said_briefly[:24]:<24} {number(summary[each.name], each.form):>7} {each.unit:<6}")
    half = (len(cells) + 1) // 2
    return [f"  {a}{b}".rstrip() for a, b in zip_longest(cells[:half], cells[half:], fillvalue="")]


def _up(text: str) -> str:
    return text[:1].upper() + text[1:]
