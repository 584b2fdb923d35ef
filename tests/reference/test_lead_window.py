"""The window of leads in which the bar holds the craft up: its edges by flights, for two bar masses and two hub heights.

Source: own finding (references section 4.4: no published figure for so light a body was found), explained by 4.2 and 4.4: with the bar
held in space, the disc answers a tilt with k sin L against it and k cos L across it. Across is damping for one of the two whirls of a
body with a spinning rotor (forward and backward nutation) and drives the other, so what natural damping there is leaves a window about
the lead at which nothing acts across, and both its edges are whirls of about 1 Hz in opposite sense. That middle is 90 degrees for a
heavy body and undelayed disc; here it lies a few degrees beyond, since disc and inflow lag.

Last seen (deg, found by halving to 0.5):
    tip 0.3 g, hub as it is : 72.7 to 117.0        tip 0.6 g, hub as it is : 74.8 to 114.8
    tip 0.3 g, hub 25 mm up : 77.7 to 113.9        tip 0.6 g, hub 25 mm up : 74.5 to 112.0
A higher hub (longer arm of the thrust about the centre of gravity) narrows the window; the bar's mass moves it by 1 to 3 degrees only.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from paddlebar.api import fly, load_scenario

SCENARIO = Path(__file__).parent / "still-tilted.toml"
OPEN = {
    "room.ceiling_m": 100.0,
    "room.length_m": 900.0,
    "room.width_m": 900.0,
    "launch.height_m": 40.0,
    "skein.turns": 420.0,
}
SECONDS = 16.0
STEADY_DEG = 20.0  # a craft that leans less than that in the second half of the flight is held; outside the window it whirls at 30 or tips


def held(lead: float, tip: float, hub_up: float) -> bool:
    changes = {"craft.bar.lead_deg": lead, "craft.bar.tip_mass_g": tip, "craft.shaft.hub_mm": [0.0, 0.0, hub_up]}
    flight = fly(load_scenario(SCENARIO, {**OPEN, "run.duration_s": SECONDS, **changes}))
    late = flight.time > 0.5 * SECONDS
    return flight.outcome == "still flying" and bool(np.degrees(flight.tilt[late]).max() < STEADY_DEG)


def edge(inside: float, outside: float, tip: float, hub_up: float) -> float:
    """Lead at which it is no longer held, by halving."""
    while abs(outside - inside) > 0.5:
        middle = 0.5 * (inside + outside)
        if held(middle, tip, hub_up):
            inside = middle
        else:
            outside = middle
    return 0.5 * (inside + outside)


@pytest.mark.slow
@pytest.mark.parametrize("tip", [0.3, 0.6])
@pytest.mark.parametrize("hub_up", [0.0, 25.0])
def test_the_window_has_two_edges_and_lies_a_little_beyond_ninety(tip, hub_up):
    assert held(95.0, tip, hub_up)
    assert not held(55.0, tip, hub_up)
    assert not held(135.0, tip, hub_up)
    low, high = edge(95.0, 55.0, tip, hub_up), edge(95.0, 135.0, tip, hub_up)
    print(f"tip {tip} g, hub {hub_up} mm up: {low:.1f} to {high:.1f} deg")
    assert 68.0 < low < 82.0
    assert 108.0 < high < 122.0
    assert 90.0 < 0.5 * (low + high) < 102.0


def test_a_reversed_lead_never_holds():
    """L = 270 is the reversed linkage of references 4.4: pure destabilising."""
    assert not held(270.0, 0.6, 0.0)
