"""The answer for a craft: run-down, modes, verdict, margins."""

from __future__ import annotations

import math
import time as clock
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from paddlebar.craft.build import Numbers, build
from paddlebar.files.scenario import Scenario
from paddlebar.flight.let_go import launched, launches
from paddlebar.progress import SILENT, Progress
from paddlebar.stability.branches import Place, along, one_of_each, with_turns_left
from paddlebar.stability.equilibrium import Equilibrium
from paddlebar.stability.floquet import Floquet, floquet
from paddlebar.stability.gain_lead import BarMargins, Edge, bar_margins
from paddlebar.stability.kinds import motion, nearest
from paddlebar.stability.modes import modes
from paddlebar.stability.own_flight import own_flight, soonest_lost, unlinked
from paddlebar.stability.result import Margins, Other, RunDownPoint
from paddlebar.stability.return_map import ReturnMap, freeze
from paddlebar.stability.verdict import (
    FOLLOWED,
    NO_HELP,
    REVERSES,
    STABILISES,
    Branch,
    by_flights,
    disconnected,
    verdict,
)
from paddlebar.stability.words import caution, sentence

POINTS = 9  # along the run-down, both ends included
MIDDLE = 0.5  # share of the turns at which the verdict is given: on the plateau of a skein's torque


def margins(
    scenario: Scenario, *, progress: Progress = SILENT, points: int = POINTS, with_edges: bool = True
) -> Margins:
    """Steady motions along the run-down, modes, verdict of the bar and its margins.

    scenario : craft and turns; wind, room and mishaps do not enter: open still air; nor does the launch, but for the flight laid beside
    progress : told of each piece of work
    points   : along the run-down;  with_edges : False leaves gain, lead and mass margins out, half of the work
    Returns  : Margins; what could not be found is nan or None
    Raises   : BadInput where only building the craft shows that the input is impossible
    Source   : G. Floquet (1883) on the one right-hand side; see floquet.py, equilibrium.py, verdict.py
    Checked  : tests/stability/, tests/reference/test_floquet_flights.py, test_floquet_closed_forms.py
    """
    start = clock.perf_counter()
    numbers = build(scenario)
    full = float(numbers.params[0]["skein"]["turns"])
    turns = [float(v) for v in np.linspace(full, 0.0, points)]
    progress.start(points + 4)
    progress.step("flying it from its own launch")
    own = own_flight(scenario)
    free = disconnected(numbers)
    with ThreadPoolExecutor(1) as pool:  # compiled code releases Python's lock
        beside = pool.submit(along, free, turns, few=True) if free is not None else None
        places = along(numbers, turns, own.at, progress=progress)
        middle = _middle(places)
        with_bar = one_of_each(places, middle)
        # of the same kind as far as there is one: what flies off without its bar says little of what hovers with it
        apart = (
            [nearest(place.found, e) for place, e in zip(beside.result(), with_bar, strict=True)]
            if beside is not None
            else []
        )
        without = apart or with_bar
    progress.step("disturbances of steady flight")
    found = [floquet(e.map, e.x, check=k == middle) if e is not None else None for k, e in enumerate(with_bar)]
    rundown = tuple(
        _point(t, place, e, f, apart, own.around(t, 0.5 * full / max(1, points - 1)))
        for t, place, e, f, apart in zip(turns, places, with_bar, found, without, strict=True)
    )
    here, there = rundown[middle].worst_growth_per_s, rundown[middle].worst_growth_without_bar_per_s
    edges = None
    words = grown = NO_HELP
    beside_s = math.nan
    if free is not None and math.isfinite(here):
        reference = without[middle]
        words = grown = verdict(here, there) if math.isfinite(there) else (STABILISES if here < 0.0 else NO_HELP)
        # said only where flights say so too: growth may be of a motion that the craft does not come to
        if words == STABILISES:
            progress.step("flying it let go 3 degrees off")
            own = soonest_lost([own, *(own_flight(launched(scenario, each)) for each in launches(scenario)[1:])])
        if words == REVERSES or (words == STABILISES and own.lost_at_turns > turns[middle]):
            progress.step("flying it without its bar")
            beside_s = own_flight(unlinked(scenario)).controlled_s
            words = by_flights(words, own.controlled_s, beside_s)
        if reference is not None and with_edges:
            # all modes decay with the bar or they do not: growth without it is not asked
            near, compare = places[middle].found[:FOLLOWED], grown != STABILISES
            edges = bar_margins(Branch(scenario, turns[middle], near, reference, compare), grown, progress)
    growths = [p.worst_growth_per_s for p in rundown]
    top = int(np.nanargmax(growths)) if np.isfinite(growths).any() else middle
    at, own_motion, reference = found[middle], with_bar[middle], without[middle]
    motions = tuple(motion(e) if e is not None else None for e in (own_motion, reference))
    return Margins(
        verdict=words,
        sentence=sentence(words, free is not None, turns[middle], here, there, *motions),
        caution=caution(rundown[middle], own_motion, reference, own, math.nan if words == REVERSES else beside_s),
        motion=motions[0],
        motion_without_bar=motions[1],
        turns_at_verdict=turns[middle],
        worst_growth_per_s=here,
        worst_growth_without_bar_per_s=there,
        error_per_s=float(at.error[0]) if at is not None else math.nan,
        modes=modes(at) if at is not None else (),
        modes_without_bar=modes(floquet(reference.map, reference.x)) if reference is not None else (),
        gain_margin=_values(edges, "gain"),
        lead_margin_deg=_values(edges, "lead"),
        mass_margin_g=_values(edges, "mass"),
        margin_reasons={
            name: (pair[0].reason, pair[1].reason) for name, pair in (vars(edges).items() if edges else ())
        },
        along_rundown=rundown,
        worst_along_rundown_per_s=growths[top],
        turns_at_worst=turns[top],
        wall_s=clock.perf_counter() - start,
    )


def half_way(scenario: Scenario, numbers: Numbers) -> tuple[float, Place]:
    """Turns left at which the verdict is given, and the steady motions there: those of margins().

    scenario, numbers : of the craft as it is, numbers from craft.build
    """
    turns = MIDDLE * float(numbers.params[0]["skein"]["turns"])
    return turns, with_turns_left(ReturnMap(freeze(numbers, turns)), own_flight(scenario).at(turns))


def _middle(places: list[Place]) -> int:
    """The point for the verdict: half the turns left, or the nearest to it that has a steady motion."""
    wanted = MIDDLE * (len(places) - 1)
    order = sorted(range(len(places)), key=lambda k: abs(k - wanted))
    return next((k for k in order if places[k].found), order[0])


def _point(
    turns: float,
    place: Place,
    e: Equilibrium | None,
    with_bar: Floquet | None,
    apart: Equilibrium | None,
    flown: tuple[float, float],
) -> RunDownPoint:
    other = apart.growth if apart is not None else math.nan
    if e is None or with_bar is None:
        nan = math.nan
        return RunDownPoint(turns, nan, nan, other, nan, nan, nan, nan, nan, place.miss, (), *flown, ())
    torque = 1e3 * float(e.map.numbers.params[0]["skein"]["steady"])
    figures = (e.climb_m_s, e.rotor_rpm, e.body_rate_deg_s, e.drift_m_s, e.tilt_deg, e.residual)
    others = tuple(Other(o.body_rate_deg_s, o.climb_m_s, o.growth) for o in place.found if o is not e)
    return RunDownPoint(turns, torque, with_bar.worst, other, *figures, modes(with_bar), *flown, others)


def _values(edges: BarMargins | None, name: str) -> tuple[float | None, float | None]:
    if edges is None:
        return None, None
    pair: tuple[Edge, Edge] = getattr(edges, name)
    return pair[0].value, pair[1].value
