"""Handbook formulas of slender rods: cross-sections, buckling, bending, torsion. SI throughout, plain numbers."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from scipy.optimize import brentq

_TERMS = range(1, 40, 2)  # the series fall as n^-5 and as exp(-n): twenty terms are exact to the last digit


@dataclass(frozen=True)
class Section:
    """A cross-section.

    area    : [m^2];  inertia : second moment about its weaker axis [m^4];  modulus : inertia over the outermost fibre [m^3]
    torsion : J, twist = T L / (G J) [m^4];  torsion_modulus : greatest shear stress = T / torsion_modulus [m^3]
    round   : bending in two planes adds as vectors; with corners both stresses meet in one
    """

    area: float
    inertia: float
    modulus: float
    torsion: float
    torsion_modulus: float
    round: bool


def tube_section(outer: float, inner: float = 0.0) -> Section:
    """Round rod or tube, diameters [m]. I = pi (D^4 - d^4)/64, J = 2 I, moduli I/(D/2), J/(D/2). Source : any handbook [C]."""
    inertia = math.pi / 64.0 * (outer**4 - inner**4)
    half = 0.5 * outer
    area = math.pi / 4.0 * (outer**2 - inner**2)
    return Section(area, inertia, inertia / half, 2.0 * inertia, 2.0 * inertia / half, True)


def rectangle_section(width: float, thickness: float) -> Section:
    """Solid rectangle, sides [m]; the weaker axis lies along the longer side.

    I = a b^3/12, W = a b^2/6 with a >= b;  J = beta a b^3, greatest shear T/(alpha a b^2), see saint_venant
    """
    a, b = max(width, thickness), min(width, thickness)
    alpha, beta = saint_venant(a / b)
    return Section(a * b, a * b**3 / 12.0, a * b * b / 6.0, beta * a * b**3, alpha * a * b * b, False)


@lru_cache(maxsize=256)
def saint_venant(ratio: float) -> tuple[float, float]:
    """Coefficients alpha (shear) and beta (twist) of a twisted rectangle from its sides' ratio a/b >= 1 [1].

    beta  = 1/3 [1 - 192/pi^5 (b/a) sum tanh(n pi a/2b)/n^5],  n = 1, 3, 5, ...
    alpha = beta / [1 - 8/pi^2 sum 1/(n^2 cosh(n pi a/2b))]
    Source : Saint-Venant's series as in S. Timoshenko, J. N. Goodier, Theory of Elasticity, from memory
    Checked: tests/craft/strength/test_beams.py against that book's table (.208, .141 for a square)
    """
    half = 0.5 * math.pi * ratio
    twist = sum(math.tanh(n * half) / n**5 for n in _TERMS)
    beta = (1.0 - 192.0 / (math.pi**5 * ratio) * twist) / 3.0
    edge = sum(1.0 / (n * n * math.cosh(n * half)) for n in _TERMS if n * half < 700.0)
    return beta / (1.0 - 8.0 / math.pi**2 * edge), beta


def euler_load(stiffness: float, length: float) -> float:
    """Load at which a rod with free-turning ends buckles, P = pi^2 E I / L^2 [N]; stiffness E I [N m^2], length [m].

    Free-turning ends, because stick and skein are bow and string: the pull always runs from hook to hook, and nothing
    keeps the ends of the stick from turning. Source : L. Euler; references section 7 [C]
    """
    return math.pi**2 * stiffness / length**2


def euler_with_torque(pull: float, torque: float, stiffness: float, length: float) -> float:
    """Factor by which pull [N] and torque [N m] together may grow before a rod buckles [1]; inf without load.

    n P/Pcr + (n M/Mcr)^2 = 1, Mcr = 2 pi E I / L
    Source : A. G. Greenhill; Timoshenko and Gere; references section 7 [C]
    """
    b = pull / euler_load(stiffness, length)
    a = (torque * length / (2.0 * math.pi * stiffness)) ** 2
    below = b + math.sqrt(b * b + 4.0 * a)
    return 2.0 / below if below > 0.0 else math.inf


def secant(pull: float, offset: float, stiffness: float, length: float) -> float:
    """Greatest bending moment of a rod pressed beside its axis, M = P e sec((pi/2) sqrt(P/Pcr)) [N m]; inf from Pcr on.

    pull : P [N];  offset : e [m];  stiffness : E I [N m^2];  length : [m]
    Source : secant formula, Timoshenko and Gere; references section 7 [C]
    """
    share = pull / euler_load(stiffness, length)
    if share >= 1.0:
        return math.inf
    return pull * offset / math.cos(0.5 * math.pi * math.sqrt(share))


def pressed_and_bent(
    section: Section,
    *,
    pull: float,
    offset: float,
    moment: float,
    length: float,
    youngs: float,
    compression: float,
    bending: float,
) -> float:
    """Factor by which all loads may grow until the rod fails, n in  n P/(A sc) + [M(n P) + n M0]/(W sb) = 1 [1].

    pull : P along the rod [N], acting `offset` [m] beside it;  moment : M0 from other loads [N m];  M(P) : secant formula
    length : [m];  youngs : [Pa];  compression, bending : strengths sc, sb [Pa]
    Returns: inf without load; never above the buckling load
    Source : straight-line interaction of pressure and bending, common practice, no source
    """
    if pull <= 0.0:
        return bending * section.modulus / moment if moment > 0.0 else math.inf
    stiffness = youngs * section.inertia
    most = euler_load(stiffness, length) / pull
    plain = pull / (section.area * compression) + moment / (section.modulus * bending)
    if offset <= 0.0:
        return min(most, 1.0 / plain)

    def used(n: float) -> float:
        return n * plain + secant(n * pull, offset, stiffness, length) / (section.modulus * bending) - 1.0

    # at the buckling load the secant is without bound, so the root lies below
    return float(brentq(used, 0.0, most * (1.0 - 1e-12), xtol=1e-9, rtol=1e-9))
