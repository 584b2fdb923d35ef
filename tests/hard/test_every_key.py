"""Every key of both files, moved one by one in two dozen set-ups: it changes the flight, or is refused, or the program says that it does nothing.

A key that silently does nothing is a promise that is not kept. Tried once on broken code: a stop that was never passed on to the equations, and a
gust whose length was read as its start, each failed here.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

import numpy as np
import pytest
from pydantic import BaseModel

from paddlebar import check, load_scenario
from paddlebar.ensemble.many import Brief, fly_brief
from paddlebar.errors import BadInput
from paddlebar.files.kinds import BARS
from paddlebar.files.scenario import Scenario
from paddlebar.studies.axes import open_text
from paddlebar.studies.session import identity

pytestmark = pytest.mark.slow
ROOT = Path(__file__).parents[2]

PADDLES = {
    "craft.bar.paddle_span_mm": 20.0,
    "craft.bar.paddle_chord_mm": 15.0,
    "craft.bar.paddle_centre_mm": 75.0,
    "craft.bar.paddle_mass_g": 0.05,
}
TAIL_SKEIN = {
    "craft.tail.drive": "skein", "craft.tail.skein.mass_g": 0.3, "craft.tail.skein.length_mm": 120.0,
    "craft.tail.skein.hooks_mm": [[-240, 0, -105], [-120, 0, -105]],
}  # fmt: skip
FREE = {
    "launch.release": "free",
    "launch.hold_s": 0.0,
    "launch.rotor_rpm": 430.0,
    "run.duration_s": 0.3,
    "run.blade_elements": 3,
}
SPENT = {
    **FREE,
    "skein.turns": 1.0,
    "skein.backed_off": 0.0,
    "launch.height_m": 20.0,
    "room.ceiling_m": 60.0,
    "run.duration_s": 0.8,
}
MEASURED = [[0, 0], [100, 3.5], [250, 4.2], [400, 5.0], [500, 8.0]]
SETUPS: dict[str, tuple[str, dict[str, Any]]] = {
    "teetering": ("first-flight", {"run.duration_s": 1.3}),
    "leaning": ("tilted-launch", {**FREE, "launch.teeter_deg": 1.0, "launch.bar_deg": 2.0, "launch.spin_deg_s": 20.0}),
    "flapping": ("three-blade-first", FREE),
    "rigid": ("rigid-head", FREE),
    "no bar": ("no-bar", FREE),
    "stuck bar": ("bar-stuck", FREE),
    "paddles": ("first-flight", {**PADDLES, **FREE}),
    "printed": ("printed-first", FREE),
    "wind and gust": ("field-breeze", {**FREE, "air.gust_start_s": 0.1, "air.gust_length_s": 0.4, "air.gust_from_deg": 20.0}),
    "draught": ("first-flight", {**FREE, "air.turbulence": True, "air.turbulence_like": "indoors"}),
    "cold": ("first-flight", {**FREE, "air.temperature_C": 5.0}),
    "given density": ("first-flight", {**FREE, "air.density_kg_m3": 1.1}),
    "from the floor": ("first-flight", {"launch.release": "floor", "launch.height_m": 0.3, "run.duration_s": 1.3}),
    "frozen inflow": ("first-flight", {**FREE, "run.inflow": "frozen"}),
    "even inflow": ("first-flight", {**FREE, "run.radial_inflow": "uniform"}),
    "measured rubber": ("first-flight", {**FREE, "craft.skein.measured": MEASURED}),
    "tail on its own skein": ("first-flight", {**TAIL_SKEIN, **FREE, "skein.tail_turns": 200.0, "air.temperature_C": 8.0}),
    "spent tail": ("first-flight", {**TAIL_SKEIN, **FREE, "craft.tail.skein.run_out": "locked", "skein.tail_turns": 20.0, "launch.height_m": 20.0, "room.ceiling_m": 60.0, "run.duration_s": 3.0}),
    "no tail drive": ("first-flight", {**FREE, "craft.tail.drive": "none"}),
    "cord slips": ("cord-slips", {**FREE, "mishap.1.at_s": 0.1}),
    "slack cord": ("first-flight", {**FREE, "craft.tail.cord_tension_mN": 80.0}),
    "run down": ("first-flight", SPENT),
    "locks when run down": ("first-flight", {**SPENT, "craft.skein.run_out": "locked"}),
    "tip lost": ("tip-lost", {**FREE, "mishap.1.at_turns": 319}),
    "low ceiling": ("low-ceiling", {"room.ceiling_m": 2.3, "run.duration_s": 8.0}),
    "narrow room": ("field-breeze", {"room.ceiling_m": 9.0, "room.length_m": 40.0, "room.width_m": 2.0, "launch.push_m_s": [0.0, 1.5, 0.0], "launch.release": "free", "launch.hold_s": 0.0, "run.duration_s": 2.0}),
    "short room": ("field-breeze", {"room.ceiling_m": 9.0, "room.length_m": 1.6, "room.width_m": 40.0, "launch.push_m_s": [1.5, 0.0, 0.0], "launch.release": "free", "launch.hold_s": 0.0, "run.duration_s": 2.0}),
    "tumbling": ("no-bar", {"run.duration_s": 8.0, "run.after_tipping": "stop"}),
    "on their stops": ("first-flight", {**FREE, "launch.bar_deg": 24.0, "launch.teeter_deg": 11.0}),
}  # fmt: skip

# keys that no flight depends on
WORDS = {"name", "note", "title", "dpi", "draw"}
FOR_THE_CHECK = {"craft.rotor.material"}  # and for parts of a cut list
AT_ONCE = {"run.breakage"}  # tested below
COMPILED = {
    "run.method"
}  # the ensemble has one method of its own, and says so; `fly` is tested with every method elsewhere
# keys that act once a flight comes to them -> a set-up where it does
WATCHED = {
    "air.gust_from_deg": "wind and gust",
    "air.gust_length_s": "wind and gust",
    "air.gust_m_s": "teetering",
    "air.gust_start_s": "wind and gust",
    "craft.bar.stop_deg": "spent tail",
    "craft.head.stop_deg": "spent tail",
    "craft.skein.percent_per_K": "wind and gust",
    "craft.skein.run_out": "run down",
    "craft.tail.cord_friction": "cord slips",
    "craft.tail.cord_tension_mN": "cord slips",
    "craft.tail.cord_wrap_deg": "cord slips",
    "craft.tail.skein.percent_per_K": "tail on its own skein",
    "craft.tail.skein.run_out": "spent tail",
    "mishap.1.arm": "tip lost",
    "mishap.1.at_s": "cord slips",
    "mishap.1.at_turns": "tip lost",
    "mishap.1.what": "cord slips",
    "room.ceiling_m": "low ceiling",
    "room.length_m": "short room",
    "room.width_m": "narrow room",
    "run.after_tipping": "spent tail",
    "run.duration_s": "teetering",
    "run.max_step_s": "teetering",
    "run.tilt_limit_deg": "spent tail",
}


def leaves(model: BaseModel, before: str = "") -> Iterator[tuple[str, Any, Any]]:
    """Dotted key, value and field of everything that a description holds; of a list of tables its first."""
    for name, field in type(model).model_fields.items():
        value, key = getattr(model, name), before + name
        if isinstance(value, BaseModel):
            yield from leaves(value, f"{key}.")
        elif isinstance(value, list | tuple) and value and isinstance(value[0], BaseModel):
            yield from leaves(value[0], f"{key}.1.")
        else:
            yield key, value, field


def choices(annotation: Any) -> list[Any]:
    if get_origin(annotation) is Literal:
        return list(get_args(annotation))
    return [each for inner in get_args(annotation) for each in choices(inner)]


def moved(value: Any, field: Any) -> list[Any]:
    """Other values of the same kind, near by: the first that is allowed will do."""
    if isinstance(value, bool):
        return [not value]
    if isinstance(value, str):
        return [each for each in choices(field.annotation) if isinstance(each, str) and each != value]
    if isinstance(value, int):
        return [value + 1, value - 1]
    if isinstance(value, float):
        return [1.07 * value, 0.93 * value] if value else [0.3]
    if isinstance(value, list | tuple) and value and all(isinstance(each, int | float) for each in value):
        return [[1.07 * value[0] + 0.3, *value[1:]]]
    return []


def flown_otherwise(scenario: Scenario, key: str, others: list[Any]) -> tuple[Scenario, Brief] | None:
    """With the first value that is allowed; None where none is."""
    for other in others:
        try:
            changed = scenario.replace({key: other})
        except BadInput:
            continue
        brief = fly_brief(changed, every=1)
        if brief.outcome != "failed":
            return changed, brief
        assert brief.sentence.startswith("not flown: ")  # refused, if late
    return None


@cache
def base(name: str) -> tuple[Scenario, Brief]:
    file, changes = SETUPS[name]
    scenario = load_scenario(file, {"run.blade_elements": 3, **changes})
    brief = fly_brief(scenario, every=1)
    assert brief.outcome != "failed", brief.sentence
    return scenario, brief


def same(a: Brief, b: Brief) -> bool:
    return np.array_equal(a.samples, b.samples) and a.outcome == b.outcome and a.sentence == b.sentence  # type: ignore[arg-type]


def told(key: str, flown: Brief, scenario: Scenario) -> bool:
    """The flight, or the check of the craft, says that a key does nothing."""
    table, _, leaf = key.rpartition(".")
    if any(event.name == f"{leaf} not used" for event in flown.events):
        return True
    if not key.startswith("craft."):
        return False
    findings = check(scenario.craft, scenario.skein.turns).findings
    return any("nothing" in each.sentence and leaf in each.sentence + each.key for each in findings)


def by_design(key: str, scenario: Scenario) -> bool:
    """A bar that is no bar keeps its other keys, so that a comparison changes one word; likewise the gain of one that is stuck."""
    bar = BARS[scenario.craft.bar.kind]
    return key.startswith("craft.bar.") and (not bar.present or (key == "craft.bar.gain" and not bar.tilts))


@pytest.mark.parametrize("name", SETUPS)
def test_no_key_does_nothing_in_silence(name: str) -> None:
    scenario, before = base(name)
    silent = []
    for key, value, field in leaves(scenario):
        if key.rpartition(".")[2] in WORDS or key in FOR_THE_CHECK | AT_ONCE | COMPILED:
            continue
        found = flown_otherwise(scenario, key, moved(value, field))
        if found is None:
            continue
        changed, after = found
        moves = not same(before, after)
        if not moves and key not in WATCHED and not by_design(key, scenario) and not told(key, after, changed):
            silent.append(key)
    assert silent == []


def test_breakage_may_be_switched_off() -> None:
    """It ends the flight before anything else can act."""
    assert not same(
        *(
            fly_brief(load_scenario("stick-breaks", {"run.breakage": on, "run.duration_s": 1.3}), 1)
            for on in (True, False)
        )
    )


@pytest.mark.parametrize("key", WATCHED)
def test_what_is_watched_is_met(key: str) -> None:
    scenario, before = base(WATCHED[key])
    value, field = next((value, field) for name, value, field in leaves(scenario) if name == key)
    found = flown_otherwise(scenario, key, moved(value, field))
    assert found is not None
    assert not same(before, found[1])


@pytest.mark.parametrize("name", ["wind and gust", "tail on its own skein"])
def test_a_study_of_another_value_is_another_study(name: str) -> None:
    """What a study file holds as its scenario differs by whichever key is moved, so that none goes on over changed inputs."""
    scenario, _ = base(name)
    text = identity(open_text(scenario))
    alike = []
    for key, value, field in leaves(scenario):
        for other in moved(value, field):
            with contextlib.suppress(BadInput):
                if identity(open_text(scenario.replace({key: other}))) == text:
                    alike.append(key)
                break
    assert alike == []
