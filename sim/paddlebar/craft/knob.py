"""What a row of the register of knobs holds (craft/knobs.py), and what can be asked of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any, Final, Literal

from paddlebar.files.craft import Craft
from paddlebar.files.keys import value_at
from paddlebar.files.kinds import BARS, HEADS
from paddlebar.files.scenario import Scenario
from paddlebar.units import parted

Group = Literal["blades", "bar", "rubber", "tail", "balance", "launch", "air"]
Verb = Literal[
    "rank", "improve", "match", "builds"
]  # builds : those of rank, and what differs from one to another of the same
Names = Callable[[Craft], Iterable[str]]
Reach = Callable[[Scenario, float], tuple[float, float]]

NAME: Final = "NAME"  # stands in a key for the name of a part
DIGITS: Final = 4  # significant ones of a changed value: finer than a builder sets anything


@dataclass(frozen=True)
class Size:
    """How much, at a value: a plain amount in the unit of the key, a share of the value [1], or both as independent errors add up."""

    plain: float
    share: float = 0.0

    def of(self, own: float) -> float:
        """In the unit of the key, never negative."""
        return math.hypot(self.plain, self.share * own)


def share(of_value: float) -> Size:
    """A share of the value alone."""
    return Size(0.0, of_value)


def within(low: float, high: float) -> Reach:
    """Between two values, whatever the craft has."""
    return lambda scenario, own: (low, high)


def about(less: float, more: float) -> Reach:
    """So much less to so much more than the craft has."""
    return lambda scenario, own: (own - less, own + more)


def times(least: float, most: float) -> Reach:
    """Between two multiples of what the craft has."""
    return lambda scenario, own: (min(least * own, most * own), max(least * own, most * own))


def always(scenario: Scenario) -> bool:
    """Every craft has it."""
    return True


@dataclass(frozen=True)
class Knob:
    """A number that may be changed.

    key        : dotted, the craft's under craft.; NAME in it stands for each part of `parts`
    group, noun : where it belongs, and what it is called;  more, less : what a hand does for more of it, and for less
    tolerance  : by how much a builder misses what was meant, either way; None for what is never missed, such as a count
    prior      : one standard deviation of what is believed before a match; None: the tolerance
    search     : from where to where a search may go; it is widened to hold the craft's own value. None: not searched unless named
    small, large : sizes of change, either way, for advice; None: none is offered
    usual      : verbs that vary it where nothing is named; of parts only those that `foremost` names
    offered    : parts whose change is worth advising; the others have no small and large. None: all
    has        : does a flight ask for it? That the key stands in the description is asked besides
    """

    key: str
    group: Group
    noun: str
    more: str
    less: str
    tolerance: Size | None
    prior: Size | None = None
    search: Reach | None = None
    small: Size | None = None
    large: Size | None = None
    usual: tuple[Verb, ...] = ()
    has: Callable[[Scenario], bool] = always
    parts: Names | None = None
    foremost: Names | None = None
    offered: Names | None = None

    def own(self, scenario: Scenario) -> float:
        """The description's value, in the unit of the key."""
        return float(value_at(scenario, self.key))

    def whole(self, scenario: Scenario) -> bool:
        """True for what counts."""
        return isinstance(value_at(scenario, self.key), int)

    def sd(self, own: float) -> float:
        """Standard deviation of the prior of a match; 0 if nothing can be believed."""
        size = self.prior or self.tolerance
        return size.of(own) if size is not None else 0.0

    def range(self, scenario: Scenario) -> tuple[float, float]:
        """From where to where a search goes, three digits; nan without one."""
        if self.search is None:
            return math.nan, math.nan
        own = self.own(scenario)
        low, high = (float(f"{end:.3g}") for end in self.search(scenario, own))
        return min(low, own), max(high, own)


@dataclass(frozen=True)
class Move:
    """One change that a hand can make.

    key, value : for an override;  was : the description's own;  words : what a hand does;  group, size : of the knob, "small" or "large"; "" for a switch
    """

    key: str
    value: Any
    was: Any
    words: str
    group: Group
    size: str = ""

    @property
    def setting(self) -> str:
        """As --set takes it."""
        return f"{self.key}={self.value}" if isinstance(self.value, str) else f"{self.key}={self.value:g}"


@dataclass(frozen=True)
class Switch:
    """A choice that may be made the other way.

    key : dotted;  other : the value that it does not have now;  words : what a hand does then;  has : is there a choice?
    """

    key: str
    group: Group
    noun: str
    other: Callable[[Scenario], Any]
    words: Callable[[Scenario], str]
    has: Callable[[Scenario], bool]

    def move(self, scenario: Scenario) -> Move:
        """The other way."""
        was = value_at(scenario, self.key)
        return Move(self.key, self.other(scenario), was, self.words(scenario), self.group)


def found_in(rows: Iterable[Knob], scenario: Scenario) -> Iterator[Knob]:
    """Rows that a description has, a part's row once a part, with its name in the key."""
    for row in rows:
        if row.parts is None:
            if _there(row, scenario):
                yield row
            continue
        first = tuple(row.foremost(scenario.craft)) if row.foremost is not None else ()
        offered = tuple((row.offered or row.parts)(scenario.craft))
        for name in row.parts(scenario.craft):
            words = {what: getattr(row, what).replace(NAME, name) for what in ("key", "noun", "more", "less")}
            named = replace(row, parts=None, usual=row.usual if name in first else (), **words)
            if name not in offered:
                named = replace(named, small=None, large=None)
            if _there(named, scenario):
                yield named


def moves(knob: Knob, scenario: Scenario) -> Iterator[Move]:
    """Less and more of it, small and large; those that no file could say are among them."""
    own, whole = knob.own(scenario), knob.whole(scenario)
    for size, by in (("small", knob.small), ("large", knob.large)):
        if by is None or by.of(own) == 0.0:
            continue
        for sign, hand in ((1.0, knob.more), (-1.0, knob.less)):
            value = float(f"{own + sign * by.of(own):.{DIGITS}g}")
            if whole:
                value = int(round(own + sign * max(1.0, by.of(own))))
            words = f"{hand}: {knob.noun} from {own:g} to {sized(knob.key, value, 'g')}"
            yield Move(knob.key, value, own, words, knob.group, size)


def short(key: str) -> str:
    """``craft.rotor.collective_deg`` -> "rotor.collective"."""
    return parted(key.removeprefix("craft."))[0]


def unit(key: str) -> str:
    """Unit of a key as one reads it, "" for a plain number."""
    return parted(key)[1].removesuffix("1")


def sized(key: str, value: float, form: str = ".3g") -> str:
    """A value of a key with its unit."""
    return f"{value:{form}} {unit(key)}".rstrip()


def _there(knob: Knob, scenario: Scenario) -> bool:
    return value_at(scenario, knob.key) is not None and not _idle(knob.key, scenario.craft) and knob.has(scenario)


def _idle(key: str, craft: Craft) -> bool:
    """True for a key of head or bar that does nothing with that kind."""
    _, _, rest = key.partition("craft.")
    table, _, word = rest.partition(".")
    if table == "bar":
        bar = BARS[craft.bar.kind]
        return not bar.present or word in bar.idle
    return table == "head" and word in HEADS[craft.head.kind].idle
