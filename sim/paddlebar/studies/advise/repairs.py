"""What a look at the craft and the rules of the trade say should be otherwise, with amounts: candidates, not yet advice.

Rules: the tail pushes against the rotor's reaction; the bar is free; its linkage is not reversed; its lead is that of the rule (checks/lead.py); the centre of
gravity hangs where the tail's push wants it; the blades' mass lies no farther back than their pivots; the skein gives a quarter more
torque than hovering takes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from paddlebar.checks.check import Check
from paddlebar.checks.lead import rule_deg
from paddlebar.craft.knobs import SWITCHES
from paddlebar.craft.motors import motor_of
from paddlebar.files.kinds import BARS
from paddlebar.files.scenario import Scenario
from paddlebar.flight.let_go import OFF_DEG
from paddlebar.units import GRAM_FORCE

# Own choices by what flies in this program, no source: gain and tip mass of a bar that holds its craft; torque over what hovering takes.
GAIN, TIP_SHARE, SPARE_TORQUE = 0.46, 0.058, 1.25
HOLDS: Final = (
    1.0,
    1.45,
)  # share of the rotor's torque that the tail holds over a point: in hover, and as craft that drift want it


@dataclass(frozen=True)
class Repair:
    """Changes that belong together.

    changes : dotted key -> value, for overrides;  words : what a hand does;  why : what was found
    in_kind : True for what is wrong whatever its size
    """

    changes: dict[str, Any]
    words: str
    why: str
    in_kind: bool = False


def repairs(scenario: Scenario, seen: Check) -> list[Repair]:
    """Everything that a look at the craft would change, wrong in kind first."""
    return [
        *_switches(scenario, seen),
        *_bar(scenario, seen),
        *_alike(scenario, seen),
        *_balance(scenario, seen),
        *_tail(scenario, seen),
        *_rubber(scenario, seen),
        *_launch(scenario),
    ]


def _switches(scenario: Scenario, seen: Check) -> Iterator[Repair]:
    wrong = {
        "craft.tail.thrust_to": seen.tail.sense == "with",
        "craft.bar.gain": scenario.craft.bar.gain < 0.0,
        "craft.bar.kind": True,
    }
    for switch in SWITCHES:
        if switch.has(scenario) and wrong.get(switch.key, False):
            move = switch.move(scenario)
            yield Repair(
                {move.key: move.value}, move.words, f"{switch.noun}: as built it is the wrong way round", in_kind=True
            )


def _bar(scenario: Scenario, seen: Check) -> Iterator[Repair]:
    bar, rotor = scenario.craft.bar, scenario.craft.rotor
    lead = rule_deg(seen.drive, seen.balance)
    if not BARS[bar.kind].present:
        tilting = next(kind for kind, each in BARS.items() if each.tilts)
        yield Repair({"craft.bar.kind": tilting}, f"give it a bar that tilts and pitches the blades: bar.kind = {tilting}",
                     "nothing on it keeps it upright", in_kind=True)  # fmt: skip
    if math.isfinite(lead):
        lead = round(lead if bar.gain >= 0.0 else lead - 180.0, 1)
        yield Repair({"craft.bar.lead_deg": lead}, f"turn the bar on the hub: lead from {bar.lead_deg:g} to {lead:g} deg",
                     f"the rule of the lead gives {lead:g} deg for this craft")  # fmt: skip
        gain, tip = math.copysign(GAIN, bar.gain), round(TIP_SHARE * seen.drive.weight_n / GRAM_FORCE, 2)
        yield Repair(
            {"craft.bar.gain": gain},
            f"set the linkage to a gain of {gain:g} in place of {bar.gain:g}",
            "a gain that holds craft of this kind",
        )
        yield Repair({"craft.bar.tip_mass_g": tip}, f"make each bar tip {tip:g} g in place of {bar.tip_mass_g:g} g",
                     "tips that are heavy enough to keep their plane")  # fmt: skip
    pivot = rotor.feather_axis_percent
    if rotor.mass_axis_percent > pivot + 1.0:
        yield Repair({"craft.rotor.mass_axis_percent": pivot + 1.0},
                     f"bring the blades' mass forward to their pivots, to {pivot + 1.0:g} % of the chord: a spruce leading edge, a trailing edge sanded thin",
                     f"the blades' mass lies at {rotor.mass_axis_percent:g} % of the chord, behind their pivots at {pivot:g} %")  # fmt: skip


def _alike(scenario: Scenario, seen: Check) -> Iterator[Repair]:
    """What was weighed or measured one by one and differs, made alike: mass is put on the lighter ones, pitch set to the mean."""
    rotor, bar = scenario.craft.rotor, scenario.craft.bar
    told = {
        "blades": ("blade", "craft.rotor.blade_masses_g", "craft.rotor.blade_mass_g", rotor.masses_g()),
        "bar": ("bar tip", "craft.bar.tip_masses_g", "craft.bar.tip_mass_g", bar.tips_g()),
    }
    for each in seen.shaking:
        one, key, mean, masses = told[each.what]
        if each.lighter and math.isfinite(each.measured_n):
            most = round(max(masses), 3)
            yield Repair(
                {key: [most] * len(masses), mean: most},
                f"put {each.by_g:.2f} g on {one} {each.lighter}, so that each weighs {most:g} g",
                f"out of balance, they shake it with {100.0 * each.share:.0f} % of its weight",
            )
    pitches = rotor.pitches_deg()
    apart = max(pitches) - min(pitches)
    if apart > 0.0:
        yield Repair(
            {"craft.rotor.blade_pitches_deg": [rotor.collective_deg] * rotor.blades},
            f"turn every blade to {rotor.collective_deg:g} deg of pitch",
            f"the blades differ by {apart:.1f} deg of pitch",
        )


def _balance(scenario: Scenario, seen: Check) -> Iterator[Repair]:
    shaft, (forward, right) = scenario.craft.shaft, seen.balance.tilt_deg
    tilts = {
        "craft.shaft.tilt_forward_deg": round(shaft.tilt_forward_deg + forward, 1),
        "craft.shaft.tilt_right_deg": round(shaft.tilt_right_deg + right, 1),
    }
    if all(math.isfinite(each) and abs(each) < 15.0 for each in tilts.values()) and math.hypot(forward, right) >= 0.1:
        says = " and ".join(f"{abs(v):g} deg {a if v > 0 else b}" for v, a, b in zip(
            tilts.values(), ("forward", "to the right"), ("back", "to the left"), strict=True) if v) or "upright"  # fmt: skip
        lean = math.hypot(*seen.balance.lean_deg)
        yield Repair(
            tilts,
            f"glue the bearing so that the shaft's top leans {says}",
            f"in hover the body would hang {lean:.1f} deg out of upright",
        )
    if seen.balance.ballast_g > 0.0:
        ballast = [part for part in scenario.craft.part if part.kind == "point"]
        if ballast:
            heaviest = max(ballast, key=lambda part: part.mass_g)
            for move in seen.balance.moves:
                if move.part == heaviest.name and len(move.by_mm) >= 1 and math.isfinite(move.by_mm[0]):
                    place = [round(a + b, 1) for a, b in zip(heaviest.at_mm, (*move.by_mm, 0.0, 0.0), strict=False)]
                    yield Repair({f"craft.part.{heaviest.name}.at_mm": place}, f"move {heaviest.name} to {place} mm",
                                 "the centre of gravity is not where the rotor pulls")  # fmt: skip


def _tail(scenario: Scenario, seen: Check) -> Iterator[Repair]:
    tail, built = seen.tail, scenario.craft.tail
    if built is None or not math.isfinite(tail.ratio) or not math.isfinite(tail.hover):
        return
    why = f"the tail's push is {100.0 * abs(tail.hover):.0f} % of what holds the rotor's torque over a point"
    for share in HOLDS:
        pulley = round(
            tail.ratio_wanted * math.sqrt(share) * built.tail_pulley_mm, 1
        )  # push grows with the square of speed
        if math.isfinite(pulley):
            words = f"fit a drive pulley of {pulley:g} mm in place of {built.drive_pulley_mm:g} mm"
            yield Repair({"craft.tail.drive_pulley_mm": pulley}, words, why)
        pitch = round(tail.pitch_wanted_deg * share, 1)
        if math.isfinite(pitch):
            words = f"set the tail's blades to {pitch:g} deg of pitch in place of {built.pitch_deg:g} deg"
            yield Repair({"craft.tail.pitch_deg": pitch}, words, why)


def _launch(scenario: Scenario) -> Iterator[Repair]:
    """Let go upright, in still air: what the craft cannot help."""
    launch, air = scenario.launch, scenario.air
    if launch.release == "held" and launch.hold_s <= 0.0:
        yield Repair({"launch.hold_s": 1.0}, "let it go: hold it for a second", "it is never let go", in_kind=True)
    if abs(launch.tilt_deg) > OFF_DEG:
        yield Repair(
            {"launch.tilt_deg": 0.0}, f"let it go upright, not {launch.tilt_deg:g} deg over", "it is let go crooked"
        )
    if air.wind_m_s > 0.0:
        yield Repair(
            {"air.wind_m_s": 0.0, "air.gust_m_s": 0.0}, "fly it in still air", f"the wind blows at {air.wind_m_s:g} m/s"
        )


def _rubber(scenario: Scenario, seen: Check) -> Iterator[Repair]:
    skein, drive = scenario.craft.skein, seen.drive
    wanted, gives = SPARE_TORQUE * drive.hover_torque_nm, drive.half_way_nm
    key, own, noun = next(
        (each for each in (("mass_g", skein.mass_g, "g of rubber"), ("linear_density_g_m", skein.linear_density_g_m, "g a metre of strip"), ("width_mm", skein.width_mm, "mm of strip width")) if each[1]),
        ("", 0.0, ""),
    )  # fmt: skip
    if not own or not math.isfinite(wanted) or not gives > 0.0 or not motor_of(skein).kind.as_rubber:
        return
    # torque goes with section to the power 3/2 at a share of the breaking turns, and those with its root (references 6.2)
    factor = (wanted / gives) ** (2.0 / 3.0)
    if abs(factor - 1.0) < 0.05:
        return
    thick, turns = round(own * factor, 2), float(round(scenario.skein.turns / math.sqrt(factor)))
    yield Repair({f"craft.skein.{key}": thick, "skein.turns": turns},
                 f"make up the skein of {thick:g} {noun} in place of {own:g}, and wind {turns:g} turns",
                 f"hovering takes {1e3 * drive.hover_torque_nm:.2f} mN m, the skein half run down gives {1e3 * gives:.2f} mN m")  # fmt: skip
