"""What margins() answers: plain data, and the same as JSON."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from paddlebar.plain import of_fields
from paddlebar.stability.kinds import Motion
from paddlebar.stability.modes import Mode


@dataclass(frozen=True)
class Other:
    """Another steady motion at the same torque: nose to the right [deg/s], climb [m/s], growth of its fastest growing disturbance [1/s]."""

    body_rate_deg_s: float
    climb_m_s: float
    growth_per_s: float


@dataclass(frozen=True, eq=False)
class RunDownPoint:
    """Steady motion and growth with so many turns left; nan where none was found, `miss` then says by how much [scales].

    climb_m_s, rotor_rpm, body_rate_deg_s : means over a revolution, nose to the right positive;  drift_m_s : over the ground, circling
    tilt_deg : lean of the body;  torque_mn_m : of the skein, unwinding;  modes : fastest growing first, empty where none
    flown_body_rate_deg_s, flown_tilt_deg : mean spin and largest lean of the scenario's own flight about there, nan where it did not come
    others : steady motions that were found there besides, steadiest first
    """

    turns_left: float
    torque_mn_m: float
    worst_growth_per_s: float
    worst_growth_without_bar_per_s: float
    climb_m_s: float
    rotor_rpm: float
    body_rate_deg_s: float
    drift_m_s: float
    tilt_deg: float
    miss: float
    modes: tuple[Mode, ...]
    flown_body_rate_deg_s: float
    flown_tilt_deg: float
    others: tuple[Other, ...]


@dataclass(frozen=True, eq=False)
class Margins:
    """What holds for a craft: see the fields.

    verdict      : "stabilises" (all modes decay), "slows the fall" (grows, slower than without), "no help", "reverses" (grows faster, and a flight
        from its own launch is out of control sooner), against the bar disconnected (see verdict.py), at `turns_at_verdict`; without a bar "no help"
    worst_growth_per_s, worst_growth_without_bar_per_s : growth of the fastest growing mode there [1/s]; nan where no steady motion was found
    motion, motion_without_bar : the steady motions that these belong to, None where none was found; of several without bar the one most like
    modes        : all modes there, errors of their exponents included
    caution      : "" or why the verdict says less than it seems to
    gain_margin  : factors (down, up) on the gain at which the verdict changes;  lead_margin_deg : by how much the lead may go back and
        forward [deg, negative and positive];  mass_margin_g : each tip mass likewise [g]. None where the verdict does not change within
        the limits of the search (gain_lead.py) or no steady motion was found; `margin_reasons` says which
    along_rundown : from the turns at launch to none
    worst_along_rundown_per_s, turns_at_worst : largest growth on the whole run-down and where
    error_per_s  : estimated numerical error of worst_growth_per_s
    """

    verdict: str
    sentence: str
    caution: str
    motion: Motion | None
    motion_without_bar: Motion | None
    turns_at_verdict: float
    worst_growth_per_s: float
    worst_growth_without_bar_per_s: float
    error_per_s: float
    modes: tuple[Mode, ...]
    modes_without_bar: tuple[Mode, ...]
    gain_margin: tuple[float | None, float | None]
    lead_margin_deg: tuple[float | None, float | None]
    mass_margin_g: tuple[float | None, float | None]
    margin_reasons: dict[str, tuple[str, str]]
    along_rundown: tuple[RunDownPoint, ...]
    worst_along_rundown_per_s: float
    turns_at_worst: float
    wall_s: float

    def to_json(self) -> dict[str, Any]:
        """Plain data; None for what does not exist."""
        return of_fields(self)
