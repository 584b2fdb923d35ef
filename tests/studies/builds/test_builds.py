"""Builds within tolerances: drawn from the register, the same whoever flies them, and what is said of the worst is true when flown."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest

from paddlebar import Builds, fly_builds, load_scenario
from paddlebar.craft.knobs import knob_at
from paddlebar.craft.one_by_one import one_by_one
from paddlebar.ensemble.many import fly_brief
from paddlebar.errors import BadInput
from paddlebar.studies.axes import open_text
from paddlebar.studies.rank.survey import rows
from paddlebar.studies.tolerances import chosen, usual

FIRST = Path(__file__).parents[3] / "scenarios" / "first-flight.toml"
SHORT = {"run.duration_s": 15.0, "skein.turns": 250}
APART = {"craft.rotor.blade_masses_g.2", "craft.rotor.blade_pitches_deg.2", "craft.bar.tip_masses_g.2"}


@pytest.fixture(scope="module")
def scenario():
    return load_scenario(FIRST, SHORT)


@pytest.fixture(scope="module")
def found(scenario) -> Builds:
    return fly_builds(scenario, 12, seed=3)


def test_numbers_and_tolerances_are_the_registers(scenario, found):
    named = one_by_one(scenario)
    assert set(usual(scenario, "rank")) | APART == set(found.keys)
    for key, own, size in zip(found.keys, found.own, found.tolerances, strict=True):
        knob = knob_at(named, key)
        assert knob is not None
        assert knob.tolerance is not None
        assert 0.0 < size <= knob.tolerance.of(own) * (1.0 + 1e-9)
        column = found.values[:, found.keys.index(key)]
        assert np.abs(column - own).max() <= size * (1.0 + 1e-9)
    assert found.values.shape == (12, len(found.keys))


def test_builds_are_drawn_as_rank_draws_them(scenario, found):
    named = one_by_one(scenario)
    parameters = chosen(named.effective_toml(), usual(named, "rank", "builds"))
    drawn = rows(parameters, 16, 3)
    first, step = 1 + 2 * len(parameters), len(parameters) + 2
    for k, values in enumerate(found.values):
        assert values.tolist() == drawn[first + k * step]


def test_as_drawn_is_the_scenarios_own_flight(scenario, found):
    own = fly_brief(scenario)
    assert (found.as_drawn.outcome, found.as_drawn.duration_s) == (own.outcome, own.duration_s)
    assert "blade_masses_g" not in open_text(scenario)
    assert "blade_masses_g" in open_text(found.scenario)


@pytest.mark.parametrize("which", [0, 11, -1])
def test_a_build_is_what_its_changes_give(found, which):
    k = found.worst if which < 0 else which
    alone = fly_brief(load_scenario(FIRST, {**SHORT, **found.changes(k)}))
    assert alone.outcome == found.flights.outcome[k]
    assert alone.duration_s == pytest.approx(found.flights.duration_s[k], rel=1e-9)
    assert alone.controlled_s == pytest.approx(found.flights.controlled_s[k], rel=1e-9)


def test_the_worst_is_the_worst_and_its_culprit_was_flown(scenario, found):
    hows = [found.how(k) for k in found.flew]
    worst = found.how(found.worst)
    assert worst.flew_well is all(how.flew_well for how in hows)
    it = found.culprit
    assert it is not None
    assert it.drawn == found.own[found.keys.index(it.key)]
    assert it.built == found.values[found.worst][found.keys.index(it.key)]
    mended = found.changes(found.worst)
    whole, _, place = it.key.rpartition(".")
    if place.isdigit():
        mended[whole][int(place) - 1] = it.drawn
    else:
        mended[it.key] = it.drawn
    alone = fly_brief(load_scenario(FIRST, {**SHORT, **mended}))
    assert (alone.outcome, alone.flew_well) == (it.after.outcome, it.after.flew_well)
    assert alone.controlled_s == pytest.approx(it.after.controlled_s, rel=1e-9)


def test_the_spread_is_that_of_the_flights(found):
    times = found.flights.duration_s
    assert found.spread("duration_s") == pytest.approx(
        {"least": times.min(), "low": np.quantile(times, 0.1), "median": np.median(times), "high": np.quantile(times, 0.9), "most": times.max()}
    )  # fmt: skip
    assert found.share_well == found.well / 12
    assert sum(found.outcomes.values()) == 12
    told = found.to_json()
    assert told["builds"] == 12
    assert told["worst"]["build"] == found.worst + 1
    assert told["not_built"] == told["failed"] == 0


def test_the_same_for_any_workers_and_another_for_another_seed(scenario, found):
    with ThreadPoolExecutor(3) as pool:
        again = fly_builds(scenario, 12, seed=3, executor=pool)
    assert again.to_json() == found.to_json()
    assert fly_builds(scenario, 2, seed=4, workers=1).values.tolist() != found.values[:2].tolist()


def test_more_builds_begin_with_the_same(scenario, found):
    assert fly_builds(scenario, 2, seed=3, workers=1).values.tolist() == found.values[:2].tolist()


@pytest.mark.parametrize("count", [1, 0, 10_001])
def test_a_number_of_builds_that_is_none(scenario, count):
    with pytest.raises(BadInput, match=f"builds: should be 2 to 10000, found {count}"):
        fly_builds(scenario, count)


def test_weighed_blades_keep_their_own_and_a_locked_bar_has_its_tips():
    weighed = load_scenario(FIRST, {**SHORT, "craft.rotor.blade_masses_g": [0.70, 0.66], "craft.bar.kind": "locked"})
    found = fly_builds(weighed, 2, workers=1)
    assert found.own[found.keys.index("craft.rotor.blade_masses_g.2")] == 0.66
    assert "craft.bar.tip_masses_g.2" in found.keys
    bare = fly_builds(load_scenario(FIRST, {**SHORT, "craft.bar.kind": "none"}), 2, workers=1)
    assert not any(key.startswith("craft.bar") for key in bare.keys)
