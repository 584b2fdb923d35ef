"""Where blades meet parts: angles by hand, and the same places as `check` finds."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from paddlebar.checks.clearance import clearances
from paddlebar.craft.build import build
from paddlebar.craft.strikes import fill_zones, zones
from paddlebar.craft.sweep import blade_half_height
from paddlebar.files.load import load_craft, load_scenario
from paddlebar.flight import events, layout

MODELS = Path(__file__).parents[2] / "models"
SCENARIOS = Path(__file__).parents[2] / "scenarios"
HIGH_BOOM = {"part.boom.from_mm": [9, 0, -40], "part.boom.to_mm": [-248, 0, -40]}
IN_FLIGHT = {f"craft.{key}": value for key, value in HIGH_BOOM.items()}


def craft(name: str = "hall-ten", **changes):
    return load_craft(MODELS / f"{name}.toml", changes)


@pytest.mark.parametrize("name", ["hall-ten", "printed-28"])
def test_the_shipped_craft_reach_nothing(name):
    assert zones(craft(name)) == ()


def test_a_boom_over_the_tail_by_hand():
    """The boom lies at azimuth 0; where it comes nearest in angle, its depth over its distance is the tangent, and half blade and half boom
    are added."""
    made = craft(**HIGH_BOOM)
    over = [zone for zone in zones(made) if zone.part == "boom"]
    aft = next(zone for zone in over if min(zone.azimuth, 2.0 * math.pi - zone.azimuth) < 0.05)
    hub = np.array(made.shaft.hub_mm)
    boom = next(part for part in made.part if part.name == "boom")
    # along the boom, taken as level and the shaft as upright (it leans by a degree or two)
    best = -math.inf
    for out in np.arange(made.rotor.root_mm, made.rotor.radius_mm):
        distance = math.hypot(out, hub[2] + 40.0)
        thick = 1e3 * float(blade_half_height(made, np.array([1e-3 * out]))[0]) + 0.5 * boom.diameter_mm
        best = max(best, -math.atan2(hub[2] + 40.0, out) + math.asin(thick / distance))
    assert aft.below
    assert aft.limit == pytest.approx(best, abs=math.radians(2.5))


def test_what_is_reached_is_what_check_calls_a_stop():
    """A gap below nothing at the stops, and a zone within them: both or neither, of each part."""
    for stop in (10.0, 20.0, 30.0, 40.0):
        made = craft(**{"head.stop_deg": stop})
        cone = math.radians(made.head.precone_deg)
        struck = {
            gap.other.removeprefix("part ") for gap in clearances(made) if gap.what == "blades" and gap.gap_mm < 0.0
        }
        within = {zone.part for zone in zones(made) if abs(zone.limit - cone) < math.radians(stop)}
        assert struck == within, stop


def test_the_mirrored_craft_has_the_mirrored_zones():
    """A boom to the right of one hand is a boom to the left of the other: the azimuth runs the other way."""
    side = {"part.boom.from_mm": [9, 0, -40], "part.boom.to_mm": [-200, 150, -40], "shaft.tilt_right_deg": 0.0}
    plain = zones(craft(**side))
    other = {"part.boom.from_mm": [9, 0, -40], "part.boom.to_mm": [-200, -150, -40], "shaft.tilt_right_deg": 0.0}
    mirrored = zones(craft(**other, **{"shaft.turns": "clockwise", "tail.thrust_to": "left"}))
    assert plain
    assert [zone.part for zone in mirrored] == [zone.part for zone in plain]
    for one, other_hand in zip(plain, mirrored, strict=True):
        assert (other_hand.azimuth, other_hand.limit) == pytest.approx((one.azimuth, one.limit), abs=1e-12)


def given(**changes):
    scenario = load_scenario(SCENARIOS / "first-flight.toml", {**IN_FLIGHT, **changes})
    numbers = build(scenario)
    fill_zones(numbers, scenario.craft)
    y = np.zeros(layout.state_size(int(numbers.params[0]["flaps"])))
    y[layout.ROTOR_SPEED] = 40.0
    return scenario, numbers, y


def test_the_room_is_the_same_wherever_the_blades_are():
    """Flapping once a turn, beta = c cos psi + s sin psi: at every azimuth of the blades the angle over the boom is the same c."""
    scenario, numbers, y = given()
    p = numbers.params[0]
    c, s = math.radians(-4.0), math.radians(7.0)
    seen = []
    for psi in np.linspace(0.0, 2.0 * math.pi, 13):
        y[layout.ROTOR_AZIMUTH] = psi
        y[layout.FLAP] = c * math.cos(psi) + s * math.sin(psi)
        y[layout.FLAP + 1] = 40.0 * (-c * math.sin(psi) + s * math.cos(psi))
        seen.append(float(events.strike_room(y, p)))
    assert np.ptp(seen) < 1e-12
    cone = math.radians(scenario.craft.head.precone_deg)
    by_hand = min(
        cone + c * math.cos(zone.azimuth) + s * math.sin(zone.azimuth) - zone.limit for zone in zones(scenario.craft)
    )
    assert seen[0] == pytest.approx(by_hand, abs=1e-12)


def test_three_flapping_blades_cone_and_tilt_together():
    scenario, numbers, y = given(
        **{"craft.rotor.blades": 3, "craft.head.kind": "flapping", "craft.head.hinge_offset_mm": 8.0}
    )
    p = numbers.params[0]
    up, c, s = 0.05, -0.06, 0.03
    seen = []
    for psi in (0.0, 0.4, 2.0):
        y[layout.ROTOR_AZIMUTH] = psi
        for i in range(3):
            here = psi + 2.0 * math.pi * i / 3
            y[layout.FLAP + i] = up + c * math.cos(here) + s * math.sin(here)
            y[layout.FLAP + 3 + i] = 40.0 * (-c * math.sin(here) + s * math.cos(here))
        seen.append(float(events.strike_room(y, p)))
    cone = math.radians(scenario.craft.head.precone_deg)
    by_hand = min(
        (1.0 if zone.below else -1.0)
        * (cone + up + c * math.cos(zone.azimuth) + s * math.sin(zone.azimuth) - zone.limit)
        for zone in zones(scenario.craft)
    )
    assert seen == pytest.approx([by_hand] * 3, abs=1e-12)


def test_a_rotor_at_rest_strikes_nothing():
    _, numbers, y = given()
    y[layout.FLAP] = -1.0
    assert events.strike_room(y, numbers.params[0]) < 0.0
    y[layout.ROTOR_SPEED] = 1.0
    assert events.strike_room(y, numbers.params[0]) == 1.0
