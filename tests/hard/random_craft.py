"""Craft and launches drawn by chance from all that the files allow, not from what a builder would build.

PYTHONPATH=sim:tests python -m hard.random_craft 10000        # the long run, some minutes on two cores
"""

from __future__ import annotations

import sys
import time as clock
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np

from paddlebar import BadInput, load_scenario
from paddlebar.ensemble.many import Brief, fly_brief
from paddlebar.files.scenario import Scenario

FIRST = Path(__file__).parents[2] / "scenarios" / "first-flight.toml"
SECONDS = 3.0
LONGEST_S = 20.0  # of processor time for a flight of three seconds: what takes longer hangs, for a reader


def draw(rng: np.random.Generator) -> dict[str, Any]:
    """What one craft and its launch have otherwise than the shipped ones."""

    def size(low: float, high: float) -> float:
        return float(np.exp(rng.uniform(np.log(low), np.log(high))))

    radius = size(40.0, 600.0)
    blades = int(rng.integers(2, 7))
    head = (
        str(rng.choice(["rigid", "teetering", "flapping"])) if blades == 2 else str(rng.choice(["rigid", "flapping"]))
    )
    bar = str(rng.choice(["none", "locked", "seesaw", "seesaw"]))
    out: dict[str, Any] = {
        "craft.rotor.blades": blades,
        "craft.rotor.radius_mm": radius,
        "craft.rotor.root_mm": radius * rng.uniform(0.08, 0.3),
        "craft.rotor.chord_mm": radius * rng.uniform(0.05, 0.4),
        "craft.rotor.collective_deg": rng.uniform(-15.0, 35.0),
        "craft.rotor.twist_deg": rng.uniform(-20.0, 20.0),
        "craft.rotor.blade_mass_g": size(0.05, 30.0),
        "craft.rotor.thickness_mm": size(0.3, 5.0),
        "craft.rotor.feather_axis_percent": rng.uniform(0.0, 60.0),
        "craft.rotor.section": str(rng.choice(["flat plate", "cambered plate", "thin aerofoil"])),
        "craft.head.kind": head,
        "craft.head.precone_deg": rng.uniform(0.0, 10.0),
        "craft.head.delta3_deg": rng.uniform(-60.0, 60.0),
        "craft.head.stop_deg": rng.uniform(3.0, 60.0),
        "craft.head.hinge_offset_mm": radius * rng.uniform(0.0, 0.07) if head == "flapping" else 0.0,
        "craft.head.spring_mN_m_rad": size(1e-3, 1e3),
        "craft.head.damping_mN_m_s": size(1e-6, 1.0),
        "craft.bar.kind": bar,
        "craft.bar.gain": rng.uniform(-2.0, 2.0),
        "craft.bar.lead_deg": rng.uniform(-180.0, 180.0),
        "craft.bar.arm_mm": size(20.0, 300.0),
        "craft.bar.height_mm": rng.uniform(-30.0, 60.0),
        "craft.bar.tip_mass_g": size(0.01, 20.0),
        "craft.bar.stop_deg": rng.uniform(2.0, 60.0),
        "craft.bar.friction_mN_m": size(1e-4, 0.5),
        "craft.skein.width_mm": size(0.5, 8.0),
        "craft.skein.length_mm": size(60.0, 800.0),
        "craft.skein.run_out": str(rng.choice(["freewheel", "rewinds", "locked"])),
        "craft.tail.drive_pulley_mm": size(3.0, 80.0),
        "craft.tail.cord_tension_mN": size(1.0, 3000.0),
        "craft.tail.pitch_deg": rng.uniform(-30.0, 40.0),
        "craft.shaft.turns": str(rng.choice(["clockwise", "counter-clockwise"])),
        "craft.shaft.hub_mass_g": size(0.05, 30.0),
        "skein.turns": size(5.0, 3000.0),
        "launch.height_m": rng.uniform(0.5, 2.5),
        "launch.tilt_deg": rng.uniform(0.0, 60.0),
        "launch.tilt_toward_deg": rng.uniform(-180.0, 180.0),
        "launch.spin_deg_s": rng.uniform(-2000.0, 2000.0),
        "launch.release": str(rng.choice(["free", "held"])),
        "launch.rotor_rpm": rng.uniform(0.0, 2000.0),
        "air.wind_m_s": rng.uniform(0.0, 10.0),
        "run.duration_s": SECONDS,
        "run.blade_elements": 4,
        "run.after_tipping": str(rng.choice(["stop", "fly on"])),
    }
    return (
        out
        if bar != "none"
        else {k: v for k, v in out.items() if not k.startswith("craft.bar.") or k.endswith(".kind")}
    )


def scenarios(seed: int, count: int) -> list[tuple[int, Scenario]]:
    """The first `count` of a seed's draws that the files allow, with their numbers."""
    found: list[tuple[int, Scenario]] = []
    index = 0
    while len(found) < count:
        try:
            changes = draw(np.random.default_rng([seed, index]))
            found.append((index, load_scenario(FIRST, changes)))
        except BadInput:
            pass
        index += 1
    return found


def complaint(brief: Brief, seconds: float) -> str:
    """What is wrong with how a flight ended, "" if nothing: every one ends with an outcome, or says when and in which state it failed."""
    if seconds > LONGEST_S:
        return f"took {seconds:.1f} s"
    if brief.outcome == "failed":
        return "" if "stopped at t =" in brief.sentence else f"failed without saying where: {brief.sentence}"
    missed = brief.energy_error * abs(brief.energy_let_out_j)
    # a rotor launched fast holds tens of joules, and its skein may let out next to none
    if missed > max(1e-2 * abs(brief.energy_let_out_j), 2e-3):
        return f"ledger off by {missed:.2g} J: {brief.sentence}"
    # a stick that does not bear its skein breaks as the craft is let go
    passed = brief.duration_s > 0.0 or brief.outcome == "broke"
    return "" if passed else f"no time passed: {brief.sentence}"


def main(count: int) -> None:
    outcomes: Counter[str] = Counter()
    slowest = 0.0
    for index, scenario in scenarios(1, count):
        start = clock.process_time()
        brief = fly_brief(scenario)
        seconds = clock.process_time() - start
        slowest = max(slowest, seconds)
        outcomes[brief.outcome] += 1
        if said := complaint(brief, seconds):
            print(index, said)
        if brief.outcome == "failed":
            print(index, brief.sentence)
    print(dict(outcomes), f"slowest {slowest:.2f} s")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 300)
