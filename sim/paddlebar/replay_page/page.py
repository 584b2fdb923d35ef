"""The page: template, style, script and data put together into one file that asks nothing of any network."""

from __future__ import annotations

import base64
import hashlib
import json
import math
from collections.abc import Sequence
from html import escape
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from paddlebar.errors import BadInput
from paddlebar.files.cautions import CAUTIONS
from paddlebar.flight.figures import SUMMARY
from paddlebar.plain import plain
from paddlebar.record.read import RecordedFlight
from paddlebar.record.write import put_in_place
from paddlebar.replay_page.data import page_data
from paddlebar.replay_page.runs import AnyFlight
from paddlebar.replay_page.shape import scenario_of
from paddlebar.replay_page.tours import tours_for

MOST: Final = 2  # flights side by side
LETTERS: Final = "AB"


def page(flights: Sequence[AnyFlight], names: Sequence[str]) -> str:
    """One flight, or two side by side, as a page.

    flights : one or two, flown or recorded;  names : what errors call the files they came from
    Returns : HTML, whole in itself
    Raises  : BadInput for none or more than two; NotARunFile for a flight that cannot be drawn
    """
    if not 0 < len(flights) <= MOST:
        raise BadInput(f"replay: one or two flights go on a page, found {len(flights)}")
    runs = [page_data(flight, name) for flight, name in zip(flights, names, strict=True)]
    style, script = part("page/style.css"), part("page/bundle/replay.js")
    if "</script" in script.lower():  # it would end the script in the middle
        raise RuntimeError("the bundled script holds </script>: build it again")
    fields = {
        "TITLE": escape(" beside ".join(run["title"] for run in runs)),
        "GENERATOR": escape(" ".join(["paddlebar", *_program(flights[0])])),
        "STYLE": style,
        "STYLE_HASH": digest(style),
        "SCRIPT": script,
        "SCRIPT_HASH": digest(script),
        "HEADING": "\n".join(_heading(run, i, len(runs)) for i, run in enumerate(runs)),
        "LAYOUT": "pair" if len(runs) > 1 else "one",
        "SCENE": escape(". ".join(f"{run['title']}: {run['sentence']}" for run in runs)),
        "VIEWS": "".join(_view(run, i, len(runs)) for i, run in enumerate(runs)),
        "MORE": "",
        "LEGEND": _legend(runs),
        "FIGURES": _figures(flights, runs),
        "EVENTS": "\n".join(_events(run, i, len(runs)) for i, run in enumerate(runs)),
        "CAUTIONS": "".join(f"<p>{escape(line)}</p>" for line in CAUTIONS),
        "VERSIONS": "".join(_versions(flight, i, len(runs)) for i, flight in enumerate(flights)),
        "TOURS": in_script(tours_for(scenario_of(flights[0], names[0]))),
        "DATA": in_script(runs),
    }
    return fill(part("page/page.html"), fields)


def save_page(flights: Sequence[AnyFlight], names: Sequence[str], path: Path) -> int:
    """Write the page whole or not at all; returns its size in bytes. Raises as page(), and OSError from the disk."""
    image = page(flights, names).encode("utf-8")
    put_in_place(path, image)
    return len(image)


def fill(template: str, fields: dict[str, str]) -> str:
    """The template with each @NAME@ replaced, once through: what is put in is not looked at again."""
    return "".join(fields[piece] if k % 2 else piece for k, piece in enumerate(template.split("@")))


def in_script(document: Any) -> str:
    """JSON that cannot end the script element it stands in, whatever texts it holds."""
    text = json.dumps(plain(document), ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def part(name: str) -> str:
    """A file of this package as text."""
    return (files("paddlebar.replay_page") / name).read_text(encoding="utf-8")


def digest(text: str) -> str:
    """What the page's own policy knows its script and its style by."""
    return base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")


def _letter(i: int, n: int) -> str:
    return f"{LETTERS[i]}: " if n > 1 else ""


def _heading(run: dict[str, Any], i: int, n: int) -> str:
    twice = run["sentence"].startswith(run["outcome"])
    end = escape(run["sentence"] if twice else f"{run['went'] or run['outcome']}; {run['sentence']}")
    wrong = "".join(f"<br>{escape(each)}" for each in run["faults"])
    return f"<div><h1>{_letter(i, n)}{escape(run['title'])}</h1><p>{end}{wrong}</p></div>"


def _view(run: dict[str, Any], i: int, n: int) -> str:
    name = f"{_letter(i, n)}{escape(run['title'])}" if n > 1 else escape(run["craft"]["name"])
    return f'<div class="view"><div class="name">{name}</div><div class="reading"></div></div>'


def _legend(runs: list[dict[str, Any]]) -> str:
    if len(runs) == 1:
        return ""
    dashes = ("", ' stroke-dasharray="5 3"')
    items = [
        f'<span><svg viewBox="0 0 28 8" aria-hidden="true"><path class="{"ab"[i]}" d="M0 4H28"{dashes[i]}/></svg>'
        f"{LETTERS[i]}: {escape(run['title'])}</span>"
        for i, run in enumerate(runs)
    ]
    return f'<p class="legend">{"".join(items)}</p>'


def _figures(flights: Sequence[AnyFlight], runs: list[dict[str, Any]]) -> str:
    heads = (
        "".join(f'<th class="number" scope="col">{LETTERS[i]}</th>' for i in range(len(runs))) if len(runs) > 1 else ""
    )
    head = f"<thead><tr><td></td>{heads}<td></td></tr></thead>" if heads else ""
    rows = []
    for each in SUMMARY:
        cells = "".join(
            f'<td class="number">{_number(flight.summary.get(each.name), each.form)}</td>' for flight in flights
        )
        rows.append(f'<tr><th scope="row">{escape(each.words)}</th>{cells}<td>{escape(each.unit)}</td></tr>')
    notes = "".join(
        f"<p>{_letter(i, len(runs))}{escape(text)}</p>"
        for i, run in enumerate(runs)
        for text in (run["note"], run["craft"]["note"])
        if text
    )
    return f"<h2>Figures</h2>\n<table>{head}<tbody>{''.join(rows)}</tbody></table>\n{notes}"


def _number(value: Any, form: str) -> str:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        return "-"
    return format(value, form)


def _events(run: dict[str, Any], i: int, n: int) -> str:
    rows = "".join(
        f'<li><button type="button" data-time="{float(event["time"])!r}">{event["time"]:.2f} s</button>'
        f"<span>{escape(event['sentence'])}</span></li>"
        for event in run["events"]
    )
    head = f"<h2>What happened{', ' + LETTERS[i] if n > 1 else ''}</h2>"
    return f'{head}\n<ul class="events">{rows}</ul>' if rows else f"{head}\n<p>Nothing was noted.</p>"


def _program(flight: AnyFlight) -> list[str]:
    return [flight.program_version] if isinstance(flight, RecordedFlight) else []


def _versions(flight: AnyFlight, i: int, n: int) -> str:
    if not isinstance(flight, RecordedFlight):
        return f"<p>{_letter(i, n)}flown just now, read from no file</p>"
    listed = ", ".join(f"{name} {number}" for name, number in flight.versions.items())
    return f"<p>{_letter(i, n)}flown {escape(flight.created)}; {escape(listed)}</p>"
