"""How far gain, lead and tip mass of a bar may move before its verdict changes: by root finding on the growth rate."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from scipy.optimize import brentq

from paddlebar.errors import BadInput, CannotTrim
from paddlebar.margins.verdict import Branch, Change, outside

# Where the search goes, outward from the design; growing steps, so that an island narrower than a step beyond the first is passed over
GAIN_FACTORS = (0.9, 0.8, 0.65, 0.5, 0.35, 0.2, 0.1, 0.0), (1.1, 1.25, 1.45, 1.7, 2.1, 2.6, 3.2, 4.0)
LEAD_DEG = (4.0, 8.0, 14.0, 22.0, 32.0, 45.0, 60.0, 75.0, 90.0)
_HALVINGS = 3  # of a step, and as many tries to go on from there, after which no steady motion was found
MASS_FACTORS = (0.1, 0.2, 0.35, 0.55, 0.8, 1.0), (0.1, 0.25, 0.45, 0.7, 1.0, 1.5, 2.0)


@dataclass(frozen=True)
class Edge:
    """Where a verdict changes.

    value  : of the parameter there, None if it does not change within the limits
    reason : why there is none: "same verdict up to ...", "no steady motion beyond ..."
    """

    value: float | None
    reason: str


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

    def far(value: float) -> float:
        return outside(which, *branch.growth(change(value)))

    inside = start
    try:
        for point in points:
            for _ in range(_HALVINGS):
                if inside == point:
                    break
                before = branch.near, branch.near_without
                there, at = _reach(far, inside, point)
                if there is None:
                    return Edge(None, f"no steady motion found beyond {inside:.4g}, same verdict up to there")
                if there >= 0.0:
                    branch.near, branch.near_without = before
                    if far(inside) >= 0.0:
                        return Edge(inside, "")
                    try:
                        return Edge(float(brentq(far, inside, at, xtol=tolerance, rtol=1e-6)), "")
                    except CannotTrim:
                        return Edge(None, f"no steady motion found between {inside:.4g} and {at:.4g}")
                inside = at
            if inside != point:
                return Edge(None, f"no steady motion found beyond {inside:.4g}, same verdict up to there")
        return Edge(None, f"same verdict up to {inside:.4g}")
    finally:
        branch.near, branch.near_without = home


def _reach(far: Callable[[float], float], inside: float, point: float) -> tuple[float | None, float]:
    """The function at a point, or as far towards it as a steady motion can be followed by halving the step; and where."""
    for _ in range(_HALVINGS):
        try:
            return far(point), point
        except (CannotTrim, BadInput):
            point = 0.5 * (inside + point)
    return None, inside


@dataclass(frozen=True)
class BarMargins:
    """Edges (down, up) of gain (factor), lead (degrees either way) and tip mass (g each either way)."""

    gain: tuple[Edge, Edge]
    lead: tuple[Edge, Edge]
    mass: tuple[Edge, Edge]


def bar_margins(branch: Branch, which: str, step: Callable[[], None] = lambda: None) -> BarMargins:
    """All margins of a bar at a design.

    branch : starts from the design;  which : the verdict of the design;  step : called after each edge
    """
    tip = branch.scenario.craft.bar.tip_mass_g
    unit = max(tip, 0.5)  # a bar without tip masses may still be given some

    def gain(value: float) -> Change:
        return Change(gain=value)

    def lead(value: float) -> Change:
        return Change(lead_deg=value)

    def mass(value: float) -> Change:
        return Change(mass_g=value)

    def find(change: Callable[[float], Change], start: float, points: Iterable[float], tolerance: float) -> Edge:
        found = edge(branch, which, change, start, points, tolerance)
        step()
        return found

    return BarMargins(
        gain=(find(gain, 1.0, GAIN_FACTORS[0], 1e-3), find(gain, 1.0, GAIN_FACTORS[1], 1e-3)),
        lead=(find(lead, 0.0, [-v for v in LEAD_DEG], 0.02), find(lead, 0.0, LEAD_DEG, 0.02)),
        mass=(
            find(mass, 0.0, [-tip * v for v in MASS_FACTORS[0]] if tip > 0.0 else [], 1e-3),
            find(mass, 0.0, [unit * v for v in MASS_FACTORS[1]], 1e-3),
        ),
    )
