"""Poor craft, invented, each with faults of its own: what `advise --follow` makes of them.

    PYTHONPATH=sim:tests python -m studies.advise.poor_craft [NAME ...]

prints a row a craft: how it flew, what was changed step by step, how it flies then, and the time that a step took on this machine.
"""

from __future__ import annotations

import sys
import time as clock
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

import tomlkit

from hard.test_random_craft import scaled
from invariants.test_mechanics import mirrored
from paddlebar import advise
from paddlebar.files import Scenario, parse_scenario

ROOT = Path(__file__).parents[3]
HALL: dict[str, Any] = {"skein.turns": 400.0, "skein.backed_off": 30.0, "launch.height_m": 1.2, "launch.release": "held", "launch.hold_s": 1.0,
    "room.ceiling_m": 8.0, "room.length_m": 60.0, "room.width_m": 40.0, "run.duration_s": 90.0}  # fmt: skip
SMALL = {"skein.turns": 330.0}  # a skein half as long holds fewer


class Poor(NamedTuple):
    """A shipped craft, made larger or smaller, perhaps its mirror image, then spoilt."""

    model: str
    factor: float
    mirror: bool
    spoilt: Mapping[str, Any]


# Lengths by the factor and masses by its cube: 4.9, 8.1, 18.9 and 29 g. The reasons are common practice of beginners, no source.
CRAFT: dict[str, Poor] = {
    "tail pushes with the rotor": Poor("hall-ten", 1.0, False, {"craft.tail.thrust_to": "left", "craft.bar.gain": 0.8, "craft.rotor.mass_axis_percent": 45.0}),
    "linkage reversed": Poor("hall-ten", 1.0, True, {"craft.bar.gain": -0.46}),
    "small, bar too light": Poor("hall-ten", 0.78, False, {"craft.bar.tip_mass_g": 0.04, "craft.bar.lead_deg": 65.0, "craft.tail.drive_pulley_mm": 13.0, **SMALL}),
    "lead of a textbook, tips light": Poor("hall-ten", 1.0, False, {"craft.bar.lead_deg": 45.0, "craft.bar.tip_mass_g": 0.25}),
    "tail weak, shaft upright": Poor("hall-ten", 1.0, True, {"craft.tail.drive_pulley_mm": 11.0, "craft.shaft.tilt_right_deg": 0.0}),
    "large, pitch coarse": Poor("hall-ten", 1.22, False, {"craft.rotor.collective_deg": 19.0}),
    "thin rubber": Poor("hall-ten", 1.0, False, {"craft.skein.strands": 4, "skein.turns": 500.0}),
    "blades cut down": Poor("hall-ten", 1.0, True, {"craft.rotor.radius_mm": 150.0}),
    "everything a little": Poor("hall-ten", 1.0, False, {"craft.bar.lead_deg": 75.0, "craft.bar.gain": 0.7, "craft.tail.drive_pulley_mm": 14.0, "craft.shaft.tilt_right_deg": 0.0, "craft.rotor.collective_deg": 14.0}),
    "printed, nose heavy": Poor("printed-28", 1.0, False, {"craft.part.nose weight.mass_g": 4.5, "skein.turns": 300.0}),
    "printed, tail and bar": Poor("printed-28", 1.0, True, {"craft.tail.pitch_deg": 4.0, "craft.bar.lead_deg": 60.0, "skein.turns": 300.0}),
    "large, bar stiff in its bearing": Poor("hall-ten", 1.22, True, {"craft.bar.lead_deg": 130.0, "craft.bar.tip_mass_g": 0.3}),
    "rigid head": Poor("hall-ten", 1.0, False, {"craft.head.kind": "rigid", "craft.bar.lead_deg": 80.0}),
    "small, many faults": Poor("hall-ten", 0.78, True, {"craft.bar.lead_deg": 40.0, "craft.bar.gain": 0.25, "craft.tail.drive_pulley_mm": 12.0, "craft.rotor.mass_axis_percent": 45.0, **SMALL}),
    "let go crooked, in wind": Poor("hall-ten", 1.0, False, {"launch.release": "free", "launch.tilt_deg": 25.0, "air.wind_m_s": 1.5, "craft.tail.drive_pulley_mm": 14.0}),
}  # fmt: skip


def scenario_of(poor: Poor, *, other_hand: bool = False) -> Scenario:
    """As the table says, or its mirror image, in an imagined hall."""
    craft = tomllib.loads(scaled((ROOT / "models" / f"{poor.model}.toml").read_text(encoding="utf-8"), poor.factor))
    craft.pop("all_up_g", None)  # weights add up
    craft["shaft"].setdefault("turns", "counter-clockwise")
    spoilt = dict(poor.spoilt)
    if poor.mirror != other_hand:
        craft = mirrored(craft)
        spoilt = {k: mirrored(v, k.rsplit(".", 1)[-1]) if k.startswith("craft.") else v for k, v in spoilt.items()}
    text = tomlkit.dumps({"craft": craft, "skein": {"turns": 100}})
    return parse_scenario(text, folder=ROOT / "models", overrides=HALL | spoilt)


def main(names: list[str]) -> None:
    for name in names or CRAFT:
        begun, cpu = clock.perf_counter(), clock.process_time()
        found = advise(scenario_of(CRAFT[name]), follow=True)
        wall, cpu = clock.perf_counter() - begun, clock.process_time() - cpu
        before, final = found.before, found.final
        print(
            f"{name}: {before.outcome} {before.controlled_s:.1f} s -> {final.outcome} {final.controlled_s:.1f} s, {len(found.steps)} steps, {found.flights} flights, {wall:.0f} s, {cpu:.0f} s cpu"
        )
        for step in found.steps:
            print(
                f"    {step.after.outcome} {step.after.controlled_s:.1f} of {step.after.duration_s:.1f} s {sorted(step.after.troubles)}: {step.words}"
            )
        if found.missing:
            print(f"    missing: {found.missing}")
        sys.stdout.flush()


if __name__ == "__main__":
    main(sys.argv[1:])
