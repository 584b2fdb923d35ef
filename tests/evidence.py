"""The register of evidence: one row a figure from outside, filled by the test that asserts it, printed as a Markdown table.

A row is made where it is checked, so no figure is typed twice: `evidence(quantity, computed, published, share)` of tests/conftest.py asserts, two-sided,
and keeps what it saw. What the row is about stands in the mark `phenomenon` of the test or its file; the source is named by its number in the table of
sources, a page of the manual. Rows travel with pytest's report of the test (its user properties), which pytest-xdist brings to the controller as well.
"""

from __future__ import annotations

import cmath
import re
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from functools import cache
from math import inf
from pathlib import Path
from typing import Any

import pytest

SOURCES = Path(__file__).parents[1] / "sim" / "paddlebar" / "docs" / "inside" / "sources.md"

# In the order of the table. Each has to have rows: tests/reference/test_evidence.py.
PHENOMENA = (
    "atmosphere", "section data", "hover, thrust and torque", "hover, closed forms", "climb inflow", "descent inflow", "edgewise inflow",
    "autorotation", "ground effect", "flapping, coning", "flapping, phase", "flapping, damping", "flapping, response to rates",
    "flapping, forward speed", "dynamic inflow", "gyroscope", "bar, following rate", "bar, phase", "linear hover roots", "tail rotor", "rubber", "belt",
    "beam and column", "turbulence spectrum", "rigid bodies",
)  # fmt: skip

Span = tuple[float, float]
Figure = float | complex | Span


@dataclass(frozen=True)
class Claim:
    """What the rows of a test are about.

    phenomenon : one of PHENOMENA;  source : its number in the table of sources, several with a comma
    why        : why the tolerance is what it is;  conditions : under which the figure holds
    """

    phenomenon: str
    source: str
    why: str
    conditions: str = ""


@dataclass(frozen=True)
class Row:
    """One line of the table.

    error    : computed less published, over `of` (relative) or in the row's unit; outside a span: by how much, 0 inside
    allowed  : largest size of the error, or least and greatest error where they differ;  relative : both are shares, printed in per cent
    place    : of the test in the collection, and of the row in the test: the order of the table
    """

    claim: Claim
    quantity: str
    unit: str
    published: Figure
    computed: float | complex
    error: float
    allowed: float | Span
    relative: bool
    met: bool
    place: tuple[int, int] = (0, 0)


def judge(
    computed: float | complex, published: Figure, share: float | Span | None, of: float | None, absolute: float | None
) -> tuple[float, float | Span, bool, bool]:
    """(error, allowed, relative, met) as in Row, by exactly one of `share`, `absolute` and a span (low, high) for the published figure.

    share : of |of| or |published|; a span (least, greatest) where the error is expected on one side"""
    if isinstance(published, tuple):
        if not share is absolute is of is None:
            raise TypeError("a span needs no tolerance")
        low, high = published
        outside = float(computed) - min(max(float(computed), low), high)  # type: ignore[arg-type]
        return outside, 0.0, False, bool(low <= float(computed) <= high)  # type: ignore[arg-type]
    if (share is None) == (absolute is None):
        raise TypeError("a figure needs either share or absolute")
    off = computed - published
    error = abs(off) if isinstance(off, complex) else float(off)
    if absolute is not None:
        return error, float(absolute), False, bool(abs(error) <= absolute)
    assert share is not None
    error = float(error / abs(published if of is None else of))
    least, greatest = share if isinstance(share, tuple) else (-share, share)
    return error, share if isinstance(share, tuple) else float(share), True, bool(least <= error <= greatest)


class Recorder:
    """What the fixture `evidence` gives to a test; as `within` of reference/rig.py, but its rows go into the table."""

    def __init__(self, item: pytest.Item) -> None:
        self._item, self._claim, self._count = item, claim_of(item), 0

    def __call__(
        self, quantity: str, computed: Any, published: Any, share: float | Span | None = None, of: float | None = None, *,
        absolute: float | None = None, unit: str = "", **claim: str,
    ) -> None:  # fmt: skip
        """Record and assert |computed - published| <= share |of| (of: published by default), or <= absolute, or low <= computed <= high.

        share : or (least, greatest);
        computed, published : real or complex; published may be a span (low, high);  claim : source, why, conditions where they differ from the mark's
        """
        computed = plain(computed)
        published = tuple(float(v) for v in published) if isinstance(published, tuple) else plain(published)
        error, allowed, relative, met = judge(computed, published, share, of, absolute)
        place = (self._item.session.items.index(self._item), self._count)
        about = Claim(**{**asdict(self._claim), **claim})
        row = Row(about, quantity, unit, published, computed, error, allowed, relative, met, place)
        self._count += 1
        self._item.user_properties.append(("evidence", asdict(row)))
        said = f"{quantity}: published {shown(published)}, computed {shown(computed)}, error {error_shown(row)} (allowed {allowed_shown(row)})"
        print(said)
        assert met, said


def plain(value: Any) -> float | complex:
    """A number without numpy's type, as reports carry it (numpy's complex is a complex of Python)."""
    return complex(value) if isinstance(value, complex) else float(value)


def claim_of(item: pytest.Item) -> Claim:
    """From the marks `phenomenon` of the test, its class and its file, the nearest last.

    Raises ValueError without phenomenon, source or reason, or if they are not in the lists.
    """
    found: dict[str, str] = {}
    for mark in reversed(list(item.iter_markers("phenomenon"))):
        found |= dict(zip(("phenomenon",), mark.args, strict=False)) | mark.kwargs
    missing = {"phenomenon", "source", "why"} - {key for key, value in found.items() if value}
    if missing:
        raise ValueError(f"{item.nodeid}: its mark 'phenomenon' has no {', '.join(sorted(missing))}")
    if found["phenomenon"] not in PHENOMENA:
        raise ValueError(f"{item.nodeid}: {found['phenomenon']!r} is none of PHENOMENA")
    cited(found["source"])
    return Claim(**found)


@cache
def sources() -> Mapping[str, str]:
    """The table of sources by number; marks [P] [T] [A] [C] [M] stand in the text."""
    rows = re.findall(r"^\| ([\d., ]+) \| (.+) \|$", SOURCES.read_text(encoding="utf-8"), re.MULTILINE)
    return {number: text for numbers, text in rows for number in numbers.split(", ")}


def cited(source: str) -> str:
    """Number and full text of a source, or of several; KeyError if the table has no such row, ValueError if that has no mark."""
    texts = [f"{number}: {sources()[number]}" for number in source.split(", ")]
    if not all(re.search(r"\[[PTACM]\]", text) for text in texts):
        raise ValueError(f"source {source} says nowhere how far it was verified")
    return "; ".join(texts)


def shown(figure: Figure) -> str:
    if isinstance(figure, tuple):
        return f"{figure[0]:.5g} to {figure[1]:.5g}" if figure[1] < inf else f"at least {figure[0]:.5g}"
    if isinstance(figure, complex):
        return f"{figure.real:.5g} {'-' if figure.imag < 0 else '+'} {abs(figure.imag):.5g}i"
    return f"{figure:.6g}"


def error_shown(row: Row) -> str:
    if cmath.isnan(row.computed):
        return "not a number"
    if isinstance(row.published, tuple):
        return "inside" if row.met else f"{row.error:+.3g}{row.unit and ' ' + row.unit} outside"
    return f"{100.0 * row.error:+.3g} %" if row.relative else f"{row.error:+.3g}{row.unit and ' ' + row.unit}"


def allowed_shown(row: Row) -> str:
    if isinstance(row.published, tuple):
        return "the span"
    if isinstance(row.allowed, tuple):
        return f"{100.0 * row.allowed[0]:+.4g} to {100.0 * row.allowed[1]:+.4g} %"
    return f"{100.0 * row.allowed:.4g} %" if row.relative else f"{row.allowed:.4g}{row.unit and ' ' + row.unit}"


HEAD = (
    "phenomenon",
    "quantity",
    "conditions",
    "source",
    "published",
    "computed",
    "error",
    "allowed",
    "why that much",
    "verdict",
)


def revived(properties: Iterable[tuple[str, Any]]) -> list[Row]:
    """Rows out of the user properties of a report."""
    return [
        Row(**{**kept, "claim": Claim(**kept["claim"]), "place": tuple(kept["place"])})
        for name, kept in properties
        if name == "evidence"
    ]


def markdown(rows: Iterable[tuple[Row, str]]) -> str:
    """The table, by phenomenon, then as collected; with each row why it is missed, "" if the test says nothing of that."""
    ordered = sorted(rows, key=lambda pair: (PHENOMENA.index(pair[0].claim.phenomenon), pair[0].place))
    lines = []
    for row, reason in ordered:
        verdict = "met" if row.met else f"missed: {reason}" if reason else "FAILED"
        unit = f" {row.unit}" if row.unit else ""
        lines.append(
            (
                row.claim.phenomenon, row.quantity, row.claim.conditions, cited(row.claim.source), shown(row.published) + unit,
                shown(row.computed) + unit, error_shown(row), allowed_shown(row), row.claim.why, verdict,
            )
        )  # fmt: skip
    missed = sum(not row.met for row, _ in ordered)
    return f"{summary([row for row, _ in ordered])}\n{table(HEAD, lines)}\n{len(ordered)} rows, {missed} missed.\n"


def summary(rows: list[Row]) -> str:
    """How many rows each phenomenon has, how many are missed, and from which sources."""
    lines = []
    for phenomenon in PHENOMENA:
        mine = [row for row in rows if row.claim.phenomenon == phenomenon]
        numbers = dict.fromkeys(number for row in mine for number in row.claim.source.split(", "))
        if mine:
            lines.append((phenomenon, str(len(mine)), str(sum(not row.met for row in mine)), ", ".join(numbers)))
    return table(("phenomenon", "rows", "missed", "sources"), lines)


def table(head: Iterable[str], lines: Iterable[Iterable[str]]) -> str:
    """Markdown; a bar inside a cell would end it."""
    head = tuple(head)
    text = [
        head,
        ("---",) * len(head),
        *(tuple(cell.replace("|", "\\|").replace("\n", " ") for cell in line) for line in lines),
    ]
    return "".join("| " + " | ".join(line) + " |\n" for line in text)
