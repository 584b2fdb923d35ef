"""A craft before its first flight: weights, balance, strength, drive, clearance, doubtful entries; and what to do about each."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from paddlebar.checks.bearing import strength_findings
from paddlebar.checks.clearance import Gap, clearance_findings, clearances
from paddlebar.checks.doubts import doubtful_entries
from paddlebar.checks.drive import Drive, drive, drive_findings
from paddlebar.checks.findings import ORDER, Finding
from paddlebar.checks.lead import lead_findings
from paddlebar.checks.shaking import Shaking, shaking, shaking_findings
from paddlebar.checks.tail import TailHold, tail_findings, tail_hold
from paddlebar.checks.weighing import weight_findings
from paddlebar.checks.weights import Balance, Weight, balance, weight_table
from paddlebar.craft.build import build
from paddlebar.craft.motors import motor_of
from paddlebar.craft.strength.factors import Strength, stick_strength
from paddlebar.errors import BadInput
from paddlebar.files.craft import Craft
from paddlebar.files.scenario import Air, Launch, Run, Scenario, Winding
from paddlebar.plain import plain

MOST_TURNS = 1e5  # as in the scenario file


@dataclass(frozen=True)
class Check:
    """What was looked at. Each field has its own class with units.

    craft    : its name;  weights : a row each, heaviest first;  balance : centre of gravity and inertia;  strength : of stick and boom
    drive    : turns, torque, energy, speeds, cord;  tail : its sense and what it holds;  shaking : blades and bar out of balance;  gaps : nearest first
    findings : worst first
    """

    craft: str
    weights: tuple[Weight, ...]
    balance: Balance
    strength: Strength
    drive: Drive
    tail: TailHold
    shaking: tuple[Shaking, ...]
    gaps: tuple[Gap, ...]
    findings: tuple[Finding, ...]

    @property
    def sound(self) -> bool:
        """True if nothing would break, slip, strike or fail to fly."""
        return all(finding.severity != "stop" for finding in self.findings)

    def to_json(self) -> dict[str, Any]:
        """Everything as plain data; None for what does not exist or has no limit."""
        s, margins = self.strength, ("buckling", "bending", "torsion", "stick_margin", "stick_margin_low")
        strength = {
            "stick": s.stick.part if s.stick is not None else None,
            "boom": s.boom.part if s.boom is not None else None,
            **{key: getattr(s, key) for key in margins},
            **{
                key: getattr(s, key)
                for key in ("torque_nm", "pull_n", "offset_m", "length_m", "cord_moment_nm", "twist_rad", "unknown")
            },
            "factors": s.factors,
            "materials": s.materials,
        }
        found = {
            "craft": self.craft,
            "sound": self.sound,
            "weights": self.weights,
            "balance": self.balance,
            "strength": strength,
            "drive": self.drive,
            "tail": self.tail,
            "shaking": self.shaking,
            "clearance": self.gaps,
            "findings": self.findings,
        }
        return {key: plain(value) for key, value in found.items()}


def check(craft: Craft, turns: float | None = None) -> Check:
    """Look a craft over before it flies.

    craft   : description (file units)
    turns   : wound [turns]; None: 85 % of breaking turns, and no more than is known of its torque. More than it takes, or than is known, is a
        finding, and loads are then those of the most
    Returns : Check, at 20 degrees at sea level
    Raises  : BadInput for turns that are none, a section table that cannot be read, a head that cannot carry so many blades
    Source  : each part names its own
    """
    if turns is not None and not (math.isfinite(turns) and 0.0 <= turns <= MOST_TURNS):
        raise BadInput(f"turns: input should be 0 to {MOST_TURNS:g}, found {turns:g}")
    motor = motor_of(craft.skein)
    wound = motor.safe if turns is None else turns
    # only the numbers of the craft itself are asked for, so that the inflow's shape would be work for nothing
    still = Run(radial_inflow="uniform")
    numbers = build(Scenario(craft=craft, skein=Winding(turns=0.0), launch=Launch(height_m=1.0), air=Air(), run=still))
    level = balance(craft, numbers)
    driven = drive(craft, numbers, wound, level.rotor_kg_m2 + level.bar_kg_m2)
    if math.isfinite(driven.hover_torque_nm):
        level = balance(craft, numbers, driven.hover_torque_nm)
    forward, right, up = level.cg_mm
    held = tail_hold(craft, numbers, (1e-3 * forward, 1e-3 * right, -1e-3 * up), driven.hover_rpm, driven.full_rpm)
    strength = stick_strength(craft, min(wound, motor.known))
    rpm = driven.full_rpm if math.isfinite(driven.full_rpm) else driven.hover_rpm
    shaken = shaking(craft, rpm, driven.weight_n) if math.isfinite(rpm) else ()
    gaps = clearances(craft)
    findings = [
        *weight_findings(craft, level),
        *drive_findings(craft, driven),
        *tail_findings(craft, held),
        *lead_findings(craft, driven, level),
        *strength_findings(craft, strength),
        *shaking_findings(craft, shaken),
        *clearance_findings(gaps),
        *doubtful_entries(craft),
    ]
    findings.sort(key=lambda finding: ORDER.index(finding.severity))  # stable: the order above within each
    return Check(craft.name, weight_table(craft), level, strength, driven, held, shaken, gaps, tuple(findings))
