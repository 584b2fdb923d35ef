"""A page with sliders and no server: flights over one number or two, flown beforehand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from itertools import product
from pathlib import Path
from typing import Any, Final

from paddlebar.craft.knob import unit
from paddlebar.craft.knobs import knob_at
from paddlebar.ensemble.whole import flown
from paddlebar.errors import BadInput
from paddlebar.files.cautions import CAUTIONS
from paddlebar.files.keys import value_at
from paddlebar.files.scenario import Scenario
from paddlebar.flight.figures import SUMMARY
from paddlebar.flight.result import Flight
from paddlebar.pictures.data import drawable
from paddlebar.pictures.judged import headline, matter, minor
from paddlebar.progress import SILENT, Progress
from paddlebar.record.write import put_in_place
from paddlebar.replay_page.data import columns_of
from paddlebar.replay_page.packing import pack
from paddlebar.replay_page.page import digest, fill, in_script, part
from paddlebar.replay_page.shape import craft_shape, losses, room_shape
from paddlebar.replay_page.tours import tours_for
from paddlebar.studies.advise.changes import Description

MOST_FLIGHTS: Final = 120
SECONDS: Final = 6.0


@dataclass(frozen=True)
class Varied:
    """A number and the values that its slider stops at; whole : it counts."""

    key: str
    noun: str
    values: tuple[float, ...]
    own: float
    whole: bool

    def told(self) -> dict[str, Any]:
        """As the page takes it."""
        return {"key": self.key, "noun": self.noun, "unit": unit(self.key), "values": self.values, "own": self.own}


def varied(scenario: Scenario, key: str, low: float, high: float, count: float) -> Varied:
    """A checked range. Raises BadInput for a key that is none, that does nothing, or for no range."""
    knob = knob_at(scenario, key)
    if knob is None:
        raise BadInput(f"--vary: {key}: is no number that may be changed here; `paddlebar help keys` lists them")
    if count != int(count) or not 2 <= count <= MOST_FLIGHTS or not low < high:
        raise BadInput(f"--vary: {key}: write {key}=LOW:HIGH:N, LOW below HIGH and N from 2 to {MOST_FLIGHTS}")
    n, whole = int(count), knob.whole(scenario)
    values = [float(f"{low + (high - low) * k / (n - 1):.4g}") for k in range(n)]
    if whole:
        values = sorted({float(round(value)) for value in values})
    return Varied(key, knob.noun, tuple(values), float(value_at(scenario, key)), whole)


def save_varied(
    scenario: Scenario, sliders: Sequence[Varied], path: Path, seconds: float = SECONDS, progress: Progress = SILENT
) -> tuple[int, int]:
    """Fly every combination and write the page; returns its bytes and the number of flights. Raises BadInput, OSError."""
    grid = list(product(*(range(len(each.values)) for each in sliders)))
    if len(grid) > MOST_FLIGHTS:
        raise BadInput(f"--vary: {len(grid)} flights, at most {MOST_FLIGHTS} go on a page")
    described = Description(scenario)
    progress.start(len(grid))
    columns, told = [], []
    for place in grid:
        changes = {
            each.key: round(each.values[k]) if each.whole else each.values[k]
            for each, k in zip(sliders, place, strict=True)
        }
        flight = flown(described.scenario(changes)[0], most_s=seconds)
        columns.append(columns_of(drawable(flight), flight.scenario.craft))
        told.append(_told(flight))
        progress.step("flying")
    image = _page(scenario, sliders, pack(columns, told)).encode("utf-8")
    put_in_place(path, image)
    return len(image), len(grid)


def _told(flight: Flight) -> dict[str, Any]:
    summary, scenario = flight.summary, flight.scenario
    return {
        "title": scenario.title or scenario.craft.name,
        "outcome": flight.outcome,
        "sentence": flight.sentence,
        "went": headline(summary),
        "faults": matter(summary) or minor(summary),
        "controlled_s": summary["controlled_s"],
        "figures": [format(summary[f.name], f.form) for f in SUMMARY if f.name != "energy_error"],
        "events": [{"name": e.name, "time": e.time_s, "sentence": e.sentence} for e in flight.events],
        "losses": losses(scenario, flight.events),
        "craft": craft_shape(scenario.craft),
        "room": room_shape(scenario),
    }


def _page(scenario: Scenario, sliders: Sequence[Varied], packed: str) -> str:
    title = scenario.title or scenario.craft.name
    style, script = part("page/style.css"), part("page/bundle/replay.js")
    rows = "".join(
        f'<tr><th scope="row">{escape(f.words)}</th><td class="number"></td><td>{escape(f.unit)}</td></tr>'
        for f in SUMMARY
        if f.name != "energy_error"
    )
    fields = {
        "TITLE": escape(title),
        "GENERATOR": "paddlebar",
        "STYLE": style,
        "STYLE_HASH": digest(style),
        "SCRIPT": script,
        "SCRIPT_HASH": digest(script),
        "HEADING": f'<div><h1>{escape(title)}</h1><p id="went"></p></div>',
        "LAYOUT": "one",
        "SCENE": escape(f"{title}: the flight that belongs to where the sliders stand"),
        "VIEWS": f'<div class="view"><div class="name">{escape(scenario.craft.name)}</div><div class="reading"></div></div>',
        "MORE": '<div id="vary" role="group" aria-label="What is varied"><div id="knobs"></div><div><p>Seconds in control, of each flight</p><canvas id="plane" tabindex="0" data-keys="own" role="img"></canvas></div></div>',
        "LEGEND": "",
        "FIGURES": f'<h2>Figures</h2>\n<table id="varyfigures"><tbody>{rows}</tbody></table>\n<p>{escape(scenario.note)}</p>',
        "EVENTS": '<h2>What happened</h2>\n<ul class="events" id="varyevents"></ul>',
        "CAUTIONS": "".join(f"<p>{escape(line)}</p>" for line in CAUTIONS),
        "VERSIONS": "<p>flown beforehand, in compiled steps; drawn from 60 samples a second</p>",
        "TOURS": in_script(tours_for(scenario)),
        "DATA": in_script({"vary": [each.told() for each in sliders], "packed": packed}),
    }
    return fill(part("page/page.html"), fields)
