"""What `fly` says on the screen: how it went, what went wrong, the figures, what to do next; at most 24 lines of 80 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from itertools import zip_longest
from pathlib import Path
from typing import Any, Final

from paddlebar.flight.motion import NOTED
from paddlebar.pictures.figures import SUMMARY
from paddlebar.pictures.judged import headline, matter, minor
from paddlebar.pictures.words import number

LINES: Final = 24
COLUMNS: Final = 80
MOST_FAULTS: Final = 8  # lines of them
CAUTION: Final = "Caution: wound rubber cuts and blinds: eye protection, wind at arm's length."
OPEN: Final = 1e-3  # of the energy let out: a ledger that misses more is a reason to distrust the flight
SHORT: Final = {  # words of SUMMARY for half a line
    "duration_s": "from start to end",
    "powered_s": "with turns left",
    "drift_m": "drift over the ground",
    "body_turns": "turns of the body",
    "peak_body_rate_deg_s": "fastest spin",
    "turns_left": "turns left",
}
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


def screen(
    title: str, summary: Mapping[str, Any], files: Sequence[Path], folder: Path, more: Sequence[str] = ()
) -> list[str]:
    """The lines.

    title : of the scenario;  summary : of the flight;  files : written, all in `folder`;  more : what was asked for besides
    """
    head = _wrapped(f"{title}: {headline(summary)}") + _wrapped(_up(str(summary["sentence"])))
    faults, figures = _faults(summary), _figures(summary)
    asked = [line for each in (*more, *_distrust(summary)) for line in _wrapped(each)]
    tail = [*asked, _written(files, folder), CAUTION, _next(summary, folder)]
    room = LINES - len(head) - len(faults) - len(figures) - len(tail)
    return [*head, *faults, *_events(summary, room), *figures, *tail]


def _events(summary: Mapping[str, Any], room: int) -> list[str]:
    """What happened besides, as far as there is room."""
    lines: list[str] = []
    for event in summary["events"]:
        if event["name"] in TOLD:
            continue
        each = textwrap.wrap(
            f"at {event['time_s']:.1f} s {event['sentence']}",
            COLUMNS - 2,
            initial_indent="  ",
            subsequent_indent="    ",
        )
        if len(lines) + len(each) > room:
            break
        lines += each
    return lines


def _distrust(summary: Mapping[str, Any]) -> list[str]:
    """Said where the energy does not add up."""
    error = summary["energy_error"]
    if not isinstance(error, float) or not error > OPEN:
        return []
    return [
        f"distrust this flight: {100.0 * error:.2g} % of the energy is not accounted for; fly it with a smaller run.rtol"
    ]


def _faults(summary: Mapping[str, Any]) -> list[str]:
    """What went wrong, a line or two each; what is not shown is counted."""
    # what the last sentence says already, such as what broke, is not said twice
    wrong, known = (
        [each for each in said if each not in summary["sentence"]] for said in (matter(summary), minor(summary))
    )
    lines: list[str] = []
    shown = 0
    for mark, sentence in [*(("- ", each) for each in wrong), *(("  ", each) for each in known)]:
        each = textwrap.wrap(sentence, COLUMNS - 4, initial_indent=f"  {mark}", subsequent_indent="    ")
        if len(lines) + len(each) > MOST_FAULTS - 1:
            break
        lines += each
        shown += 1
    hidden = len(wrong) + len(known) - shown
    return lines + ([f"    and {hidden} more: --full"] if hidden else [])


def _figures(summary: Mapping[str, Any]) -> list[str]:
    """The figures, two to a line."""
    cells = []
    for key, (words, form, unit) in SUMMARY.items():
        if key == "energy_error":
            continue
        cells.append(f"{SHORT.get(key, words)[:24]:<24} {number(summary[key], form):>7} {unit:<6}")
    half = (len(cells) + 1) // 2
    return [f"  {a}{b}".rstrip() for a, b in zip_longest(cells[:half], cells[half:], fillvalue="")]


def _written(files: Sequence[Path], folder: Path) -> str:
    names = ", ".join(file.name for file in files)
    line = f"written to {folder}: {names}"
    return line if len(line) <= COLUMNS else f"written to {folder}: {len(files)} files"


def _next(summary: Mapping[str, Any], folder: Path) -> str:
    verb, why = ("report", "what to change first") if matter(summary) else ("replay", "look at it")
    line = f"next: paddlebar {verb} {folder}"
    for more in (f"   ({why})", "; all figures: --full"):
        if len(line) + len(more) <= COLUMNS:
            line += more
    return line


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, COLUMNS, subsequent_indent="  ") or [""]


def _up(text: str) -> str:
    return text[:1].upper() + text[1:]
