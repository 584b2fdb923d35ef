"""What a match says: sentences, tables, JSON and the remarks of its overlay, all from the same figures."""

from __future__ import annotations

import math
from typing import Any

from paddlebar.studies.match.study import LEVEL, REFUSED, Match
from paddlebar.studies.runner import failed_words

NEARLY = 0.8  # correlation from which on a pair is named; own choice
FARTHEST = 3  # readings that are named when the model does not fit


def sentences(found: Match) -> list[str]:
    """Does it fit, what was found, what is left open, what to measure next."""
    lines = [verdict(found)]
    if not found.converged:
        lines.append("the search did not come to rest: take the figures below as a direction, not as an answer")
    lines += failed_words(found.failed, found.flights)
    for line, recorded, model in found.endings:
        lines.append(f"line {line}: recorded as {recorded!r}, the model's flight ends {model!r}")
    off = [r for r in sorted(found.readings, key=lambda r: -abs(r.off))[:FARTHEST] if abs(r.off) > 2.0]
    if off and not found.fits:
        words = [f"{r.quantity} of {r.name} ({_off(r.off)})" for r in off]
        lines.append(f"farthest from the record: {'; '.join(words)}")
    lines += jumps(found)
    for key, at in zip((u.key for u in found.unknowns), found.at_limit, strict=True):
        if at:
            lines.append(
                f"{key} ends at a limit (of the file, or four spreads from where it began): its interval is rough"
            )
    lines += [d.sentence for d in found.directions]
    lines += pairs(found)
    if found.further:
        lines.append("readings that would tell most next:")
        lines += [
            f"  {c.sentence}; {c.bits:.1f} bit, narrows {c.narrows} to {100.0 * c.to:.0f} % of its present width"
            for c in found.further
        ]
    return lines


def jumps(found: Match) -> list[str]:
    """Readings that the model cannot tell closely."""
    return [
        f"{r.quantity} of {r.name} jumps within the reach of the answer: reckoned to {r.reckoned:.2g} instead of {r.sd:.2g}"
        for r in found.readings
        if r.reckoned > 2.0 * r.sd
    ]


def verdict(found: Match) -> str:
    """The chi-square test in words."""
    told = f"chi-square {found.chi2:.1f} with {found.degrees} readings, p = {found.p:.2g}"
    if found.fits:
        return f"the model fits the record: {told}"
    if found.p >= REFUSED:
        return f"the model does not fit the record: flights end otherwise ({told})"
    return f"the model does not fit the record: {told}; something is not in the model, or the errors are larger than stated"


def pairs(found: Match) -> list[str]:
    """Unknowns whose errors go together."""
    out = []
    keys = [u.key for u in found.unknowns]
    for i in range(len(keys)):
        for k in range(i):
            rho = float(found.correlation[i, k])
            if abs(rho) > NEARLY:
                way = "together" if rho > 0.0 else "against each other"
                out.append(f"{keys[k]} and {keys[i]} can be wrong {way} (correlation {rho:+.2f})")
    return out


def _off(off: float) -> str:
    return f"model {abs(off):.1f} errors too {'high' if off > 0.0 else 'low'}"


def unknown_rows(found: Match) -> tuple[list[str], list[list[str]]]:
    """Heads and rows: what was believed, what was found."""
    heads = ["unknown", "believed", "found", f"{100 * LEVEL:.0f} % from", "to", "of the width\nbefore"]
    rows = []
    for u, value, sd, low, high in zip(found.unknowns, found.values, found.sds, found.low, found.high, strict=True):
        rows.append(
            [
                u.key,
                f"{u.mean:.4g} +- {u.sd:.2g}",
                f"{value:.4g}",
                f"{low:.4g}",
                f"{high:.4g}",
                f"{100.0 * sd / u.sd:.0f} %",
            ]
        )
    return heads, rows


def correlation_rows(found: Match) -> tuple[list[str], list[list[str]]]:
    """Heads and rows: how the errors of two unknowns go together, each pair once; the columns are numbered as the rows are."""
    n = len(found.unknowns)
    heads = ["correlation", *(str(k + 1) for k in range(n - 1))]
    rows = []
    for i, u in enumerate(found.unknowns):
        cells = [f"{found.correlation[i, k]:+.2f}" if k < i else "" for k in range(n - 1)]
        rows.append([f"{i + 1} {u.key}", *cells])
    return heads, rows


def reading_rows(found: Match) -> tuple[list[str], list[list[str]]]:
    """Heads and rows: recorded against model, before and after."""
    heads = ["row", "reading", "recorded", "model\nbefore", "model\nfitted", "off by\nerrors"]
    rows = []
    for r in found.readings:
        before, after = (f"{v:.4g}" if math.isfinite(v) else "none" for v in (r.before, r.after))
        rows.append([r.name, r.quantity, f"{r.recorded:.4g} +- {r.sd:.2g}", before, after, f"{r.off:+.1f}"])
    return heads, rows


def to_json(found: Match) -> dict[str, Any]:
    """Plain values; nan becomes None when it is printed."""
    return {
        "fits": found.fits,
        "p": found.p,
        "chi2": found.chi2,
        "degrees_of_freedom": found.degrees,
        "converged": found.converged,
        "level": LEVEL,
        "unknowns": [
            {"key": u.key, "prior": u.mean, "prior_sd": u.sd, "value": float(v), "sd": float(s), "low": float(a), "high": float(b), "at_limit": bool(e)}
            for u, v, s, a, b, e in zip(found.unknowns, found.values, found.sds, found.low, found.high, found.at_limit, strict=True)
        ],
        "correlation": found.correlation.tolist(),
        "readings": [
            {"line": r.line, "row": r.name, "quantity": r.quantity, "recorded": r.recorded, "sd": r.sd, "reckoned_sd": r.reckoned,
             "before": r.before, "after": r.after, "off": r.off}
            for r in found.readings
        ],
        "endings": [{"line": line, "recorded": recorded, "model": model} for line, recorded, model in found.endings],
        "not_told_apart": [{"left": d.left, "parts": dict(d.parts), "sentence": d.sentence} for d in found.directions],
        "further": [
            {"what": c.what, "quantity": c.quantity, "bits": c.bits, "expected": c.expected, "sd": c.sd, "narrows": c.narrows, "to": c.to}
            for c in found.further
        ],
        "remarks": [{"line": line, "text": text} for line, text in found.remarks],
        "sentences": sentences(found),
        "points": found.points,
        "failed": found.failed,
        "wall_s": found.wall_s,
    }  # fmt: skip


def remarks(found: Match, record: str) -> list[str]:
    """Comment at the head of the overlay."""
    head = [
        f"Written by paddlebar match from {record}.",
        verdict(found),
        "Found, with 90 % intervals (they hold only if the model fits):",
    ]
    for u, value, low, high in zip(found.unknowns, found.values, found.low, found.high, strict=True):
        head.append(f"  {u.key} = {value:.4g}  ({low:.4g} to {high:.4g})")
    return head + [d.sentence for d in found.directions]
