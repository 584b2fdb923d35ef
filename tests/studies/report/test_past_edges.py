"""On which side of an edge a bar holds its craft."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import pytest

from paddlebar import load_scenario
from paddlebar.stability.analysis import margins
from paddlebar.studies.report.past_edges import PAST, Beyond, looked_at, places

SCENARIOS = Path(__file__).parents[3] / "scenarios"


def test_places_lie_past_the_edges_and_nothing_is_made_up_where_there_is_none():
    scenario = load_scenario(SCENARIOS / "reversed-link.toml")  # gain -0.46, lead 102, 0.6 g
    found = SimpleNamespace(gain_margin=(0.5, 2.0), lead_margin_deg=(-20.0, None), mass_margin_g=(None, 0.2))
    there = {(each.key, each.value) for each in places(scenario, found)}
    # a factor below one makes a negative gain less negative
    assert there == {("gain", -0.19), ("gain", -0.96), ("lead_deg", 78.0), ("tip_mass_g", 0.9)}
    assert PAST == {"gain": 0.04, "lead_deg": 4.0, "tip_mass_g": 0.1}


@pytest.mark.parametrize(
    ("place", "change"),
    [
        (Beyond("gain", -0.5, -0.25), (0.5, 0.0, 0.0)),
        (Beyond("lead_deg", 100.0, 90.0), (1.0, -10.0, 0.0)),
        (Beyond("tip_mass_g", 0.5, 0.75), (1.0, 0.0, 0.25)),
    ],
)
def test_a_place_is_a_change_of_the_bar(place, change):
    assert (place.change.gain, place.change.lead_deg, place.change.mass_g) == pytest.approx(change)
    assert place.words == f"bar.{place.key} from {place.own:g} to {place.value:g}"


@pytest.mark.slow
def test_less_lead_holds_the_printed_craft_and_margins_of_that_craft_agree():
    scenario = load_scenario(SCENARIOS / "printed-first.toml")
    ((_, words, growth), (_, other, faster)) = looked_at(
        scenario, [Beyond("lead_deg", 102.0, 92.0), Beyond("lead_deg", 102.0, 112.0)]
    )
    assert words == "stabilises"
    assert other != "stabilises"
    built = margins(load_scenario(SCENARIOS / "printed-first.toml", {"craft.bar.lead_deg": 92.0}), points=3)
    assert built.verdict == "stabilises"
    assert growth == pytest.approx(built.worst_growth_per_s, abs=1e-3)
    assert faster > 0.0
