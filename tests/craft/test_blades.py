"""Blades and bar as masses and as strips.

Broken : propeller moment with the other sign; sweep of the mass axis forward for back; missing ball kept: each refused here.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from paddlebar.craft.blades import (
    bar_mass,
    blade_mass,
    blade_offsets,
    blade_shares,
    gauss,
    helmbold,
    rotor_elements,
    rotor_planform,
    tail_elements,
)
from paddlebar.files.craft import Bar, Rotor, Tail

PLAIN: dict[str, Any] = {
    "blades": 2, "radius_mm": 200.0, "root_mm": 25.0, "chord_mm": 30.0, "collective_deg": 9.0, "blade_mass_g": 1.0, "section": "flat plate",
    "thickness_mm": 1.0, "feather_axis_percent": 30.0, "mass_axis_percent": 40.0,
}  # fmt: skip


def rotor(**keys: Any) -> Rotor:
    return Rotor(**{**PLAIN, **keys})


@pytest.mark.parametrize("n", [1, 2, 3, 5, 8])
def test_gauss_strips_integrate_polynomials(n: int) -> None:
    """Exact to order 2n - 1 and no further. Rounding."""
    x, dr = gauss(0.025, 0.2, n)
    for k in range(2 * n):
        assert np.sum(dr * x**k) == pytest.approx((0.2 ** (k + 1) - 0.025 ** (k + 1)) / (k + 1), rel=1e-12)
    beyond = 2 * n
    assert abs(np.sum(dr * x**beyond) / ((0.2 ** (beyond + 1) - 0.025 ** (beyond + 1)) / (beyond + 1)) - 1.0) > 1e-10
    assert dr.sum() == pytest.approx(0.175, rel=1e-13)


def test_slender_blade_is_a_uniform_rod() -> None:
    """Chord and thickness next to nothing: m (R - r0)^2/12 across, nothing along; centre half-way, from the hinge. 1e-9."""
    mass, centre, inertia = blade_mass(rotor(chord_mm=1e-4, thickness_mm=0.0), 0.010)
    across = 1e-3 * 0.175**2 / 12.0
    assert mass == pytest.approx(1e-3, rel=1e-12)
    assert centre == pytest.approx([0.1025, 0.0, 0.0], abs=1e-7)
    assert inertia == pytest.approx(np.diag([0.0, across, across]), abs=1e-9 * across)


@pytest.mark.parametrize("pitch", [0.0, 9.0, -20.0])
def test_flat_blade_is_a_plate_at_its_pitch(pitch: float) -> None:
    """Handbook plate turned by the pitch: forward 2 and up 3 share I_f = m (c^2 - t^2)/12; J_23 = -I_f sin cos is what makes the
    propeller moment -I_f Omega^2 sin cos (references 3.5 item 9). Mass axis 10 % of the chord behind the feathering axis."""
    a = math.radians(pitch)
    c, s = math.cos(a), math.sin(a)
    _, centre, inertia = blade_mass(rotor(collective_deg=pitch), 0.0)
    wide, thick, long = 1e-3 * 0.03**2 / 12.0, 1e-3 * 0.001**2 / 12.0, 1e-3 * 0.175**2 / 12.0
    turn = np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]])
    want = turn @ np.diag([wide + thick, long + thick, long + wide]) @ turn.T
    assert inertia == pytest.approx(want, rel=1e-9, abs=1e-9 * wide)
    assert inertia[1, 2] == pytest.approx(-(wide - thick) * s * c, rel=1e-9, abs=1e-18)
    assert centre == pytest.approx([0.1125, -0.003 * c, -0.003 * s], rel=1e-9, abs=1e-15)


def test_tapered_blade_carries_its_mass_where_it_is_wide() -> None:
    """Chord from c to 0: centre at a third of the length, m L^2/18 (triangle); strips of second order: 1e-4."""
    _, centre, inertia = blade_mass(rotor(chord_mm=1e-3, tip_chord_mm=1e-12, thickness_mm=0.0), 0.0)
    assert centre[0] == pytest.approx(0.025 + 0.175 / 3.0, rel=1e-4)
    assert inertia[1, 1] == pytest.approx(1e-3 * 0.175**2 / 18.0, rel=1e-4)


def test_mass_properties_are_positive_and_triangular() -> None:
    """Principal moments of any body obey J1 + J2 >= J3; twisted, tapered, stationed blades too."""
    station = [
        {"radius_mm": r, "chord_mm": c, "pitch_deg": p}
        for r, c, p in ((25.0, 20.0, 20.0), (100.0, 35.0, 10.0), (200.0, 15.0, 4.0))
    ]
    for keys in ({}, {"twist_deg": -30.0}, {"tip_chord_mm": 10.0}, {"station": tuple(station)}):
        _, _, inertia = blade_mass(rotor(**keys), 0.0)
        one, two, three = np.linalg.eigvalsh(inertia)
        assert 0.0 < one <= two <= three <= (one + two) * (1.0 + 1e-12)


def test_collective_is_at_three_quarters() -> None:
    chord, pitch = rotor_planform(rotor(twist_deg=-8.0, tip_chord_mm=20.0), np.array([0.0, 0.025, 0.1125, 0.15, 0.2]))
    assert np.degrees(pitch) == pytest.approx([15.0, 14.0, 10.5, 9.0, 7.0], rel=1e-12)
    assert 1e3 * chord == pytest.approx([30.0, 30.0, 25.0, 30.0 - 10.0 * 125.0 / 175.0, 20.0], rel=1e-12)


def test_stations_replace_chord_and_twist_and_collective_adds() -> None:
    station = [
        {"radius_mm": r, "chord_mm": c, "pitch_deg": p}
        for r, c, p in ((50.0, 20.0, 20.0), (100.0, 40.0, 10.0), (200.0, 10.0, 4.0))
    ]
    plan = rotor(station=tuple(station), twist_deg=-30.0, collective_deg=2.0)
    chord, pitch = rotor_planform(plan, np.array([0.02, 0.05, 0.075, 0.1, 0.15, 0.2]))
    assert 1e3 * chord == pytest.approx([20.0, 20.0, 30.0, 40.0, 25.0, 10.0], rel=1e-12)  # held inboard of the first
    assert np.degrees(pitch) == pytest.approx([22.0, 22.0, 17.0, 12.0, 9.0, 6.0], rel=1e-12)


def test_elements_lie_between_root_and_tip() -> None:
    e = rotor_elements(rotor(tip_chord_mm=20.0), 8)
    assert ((e.x > 0.025) & (e.x < 0.2) & (np.diff(e.x, prepend=0.0) > 0.0)).all()
    assert np.sum(e.chord * e.dr) == pytest.approx(0.025 * 0.175, rel=1e-12)  # area of the trapezoid
    tail = Tail(drive="cord", radius_mm=50.0, root_mm=8.0, chord_mm=14.0, pitch_deg=10.0, twist_deg=-4.0)
    t = tail_elements(tail, 3)
    assert t.dr.sum() == pytest.approx(0.042, rel=1e-12)
    assert t.chord == pytest.approx(np.full(3, 0.014))
    assert np.degrees(t.pitch) == pytest.approx(10.0 - 4.0 * (t.x / 0.05 - 0.75), rel=1e-12)


BAR = Bar(
    kind="seesaw", arm_mm=100.0, wire_diameter_mm=0.6, wire_mass_g=0.4, tip_mass_g=0.6, tip_diameter_mm=4.0, paddle_span_mm=30.0,
    paddle_chord_mm=15.0, paddle_centre_mm=80.0, paddle_mass_g=0.1, paddle_incidence_deg=5.0,
)  # fmt: skip
BOTH = (1.0, 1.0)


def test_bare_bar_by_hand() -> None:
    """Wire m (2L)^2/12, balls 2 m (L^2 + 2/5 r^2)."""
    bare = BAR.model_copy(update={"paddle_mass_g": 0.0})
    mass, centre, inertia = bar_mass(bare, BOTH, BOTH)
    ball = 2.0 * 0.6e-3 * 0.4 * 0.002**2
    across = 0.4e-3 * 0.2**2 / 12.0 + 2.0 * 0.6e-3 * 0.1**2 + ball
    assert mass == pytest.approx(1.6e-3, rel=1e-12)
    assert np.abs(centre).max() < 1e-15
    assert inertia == pytest.approx(np.diag([ball, across, across]), rel=1e-12, abs=1e-18)


def test_bar_that_lost_a_ball() -> None:
    """Mass less, centre towards the other arm, inertia about the HINGE less by just that ball."""
    whole, less = bar_mass(BAR, BOTH, BOTH), bar_mass(BAR, (0.0, 1.0), BOTH)
    assert less[0] == pytest.approx(whole[0] - 0.6e-3, rel=1e-12)
    assert less[0] * less[1] == pytest.approx([-0.6e-3 * 0.1, 0.0, 0.0], rel=1e-12)
    mirrored = bar_mass(BAR, (1.0, 0.0), BOTH)
    assert mirrored[1] == pytest.approx(-less[1], rel=1e-12)

    def about_hinge(found: tuple[float, np.ndarray, np.ndarray]) -> np.ndarray:
        m, c, j = found
        return np.asarray(j + m * (c @ c * np.eye(3) - np.outer(c, c)))

    ball = 0.6e-3 * (0.1**2 * np.diag([0.0, 1.0, 1.0]) + 0.4 * 0.002**2 * np.eye(3))
    assert about_hinge(less) == pytest.approx(about_hinge(whole) - ball, rel=1e-10, abs=1e-18)


def test_bar_that_lost_a_paddle() -> None:
    whole, less = bar_mass(BAR, BOTH, BOTH), bar_mass(BAR, BOTH, (1.0, 0.0))
    assert less[0] == pytest.approx(whole[0] - 0.1e-3, rel=1e-12)
    assert less[0] * less[1] == pytest.approx([0.1e-3 * 0.08, 0.0, 0.0], rel=1e-12)


def test_paddles_are_plates_at_their_incidence() -> None:
    """Both noses up in their own sense of motion: arm 2 moves the other way, so products 2-3 of the two cancel.
    Handbook: m c^2/12 along, m (s^2 + c^2 sin^2)/12 + m x^2 across."""
    with_, without = bar_mass(BAR, BOTH, BOTH)[2], bar_mass(BAR, BOTH, (0.0, 0.0))[2]
    found = with_ - without
    c2, s2, x2 = 0.015**2 / 12.0, 0.03**2 / 12.0, 0.08**2
    sine = math.sin(math.radians(5.0)) ** 2
    want = 2.0 * 0.1e-3 * np.diag([c2, s2 + sine * c2 + x2, s2 + (1.0 - sine) * c2 + x2])
    assert found == pytest.approx(want, rel=1e-9, abs=1e-18)


@pytest.mark.parametrize(
    ("aspect", "published"), [(1, 1.483), (2, 2.603), (3, 3.363), (4, 3.883), (6, 4.529), (8, 4.906)]
)
def test_helmbolds_short_wing(aspect: int, published: float) -> None:
    """references 2.1 [C], slope per radian, last digit given."""
    assert 2.0 * math.pi * helmbold(aspect) == pytest.approx(published, abs=5.1e-4)


def test_wings_at_the_ends_of_the_scale() -> None:
    """Very long: 1 (two-dimensional). Very short: pi AR/2 (Jones), i.e. AR/4 of 2 pi."""
    assert helmbold(1e6) == pytest.approx(1.0, abs=1e-5)
    assert helmbold(1e-3) == pytest.approx(0.25e-3, rel=1e-3)


def test_blades_differ_as_weighed_and_keep_their_mean() -> None:
    """0.72 and 0.64 g where the mean is said to be 1 g: 1.04 and 0.96. A blade that is not there counts as any."""
    unequal = rotor(blade_masses_g=(0.72, 0.64), blade_pitches_deg=(8.0, 11.0))
    assert blade_shares(unequal) == pytest.approx([1.04, 0.96])
    assert np.degrees(blade_offsets(unequal)) == pytest.approx([-1.5, 1.5])
    assert blade_shares(rotor()).tolist() == blade_shares(rotor(blade_masses_g=(0.68, 0.68))).tolist() == [1.0] * 2
    assert blade_offsets(rotor()).tolist() == [0.0, 0.0]


def test_a_share_is_the_whole_blade_heavier() -> None:
    """Mass and inertia in proportion, centre unmoved: what physics/mechanism.py takes for granted."""
    mass, centre, inertia = blade_mass(rotor(), 0.01)
    heavier = blade_mass(rotor(blade_mass_g=1.3), 0.01)
    assert heavier[0] == pytest.approx(1.3 * mass)
    assert heavier[1] == pytest.approx(centre)
    assert heavier[2] == pytest.approx(1.3 * inertia)


def test_a_turned_blade_is_its_mass_turned() -> None:
    """More pitch at the root turns mass and inertia about the feathering axis: what the offset in physics/mechanism.py takes for granted."""
    more = math.radians(3.0)
    turn = np.array([[1, 0, 0], [0, math.cos(more), -math.sin(more)], [0, math.sin(more), math.cos(more)]])
    _, centre, inertia = blade_mass(rotor(), 0.01)
    _, turned_centre, turned = blade_mass(rotor(collective_deg=12.0), 0.01)
    assert turned_centre == pytest.approx(turn @ centre, rel=1e-9, abs=1e-15)
    assert turned == pytest.approx(turn @ inertia @ turn.T, rel=1e-9, abs=1e-20)
