"""What ships does what it says: each scenario's title and header, each craft's story, by flights in compiled steps.

The bands are those of the words: "past 6 m" is more than 6, "after 40 s" is 38 to 46, "within a second" less than one. A figure that leaves
its band is a title to be rewritten, or a craft to be looked at. The table says which faults matter in the flight, all of them.
"""

from __future__ import annotations

import functools
import math
import re
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from paddlebar import check, load_craft, load_scenario
from paddlebar.craft.build import build
from paddlebar.craft.motors import FULL_WIND, motor_of
from paddlebar.ensemble.many import Brief, fly_brief
from paddlebar.studies.figures import EVERY, Seen, mean_spin

ROOT = Path(__file__).parents[1]
MODELS = sorted((ROOT / "models").glob("*.toml"))
SCENARIOS = sorted((ROOT / "scenarios").glob("*.toml"))
ANY = (-math.inf, math.inf)
LEFT = "came down with its rubber wound"
STOPS = "struck its stops"
# let go upright, and three degrees off four ways
LAUNCHES: tuple[dict[str, Any], ...] = (
    {},
    *({"launch.tilt_deg": 3.0, "launch.tilt_toward_deg": a} for a in (0.0, 90.0, 180.0, 270.0)),
)


class Says(NamedTuple):
    """What a scenario says: its title, how the flight ends, faults that matter, time in control [s], and what else the header tells.

    Bands of the brief's own figures, by name; `spin`: mean size of the body's spin [deg/s]; `left`: share of the turns left.
    unsure : faults of its tumbling that hang on the last digits, which differ from processor to processor
    """

    title: str
    outcome: str
    faults: frozenset[str]
    controlled: tuple[float, float]
    more: dict[str, tuple[float, float]]
    unsure: frozenset[str] = frozenset()


def says(
    title: str,
    outcome: str,
    faults: str = "",
    controlled: tuple[float, float] = ANY,
    unsure: str = "",
    **more: tuple[float, float],
) -> Says:
    return Says(title, outcome, _listed(faults), controlled, more, _listed(unsure))


def _listed(faults: str) -> frozenset[str]:
    return frozenset(filter(None, faults.split(", ")))


SAYS = {
    "bar-locks": says("Bar jams in flight, and it tips over", "tipped over", f"{STOPS}, leaned, spun, hit hard, {LEFT}", (3.0, 3.5)),
    "bar-stuck": says("Bar stuck on its pin, so it leans over", "tipped over", f"leaned, hit hard, {LEFT}", (1.5, 2.1), final_tilt_deg=(60, 120)),
    "blades-cut": says("Blades cut down, so it spins and falls", "tipped over", f"spun, {STOPS}, leaned, cord slipped, hit hard, {LEFT}",
                       (0.0, 0.3), spin=(180, 600)),
    "clockwise-first": says("Clockwise first flight, past 6 m and down upright", "landed", "", (38, 46), peak_height_m=(6, 7.5), final_tilt_deg=(0, 10),
                            spin=(0, 20), left=(0, 0.2)),
    "clockwise-wrong-tail": says("Tail for the other hand, so it spins and falls", "crashed",
                                 f"spun, tail pushes with the rotor, leaned, {LEFT}", (0.0, 0.3), spin=(360, 1000),
                                 # after five seconds of it: down at 7.5 s, at a tolerance of 1e-9 at 8.6 s
                                 unsure=f"{STOPS}, hit hard"),
    "coarse-pitch": says("Pitch too coarse, so it sinks with its rubber wound", "landed", f"spun, {LEFT}", (0.3, 1.2), duration_s=(3, 4),
                         final_tilt_deg=(0, 30), left=(0.9, 1)),
    "cord-off": says("Tail cord comes off, so it spins and tips over", "tipped over", f"spun, leaned, {STOPS}, hit hard, {LEFT}", (2.8, 3.5),
                     peak_body_rate_deg_s=(360, 900)),
    "cord-slips": says("Tail cord slips, so it spins to the end", "landed", "cord slipped, spun", (2.8, 3.6), spin=(180, 400), max_tilt_deg=(0, 30)),
    "field-breeze": says("A breeze on the village field carries it off", "landed", "", (38, 46), drift_m=(30, 45), max_tilt_deg=(0, 15)),
    "first-flight": says("First flight, past 6 m and down upright", "landed", "", (38, 46), peak_height_m=(6, 7.5), final_tilt_deg=(0, 10),
                         spin=(0, 20), left=(0.1, 0.2)),
    "hall-record": says("As believed, before the record", "landed"),
    "long-flight": says("Long flight in the hall, over a minute", "landed", "", (60, 70), peak_height_m=(10, 13), spin=(0, 20), left=(0, 0.15)),
    "low-ceiling": says("A low ceiling, touched after eight seconds", "touched ceiling", duration_s=(7.5, 9), peak_height_m=(3.5, 4)),
    "no-bar": says("Without its bar it tips over in a second", "tipped over", f"leaned, hit hard, {LEFT}", (0.3, 0.7), tipped_at_s=(0.5, 1.5)),
    "poor-start": says("A poor start that tips over", "tipped over", "leaned", duration_s=(4, 6)),
    "printed-field": says("Printed craft on a calm evening, past 5 m", "landed", "", (38, 48), peak_height_m=(5, 7), final_tilt_deg=(0, 10), drift_m=(25, 40)),
    "printed-first": says("Printed craft's first flight, past 7 m", "landed", "", (42, 48), peak_height_m=(7, 9), final_tilt_deg=(0, 10), left=(0, 0.2)),
    "printed-gust": says("Printed craft in a fresh wind, spun and carried away", "landed", "spun", (0.0, 0.5), drift_m=(150, 250)),
    "reversed-link": says("Linkage the wrong way round, so it tips over", "tipped over", f"leaned, {STOPS}, hit hard, {LEFT}", (0.4, 0.8)),
    "rigid-head": says("Rigid head and no bar, so it reels and spins", "crashed", f"leaned, spun, {LEFT}", (1.0, 1.7), max_tilt_deg=(60, 90),
                       duration_s=(12, 17)),
    "skein-breaks": says("Skein breaks, and it comes down as a windmill", "landed", final_tilt_deg=(0, 30), duration_s=(5, 9)),
    "small-six-first": says("Small craft's first flight, to 6 m and down upright", "landed", "", (36, 44), peak_height_m=(5.5, 6.5), final_tilt_deg=(0, 10),
                            spin=(0, 20), left=(0, 0.2)),
    "small-six-heavy": says("Small craft 0.7 g too heavy, so it hardly climbs", "landed", LEFT, peak_height_m=(1.1, 1.7), left=(0.6, 0.9)),
    "stick-breaks": says("Stick too thin, so it breaks while it is wound", "broke", "stick overloaded", duration_s=(0, 0)),
    "tail-stalled": says("Too much pitch on the tail, so it spins as it leaves", "landed", "spun", (1.5, 3)),
    "tail-vortex-ring": says("Tail in its own vortex ring spins it to the end", "crashed", "spun, hit hard", (1, 3), spin=(150, 300)),
    "thick-rubber": says("Thicker rubber spins it, and takes it to the ceiling", "touched ceiling", "spun", (0.5, 2), peak_height_m=(13, 14)),
    "thin-rubber": says("Thinner rubber, so it sinks with its rubber wound", "landed", LEFT, peak_height_m=(1.8, 2.0), left=(0.7, 0.9)),
    "three-blade-first": says("Three blades, past 6 m and down where it began", "landed", "", (32, 38), peak_height_m=(6, 8), drift_m=(0, 2),
                              final_tilt_deg=(0, 12), spin=(0, 20), left=(0, 0.25)),
    "three-blade-lead": says("Three blades with the lead of two, so it goes over", "crashed", f"leaned, {STOPS}, {LEFT}", (4, 6), max_tilt_deg=(45, 100)),
    "tilted-launch": says("Let go five degrees off, and its bar rights it", "still flying", "", (20, 20), max_tilt_deg=(5, 15)),
    "tip-light": says("One tip a third too light, and it flies all the same", "landed", "", (38, 46), final_tilt_deg=(0, 10), peak_height_m=(5.5, 7)),
    "tip-lost": says("A tip mass flies off, and it circles and lands", "landed", max_tilt_deg=(25, 40), final_tilt_deg=(0, 30)),
    "weak-tail": says("Tail too weak, so it turns all the way", "landed", "", (38, 46), body_turns=(10, 18), spin=(90, 150), peak_height_m=(8, 12)),
}  # fmt: skip
WOUND = ("first-flight", "printed-first", "printed-field", "small-six-first", "clockwise-first", "three-blade-first")


@functools.cache
def flown(name: str, launch: int = 0) -> tuple[Brief, dict[str, float]]:
    """The flight and what its header may tell that the brief does not hold."""
    scenario = load_scenario(ROOT / "scenarios" / f"{name}.toml", LAUNCHES[launch])
    brief = fly_brief(scenario, every=EVERY)
    turning = mean_spin(Seen(scenario, numbers=build(scenario), brief=brief))
    wound = scenario.skein.turns - scenario.skein.backed_off
    return brief, {"spin": turning, "left": brief.turns_left / wound}


def told(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


def matter(brief: Brief) -> set[str]:
    return {fault.code for fault in brief.faults if fault.matters}


def test_every_scenario_has_its_row():
    assert {path.stem for path in SCENARIOS} == SAYS.keys()


@pytest.mark.parametrize("name", SAYS)
def test_a_scenario_does_what_it_says(name):
    """Seen to fail with hall-ten's gain turned round in its file, and with its strips 0.1 mm narrower."""
    row = SAYS[name]
    brief, more = flown(name)
    assert load_scenario(ROOT / "scenarios" / f"{name}.toml").title == row.title
    assert brief.outcome == row.outcome
    assert matter(brief) - row.unsure == row.faults
    for key, (low, high) in {"controlled_s": row.controlled, **row.more}.items():
        value = more[key] if key in more else getattr(brief, key)
        assert low <= value <= high, (key, value)


@pytest.mark.parametrize("name", WOUND)
def test_a_first_flight_is_wound_to_seven_tenths_of_what_check_allows(name):
    scenario = load_scenario(ROOT / "scenarios" / f"{name}.toml")
    most = FULL_WIND * motor_of(scenario.craft.skein).breaking
    assert scenario.skein.turns == pytest.approx(0.7 * most, rel=0.015)


def test_the_long_flight_winds_what_check_allows():
    scenario = load_scenario(ROOT / "scenarios" / "long-flight.toml")
    assert scenario.skein.turns == pytest.approx(FULL_WIND * motor_of(scenario.craft.skein).breaking, rel=0.015)


@pytest.mark.parametrize("launch", range(len(LAUNCHES)))
@pytest.mark.parametrize(
    "name", ["first-flight", "small-six-first", "clockwise-first", "three-blade-first", "printed-first"]
)
def test_a_first_flight_goes_well_from_any_launch(name, launch):
    """Level and three degrees off: no fault, and it climbs as its story says. The hall's craft holds its nose within 20 deg/s each time."""
    brief, more = flown(name, launch)
    assert brief.outcome == "landed"
    assert brief.flew_well, brief.faults
    assert brief.peak_height_m > 5.0
    if name == "first-flight":
        assert more["spin"] < 20.0
        assert brief.final_tilt_deg < 10.0


@pytest.mark.parametrize("launch", range(len(LAUNCHES)))
def test_the_long_flight_goes_well_from_any_launch(launch):
    brief, more = flown("long-flight", launch)
    assert brief.flew_well, brief.faults
    assert brief.duration_s > 60.0
    assert more["spin"] < 20.0


@pytest.mark.parametrize("path", MODELS, ids=lambda path: path.stem)
def test_a_craft_tells_its_story_and_flies_it(path):
    """Good at, spoilt by, what to fly: the first flights named go well, those after `then` do not."""
    head = re.match(r"(#.*\n)+", told(f"models/{path.name}"))
    assert head is not None
    lines = head.group(0).splitlines()
    assert [sum(line.startswith(f"# {word}: ") for line in lines) for word in ("Good at", "Spoilt by", "Fly")] == [
        1,
        1,
        1,
    ]
    good, spoilt = lines[-1].split("then")
    named = [re.findall(r"([a-z-]+)\.toml", words) for words in (good, spoilt)]
    assert all(named)
    for names, well in zip(named, (True, False), strict=True):
        for name in names:
            assert load_scenario(ROOT / "scenarios" / f"{name}.toml").craft.name == load_craft(path).name
            assert flown(name)[0].flew_well == well, name


# what `check` may remark on a craft that flies: how exactly blades and tips want weighing, and a gap that is small but there
REMARKS = {"rotor.blade_masses_g", "bar.tip_masses_g", "clearance"}


@pytest.mark.parametrize("path", MODELS, ids=lambda path: path.stem)
def test_check_has_nothing_against_a_craft(path):
    findings = check(load_craft(path)).findings
    assert not [each for each in findings if each.severity == "stop"]
    assert {each.key for each in findings if each.severity == "look"} <= REMARKS
