"""What is flown to find advice: every change that a hand can make, what a look at the craft would repair, and repairs together."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from paddlebar.checks.check import check
from paddlebar.craft.knobs import hand_moves
from paddlebar.errors import BadInput
from paddlebar.files.keys import value_at
from paddlebar.files.scenario import Scenario
from paddlebar.studies.advise.repairs import Repair, repairs


@dataclass(frozen=True)
class Candidate:
    """Changes that are flown together, and what a hand does; in_kind : something is wrong whatever its size.

    parts : of which it is joined, none for a single change
    """

    changes: Mapping[str, Any]
    words: str
    in_kind: bool = False
    parts: tuple[Candidate, ...] = ()

    def without(self, part: Candidate) -> Candidate:
        """The rest of what is joined."""
        return together([each for each in self.parts if each is not part])


def candidates(scenario: Scenario, *, by_hand: bool = True) -> list[Candidate]:
    """Single changes, repairs, and repairs together: all of them, those wrong in kind, and all but one.

    by_hand : False leaves the single changes out, and repairs that are no two of those wrong in size
    """
    try:
        seen = repairs(scenario, check(scenario.craft, scenario.skein.turns))
        wanted = [
            each for each in seen if any(differs(value_at(scenario, key), value) for key, value in each.changes.items())
        ]
    except BadInput:
        wanted = []
    found = [_repaired([each]) for each in wanted]
    if by_hand:
        found += [Candidate({move.key: move.value}, move.words) for move in hand_moves(scenario)]
    kinds = [each for each in wanted if each.in_kind]
    sizes = [each for each in wanted if not each.in_kind]
    groups: list[list[Repair]] = [kinds, *([*kinds, each] for each in sizes if kinds)]
    groups += [wanted, *([other for other in wanted if other is not each] for each in wanted)]
    if by_hand:
        groups += [[a, b] for i, a in enumerate(sizes) for b in sizes[i + 1 :]]
    found += [_repaired(each) for each in groups if len(each) > 1]
    unique = {tuple(sorted((k, str(v)) for k, v in each.changes.items())): each for each in reversed(found)}
    return list(reversed(unique.values()))


def differs(own: Any, wanted: Any) -> bool:
    """More than a hand can tell: a fiftieth, for numbers that are not near nothing."""
    if isinstance(own, bool) or not isinstance(own, int | float) or not isinstance(wanted, int | float):
        return bool(own != wanted)
    return not math.isclose(own, wanted, rel_tol=0.02, abs_tol=0.1 if abs(own) > 1.0 else 0.005)


def together(parts: Sequence[Candidate]) -> Candidate:
    """All of them; of two that change one thing the first."""
    kept: list[Candidate] = []
    for each in parts:
        if not any(each.changes.keys() & other.changes.keys() for other in kept):
            kept.append(each)
    changes = {key: value for each in kept for key, value in each.changes.items()}
    words = "; ".join(each.words for each in kept)
    return Candidate(changes, words, any(each.in_kind for each in kept), tuple(kept) if len(kept) > 1 else ())


def joined(a: Candidate, b: Candidate) -> Candidate | None:
    """Both changes; None where they change one thing twice."""
    if a.changes.keys() & b.changes.keys():
        return None
    return together([*(a.parts or (a,)), *(b.parts or (b,))])


def _repaired(group: Sequence[Repair]) -> Candidate:
    return together([Candidate(each.changes, each.words, each.in_kind) for each in group])
