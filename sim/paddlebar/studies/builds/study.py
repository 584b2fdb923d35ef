"""My craft as it may come off the table: the same drawing built many times, each number anywhere within its tolerance, and each build flown.

Numbers and tolerances are the register's (craft/knobs.py): those that `rank` varies, and besides how much one blade or tip differs from the
others. They are drawn as `rank` draws them (studies/tolerances.py). Which number spoilt the worst build is flown too: that build again, with
one number at a time put right.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass, field, fields
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.knobs import knob_at
from paddlebar.craft.one_by_one import one_by_one
from paddlebar.ensemble.many import Flights, fly_all
from paddlebar.ensemble.pool import cores
from paddlebar.ensemble.samples import Item
from paddlebar.errors import BadInput
from paddlebar.files.keys import value_at
from paddlebar.files.scenario import Scenario
from paddlebar.flight.endings import WELL, Outcome
from paddlebar.plain import of_fields
from paddlebar.progress import SILENT, Progress, closes_progress
from paddlebar.studies.axes import Axis, open_text
from paddlebar.studies.suggestion import How, better
from paddlebar.studies.tolerances import build_of, chosen, drawn, usual

Array = NDArray[np.float64]

OPTION: Final = "builds"
LEAST, MOST = 2, 10_000
LEVELS: Final = {"least": 0.0, "low": 0.1, "median": 0.5, "high": 0.9, "most": 1.0}
"""Words of a spread -> share of the builds below."""


@dataclass(frozen=True)
class Culprit:
    """The number that spoilt a build: with it alone put right, that build flies better by most.

    key, noun : of the number;  built, drawn : its value in that build and on the drawing;  after : how the build flies with it right
    """

    key: str
    noun: str
    built: float
    drawn: float
    after: How

    def to_json(self) -> dict[str, Any]:
        """Keys of the command's JSON."""
        return {**of_fields(self), "after": self.after.to_json()}


@dataclass(frozen=True, eq=False)
class Builds:
    """How builds of one drawing fly; n builds, d numbers.

    keys, own, tolerances (d) : dotted keys, values of the drawing, and how far a build may be off, unit of the key
    values (n, d) : of each build;  flights : what each came to, `failed` ones included;  as_drawn : the drawing itself
    seed          : of the draw
    worst         : place in these arrays, -1 if none flew;  culprit : what spoilt it, None if putting no single number right helps
    not_built     : how many more were drawn that the file refuses
    scenario      : with every blade and tip named
    """

    keys: tuple[str, ...]
    own: Array
    tolerances: Array
    values: Array
    flights: Flights
    as_drawn: How
    seed: int
    worst: int
    culprit: Culprit | None
    not_built: int
    scenario: Scenario = field(repr=False)

    @property
    def flew(self) -> list[int]:
        """Places of the builds that flew to an end."""
        lost = set(self.flights.failed)
        return [k for k in range(len(self.flights)) if k not in lost]

    @property
    def well(self) -> int:
        """How many flew well."""
        return sum(self.flights.flew_well[k] for k in self.flew)

    @property
    def share_well(self) -> float:
        """Of all builds that flew, how many flew well; nan without any."""
        return self.well / len(self.flew) if self.flew else float("nan")

    @property
    def sound(self) -> bool:
        """Half of the builds at least fly well."""
        return self.share_well >= 0.5

    def spread(self, name: str) -> dict[str, float]:
        """least, low (a tenth lie below), median, high (a tenth above) and most of a figure of the builds that flew, such as "duration_s"."""
        every = np.asarray(getattr(self.flights, name))[self.flew]
        if not every.size:
            return dict.fromkeys(LEVELS, float("nan"))
        return {word: float(np.quantile(every, share)) for word, share in LEVELS.items()}

    @property
    def outcomes(self) -> dict[str, int]:
        """Outcome -> how many of those that flew, the most frequent first."""
        return dict(Counter(self.flights.outcome[k] for k in self.flew).most_common())

    @property
    def faults(self) -> dict[str, int]:
        """Code of a fault that matters -> how many had it, the most frequent first."""
        counted = Counter(
            code for k in self.flew for code in {each.code for each in self.flights.faults[k] if each.matters}
        )
        return dict(counted.most_common())

    def how(self, k: int) -> How:
        """How a build flew."""
        return _how(self.flights, k)

    def changes(self, k: int) -> dict[str, Any]:
        """A build as overrides of load_scenario; lists whole, since a file may leave them out."""
        found: dict[str, Any] = {}
        for key, value in zip(self.keys, self.values[k].tolist(), strict=True):
            whole, _, place = key.rpartition(".")
            if place.isdigit():
                found[whole] = list(found.get(whole) or value_at(self.scenario, whole))
                found[whole][int(place) - 1] = value
            else:
                found[key] = value
        return found

    def to_json(self) -> dict[str, Any]:
        """Keys of the command's JSON."""
        worst = None
        if self.worst >= 0:
            did_it = None if self.culprit is None else self.culprit.to_json()
            worst = {
                "build": self.worst + 1,
                **self.how(self.worst).to_json(),
                "did_it": did_it,
                "changes": self.changes(self.worst),
            }
        return {
            "builds": len(self.flights),
            "seed": self.seed,
            "share_well": self.share_well,
            "flew_well": self.well,
            "duration_s": self.spread("duration_s"),
            "controlled_s": self.spread("controlled_s"),
            "outcomes": self.outcomes,
            "faults": self.faults,
            "as_drawn": self.as_drawn.to_json(),
            "worst": worst,
            "tolerances": [
                {"key": key, "own": own, "tolerance": size}
                for key, own, size in zip(self.keys, self.own.tolist(), self.tolerances.tolist(), strict=True)
            ],
            "not_built": self.not_built,
            "failed": len(self.flights.failed),
        }


@closes_progress
def fly_builds(
    scenario: Scenario,
    builds: int = 50,
    *,
    seed: int = 1,
    executor: Executor | None = None,
    workers: int | None = None,
    progress: Progress = SILENT,
) -> Builds:
    """How my craft flies when it is built within my tolerances: a spread, and what spoils the worst build.

    scenario : from load_scenario; each build is flown as it says, from its launch, in its room and air
    builds   : how many, 2 to 10,000;  seed : of the draw
    executor : any of concurrent.futures;  None: threads of this process;  workers : flights at once; None: one a processor
    progress : told start(steps), step(what), close()
    Returns  : Builds, the same for any number of workers
    Raises   : BadInput for a number of builds that is none, a scenario that cannot be flown
    """
    if not LEAST <= builds <= MOST:
        raise BadInput(f"{OPTION}: should be {LEAST} to {MOST}, found {builds}")
    each = one_by_one(scenario)
    parameters = chosen(each.effective_toml(), usual(each, "rank", "builds"))
    text = open_text(each)
    values = drawn(parameters, 1 << (builds - 1).bit_length(), seed)[0][:builds]
    plan = [p.own for p in parameters]
    pool = executor or ThreadPoolExecutor(workers or cores())
    try:
        progress.step("building and flying")
        work = _Work(text, parameters, pool, workers or cores(), progress)
        flights, could = work.fly([plan, *values.tolist()])
        if not could or could[0] != 0:
            raise BadInput(f"{OPTION}: the craft as drawn cannot be built from its own description")
        values = values[[k - 1 for k in could[1:]]]
        worst = _worst(flights)
        culprit = work.culprit(plan, values[worst - 1].tolist(), _how(flights, worst)) if worst > 0 else None
    finally:
        if executor is None:
            pool.shutdown(cancel_futures=True)
    return Builds(
        keys=tuple(p.key for p in parameters),
        own=np.array(plan),
        tolerances=np.array([p.values[-1] - p.own for p in parameters]),
        values=values,
        flights=_from_second(flights),
        as_drawn=_how(flights, 0),
        seed=seed,
        worst=worst - 1,
        culprit=culprit,
        not_built=builds - len(values),
        scenario=each,
    )


@dataclass(frozen=True)
class _Work:
    """What all flights of this study have in common."""

    text: str
    parameters: tuple[Axis, ...]
    pool: Executor
    workers: int
    progress: Progress

    def fly(self, builds: Sequence[Sequence[float]]) -> tuple[Flights, list[int]]:
        """The flights of those that the file allows, and which these are."""
        scenarios: list[Item] = []
        could: list[int] = []
        for k, values in enumerate(builds):
            try:
                scenarios.append(build_of(self.text, self.parameters, values))
            except BadInput:
                continue
            could.append(k)
        return fly_all(scenarios, workers=self.workers, executor=self.pool, progress=self.progress), could

    def culprit(self, plan: Sequence[float], built: Sequence[float], before: How) -> Culprit | None:
        """The number of a build that would help most if it were as drawn."""
        mended = [[*built[:k], plan[k], *built[k + 1 :]] for k in range(len(built))]
        flights, could = self.fly(mended)
        hows = [_how(flights, place) for place in range(len(could))]
        helps = [place for place, after in enumerate(hows) if after.outcome != Outcome.FAILED and better(after, before)]
        if not helps:
            return None
        best = max(helps, key=lambda place: _order(hows[place]))
        key, k = self.parameters[could[best]].key, could[best]
        knob = knob_at(build_of(self.text, self.parameters, plan), key)
        return Culprit(key, knob.noun if knob is not None else key, built[k], plan[k], hows[best])


def _how(flights: Flights, k: int) -> How:
    return How(
        flights.outcome[k],
        float(flights.controlled_s[k]),
        float(flights.duration_s[k]),
        flights.faults[k],
        flights.flew_well[k],
    )


def _order(how: How) -> tuple[bool, bool, float, float]:
    """Worse first: by what a builder sees, then by time in control."""
    return how.flew_well, how.outcome in WELL, how.controlled_s, how.duration_s


def _worst(flights: Flights) -> int:
    """Place of the worst build that flew to an end, the first flight being the drawing's; 0 if there is none."""
    flew = sorted({*range(1, len(flights))} - set(flights.failed))
    return min(flew, key=lambda k: _order(_how(flights, k)), default=0)


def _from_second(flights: Flights) -> Flights:
    return Flights(**{each.name: getattr(flights, each.name)[1:] for each in fields(Flights)})
