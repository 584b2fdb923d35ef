"""Advise: changes that were flown and found better, one after the other until the craft flies or nothing helps.

Candidates are every single change that a hand can make (craft/knobs.py), what a look at the craft and the rules would change (repairs.py), and
several of these together. All are flown in compiled steps. A search needs a figure that is never flat, so candidates are sorted by the
graded figure of flight/judgement.py over three launches; what is said must be better by the plain ones: time in control, then duration.
What is said has been flown once more by scipy's solver, the way `fly` flies it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Any, Final

from paddlebar.ensemble.many import Brief, fly_brief
from paddlebar.ensemble.pool import cores
from paddlebar.errors import BadInput
from paddlebar.files.scenario import Scenario
from paddlebar.flight.fly import fly_scenario
from paddlebar.flight.let_go import launched, launches
from paddlebar.flight.result import Flight
from paddlebar.progress import SILENT, Progress, closes_progress
from paddlebar.studies.advise.candidates import Candidate, candidates, joined
from paddlebar.studies.advise.changes import Description, setting
from paddlebar.studies.advise.missing import missing
from paddlebar.studies.suggestion import How, Suggestion, better

MOST_SAID: Final = 3
MOST_STEPS: Final = 12
FINALISTS: Final = 14  # flown from all launches
SOON: Final = 5  # likewise for first aid
ALIKE: Final = 0.9  # of the best graded figure; own choice
AS_WELL: Final = 0.97  # of the graded figure, for one change less; own choice
SEEDS, PARTNERS = 4, 24  # joined with others where no single change helps; those others
SOONER_S, LONGER = 10.0, 2.0  # a first look lasts so long, and so many times the time in control


@dataclass(frozen=True)
class Advised:
    """The answer.

    before, final : how the craft flew as it is, and with all changes made;  suggestions : best first, three at most
    steps    : with `follow`, the changes made one after the other;  missing : what kind of change is missing, "" where it flies well
    changes  : of all steps together, overrides;  scenario : with them;  flights : that it took
    """

    before: How
    suggestions: tuple[Suggestion, ...]
    steps: tuple[Suggestion, ...]
    final: How
    missing: str
    changes: Mapping[str, Any]
    scenario: Scenario = field(repr=False)
    flights: int

    @property
    def settings(self) -> tuple[str, ...]:
        """All changes together, as --set takes them."""
        return tuple(setting(key, value) for key, value in self.changes.items())

    def to_json(self) -> dict[str, Any]:
        """Keys of the command's JSON."""
        return {
            "before": self.before.to_json(),
            "suggestions": [each.to_json() for each in self.suggestions],
            "steps": [each.to_json() for each in self.steps],
            "final": self.final.to_json(),
            "set": list(self.settings),
            "missing": self.missing,
            "flights": self.flights,
        }


@closes_progress
def advise(
    scenario: Scenario,
    *,
    follow: bool = False,
    executor: Executor | None = None,
    workers: int | None = None,
    progress: Progress = SILENT,
) -> Advised:
    """What to change first, or with `follow` one thing after the other until the craft flies.

    scenario : from load_scenario, flown as it says from its own launch and from two that are 3 degrees off
    follow   : go on until it flies well from all launches or nothing helps
    executor : any of concurrent.futures;  None: threads of this process
    workers  : flights at once; None: one a processor
    progress : told start(steps), step(what), close()
    Returns  : Advised
    Raises   : BadInput for a scenario that cannot be flown
    """
    return advised(scenario, follow=follow, executor=executor, workers=workers, progress=progress)


def advised(
    scenario: Scenario,
    *,
    follow: bool = False,
    executor: Executor | None = None,
    workers: int | None = None,
    progress: Progress = SILENT,
) -> Advised:
    """The same within longer work, whose progress goes on."""
    pool = executor or ThreadPoolExecutor(workers or cores())
    try:
        return _Search(scenario, pool, progress).run(follow)
    finally:
        if executor is None:
            pool.shutdown(cancel_futures=True)


def first_aid(scenario: Scenario, flown: Flight) -> Suggestion | None:
    """The best of what `check` and the rules would repair, flown like all advice; None where none of that helps. A second or two.

    flown : the scenario's own flight
    """
    with ThreadPoolExecutor(cores()) as pool:
        return _Search(scenario, pool, SILENT).first_aid(_how(flown))


@dataclass(frozen=True)
class _Tried:
    candidate: Candidate
    briefs: tuple[Brief, ...]

    @property
    def graded(self) -> float:
        return sum(brief.graded_s for brief in self.briefs)

    @property
    def controlled(self) -> float:
        return sum(brief.controlled_s for brief in self.briefs)

    @property
    def well(self) -> int:
        return sum(brief.flew_well for brief in self.briefs)


class _Search:
    """One craft, its description and all that was flown of it."""

    def __init__(self, scenario: Scenario, pool: Executor, progress: Progress) -> None:
        self.pool, self.progress = pool, progress
        self.described = Description(scenario)
        self.launches = launches(scenario)
        self.flights = 0

    def run(self, follow: bool) -> Advised:
        here: dict[str, Any] = {}
        before = now = self._exactly(here)
        steps: list[Suggestion] = []
        first: tuple[Suggestion, ...] = ()
        said = ""
        while True:
            base = self._fly([Candidate({}, "")], here, range(3))[0]
            done = now.flew_well and base.well == len(self.launches)
            found = () if (follow and done) else self._step(here, now, base)
            if not steps:
                first = found
            if not follow or done or not found or len(steps) == MOST_STEPS:
                if not done and not found:
                    said = missing(now)
                break
            steps.append(found[0])
            here, now = dict(found[0].asked), found[0].after
        scenario, changes = self.described.scenario(here)
        return Advised(before, first, tuple(steps), now, said, changes, scenario, self.flights)

    def first_aid(self, now: How) -> Suggestion | None:
        """The best of what check and the rules would repair."""
        horizon = LONGER * now.controlled_s + SOONER_S
        repaired = candidates(self.described.plain, by_hand=False)
        looked = sorted(self._fly(repaired, {}, range(1), horizon), key=_order)
        base = self._fly([Candidate({}, "")], {}, range(3))[0]
        return next(iter(self._said(looked[:SOON], {}, now, base)), None)

    def _step(self, here: Mapping[str, Any], now: How, base: _Tried) -> tuple[Suggestion, ...]:
        """Up to three suggestions: single changes and repairs first, several together where none of those helps."""
        scenario, _ = self.described.scenario(here)
        singles = candidates(scenario)
        horizon = LONGER * now.controlled_s + SOONER_S
        looked = sorted(self._fly(singles, here, range(1), horizon), key=_order)
        said = self._said(looked, here, now, base)
        depth = looked
        for _ in range(2):
            if said:
                break
            pairs = [joined(a.candidate, b.candidate) for a in depth[:SEEDS] for b in looked[:PARTNERS]]
            depth = sorted(self._fly([each for each in pairs if each is not None], here, range(1), horizon), key=_order)
            said = self._said(depth, here, now, base)
        return said

    def _said(
        self, looked: Sequence[_Tried], here: Mapping[str, Any], now: How, base: _Tried
    ) -> tuple[Suggestion, ...]:
        """Of the best of a first look those that are better flown whole, from three launches and by `fly`."""
        in_kind = [each for each in looked if each.candidate.in_kind][:3]
        rest = [each for each in looked if not each.candidate.in_kind][:FINALISTS]
        finals = self._fly([each.candidate for each in (*in_kind, *rest)], here, range(3))
        finals = [each for each in finals if each.graded >= base.graded]
        # the plain figure first where it tells, to half a second; the graded one where nothing is in control yet
        finals.sort(key=lambda each: (not _in_all(each, base), -each.well, -round(2.0 * each.controlled), -each.graded))
        if finals:  # of what flies about alike, what puts right something wrong in kind comes first
            first = finals[0]
            finals.sort(key=lambda each: not (each.candidate.in_kind and _in_all(each, base) and each.well == first.well
                                              and each.graded > ALIKE * first.graded))  # fmt: skip
        said: list[Suggestion] = []
        for whole in finals:
            each = self._shortened(whole, here)
            changes = {**here, **each.candidate.changes}
            if any(changes == other.asked for other in said):  # shortened to the same
                continue
            after = self._exactly(changes)
            if better(after, now) and not _only_more(changes, after, said):
                settings = self.described.settings(changes, here)
                said.append(
                    Suggestion(
                        settings,
                        each.candidate.words,
                        _why(now, after),
                        now,
                        after,
                        _in_all(each, base),
                        self.described.changes(changes),
                        changes,
                    )
                )
            if len(said) == MOST_SAID:
                break
        return tuple(said)

    def _shortened(self, tried: _Tried, here: Mapping[str, Any]) -> _Tried:
        """Without each part that it flies as well without, one after the other: a hand does no more than helps."""
        for part in tried.candidate.parts:
            if len(tried.candidate.parts) > 1:
                found = self._fly([tried.candidate.without(part)], here, range(3))
                if found and found[0].well >= tried.well and found[0].graded >= AS_WELL * tried.graded:
                    tried = found[0]
        return tried

    def _exactly(self, changes: Mapping[str, Any]) -> How:
        """As `fly` flies it."""
        self.flights += 1
        return _how(fly_scenario(self.described.scenario(changes)[0]))

    def _fly(
        self, candidates: Sequence[Candidate], here: Mapping[str, Any], which: Iterable[int], horizon: float = 0.0
    ) -> list[_Tried]:
        """Those that can be built, each from some launches, for `horizon` seconds at most where one is given."""
        chosen = [self.launches[k] for k in which]
        jobs: list[tuple[Candidate, list[Any]]] = []
        self.progress.start(len(candidates))
        for each in candidates:
            try:
                scenario, _ = self.described.scenario({**here, **each.changes})
            except BadInput:
                continue
            jobs.append(
                (each, [self.pool.submit(fly_brief, _launched(scenario, launch, horizon)) for launch in chosen])
            )
        tried = []
        for each, futures in jobs:
            tried.append(_Tried(each, tuple(future.result() for future in futures)))
            self.progress.step("flying changes")
        self.flights += sum(len(each.briefs) for each in tried)
        return [each for each in tried if all(brief.outcome != "failed" for brief in each.briefs)]


def _how(flight: Flight) -> How:
    return How(flight.outcome, flight.controlled_s, float(flight.time[-1]), flight.faults, flight.flew_well)


def _launched(scenario: Scenario, launch: Mapping[str, Any], horizon: float) -> Scenario:
    found = launched(scenario, launch)
    if not horizon or horizon >= scenario.run.duration_s:
        return found
    return found.model_copy(update={"run": scenario.run.model_copy(update={"duration_s": horizon})})


def _order(each: _Tried) -> float:
    return -each.graded


def _in_all(each: _Tried, base: _Tried) -> bool:
    return all(a.graded_s > b.graded_s for a, b in zip(each.briefs, base.briefs, strict=True))


def _only_more(changes: Mapping[str, Any], after: How, said: Sequence[Suggestion]) -> bool:
    """True for what has all that an earlier suggestion has, and more, and flies no better for it."""
    return any(each.asked.items() <= changes.items() and not better(after, each.after) for each in said)


def _why(before: How, after: How) -> str:
    """What the flights show, in a sentence."""
    says = f"flown: in control for {after.controlled_s:.1f} s in place of {before.controlled_s:.1f} s, in the air for {after.duration_s:.1f} s in place of {before.duration_s:.1f} s"
    gone = sorted(before.troubles - after.troubles)
    new = sorted(after.troubles - before.troubles)
    return says + (f"; no longer: {', '.join(gone)}" if gone else "") + (f"; but: {', '.join(new)}" if new else "")
