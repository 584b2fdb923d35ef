"""Maps: the same from any number of workers and after an interruption, the same as margins at the design, and what is read from a flight."""

from __future__ import annotations

import math
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest

from paddlebar import BadInput, load_scenario, margins, stability_map
from paddlebar.ensemble.many import fly_all
from paddlebar.studies.axes import axis
from paddlebar.studies.map.by_flights import growth, judge
from paddlebar.studies.map.study import Map, windows, words

SCENARIO = Path(__file__).parents[3] / "scenarios" / "tilted-launch.toml"
QUICK = {"run.blade_elements": 3, "run.duration_s": 3.0, "run.rtol": 1e-4}
X, Y = ("craft.bar.lead_deg", 70.0, 130.0, 4), ("craft.bar.tip_mass_g", 0.3, 0.8, 3)


@pytest.fixture(scope="module")
def scenario():
    return load_scenario(SCENARIO, QUICK)


@pytest.fixture(scope="module")
def found(scenario) -> Map:
    return stability_map(scenario, X, Y, workers=1)


def same(a: Map, b: Map) -> bool:
    pairs = ((a.growth, b.growth), (a.without, b.without))
    return all(np.array_equal(p, q, equal_nan=True) for p, q in pairs) and bool((a.verdict == b.verdict).all())


@pytest.mark.slow
@pytest.mark.parametrize("by", ["floquet", "flights"])
def test_workers_do_not_change_the_map(scenario, by):
    assert same(stability_map(scenario, X, Y, by, workers=1), stability_map(scenario, X, Y, by, workers=2))


def test_any_executor_will_do(scenario, found):
    with ThreadPoolExecutor(2) as threads:
        assert same(stability_map(scenario, X, Y, workers=2, executor=threads), found)


def test_an_interrupted_map_goes_on_and_ends_the_same(scenario, found, tmp_path):
    class Impatient:
        def start(self, steps: int) -> None:
            self.left = 3

        def step(self, what: str) -> None:
            self.left -= 1
            if not self.left:
                raise KeyboardInterrupt

        def close(self) -> None: ...

    file = tmp_path / "study.h5"
    with pytest.raises(KeyboardInterrupt):
        stability_map(scenario, X, Y, workers=1, progress=Impatient(), file=file)
    again = stability_map(scenario, X, Y, workers=1, file=file)
    assert same(again, found)


def test_the_design_is_judged_as_margins_judges_it(scenario, found):
    """Both take the steadiest of the same steady motions; a map's growth is by one-sided differences, good to 1e-4 /s."""
    one = margins(scenario)
    assert found.design == (102.0, 0.6)
    assert found.design_growth == pytest.approx(one.worst_growth_per_s, abs=2e-4)
    assert found.design_verdict == one.verdict
    assert found.turns_left == one.turns_at_verdict


def test_arrays_words_and_missing_values(found):
    assert found.growth.shape == found.without.shape == found.verdict.shape == (3, 4)
    assert (found.growth[:, 3] > 0.0).all()  # 130 degrees is beyond the window, test_lead_window.py
    # without the bar one weight of the tips has no steady flight here: then the whole map says grows or decays
    growths, without = found.growth.ravel(), found.without.ravel()
    compared = np.isfinite(without[np.isfinite(growths)]).all()
    said = [words(g, w if compared else math.nan) for g, w in zip(growths, without, strict=True)]
    assert said == found.verdict.ravel().tolist()
    assert words(math.nan, 1.0) == "no steady flight found"
    assert words(-1.0, math.nan) == "decays"
    assert words(1.0, math.nan) == "grows"


def test_what_cannot_be_built_is_missing_and_the_rest_is_there():
    """A thicker skein breaks earlier: more turns or more strands alone it bears, both it does not."""
    few = load_scenario(SCENARIO, QUICK | {"skein.turns": 200.0})
    found = stability_map(few, ("skein.turns", 200.0, 430.0, 2), ("craft.skein.strands", 6, 12, 2), workers=1)
    assert found.verdict[1, 1] == "no steady flight found"
    assert math.isnan(found.growth[1, 1])
    assert np.isfinite(found.growth).sum() >= 2


def test_windows_are_zeros_by_straight_lines(found):
    line = np.array([[1.0, -1.0, -3.0, math.nan, -1.0, 1.0]])
    made = Map(
        "a",
        "b",
        np.arange(6.0),
        np.array([0.0]),
        line,
        line,
        np.array([["x"] * 6]),
        (0.0, 0.0),
        0.0,
        "",
        "floquet",
        1.0,
        0.0,
    )
    assert windows(made, 0) == [(0.5, 2.0), (4.0, 4.5)]


@pytest.mark.parametrize("rate", [-0.4, 0.3])
def test_growth_of_a_made_up_sway(rate):
    t = np.arange(900) / 64.0 + np.random.default_rng(1).uniform(0.0, 0.002, 900)
    turn = np.exp((rate + 2j * math.pi * 0.35) * t)
    shake = 0.003 * np.exp(2j * math.pi * 12.5 * t)  # twice the rotor's speed
    z = 0.02 * turn + 0.05 + shake
    assert growth(t, np.column_stack([z.real, z.imag])) == pytest.approx(rate, abs=0.06)


def test_a_flight_too_short_has_no_growth():
    assert math.isnan(growth(np.linspace(0.0, 0.1, 5), np.zeros((5, 2))))


def test_flights_and_floquet_agree_on_a_craft_that_is_held(scenario):
    """Both say that it is held. The figures are not compared here: as the torque sinks the craft swerves from one steady flight to another, and
    a growth read over that is of neither. reference/test_floquet_flights.py compares exponents, each about its own steady flight."""
    long = load_scenario(
        SCENARIO, {"skein.turns": 275.0, "run.duration_s": 16.0, "room.ceiling_m": 100.0, "launch.height_m": 50.0}
    )
    flights = fly_all([long], workers=1, every=2)
    rate, end = judge(flights, 0, 0.0)
    assert end == 0
    assert margins(long).worst_growth_per_s < 0.0
    assert rate < 0.05  # last seen 0.001


@pytest.mark.parametrize(
    ("wanted", "says"),
    [
        (("craft.bar.kind", 0.0, 1.0, 3), "only a number"),
        (("craft.part.no-such.mass_g", 0.0, 1.0, 3), "x"),
        (("craft.bar.gain", 1.0, 0.0, 3), "lowest"),
        (("craft.bar.gain", 0.0, math.inf, 3), "lowest"),
        (("craft.bar.gain", 0.0, 1.0, 1), "how many"),
        (("craft.bar.gain", 0.0, 1.0, 1000), "how many"),
        (("craft.rotor.blades", 2.0, 3.0, 5), "whole numbers"),
    ],
)
def test_bad_axes(scenario, wanted, says):
    with pytest.raises(BadInput, match=says) as error:
        axis("x", scenario.effective_toml(), wanted, 400)
    assert "\n" not in str(error.value)


def test_an_axis_may_be_a_part_a_list_entry_or_a_key_left_open(scenario):
    text = scenario.effective_toml()
    assert axis("x", text, ("craft.part.stick.mass_g", 0.5, 1.0, 3), 9).own == 0.75
    assert axis("x", text, ("launch.push_m_s.1", -1.0, 1.0, 3), 9).own == 0.0
    assert math.isnan(axis("x", text, ("air.density_kg_m3", 0.9, 1.2, 3), 9).own)


def test_an_unknown_way_is_refused(scenario):
    with pytest.raises(BadInput, match="floquet or flights"):
        stability_map(scenario, X, Y, "guess")
