"""What kind of steady motion it is, and which of several is the one to compare with: growth of a hover and of a forward flight say little of each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from paddlebar.stability.equilibrium import Equilibrium

# Own choices, no source: what a builder would call staying over a place, and what he would call flying off.
LEVEL_M_S, OFF_M_S, OFF_DEG, CIRCLING_DEG_S = 0.3, 1.3, 12.0, 20.0
# by how much of each two motions differ alike: climb and drift [m/s], lean [deg], spin [deg/s]
ALIKE: Final = (0.3, 0.5, 5.0, 60.0)


@dataclass(frozen=True)
class Motion:
    """Means over a revolution; body_rate_deg_s : nose to the right positive;  drift_m_s : over the ground."""

    kind: str
    climb_m_s: float
    drift_m_s: float
    tilt_deg: float
    body_rate_deg_s: float


def kind(e: Equilibrium) -> str:
    """In words: "hovers", "climbs in circles", "flies off", "sinks in its own wake" ..."""
    if e.in_own_wake:
        return "sinks in its own wake"
    if e.drift_m_s > OFF_M_S or e.tilt_deg > OFF_DEG:
        return "flies off"
    does = "climbs" if e.climb_m_s > LEVEL_M_S else "sinks" if e.climb_m_s < -LEVEL_M_S else "hovers"
    if abs(e.body_rate_deg_s) < CIRCLING_DEG_S:
        return does
    return f"{does} in circles" if e.drift_m_s > LEVEL_M_S else f"{does}, turning"


def motion(e: Equilibrium) -> Motion:
    """The motion of an equilibrium."""
    return Motion(kind(e), e.climb_m_s, e.drift_m_s, e.tilt_deg, e.body_rate_deg_s)


def comparable(a: Motion, b: Motion) -> bool:
    """Do both stay about where they are, or both fly off, or both sink in their wake?"""
    apart = ("flies off", "sinks in its own wake")
    return a.kind == b.kind or (a.kind not in apart and b.kind not in apart)


def nearest(found: Sequence[Equilibrium], to: Equilibrium | None) -> Equilibrium | None:
    """Of several motions the one that is most like another; the first where there is nothing to be like."""
    if to is None or not found:
        return next(iter(found), None)
    there = _figures(to)
    return min(
        found, key=lambda e: sum(((x - y) / size) ** 2 for x, y, size in zip(_figures(e), there, ALIKE, strict=True))
    )


def _figures(e: Equilibrium) -> tuple[float, float, float, float]:
    return e.climb_m_s, e.drift_m_s, e.tilt_deg, e.body_rate_deg_s
