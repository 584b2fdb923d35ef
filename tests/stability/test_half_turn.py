"""Half a turn for a whole one: which craft it is enough for, and that it says the same."""

from __future__ import annotations

import math

import numpy as np
import pytest

from paddlebar.stability.equilibrium import Guess, equilibrium
from paddlebar.stability.floquet import STATIONS, exponents, transition
from paddlebar.stability.half_turn import is_its_image
from paddlebar.stability.return_map import ReturnMap
from paddlebar.stability.search import CLOSED, fixed_point
from stability.steady import VARIANTS, frozen, steady

FLAPPING = VARIANTS["flapping, five"]
SIDES_ALIKE = ("as built", "no bar", "no tail", "rigid", "flapping, two")
ALIKE = {name: VARIANTS[name] for name in SIDES_ALIKE} | {"flapping, four": {**FLAPPING, "craft.rotor.blades": 4}}
APART = {
    "one blade heavier by a milligram": {"craft.rotor.blade_masses_g": [0.68, 0.681]},
    "one blade's pitch": {"craft.rotor.blade_pitches_deg": [9.0, 9.01]},
    "one tip heavier by a milligram": {"craft.bar.tip_masses_g": [0.6, 0.601]},
    "three blades": {**FLAPPING, "craft.rotor.blades": 3},
    "five blades, no bar": {**FLAPPING, **VARIANTS["no bar"]},
}


@pytest.mark.parametrize("name", ALIKE)
def test_craft_whose_opposite_sides_are_alike_are_their_own_image(name):
    assert is_its_image(frozen(3.4, ALIKE[name]))


@pytest.mark.parametrize("name", APART)
def test_the_least_difference_between_opposite_sides_is_seen(name):
    numbers = frozen(3.4, APART[name])
    assert not is_its_image(numbers)
    map_ = ReturnMap(numbers)
    x = np.linspace(0.1, 0.2, map_.size)
    assert np.array_equal(map_.image(x), x)


@pytest.mark.parametrize("name", ALIKE)
def test_twice_half_a_turn_is_a_whole_one_from_anywhere(name):
    """From states by chance, near a steady motion or not: rounding only, which a revolution magnifies."""
    numbers = frozen(3.4, ALIKE[name])
    half, whole = ReturnMap(numbers), ReturnMap(numbers, parts=1)
    assert half.parts == 2
    rng = np.random.default_rng(7)
    for _ in range(5):
        x = 0.3 * rng.normal(size=half.size)
        x[half.find("rotor_speed")] = rng.uniform(1.4, 2.2)
        assert np.array_equal(half.image(half.image(x)), x)
        assert half.revolution(x) == pytest.approx(whole(x), rel=1e-9, abs=1e-10)
        assert np.isfinite(whole(x)).all()


@pytest.mark.parametrize("name", ALIKE)
def test_it_finds_the_same_motion_and_the_same_modes(name):
    """Differences over 1e-6 of a scale, within which no section's table bends: over 1e-4 some do, and matrices differ by up to 6e-5."""
    e = steady(4.0 if name == "flapping, four" else 3.4, ALIKE[name])
    assert e.map.parts == 2
    assert e.residual < 2.0 * CLOSED
    whole = ReturnMap(e.map.numbers, parts=1)
    closest = fixed_point(whole, e.x)
    assert closest.closed
    assert np.abs(closest.x - e.x).max() < 10.0 * CLOSED
    found = transition(e.map, e.x, 1e-6, STATIONS)
    wanted = transition(whole, e.x, 1e-6, STATIONS)
    assert found[0] == pytest.approx(wanted[0], rel=1e-7)
    size = np.abs(wanted[1]).max(axis=(1, 2))[:, None, None]
    assert np.abs((found[1] - wanted[1]) / size).max() < 1e-7
    last = transition(e.map, e.x, 1e-6)[1][-1]
    assert np.abs(last - found[1][-1]).max() < 1e-7 * size.max()
    growth = exponents(wanted[1][-1], e.period)[0].real
    assert exponents(last, e.period)[0].real == pytest.approx(growth, abs=1e-6)
    assert e.growth == pytest.approx(growth, abs=1e-4)


def test_half_a_turn_takes_half_the_steps(monkeypatch):
    """Counted: what it is for."""
    steps = []
    advance = ReturnMap.advance
    monkeypatch.setattr(ReturnMap, "advance", lambda self, y, count: steps.append(count) or advance(self, y, count))
    numbers = frozen(3.4)
    x = np.full(ReturnMap(numbers).size, 0.1)
    x[ReturnMap(numbers).find("rotor_speed")] = 1.8
    for parts in (1, 2):
        steps.clear()
        transition(ReturnMap(numbers, parts=parts), x, stations=STATIONS)
        assert sum(steps) == 36 // parts * (2 * x.size + 1)


def test_the_slope_of_half_a_turn_leads_a_craft_that_needs_a_whole_one():
    """One tip heavier: the square of the half is the slope of the whole; the other way round there is none."""
    e = steady(3.4)
    tipped = ReturnMap(frozen(3.4, {"craft.bar.tip_masses_g": [0.6, 0.605]}))
    led = e.guess.slope_of(tipped)
    assert led is not None
    assert np.abs(led - tipped.slope(e.x, tipped(e.x))).max() < 0.05 * np.abs(led).max()
    tipped.calls = 0
    there = equilibrium(tipped, e)
    assert there.residual < CLOSED
    assert tipped.calls <= 12, "no Jacobian of its own"
    assert there.guess.parts == 1
    assert there.guess.slope_of(e.map) is None
    assert np.abs(equilibrium(e.map, there).x - e.x).max() < 10.0 * CLOSED
    assert Guess(e.x).slope_of(e.map) is None


def test_a_motion_and_its_image_are_one():
    """What the bar does at azimuth zero it does, the other way round, half a turn later."""
    e = steady(3.4)
    y = e.state
    e.map.advance(y, e.map.steps // 2)
    there = e.map.reduced(y)
    assert e.map.image(there) == pytest.approx(e.x, abs=10.0 * CLOSED)
    bar = e.map.find("bar_angle")
    assert there[bar] == pytest.approx(-e.x[bar], abs=10.0 * CLOSED)
    assert math.isclose(e.period, 60.0 / e.rotor_rpm)
