"""What the skein gives at so many turns: torque, energy, rotor speed; and whether the tail's cord grips."""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.optimize import brentq

from paddlebar.checks.findings import Finding, graded
from paddlebar.craft.motors import FULL_WIND, Motor, motor_of
from paddlebar.craft.numbers import Numbers, all_up_mass
from paddlebar.errors import BadInput
from paddlebar.files.craft import Craft, skein_mass_g
from paddlebar.physics.cord import GRIPS, drive_loss, grip_torque
from paddlebar.units import GRAVITY, to_si
from paddlebar.whirl_stand import FASTEST_RPM, StandPoint, hover_point, stand

# Torque that level flight at a metre a second takes over that of a hover over one point: 0.83 to 0.88 in steady flights of four craft in this
# program (margins); no source
ADRIFT = 0.88
# Own choices, no source: slack in a cord's grip that a landing or a warm pulley takes away; lift to spare.
GRIP_TO_SPARE, LIFT_TO_SPARE = 1.5, 1.1
ENOUGH_TURNS = 0.5  # of those wound, that should lift the craft
TOY_LIMIT_J = 0.08  # older EN 71-1, rigid projectile, as quoted by trading-standards pages: references section 9 [A]
STEP_RPM = 0.1


@dataclass(frozen=True)
class Drive:
    """The drive at so many turns. What does not exist is nan.

    turns, breaking_turns, known_turns, safe_turns : [turns]; known: up to which the torque is; safe: 85 % of breaking, and known
    torque_nm     : greatest, freshly wound [N m];  energy_j : held, middle of the rubber's loop [J]
    hover_rpm     : at which the rotor lifts its craft;  hover_torque_nm : that the air takes from blades and bar there [N m]
    half_way_nm   : that the rubber gives with half of the turns let out [N m]
    lifts_turns   : of the wound turns those that give the torque to stay up, tail and bearing included, adrift; rubber unwinding [turns]
    full_rpm      : at which the wound skein turns the held craft's rotor;  full_thrust_n : there [N];  weight_n : [N]
    tail_torque_nm : that the cord must carry at full_rpm [N m];  spin_up_nm : while rotor and tail are let go [N m]
    cord_limit_nm : at which it slips [N m];  cord_needed_n : tension of either run that just holds [N];  cord_tension_n : as set [N]
    """

    turns: float
    breaking_turns: float
    known_turns: float
    safe_turns: float
    torque_nm: float
    energy_j: float
    hover_rpm: float
    hover_torque_nm: float
    half_way_nm: float
    lifts_turns: float
    full_rpm: float
    full_thrust_n: float
    weight_n: float
    tail_torque_nm: float
    spin_up_nm: float
    cord_limit_nm: float
    cord_needed_n: float
    cord_tension_n: float


def drive(craft: Craft, numbers: Numbers, turns: float, rotor_inertia: float, temperature_C: float = 20.0) -> Drive:
    """Torque, energy, speeds and grip of the cord.

    craft, numbers : description, and what craft.build makes of it;  turns : wound [turns]
    rotor_inertia  : of all that turns with the shaft, about it [kg m^2]
    Source : physics/motor.py, whirl_stand.py, physics/cord.py (Euler-Eytelwein, references section 7 [C])
    Checked: tests/checks/test_drive.py

    Held still in still air, a rotor takes more torque at a speed than in a climb, so that full_rpm errs low and the cord's load with it
    by what a climb unloads the rotor; the spin-up counts all of the skein's torque as if the air took none.
    """
    p = numbers.params[0]
    motor = motor_of(craft.skein, to_si("temperature_C", temperature_C))
    wound = min(turns, motor.known)
    torque = motor.torque(wound, 1.0)
    try:
        hover: StandPoint | None = hover_point(craft)
    except BadInput:
        hover = None  # a rotor that cannot lift its craft at any speed; said by a finding
    full = _full_wind(craft, torque)
    ratio, limit = float(p["cord_ratio"]), float(p["cord_limit"])
    carried = spin_up = needed = math.nan
    cord = int(p["cord_mode"]) == GRIPS
    tension = to_si("cord_tension_mN", craft.tail.cord_tension_mN) if cord and craft.tail is not None else math.nan
    if cord:
        polar = float(p["tail_polar"])
        spin_up = polar * ratio * torque / (rotor_inertia + ratio**2 * polar)
        carried = 0.0
        if full is not None:
            speed = ratio * full.rpm * math.pi / 30.0
            carried = full.tail_torque_nm - float(
                drive_loss(full.tail_torque_nm, p["cord_loss"], p["tail_friction"], speed)
            )
        needed = _tension(craft, max(carried, spin_up))
    return Drive(
        turns=turns,
        breaking_turns=motor.breaking,
        known_turns=motor.known,
        safe_turns=motor.safe,
        torque_nm=torque,
        energy_j=motor.energy(wound),
        hover_rpm=hover.rpm if hover is not None else math.nan,
        hover_torque_nm=hover.torque_nm + hover.bar_torque_nm if hover is not None else math.nan,
        half_way_nm=motor.torque(0.5 * wound, -1.0),
        lifts_turns=_lifts(motor, ADRIFT * hover.shaft_torque_nm, wound) if hover is not None else 0.0,
        full_rpm=full.rpm if full is not None else math.nan,
        full_thrust_n=full.thrust_n if full is not None else math.nan,
        weight_n=all_up_mass(numbers.params) * GRAVITY,
        tail_torque_nm=carried,
        spin_up_nm=spin_up,
        cord_limit_nm=limit if cord else math.nan,
        cord_needed_n=needed,
        cord_tension_n=tension,
    )


def drive_findings(craft: Craft, found: Drive) -> list[Finding]:
    """Turns, energy, lift and cord."""
    findings = [_turns(found), _energy(craft, found), _lift(craft, found)]
    return findings + ([_cord(found)] if math.isfinite(found.cord_tension_n) else [])


def _full_wind(craft: Craft, torque: float) -> StandPoint | None:
    """The point at which the craft's shaft takes that torque; None if bearing friction alone takes it, or no speed does."""

    def lack(rpm: float) -> float:
        return stand(craft, rpm).shaft_torque_nm - torque

    if lack(1.0) >= 0.0 or lack(FASTEST_RPM) <= 0.0:
        return None
    return stand(craft, float(brentq(lack, 1.0, FASTEST_RPM, xtol=STEP_RPM)))


def _lifts(motor: Motor, needed: float, wound: float) -> float:
    """How many of the wound turns give at least a torque [N m] while they unwind, counted from full wind down to where they first fail."""

    def spare(turns: float) -> float:
        return motor.torque(turns, -1.0) - needed

    # the curve falls from spike to plateau to knee: no more than one crossing, whose place a torque meter's table may blur
    if wound <= 0.0 or spare(wound) <= 0.0:
        return 0.0
    return wound if spare(0.0) > 0.0 else wound - float(brentq(spare, 0.0, wound, xtol=0.1))


def _tension(craft: Craft, torque: float) -> float:
    """Tension of either run at which the cord just carries a torque on the tail pulley [N]; inf if none does. It is in proportion."""
    tail = craft.tail
    if tail is None:
        return math.nan
    pulley = 0.5 * to_si("tail_pulley_mm", tail.tail_pulley_mm)
    each = float(grip_torque(1.0, to_si("cord_wrap_deg", tail.cord_wrap_deg), tail.cord_friction, pulley))
    return torque / each if each > 0.0 else math.inf


def _turns(found: Drive) -> Finding:
    share = found.turns / found.breaking_turns
    says = f"{found.turns:.0f} turns are {100.0 * share:.0f} % of the {found.breaking_turns:.0f} at which this skein breaks"
    safe = f"wind at most {found.safe_turns:.0f} turns"
    if share > 1.0:
        return Finding("stop", "turns", says, f"{safe}, or make up a longer skein")
    if found.turns > found.known_turns:
        says = f"{found.turns:.0f} turns are more than the {found.known_turns:.0f} to which the skein's torque was measured"
        return Finding("stop", "turns", says, f"{safe}, or measure further (skein.measured)")
    if share > FULL_WIND + 1e-9:
        advice = f"{safe}; or break a short sample of your batch and set skein.breaking_constant by it"
        return Finding("look", "turns", says, advice)
    return Finding("fine", "turns", says, f"{safe}, and fewer with old or dry rubber")


def _energy(craft: Craft, found: Drive) -> Finding:
    mass = skein_mass_g(craft.skein)
    says = (
        f"wound, {mass:.2f} g of rubber hold {found.energy_j:.2g} J and pull with {1e3 * found.torque_nm:.3g} mN m: "
        f"{found.energy_j / TOY_LIMIT_J:.0f} times what older toy rules let a hard projectile carry"
    )
    return Finding("fine", "energy", says, "eye protection, hair and fingers clear, wind at arm's length with a winder")


def _lift(craft: Craft, found: Drive) -> Finding:
    weight = f"{1e3 * found.weight_n / GRAVITY:.1f} g"
    if math.isnan(found.hover_rpm):
        says = f"no rotor speed lifts the craft's {weight}"
        return Finding(
            "stop", "lift", says, "look at rotor.collective_deg, radius_mm and chord_mm; `stand` shows what they do"
        )
    stuck = to_si("friction_mN_m", craft.shaft.friction_mN_m)
    if math.isnan(found.full_rpm) and stuck >= found.torque_nm > 0.0:
        says = f"the bearing's friction of {1e3 * stuck:.3g} mN m holds all that the rubber gives, {1e3 * found.torque_nm:.3g} mN m: the rotor stands"
        return Finding("stop", "shaft.friction_mN_m", says, "leave the key out to have the program's own figure")
    if math.isnan(found.full_rpm):
        says = (
            "no torque worth the name is wound"
            if found.torque_nm < 1e-3 * found.hover_torque_nm
            else "the skein's torque fits no rotor speed"
        )
        return Finding("look", "lift", says, "choose other turns with --turns")
    ratio = found.full_thrust_n / found.weight_n
    says = (
        f"freshly wound it turns the rotor at {found.full_rpm:.0f} rpm, which lifts {1e3 * found.full_thrust_n / GRAVITY:.1f} g of its "
        f"{weight}; it hovers at {found.hover_rpm:.0f} rpm"
    )
    says += f"; drifting as such craft do it lifts for {found.lifts_turns:.0f} of {min(found.turns, found.breaking_turns):.0f} turns, then sinks"
    few = found.lifts_turns < ENOUGH_TURNS * found.turns
    severity = graded(ratio, 1.0, LIFT_TO_SPARE)
    if severity == "fine" and few:
        severity = "look"
    advice = (
        "nothing" if severity == "fine" else "wider or more strands, less weight, or a larger rotor that turns slower"
    )
    return Finding(severity, "lift", says, advice)


def _cord(found: Drive) -> Finding:
    need = max(found.tail_torque_nm, found.spin_up_nm)
    factor = found.cord_limit_nm / need if need > 0.0 else math.inf
    when = "while the rotor spins up" if found.spin_up_nm >= found.tail_torque_nm else "freshly wound"
    says = (
        f"the cord carries {1e3 * found.cord_limit_nm:.2g} mN m before it slips on the tail pulley, {factor:.2g} times the "
        f"{1e3 * need:.2g} mN m that it must carry {when}"
    )
    if not math.isfinite(found.cord_needed_n):
        advice = "give tail.cord_tension_mN, cord_friction, cord_wrap_deg and tail_pulley_mm as built: one of them is nothing"
        return Finding("stop", "tail.cord_tension_mN", says, advice)
    wanted = 1e3 * GRIP_TO_SPARE * found.cord_needed_n
    severity = graded(factor, 1.0, GRIP_TO_SPARE)
    least = f"{1e3 * found.cord_needed_n:.0f} mN ({1e2 * found.cord_needed_n / GRAVITY * 10.0:.1f} g of pull) in either run just hold it"
    if severity == "fine":
        return Finding(severity, "tail.cord_tension_mN", says, f"nothing; {least}")
    advice = f"set the cord to {wanted:.0f} mN ({wanted / GRAVITY:.0f} g of pull), roughen or enlarge the tail pulley, or lay the cord round twice; {least}"
    return Finding(severity, "tail.cord_tension_mN", says, advice)
