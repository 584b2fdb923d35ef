"""Craft by chance around the shipped ones: does what `margins` says of the bar agree with a flight let go 3 degrees off, some other way than it knows of?

    PYTHONPATH=sim:tests python -m stability.chance [COUNT]

`stabilises`: the flight stays in control until its rubber has run down to where the verdict is given. `reverses`: it is out of control sooner than
with the bar disconnected. `margins` flies both itself, but from the scenario's own launch; here each craft is let go level and then 3 degrees off to a side
by chance. What disagrees is printed with the sentence that `margins` gives with its verdict.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np

from paddlebar import BadInput, load_scenario
from paddlebar.ensemble.many import Brief, fly_brief
from paddlebar.files import Scenario
from paddlebar.flight.aloft import undisturbed
from paddlebar.stability.analysis import margins
from paddlebar.stability.own_flight import unlinked

SCENARIOS = Path(__file__).parents[2] / "scenarios"
OFF_DEG = 3.0
SECONDS = 40.0


def draw(rng: np.random.Generator) -> Scenario:
    """A shipped craft with its bar far from what it was, all else a little."""
    name = str(rng.choice(["first-flight", "long-flight", "printed-first"]))
    own = load_scenario(SCENARIOS / f"{name}.toml")
    bar, rotor, tail = own.craft.bar, own.craft.rotor, own.craft.tail
    assert tail is not None
    changes: dict[str, Any] = {
        "craft.bar.lead_deg": bar.lead_deg + rng.normal(0.0, 20.0) + (180.0 if rng.random() < 0.2 else 0.0),
        "craft.bar.gain": bar.gain * rng.uniform(0.4, 1.6),
        "craft.bar.tip_mass_g": bar.tip_mass_g * rng.uniform(0.4, 1.4),
        "craft.rotor.collective_deg": rotor.collective_deg + rng.normal(0.0, 0.7),
        "craft.tail.drive_pulley_mm": tail.drive_pulley_mm * rng.uniform(0.93, 1.07),
        "craft.shaft.tilt_right_deg": own.craft.shaft.tilt_right_deg + rng.normal(0.0, 0.7),
    }
    return undisturbed(
        load_scenario(SCENARIOS / f"{name}.toml", changes | {"run.breakage": False, "launch.tilt_deg": 0.0}), SECONDS
    )


def off(scenario: Scenario, toward_deg: float) -> Scenario:
    """The same, let go 3 degrees off upright to a side."""
    launch = scenario.launch.model_copy(update={"tilt_deg": OFF_DEG, "tilt_toward_deg": toward_deg})
    return scenario.model_copy(update={"launch": launch})


def agrees(said: str, flown: Brief, without: Brief, wound: float) -> bool | None:
    """None where nothing was claimed."""
    if said == "stabilises":
        return in_control(flown) or flown.turns_left < 0.5 * wound
    return flown.controlled_s < without.controlled_s if said == "reverses" else None


def in_control(flown: Brief) -> bool:
    """To its end: nothing was lost before."""
    return not any(fault.loses_control for fault in flown.faults)


def main(count: int) -> None:
    counted: Counter[tuple[str, bool | None]] = Counter()
    index = tried = 0
    while tried < count:
        index += 1
        try:
            scenario = draw(np.random.default_rng([7, index]))
            found = margins(scenario, points=3, with_edges=False)
        except BadInput:
            continue
        tried += 1
        let_go = off(scenario, float(np.random.default_rng([8, index]).uniform(-180.0, 180.0)))
        flown, without = fly_brief(let_go), fly_brief(unlinked(let_go))
        good = agrees(found.verdict, flown, without, scenario.skein.turns - scenario.skein.backed_off)
        counted[found.verdict, good] += 1
        if good is False:
            told = f"{flown.outcome} {flown.controlled_s:.1f} s in control of {flown.duration_s:.1f}, {flown.turns_left:.0f} turns left; without {without.controlled_s:.1f}"
            print(
                f"{index}: {found.verdict} {found.worst_growth_per_s:+.2f} /s ({found.worst_growth_without_bar_per_s:+.2f}): {told}: {found.caution or '-'}",
                flush=True,
            )
        if tried % 20 == 0:
            print(dict(counted), flush=True)
    print(dict(counted))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
