"""What a flight leaves, and the flight so far while it is flown."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers
from paddlebar.files.scenario import Scenario
from paddlebar.flight import derive, layout, mishaps
from paddlebar.flight.breakage import Breakage
from paddlebar.flight.endings import Ending
from paddlebar.flight.result import Event
from paddlebar.flight.stretch import Stretch

Array = NDArray[np.float64]

MOST_NOTED: Final = 100  # events of one name: a cord may slip and grip thousands of times


@dataclass
class Track:
    """What the integrator leaves: samples, loads, events, the ending.

    time (n,) [s]; states (n, state_size); loads (n, derive.COLUMNS); sudden (n,) [J]; SI, see layout.py
    ending      : why it was no longer computed;  tipped : it leaned past the tilt limit, whatever came after. How it went: judgement.py
    evaluations : of the right-hand side;  refused : steps tried in vain, None where the method does not tell
    message     : the solver's own words of a numerical failure, "" without one;  culprit : the state that it was about
    """

    time: Array
    states: Array
    loads: Array
    sudden: Array
    events: list[Event]
    ending: Ending
    sentence: str
    tipped: bool
    evaluations: int
    refused: int | None
    steps: int
    numbers: Numbers
    message: str = ""
    culprit: layout.Row | None = None


@dataclass
class Flying:
    """The flight so far."""

    scenario: Scenario
    numbers: Numbers
    breakage: Breakage
    time: float = 0.0
    state: Array = field(default_factory=lambda: np.empty(0))
    times: list[Array] = field(default_factory=list)
    states: list[Array] = field(default_factory=list)
    loads: list[Array] = field(default_factory=list)
    sudden: list[Array] = field(default_factory=list)
    gone: float = 0.0  # energy gone in sudden changes [J]
    events: list[Event] = field(default_factory=list)
    evaluations: int = 0
    refused: int | None = 0
    tipped: bool = False
    scraping: bool = False  # just off the floor, not yet clear of it
    losses: mishaps.Losses = field(default_factory=lambda: mishaps.Losses([1.0, 1.0], [1.0, 1.0]))

    @property
    def held(self) -> bool:
        """The fuselage is held, by a hand or by the floor."""
        return bool(self.numbers.params[0]["base_locked"])

    @property
    def in_hand(self) -> bool:
        """Held, and to be let go at a time."""
        launch = self.scenario.launch
        return self.held and launch.release == "held" and launch.hold_s > 0.0

    @property
    def last(self) -> Array:
        """Loads at the last sample, (derive.COLUMNS,)."""
        return np.asarray(self.loads[-1][-1])

    @property
    def tilt_deg(self) -> float:
        """Lean from upright at the last sample."""
        return math.degrees(float(self.last[derive.TILT]))

    def noted(self, *names: str) -> bool:
        """Whether one of these events has happened."""
        return any(event.name in names for event in self.events)

    def note(self, name: str, time: float, sentence: str) -> None:
        """Keep an event; of what happens again and again only the first ones."""
        before = sum(event.name == name for event in self.events)
        if before < MOST_NOTED:
            last = "; this is not noted from here on" if before == MOST_NOTED - 1 else ""
            self.events.append(Event(name, time, sentence + last))

    @contextmanager
    def suddenly(self) -> Iterator[None]:
        """What is done here changes the craft at once; the energy that it costs is counted."""
        before = self.energy()
        yield
        self.gone += before - self.energy()

    def energy(self) -> float:
        return derive.mechanical_energy(derive.derived(np.array([self.time]), self.state[None, :], self.numbers)[0])

    def keep(self, times: Array, states: Array, loads: Array) -> None:
        """Keep samples; the first is left out if it repeats the last one kept."""
        first = 1 if self.times and times.size and times[0] <= self.times[-1][-1] else 0
        if times.size <= first:
            return
        self.times.append(times[first:])
        self.states.append(states[first:])
        self.loads.append(loads[first:])
        self.sudden.append(np.full(times.size - first, self.gone))

    def count(self, flown: Stretch) -> None:
        self.evaluations += flown.evaluations
        self.refused = None if self.refused is None or flown.refused is None else self.refused + flown.refused

    def track(self, ending: Ending, sentence: str, message: str = "", culprit: layout.Row | None = None) -> Track:
        time = np.concatenate(self.times)
        return Track(
            time=time,
            states=np.concatenate(self.states),
            loads=np.concatenate(self.loads),
            sudden=np.concatenate(self.sudden),
            events=sorted(self.events, key=lambda e: e.time_s),
            ending=ending,
            sentence=sentence,
            tipped=self.tipped,
            evaluations=self.evaluations,
            refused=self.refused,
            steps=time.size - 1,
            numbers=self.numbers,
            message=message,
            culprit=culprit,
        )
