"""The several steady motions that a craft has at one torque, and how they go on while its torque or its bar changes.

A light craft may have four or five: nose kept where it is by the fin, circling closer or wider, turning the other way, sinking in its own
wake. They hang together: followed while the tail is geared up and down they turn round folds into each other, and each passing of
the true ratio is one of them. Small disturbances of each are a question of their own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers
from paddlebar.errors import CannotTrim
from paddlebar.progress import SILENT, Progress
from paddlebar.stability.continuation import follow, returns
from paddlebar.stability.equilibrium import (
    UPRIGHT_DEG,
    Equilibrium,
    Guess,
    attempt,
    distinct,
    equilibrium,
    from_rest,
    steadiest,
)
from paddlebar.stability.return_map import ReturnMap, freeze
from paddlebar.stability.starts import hover_inflow

Array = NDArray[np.float64]

LOOKING = "looking for steady flight along the run-down"
MOST = 4  # steady motions followed at once: the steadiest
LEAP = 0.5  # of scales, some 30 degrees of spin a second: what Newton moves further than that may have changed to another branch
_REACH = 0.4  # share by which it is geared up and down
_COARSE = 24  # steps a revolution while a branch is only followed; what is found is searched with the full number
_STEPS = 60  # along a branch either way
_SINK = (
    1.3  # times the hover's inflow: sinking faster than that a branch is left, no craft let go from rest comes there
)
_FOLLOWED = 60  # steps along a branch from one number of turns to the next


@dataclass(frozen=True, eq=False)
class Place:
    """Steady motions at one torque, none to several, steadiest first; miss : nearest miss in scales where there is none, else 0."""

    found: tuple[Equilibrium, ...]
    miss: float = 0.0


def steady_motions(map_: ReturnMap, starts: Iterable[Array] = ()) -> Place:
    """All steady motions of a frozen craft that can be found.

    map_   : of numbers from return_map.freeze()
    starts : guesses (n,) besides those that a flight from rest gives
    """
    found = [e for start in starts if (e := attempt(map_, start)[0]) is not None]
    more, miss = from_rest(map_)
    found = distinct([*found, *more])
    first = steadiest(found)
    if first is None:
        return Place((), miss)
    return _sorted([*found, *_around(map_, first)])


def with_turns_left(map_: ReturnMap, state: Array | None) -> Place:
    """All steady motions that can be found, looked for from a flight's own state there (state_size,) too, if it has one."""
    if state is None:
        return steady_motions(map_)
    starts = map_.arrived(state), map_.reduced(state)  # each finds some that the other misses
    return steady_motions(map_, [x for x in starts if np.isfinite(x).all()])


def _around(map_: ReturnMap, first: Equilibrium) -> list[Equilibrium]:
    """Steady motions that hang together with the first through another gearing of the tail."""
    p = map_.numbers.params[0]
    # what gears the tail up and down: its cord, its own skein's torque
    turned_by = ((p, "cord_ratio"), (p["tail_skein"], "steady"))
    geared = next(((of, name) for of, name in turned_by if p["tail_mass"] > 0.0 and of[name] > 0.0), None)
    if geared is None:
        return []
    of, name = geared
    own = float(of[name])
    sink = map_.find("velocity_body", 2)
    most = _SINK * hover_inflow(map_)

    def put(change: float) -> None:
        of[name] = own * (1.0 + change)

    def wanted(x: Array) -> bool:
        lean = np.abs(x[:2] * map_.scale[:2]).max() if map_.find("roll") == 0 else 0.0
        return bool(np.degrees(lean) < UPRIGHT_DEG and (sink < 0 or x[sink] * map_.scale[sink] < most))

    try:
        guesses = list(returns(map_.with_steps(_COARSE), first.x, put, _REACH, wanted, _STEPS, first.slope))
    finally:
        put(0.0)
    return [e for guess in guesses if (e := attempt(map_, guess)[0]) is not None]


def _sorted(found: Iterable[Equilibrium]) -> Place:
    """The steadiest first, as steadiest() has it, at most MOST."""
    left = distinct(found)
    hovering = [e for e in left if not e.in_own_wake]
    order = sorted(hovering, key=lambda e: e.growth) or sorted(left, key=lambda e: -e.climb_m_s)
    return Place(tuple(order[:MOST]))


def carried(map_: ReturnMap, near: Iterable[Equilibrium | Guess]) -> Place:
    """What has become of steady motions at neighbouring parameters: those that a few steps of Newton's method find again."""
    found = []
    miss = np.inf
    for e in near:
        if e.x.size == map_.size:
            try:
                found.append(equilibrium(map_, e))
            except CannotTrim as error:
                miss = min(miss, error.residual)
    return _sorted(found) if found else Place((), float(miss))


def _led(map_: ReturnMap, near: Iterable[Equilibrium]) -> list[Equilibrium]:
    """Steady motions followed from the torque that they were found at to that of the map; those that end on the way left out."""
    p = map_.numbers.params[0]
    torque = float(p["skein"]["steady"])

    def put(value: float) -> None:
        p["skein"]["steady"] = value

    found = []
    for e in near:
        if e.x.size != map_.size:
            continue
        try:
            there = equilibrium(map_, e)
            if np.abs(there.x - e.x).max() < LEAP:
                found.append(there)
                continue
        except CannotTrim:
            pass
        try:
            x = follow(
                map_.with_steps(_COARSE),
                e.x,
                put,
                float(e.map.numbers.params[0]["skein"]["steady"]),
                torque,
                _FOLLOWED,
                e.slope,
            )
        finally:
            put(torque)
        if x is not None and (led := attempt(map_, x)[0]) is not None:
            found.append(led)
    return found


def along(
    numbers: Numbers,
    turns: Sequence[float],
    state_at: Callable[[float], Array | None] = lambda _: None,
    few: bool = False,
    progress: Progress = SILENT,
) -> list[Place]:
    """All steady motions along the run-down that can be found.

    turns    : left, falling
    state_at : a flight's own state (state_size,) with so many turns left, None where it has none: one more place to look from
    few      : True for a craft that is only compared with: the two steadiest half-way are followed, no more looked for
    progress : told of each of them
    Returns  : a Place for each. All are looked for half-way (or at the nearest to it that has any) and at the launch, and followed from
        there; where all of them end, one is looked for anew from rest
    """
    maps = [ReturnMap(freeze(numbers, left)) for left in turns]

    def look(k: int) -> Place:
        return with_turns_left(maps[k], state_at(turns[k]))

    middle = 0.5 * (len(maps) - 1)
    places: dict[int, Place] = {}
    for home in sorted(range(len(maps)), key=lambda k: abs(k - middle)):
        places[home] = look(home)
        if places[home].found:
            places[home] = Place(places[home].found[: 2 if few else MOST])
            break
    else:
        return [places[k] for k in range(len(maps))]
    progress.step(LOOKING)

    def come(k: int, back: int) -> None:
        if not (led := _led(maps[k], places[k + back].found)) and k not in places:
            found, miss = from_rest(maps[k])
            led, places[k] = found, Place((), miss)
        if led:
            places[k] = _sorted([*led, *(places[k].found if k in places else ())])

    for k in range(home - 1, -1, -1):
        come(k, 1)
        progress.step(LOOKING)
    if home > 0 and not few:  # at the launch there may be others, which end before the middle
        places[0] = _sorted([*places[0].found, *look(0).found])
    for k in range(1, len(maps)):
        if k != home:
            come(k, -1)
        if k > home:
            progress.step(LOOKING)
    return [places[k] for k in range(len(maps))]


def one_of_each(places: Sequence[Place], home: int) -> list[Equilibrium | None]:
    """One steady motion for each of some neighbouring places, None where there is none.

    home : the place to begin with: its steadiest is taken. To either side the same one goes on as long as it is there and stable; else
        the steadiest takes its place, so that a line along the run-down steps only where it must
    """
    chosen: list[Equilibrium | None] = [None] * len(places)
    chosen[home] = next(iter(places[home].found), None)
    for ks, back in ((range(home + 1, len(places)), -1), (range(home - 1, -1, -1), 1)):
        for k in ks:
            found = places[k].found
            before = chosen[k + back]
            same = None
            if before is not None and found:
                was = before.x
                same = min(found, key=lambda e: float(np.abs(e.x - was).max()))
                if np.abs(same.x - was).max() > LEAP or same.growth >= 0.0:
                    same = None
            chosen[k] = same or next(iter(found), None)
    return chosen
