"""Figures in words and rows of tables, once for the screen and for pages."""

from __future__ import annotations

import math
from collections.abc import Mapping
from numbers import Real
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from paddlebar.stability.modes import Mode
    from paddlebar.stability.result import Margins

SHOWN_MODES = 8  # slowest to die out first; the others are gone within a turn or two

MODE_HEADS = ("mode", "growth\n1/s", "frequency\nHz", "doubles\nin s", "halves\nin s")
RUN_HEADS = (
    "turns\nleft", "growth\n1/s", "without\nbar 1/s", "climb\nm/s", "rotor\nrpm", "body\ndeg/s", "drift\nm/s", "lean\ndeg", "flown\ndeg/s", "leans\ndeg", "slowest mode",
)  # fmt: skip
KINDS = {"gain": ("gain", "times"), "lead": ("lead", "deg"), "mass": ("tip mass", "g each")}


def number(value: float | None, form: str) -> str:
    """A figure, or a dash where there is none; a rounded nothing has no sign."""
    if not isinstance(value, Real) or not math.isfinite(value):  # a run file may hold anything there
        return "-"
    text = format(value, form)
    return format(0.0, form.lstrip("+")) if form[-1] == "f" and float(text) == 0.0 else text


def ledger_rows(ledger: Mapping[str, float]) -> list[tuple[str, str, str]]:
    """Entry, joules, per cent of what the skein let out; entries that are exactly nothing are left out."""
    total = float(ledger["skein"])
    rows = []
    for entry, joules in ledger.items():
        if entry in ("skein", "residual") or joules != 0.0:
            share = 100.0 * joules / total if total else math.nan
            tiny = entry == "residual"
            words = "let out by the skein" if entry == "skein" else "not accounted for" if tiny else entry
            rows.append((words, number(joules, ".1e" if tiny else ".4f"), number(share, ".5f" if tiny else ".1f")))
    return rows


def solver_words(solver: Mapping[str, Any]) -> str:
    """What the solver did, and its own words where it gave up; records of older programs say less."""
    counts = [
        (solver.get("evaluations"), "evaluations"),
        (solver.get("steps"), "steps"),
        (solver.get("refused"), "tried in vain"),
    ]
    did = ", ".join(f"{count} {what}" for count, what in counts if count is not None)
    failure = solver.get("failure") or {}
    gave_up = f"; it gave up at {failure['time_s']:.4f} s: {failure['message']}" if failure.get("message") else ""
    return f"solver {solver['method']}, rtol {solver['rtol']:.0e}: {did}{gave_up}"


FAR_M, FAR_DEG = 0.05, 5.0  # own choices: from here on an eye would call it another flight


def error_words(error: Mapping[str, Any]) -> str:
    """The estimate of flight/error.py."""
    ends = "" if error["duration_s"] < 1e-3 else f", ends {error['duration_s']:.2g} s apart"
    failed = ", and that one failed" if error["outcome"] == "failed" else ""
    far = (error["position_m"] or 0.0) > FAR_M or (error["attitude_deg"] or 0.0) > FAR_DEG
    grown = "; small differences grow large in it: distrust its later part" if far else ""
    return f"error, from the same flight at rtol {error['rtol']:.0e}: {apart_words(error)}{ends}{failed}{grown}"


def trust_words(more: Mapping[str, Any]) -> list[str]:
    """Against its record, against a more exact flight: where that was asked for."""
    lines = []
    if record := more.get("against_record"):
        same = "the same, bit for bit" if record["identical"] else apart_words(record)
        lines.append(f"against its record: {same}")
    if error := more.get("error_estimate"):
        lines.append(error_words(error))
    return lines


def apart_words(figures: Mapping[str, float]) -> str:
    """How far two flights are from each other."""
    place, turn = figures["position_m"], figures["attitude_deg"]
    if place is None or not math.isfinite(place):
        return "not known"
    return f"at most {1e3 * place:.2g} mm and {turn:.2g} deg off"


def margin_words(found: Margins) -> list[str]:
    """How far gain, lead and tip mass may move before the verdict changes; nothing without a bar."""
    if not found.margin_reasons:
        return []
    pairs = {"gain": found.gain_margin, "lead": found.lead_margin_deg, "mass": found.mass_margin_g}
    lines = [f"it stays so ({found.verdict}) while"]
    for name, (words, unit) in KINDS.items():
        sides = []
        for value, reason, side in zip(pairs[name], found.margin_reasons[name], ("down to", "up to"), strict=True):
            figure = (
                f"{value:.2f}" if name != "lead" and value is not None else f"{value:+.1f}" if value is not None else ""
            )
            why = f" ({reason})" if reason else ""
            sides.append(f"{side} {figure} {unit}{why}" if value is not None else f"{side.split(' ')[0]}: {reason}")
        lines.append(f"  {words:<9} {'; '.join(sides)}")
    return lines


def rundown_words(found: Margins) -> list[str]:
    """What the middle of the run-down does not tell."""
    lines = []
    if (
        math.isfinite(found.worst_along_rundown_per_s)
        and found.worst_growth_per_s < 0.0 <= found.worst_along_rundown_per_s
    ):
        lines.append(
            f"but not all the way: with {found.turns_at_worst:.0f} turns left a disturbance doubles in "
            f"{math.log(2.0) / max(found.worst_along_rundown_per_s, 1e-12):.2g} s"
        )
    missing = [p.turns_left for p in found.along_rundown if not math.isfinite(p.worst_growth_per_s)]
    if missing and len(missing) < len(found.along_rundown):
        lines.append(f"no steady flight was found with {', '.join(f'{t:.0f}' for t in missing)} turns left")
    return lines


def mode_row(mode: Mode) -> list[str]:
    """One mode, a cell for each of MODE_HEADS."""
    values: list[tuple[float | None, str]] = [
        (mode.growth_per_s, "+.3f"), (mode.frequency_hz, ".3f"), (mode.time_to_double_s, ".2f"), (mode.time_to_half_s, ".2f"),
    ]  # fmt: skip
    return [mode.name, *(number(*each) for each in values)]


def run_rows(found: Margins) -> list[list[str]]:
    """The run-down, a cell for each of RUN_HEADS."""
    columns: dict[str, Any] = {
        "turns_left": ".0f", "worst_growth_per_s": "+.3f", "worst_growth_without_bar_per_s": "+.3f", "climb_m_s": "+.2f", "rotor_rpm": ".0f",
        "body_rate_deg_s": "+.0f", "drift_m_s": ".2f", "tilt_deg": ".1f", "flown_body_rate_deg_s": "+.0f", "flown_tilt_deg": ".0f",
    }  # fmt: skip
    return [
        [
            *(number(getattr(point, key), form) for key, form in columns.items()),
            point.modes[0].name if point.modes else "none found",
        ]
        for point in found.along_rundown
    ]


def first_up(words: str) -> str:
    """A sentence with its first letter large, unless it begins with a key of a file or a command."""
    first, _, _ = words.partition(" ")
    key = "." in first.rstrip(".:") or "_" in first or first == "paddlebar"
    return words if key else words[:1].upper() + words[1:]
