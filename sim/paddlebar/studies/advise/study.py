"""Advise: changes that were flown and found better, one after the other until the craft flies or nothing helps.

Candidates are every single change that a hand can make (craft/knobs.py), what a look at the craft and the rules would change (repairs.py), and
several of these together. All are flown in compiled steps. A search needs a figure that is never flat, so candidates are sorted by the
graded figure of flight/judgement.py over three launches; what is said must be better by the plain ones: time in control, then duration.
What is said has been flown once more by scipy's solver, the way `fly` flies it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import Any, Final

from paddlebar.checks.check import check
from paddlebar.craft.knobs import hand_moves
from paddlebar.ensemble.many import Brief, fly_brief
from paddlebar.errors import BadInput
from paddlebar.files.keys import value_at
from paddlebar.files.scenario import Scenario
from paddlebar.flight.fly import fly_scenario
from paddlebar.progress import SILENT, Progress, closes_progress
from paddlebar.studies.advise.changes import Description, setting
from paddlebar.studies.advise.launches import launches
from paddlebar.studies.advise.repairs import Repair, repairs
from paddlebar.studies.runner import cores
from paddlebar.studies.suggestion import How, Suggestion, better

MOST_SAID: Final = 3
MOST_STEPS: Final = 12
FINALISTS: Final = 14  # flown from all launches
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


@dataclass(frozen=True)
class _Candidate:
    changes: Mapping[str, Any]
    words: str
    in_kind: bool = False


@dataclass(frozen=True)
class _Tried:
    candidate: _Candidate
    briefs: tuple[Brief, ...]

    @property
    def graded(self) -> float:
        return sum(brief.graded_s for brief in self.briefs)

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
            base = self._fly([_Candidate({}, "")], here, range(3))[0]
            done = now.flew_well and base.well == len(self.launches)
            found = () if (follow and done) else self._step(here, now, base)
            if not steps:
                first = found
            if not follow or done or not found or len(steps) == MOST_STEPS:
                if not done and not found:
                    said = _missing(now)
                break
            steps.append(found[0])
            here, now = dict(found[0].changes), found[0].after
        return Advised(before, first, tuple(steps), now, said, here, self.described.scenario(here)[0], self.flights)

    def _step(self, here: Mapping[str, Any], now: How, base: _Tried) -> tuple[Suggestion, ...]:
        """Up to three suggestions: single changes and repairs first, several together where none of those helps."""
        scenario, _ = self.described.scenario(here)
        singles = _candidates(scenario)
        horizon = LONGER * now.controlled_s + SOONER_S
        looked = sorted(self._fly(singles, here, range(1), horizon), key=_order)
        said = self._said(looked, here, now, base)
        depth = looked
        for _ in range(2):
            if said:
                break
            joined = [_joined(a.candidate, b.candidate) for a in depth[:SEEDS] for b in looked[:PARTNERS]]
            depth = sorted(
                self._fly([each for each in joined if each is not None], here, range(1), horizon), key=_order
            )
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
        finals.sort(key=lambda each: (not _in_all(each, base), -each.well, -each.graded))
        said: list[Suggestion] = []
        for each in finals:
            changes = {**here, **each.candidate.changes}
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
                    )
                )
            if len(said) == MOST_SAID:
                break
        return tuple(said)

    def _exactly(self, changes: Mapping[str, Any]) -> How:
        """As `fly` flies it."""
        self.flights += 1
        flight = fly_scenario(self.described.scenario(changes)[0])
        return How(flight.outcome, flight.controlled_s, float(flight.time[-1]), flight.faults, flight.flew_well)

    def _fly(
        self, candidates: Sequence[_Candidate], here: Mapping[str, Any], which: Iterable[int], horizon: float = 0.0
    ) -> list[_Tried]:
        """Those that can be built, each from some launches, for `horizon` seconds at most where one is given."""
        chosen = [self.launches[k] for k in which]
        jobs: list[tuple[_Candidate, list[Any]]] = []
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


def _launched(scenario: Scenario, launch: Mapping[str, Any], horizon: float) -> Scenario:
    update: dict[str, Any] = {}
    if launch:
        at = {key.removeprefix("launch."): value for key, value in launch.items()}
        update["launch"] = scenario.launch.model_copy(update=at)
    if horizon and horizon < scenario.run.duration_s:
        update["run"] = scenario.run.model_copy(update={"duration_s": horizon})
    return scenario.model_copy(update=update)


def _order(each: _Tried) -> float:
    return -each.graded


def _in_all(each: _Tried, base: _Tried) -> bool:
    return all(a.graded_s > b.graded_s for a, b in zip(each.briefs, base.briefs, strict=True))


def _candidates(scenario: Scenario) -> list[_Candidate]:
    """Single changes, repairs, and repairs together: all of them, those wrong in kind, and all but one."""
    try:
        seen = repairs(scenario, check(scenario.craft, scenario.skein.turns))
        wanted = [
            each for each in seen if any(differs(value_at(scenario, key), value) for key, value in each.changes.items())
        ]
    except BadInput:
        wanted = []
    found = [_repaired([each]) for each in wanted]
    found += [_Candidate({move.key: move.value}, move.words) for move in hand_moves(scenario)]
    kinds = [each for each in wanted if each.in_kind]
    sizes = [each for each in wanted if not each.in_kind]
    groups: list[list[Repair]] = [kinds, *([*kinds, each] for each in sizes if kinds)]
    groups += [wanted, *([other for other in wanted if other is not each] for each in wanted)]
    groups += [[a, b] for i, a in enumerate(sizes) for b in sizes[i + 1 :]]
    found += [_repaired(each) for each in groups if len(each) > 1]
    unique = {tuple(sorted((k, str(v)) for k, v in each.changes.items())): each for each in reversed(found)}
    return list(reversed(unique.values()))


def differs(own: Any, wanted: Any) -> bool:
    """More than a hand can tell: a fiftieth, for numbers that are not near nothing."""
    if isinstance(own, bool) or not isinstance(own, int | float) or not isinstance(wanted, int | float):
        return bool(own != wanted)
    return not math.isclose(own, wanted, rel_tol=0.02, abs_tol=0.1 if abs(own) > 1.0 else 0.005)


def _repaired(group: Sequence[Repair]) -> _Candidate:
    changes: dict[str, Any] = {}
    words: list[str] = []
    for each in group:
        if not changes.keys() & each.changes.keys():
            changes |= each.changes
            words.append(each.words)
    return _Candidate(changes, "; ".join(words), any(each.in_kind for each in group))


def _joined(a: _Candidate, b: _Candidate) -> _Candidate | None:
    """Both changes; None where they change one thing twice."""
    if a.changes.keys() & b.changes.keys():
        return None
    return _Candidate({**a.changes, **b.changes}, f"{a.words}; {b.words}", a.in_kind or b.in_kind)


def _only_more(changes: Mapping[str, Any], after: How, said: Sequence[Suggestion]) -> bool:
    """True for what has all that an earlier suggestion has, and more, and flies no better for it."""
    return any(each.changes.items() <= changes.items() and not better(after, each.after) for each in said)


def _why(before: How, after: How) -> str:
    """What the flights show, in a sentence."""
    says = f"flown: in control for {after.controlled_s:.1f} s in place of {before.controlled_s:.1f} s, in the air for {after.duration_s:.1f} s in place of {before.duration_s:.1f} s"
    gone = sorted(before.troubles - after.troubles)
    new = sorted(after.troubles - before.troubles)
    return says + (f"; no longer: {', '.join(gone)}" if gone else "") + (f"; but: {', '.join(new)}" if new else "")


MISSING: Final = {
    "could not lift": "it needs more lift than any one change gives: a larger rotor, a lighter craft, and rubber to match",
    "tail pushes with the rotor": "it needs a tail that pushes the other way",
    "spun": "it needs another tail: larger, on a longer boom, or driven faster",
    "leaned": "it needs another bar or head: heavier tips on longer arms, a linkage that moves freely, a teetering head",
    "struck its stops": "it needs more room at the hinges, or a calmer bar",
    "came down with its rubber wound": "it needs stronger rubber for its weight, or blades that take less torque",
    "stick overloaded": "it needs a stronger stick, or fewer turns",
    "hit hard": "it comes down faster than it should: blades of finer pitch, more turns kept for the way down",
    "cord slipped": "it needs a cord that grips: tighter, rougher, or wound twice round",
    "never let go": "launch: let it go (launch.release, launch.hold_s)",
}


def _missing(now: How) -> str:
    """What kind of change is missing where none of those tried helps."""
    for fault in now.faults:
        if fault.matters and fault.code in MISSING:
            return f"no single change or two together that was flown makes it better; {MISSING[fault.code]}"
    return "" if now.flew_well else "no change that was flown makes it better"
