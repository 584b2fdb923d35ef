"""How far gain, lead and tip mass of a bar may move before its verdict changes: by root finding on the growth rate."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

from scipy.optimize import brentq

from paddlebar.errors import BadInput, CannotTrim
from paddlebar.progress import SILENT, Progress
from paddlebar.stability.equilibrium import Equilibrium
from paddlebar.stability.verdict import Branch, Change, outside

# Where the search goes, outward from the design; growing steps, so that an island narrower than a step beyond the first is passed over
GAIN_FACTORS = (0.9, 0.8, 0.65, 0.5, 0.35, 0.2, 0.1, 0.0), (1.1, 1.25, 1.45, 1.7, 2.1, 2.6, 3.2, 4.0)
LEAD_DEG = (4.0, 8.0, 14.0, 22.0, 32.0, 45.0, 60.0, 75.0, 90.0)
STEP = 0.02  # 1/s: a growth that is so far past zero next to the edge has not passed it, but stepped; own choice
ENDS = "that steady flight ends there"
MASS_FACTORS = (0.1, 0.2, 0.35, 0.55, 0.8, 1.0), (0.1, 0.25, 0.45, 0.7, 1.0, 1.5, 2.0)


@dataclass(frozen=True)
class Edge:
    """Where a verdict changes.

    value  : of the parameter there, None if it does not change within the limits
    reason : why there is none: "same verdict up to ...", "no steady motion beyond ..."; where there is one, ENDS if it is not a growth
        that passes zero but the last steady motion with this verdict that ends
    """

    value: float | None
    reason: str


def _same(value: float) -> str:
    return f"same verdict up to {value:.4g}"


def edge(
    branch: Branch,
    which: str,
    change: Callable[[float], Change],
    start: float,
    points: Iterable[float],
    tolerance: float,
) -> Edge:
    """Nearest edge of a verdict in one direction.

    branch    : at the design;  which : the verdict
    change    : from the parameter's value;  start : its value at the design;  points : outward from there;  tolerance : on the value
    Source    : R. P. Brent (1973) through scipy.optimize.brentq, bracketed by continuation
    """
    home = branch.near, branch.near_without
    inside, far_inside = start, math.nan
    try:
        for point in points:
            before = branch.near, branch.near_without
            try:
                there = outside(which, *branch.growth(change(point)))
            except (CannotTrim, BadInput):
                return Edge(None, f"no steady motion found at {point:.4g}, {_same(inside)}")
            if there >= 0.0:
                found = _root(branch, which, change, (inside, far_inside), (point, there), before, tolerance)
                if found.value is None or abs(found.value - point) > tolerance:
                    return found
                there = _at_last(branch, which, change(point))
                if there >= 0.0:
                    return found
            inside, far_inside = point, there
        return Edge(None, _same(inside))
    finally:
        branch.near, branch.near_without = home


def _at_last(branch: Branch, which: str, change: Change) -> float:
    """How far outside it is at a point up to which the verdict holds [1/s].

    Outside it was on another motion: the step there was too long for this one, or what there is anew is found only from rest (a tip mass
    that is gone takes its drag along).
    """
    far = math.inf
    for near in (branch.near, ()):
        branch.near = near
        try:
            far = outside(which, *branch.growth(change))
        except CannotTrim:
            continue
        if far < 0.0:
            break
    return far


def _root(
    branch: Branch,
    which: str,
    change: Callable[[float], Change],
    inner: tuple[float, float],
    outer: tuple[float, float],
    near: tuple[tuple[Equilibrium, ...], Equilibrium | None],
    tolerance: float,
) -> Edge:
    """The edge between a point inside and one outside, on the steady motion of the inside; where that ends the verdict changes too.

    inner, outer : the value there and how far outside it is [1/s], nan if that is still to be found
    """
    inside, (point, there) = inner[0], outer
    known = {value: size for value, size in (inner, outer) if not math.isnan(size)}
    beyond: list[tuple[float, float]] = []  # values outside and how far outside they are [1/s]

    def far(value: float) -> float:
        nonlocal near
        if value in known:
            return known[value]
        branch.near, branch.near_without = near
        try:
            value_there = outside(which, *branch.growth(change(value), jump=False))
        except CannotTrim:
            value_there = max(there, 2.0 * STEP)
        if value_there < 0.0:
            near = branch.near, branch.near_without
        else:
            beyond.append((value, value_there))
        known[value] = value_there
        return value_there

    if far(inside) >= 0.0:
        return Edge(inside, "")
    value = float(brentq(far, inside, point, xtol=tolerance, rtol=1e-6))
    branch.near, branch.near_without = near  # the last inside
    close = [size for at, size in beyond if abs(at - value) <= 3.0 * tolerance]
    return Edge(value, ENDS if close and min(close) > STEP else "")


@dataclass(frozen=True)
class BarMargins:
    """Edges (down, up) of gain (factor), lead (degrees either way) and tip mass (g each either way)."""

    gain: tuple[Edge, Edge]
    lead: tuple[Edge, Edge]
    mass: tuple[Edge, Edge]


def bar_margins(branch: Branch, which: str, progress: Progress = SILENT) -> BarMargins:
    """All margins of a bar at a design, looked for side by side on all processors.

    branch : starts from the design;  which : the verdict of the design;  progress : told of each edge
    """
    tip = branch.scenario.craft.bar.tip_mass_g
    unit = max(tip, 0.5)  # a bar without tip masses may still be given some
    lighter, heavier = [-tip * v for v in MASS_FACTORS[0]] if tip > 0.0 else [], [unit * v for v in MASS_FACTORS[1]]

    def gain(value: float) -> Change:
        return Change(gain=value)

    def lead(value: float) -> Change:
        return Change(lead_deg=value)

    def mass(value: float) -> Change:
        return Change(mass_g=value)

    searches: list[tuple[Callable[[float], Change], float, Iterable[float], float]] = [
        (gain, 1.0, GAIN_FACTORS[0], 5e-3),
        (gain, 1.0, GAIN_FACTORS[1], 5e-3),
        (lead, 0.0, [-v for v in LEAD_DEG], 0.1),
        (lead, 0.0, LEAD_DEG, 0.1),
        (mass, 0.0, lighter, 2e-3),
        (mass, 0.0, heavier, 2e-3),
    ]
    progress.start(len(searches))
    found = []
    # Threads: nearly all the time is spent in compiled code, which releases Python's lock.
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        for each in [pool.submit(edge, branch.twin(), which, *search) for search in searches]:
            progress.step("how far gain, lead and tip mass may move")
            found.append(each.result())
    if found[4].reason == _same(-tip):
        found[4] = Edge(None, "the same without tip masses")
    return BarMargins(gain=(found[0], found[1]), lead=(found[2], found[3]), mass=(found[4], found[5]))
