"""The bench itself, without a server: a description, what may be moved on it, and what follows from where the sliders stand.

It keeps nothing of a page but the advice that it gave: where the sliders stand comes with each question, so that two pages, or one that was
loaded again, never get in each other's way.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping, Sequence
from pathlib import Path
from threading import Lock
from typing import Any, Final

from paddlebar.bench_page.controls import Control, controls
from paddlebar.craft.knobs import idle
from paddlebar.ensemble.whole import SHORT_S, Wanted, flown
from paddlebar.errors import BadInput
from paddlebar.files.keys import value_at
from paddlebar.files.scenario import Scenario
from paddlebar.flight.figures import SUMMARY
from paddlebar.flight.result import Flight
from paddlebar.pictures.judged import did_it_fly, headline, matter, minor
from paddlebar.plain import plain
from paddlebar.replay_page.data import run_data
from paddlebar.replay_page.page import page
from paddlebar.studies.advise.changes import Description
from paddlebar.studies.advise.study import advised

MOST_TAKEN: Final = 600  # pieces of advice that are remembered
READS: Final = 100  # descriptions that are remembered
Moved = Sequence[tuple[int, float]]
SHOWN: Final = (
    "controlled_s", "duration_s", "peak_height_m", "max_tilt_deg", "peak_body_rate_deg_s", "body_turns", "drift_m", "turns_left",
)  # fmt: skip


class Unknown(Exception):
    """A page spoke of a control or of advice that there is not."""


class Bench:
    """scenario : as loaded;  file : what it came from, as shown"""

    def __init__(self, scenario: Scenario, file: Path) -> None:
        self.plain, self.file = scenario, file
        self.described = Description(scenario)
        self.controls: tuple[Control, ...] = controls(scenario, self._allowed)
        self._taken: dict[int, Mapping[str, Any]] = {0: {}}
        self._lock, self._reads = Lock(), 0

    def _allowed(self, key: str, value: Any) -> bool:
        try:
            self.described.scenario({key: value})
        except BadInput:
            return False
        return True

    def changes(self, taken: int, moved: Moved) -> dict[str, Any]:
        """What was asked for, as overrides. Raises Unknown."""
        try:
            asked = dict(self._taken[taken])
            for index, sent in moved:
                if index < 0:
                    raise IndexError(index)
                control = self.controls[index]
                asked[control.key] = control.value(sent)
        except (KeyError, IndexError):
            raise Unknown from None
        return asked

    def scenario(self, taken: int, moved: Moved) -> Scenario:
        """With the sliders where they stand, masses following. Raises Unknown, BadInput."""
        return self.changed(taken, moved)[0]

    def changed(self, taken: int, moved: Moved) -> tuple[Scenario, dict[str, Any]]:
        """The same, and every key that differs from the files, masses that followed included."""
        with self._lock:  # flights and studies ask from two threads
            self._reads += 1
            if self._reads % READS == 0:  # it remembers what it read, and a drag would never end
                self.described = Description(self.plain)
            return self.described.scenario(self.changes(taken, moved))

    def fly(self, taken: int, moved: Moved, short: bool, wanted: Wanted = lambda: True) -> bytes:
        """The flight as the page takes it: length of a JSON text, the text, and samples on an 8-byte mark. Raises Unknown, BadInput, Dropped."""
        scenario = self.scenario(taken, moved)
        flight = flown(scenario, wanted, SHORT_S if short else float("inf"))
        run, block = run_data(flight, str(self.file))
        return framed({"run": run, "short": short, **self.told(flight), **self.standing(scenario)}, block)

    def told(self, flight: Flight) -> dict[str, Any]:
        """How it went: the verdict, faults, figures."""
        summary = flight.summary
        figures = [
            {"name": f.name, "words": f.said_briefly, "unit": f.unit, "better": f.better, "value": summary[f.name],
             "shown": format(summary[f.name], f.form)}
            for f in SUMMARY if f.name in SHOWN
        ]  # fmt: skip
        return {
            "verdict": did_it_fly(summary).split(":", 1)[0].split(",", 1)[0],
            "headline": headline(summary),
            "sentence": flight.sentence,
            "faults": matter(summary),
            "remarks": minor(summary),
            "figures": figures,
        }

    def standing(self, scenario: Scenario) -> dict[str, Any]:
        """Where each control stands now, masses that followed included, and which do nothing, with the reason."""
        asleep = idle(scenario)
        return {
            "values": [control.sent(value_at(scenario, control.key)) for control in self.controls],
            "idle": {str(i): asleep[c.key] for i, c in enumerate(self.controls) if c.key in asleep},
        }

    def advise(self, taken: int, moved: Moved, progress: Any) -> dict[str, Any]:
        """Up to three changes that were flown and found better; each with the number by which the page takes it. Raises as scenario()."""
        here = self.changes(taken, moved)
        found = advised(self.scenario(taken, moved), progress=progress)
        said = []
        with self._lock:
            for each in found.suggestions:
                number = len(self._taken)
                if number > MOST_TAKEN:
                    raise BadInput(
                        "bench: so much advice was given that no more is remembered; close the bench and open it anew"
                    )
                self._taken[number] = {**here, **each.asked}
                said.append({"take": number, "words": each.words, "why": each.why, "in_all": each.in_all})
        return {"suggestions": said, "missing": found.missing, "well": found.before.flew_well, "flights": found.flights}

    def share(self, first: tuple[int, Moved], now: tuple[int, Moved]) -> str:
        """A page without a server: the pinned flight and the present one side by side, or one where they are the same."""
        scenarios = [self.scenario(*now)] if first == now else [self.scenario(*first), self.scenario(*now)]
        names = ["as it is"] if len(scenarios) == 1 else ["pinned", "changed"]
        flights = [
            flown(s.model_copy(update={"title": f"{s.title or s.craft.name}, {name}"[:120]}))
            for s, name in zip(scenarios, names, strict=True)
        ]
        return page(flights, names)


def framed(header: Any, block: bytes) -> bytes:
    """Length of a JSON text in four bytes, little-endian, the text filled up with blanks to an 8-byte mark, then the bytes."""
    text = json.dumps(plain(header), allow_nan=False, separators=(",", ":")).encode("ascii")
    text += b" " * (-(len(text) + 4) % 8)
    return struct.pack("<I", len(text)) + text + block
