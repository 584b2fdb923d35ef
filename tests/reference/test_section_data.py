"""Shipped sections against the published bounds of references.md 2.0 and 2.1; marks as there."""

from __future__ import annotations

import math

import numpy as np
import pytest

from paddlebar.craft.sections import (
    ALPHA_NODES_DEG,
    DATA,
    RE_NODES,
    SECTIONS,
    laminar_plate_drag,
    plate,
    section_table,
    zero_lift_angle,
)
from paddlebar.physics.section import coefficients

pytestmark = [
    pytest.mark.reference,
    pytest.mark.phenomenon("section data", source="2.1", why="data reach that share of thin-aerofoil theory at low Re"),
]

PLATES = ("flat plate", "shallow cambered plate", "cambered plate")
LOW_RE = (5e3, 1e4, 2e4, 3e4, 6e4)


TABLES = np.stack([section_table(name) for name in SECTIONS])


def at(name, alpha_deg, reynolds):
    return coefficients(TABLES, list(SECTIONS).index(name), math.radians(alpha_deg), math.log(reynolds))


@pytest.mark.parametrize(
    ("reynolds", "drag"), [(5e3, 0.0376), (8e3, 0.0297), (1e4, 0.0266), (2e4, 0.0188), (6e4, 0.0108)]
)
def test_laminar_friction(evidence, reynolds, drag):
    """[C] figures rounded to four places."""
    evidence(
        f"laminar friction of a plate, Re {reynolds:g}",
        laminar_plate_drag(reynolds),
        drag,
        absolute=6e-5,
        why="four places",
    )


@pytest.mark.parametrize("name", SECTIONS)
def test_drag_never_below_laminar_friction_of_a_plate(name):
    """[C] floor 2.1, between zero and moderate lift; a 2 % margin for interpolation in log Re."""
    for reynolds in LOW_RE:
        lowest = min(at(name, a, reynolds)[1] for a in range(-8, 13))
        assert lowest > 0.98 * laminar_plate_drag(reynolds)


@pytest.mark.parametrize("name", PLATES)
@pytest.mark.parametrize("reynolds", LOW_RE)
def test_least_drag_of_plates_is_1_to_1_8_times_friction(evidence, name, reynolds):
    """Advice of 2.1. Interpolation in log Re between octaves adds up to 2 %."""
    lowest = min(at(name, a, reynolds)[1] for a in np.arange(-6, 6, 0.5))
    share = lowest / laminar_plate_drag(reynolds)
    evidence(
        f"least drag over laminar friction, {name}, Re {reynolds:g}",
        share,
        (1.0, 1.84),
        why="1 to 1.8 advised, 2 % for interpolation",
    )


@pytest.mark.parametrize("reynolds", LOW_RE)
def test_circular_arc_lift_and_moment(evidence, reynolds):
    """[C] 2.1 at 5 %: alpha0 -5.73 deg, cl(0) 0.628, cm -0.157; data reach 70-100 % of slope, 60-90 % of cl(0)."""
    zero = section_table("cambered plate")[:, :, 0]
    cl0, _, cm0 = at("cambered plate", 0.0, reynolds)
    evidence(f"cl at 0 deg, 5 % arc, over 4 pi f, Re {reynolds:g}", cl0 / 0.628, (0.60, 0.90))
    evidence(f"cm at 0 deg, 5 % arc, over -pi f, Re {reynolds:g}", cm0 / -0.157, (0.60, 0.90))
    slope = (at("cambered plate", 2.0, reynolds)[0] - at("cambered plate", -2.0, reynolds)[0]) / math.radians(4.0)
    evidence(f"lift slope over 2 pi, 5 % arc, Re {reynolds:g}", slope / (2 * math.pi), (0.70, 1.0))
    assert np.all(zero[:, ALPHA_NODES_DEG == -6] < 0)


def test_circular_arc_does_not_lift_at_its_angle(evidence):
    """[C] 2.1 at 5 %: alpha0 -5.73 deg."""
    zero_lift = math.degrees(zero_lift_angle(section_table("cambered plate")))
    evidence(
        "angle of no lift, 5 % arc", zero_lift, -5.73, 0.2, unit="deg", why="own choice, of the order of what data lose"
    )


ORDER = pytest.mark.phenomenon(source="2.0", why="the source gives the order only")


@ORDER
@pytest.mark.parametrize("alpha", [4.0, 5.0, 6.0, 8.0])
def test_order_of_sections_at_re_20000(evidence, alpha):
    """Laitone 1997 [A]: at Re 2e4 the 5 % arc lifts most at every angle, flat plate and thick section less."""
    arc = at("cambered plate", alpha, 2e4)[0]
    for other in ("flat plate", "thin aerofoil"):
        found = at(other, alpha, 2e4)[0]
        assert arc > found
        evidence(f"cl of the 5 % arc over that of the {other} at {alpha:g} deg, Re 2e4", arc / found, (1.0, math.inf))


def test_flat_plate_beats_thick_section_while_that_is_laminar():
    """Laitone [A]: NACA 0012 behind the flat plate at 4-8 deg; ours is thinner, cambered: only 4-5 deg claimed."""
    for alpha in (4.0, 5.0):
        assert at("flat plate", alpha, 1.5e4)[0] > at("thin aerofoil", alpha, 1.5e4)[0]


@pytest.mark.phenomenon(source="2.0", why="'hardly change' in the sources' words; own figure")
@pytest.mark.parametrize("name", PLATES)
def test_plates_hardly_change_with_reynolds_number(evidence, name):
    """2.0 (Laitone, Winslow et al. [A]): |d cl / d ln Re| < 0.05 for plates, Re 5e3 to 6e4."""
    re = np.array([5e3, 1e4, 2e4, 4e4, 6e4])
    lift = np.array([[at(name, alpha, each)[0] for each in re] for alpha in range(-15, 21)])
    change = np.diff(lift, axis=1) / np.diff(np.log(re))
    most = change.flat[np.abs(change).argmax()]
    evidence(
        f"greatest change of cl with ln Re, {name}, -15 to 20 deg", most, 0.0, absolute=0.05, conditions="Re 5e3 to 6e4"
    )


@pytest.mark.parametrize("alpha", [5.0, 8.0, 12.0, 20.0, 40.0])
def test_flat_plate_has_lost_its_suction(evidence, alpha):
    """[C] 2.1: cd - cd0 = cl tan(alpha) within 20 % above 4 deg."""
    cl, cd, _ = at("flat plate", alpha, 2e4)
    rise = cd - at("flat plate", 0.0, 2e4)[1]
    evidence(
        f"cd - cd0 of a flat plate at {alpha:g} deg, cl tan alpha",
        rise,
        cl * math.tan(math.radians(alpha)),
        0.2,
        why="20 % advised above 4 deg",
    )


@pytest.mark.parametrize("reynolds", [1e4, 2e4])
def test_cambered_plate_near_the_blade_state_of_a_small_rotor(reynolds):
    """1.1 item 4 [C]: cl near 0.8, cd 0.12-0.15 at 10-11 deg, back-calculated means with root losses inside. The angle
    is good to about 1.5 deg and rotation raises lift, so the plane section is asked for cl within 20 % somewhere in
    8.5-11 deg, with drag in the band widened by a tenth."""
    polar = [at("cambered plate", a, reynolds) for a in np.arange(8.5, 11.1, 0.5)]
    assert any(abs(cl / 0.8 - 1) < 0.2 and 0.108 < cd < 0.165 for cl, cd, _ in polar)


@pytest.mark.phenomenon(source="2.0", why="range of what the sources say")
@pytest.mark.parametrize(("name", "low", "high"), [("flat plate", 0.6, 0.8), ("cambered plate", 0.85, 1.2)])
def test_greatest_lift_below_fifteen_degrees(evidence, name, low, high):
    """Schmitz 1942, Okamoto et al. 1996 [M]: flat 0.7-0.8, curved 0.8-1.2 over Re 1e4 to 4e4; flat down to 0.6."""
    for reynolds in (1e4, 4e4):
        most = max(at(name, a, reynolds)[0] for a in range(5, 15))
        evidence(f"greatest cl from 5 to 14 deg, {name}, Re {reynolds:g}", most, (low, high))


@pytest.mark.phenomenon(
    source="1.8", conditions="Re 1e4", why="20 % advised from 20 deg; the aerofoil keeps part of its suction to 32 deg"
)
@pytest.mark.parametrize("name", SECTIONS)
def test_large_angles_follow_the_normal_force(evidence, name):
    """Usherwood and Ellington 2002 [A]: drag/lift = tan(alpha) within 20 % at 20-60 deg. The 8.9 % aerofoil keeps part
    of its nose suction beyond its stall, so it is asked from 32 deg."""
    for alpha in range(20 if name in PLATES else 32, 61, 4):
        cl, cd, _ = at(name, alpha, 1e4)
        evidence(f"drag over lift, {name}, {alpha} deg, tan alpha", cd / cl, math.tan(math.radians(alpha)), 0.2)


@pytest.mark.phenomenon(why="10 % advised")
@pytest.mark.parametrize("name", SECTIONS)
def test_broadside_drag_is_that_of_a_long_plate(evidence, name):
    """Hoerner [M] 2.1: 10:1 plate 1.3, +-10 %; lift gone, load near mid-chord."""
    for alpha in (90.0, -90.0):
        cl, cd, cm = at(name, alpha, 1e4)
        evidence(f"drag broadside on, {name}, {alpha:+g} deg", cd, 1.3, 0.1)
        assert abs(cl) < 0.02
        assert cm == pytest.approx(-0.25 * math.copysign(cd, alpha), rel=0.1)


def test_flat_plate_is_symmetric():
    """2.1: odd in lift, even in drag, and the same seen from behind. Exact to the table's five decimals."""
    table = section_table("flat plate")
    flipped = table[:, ::-1]
    assert np.abs(table[..., 0] + flipped[..., 0]).max() < 1e-12
    assert np.abs(table[..., 1] - flipped[..., 1]).max() < 1e-12
    assert np.abs(table[..., 2] + flipped[..., 2]).max() < 1e-12
    half = table[:, 1:181], table[:, 181:361]
    assert np.abs(half[0][..., :2] - half[1][..., :2]).max() < 1e-12


def test_arc_is_its_own_mirror_image_from_behind():
    """Fore-and-aft symmetry: cl(180 - a) = -cl(a), cd the same, moment about mid-chord turned round."""
    table = section_table("cambered plate")
    i = np.arange(181, 362)
    mirror = 2 * 181 + 180 - i
    assert np.abs(table[:, i, 0] + table[:, mirror, 0]).max() < 1e-12
    assert np.abs(table[:, i, 1] - table[:, mirror, 1]).max() < 1e-12
    a = np.radians(ALPHA_NODES_DEG)
    middle = table[..., 2] + 0.25 * (table[..., 0] * np.cos(a) + table[..., 1] * np.sin(a))
    assert np.abs(middle[:, i] + middle[:, mirror]).max() < 2e-5


@pytest.mark.parametrize("name", SECTIONS)
def test_no_energy_from_nowhere(name):
    """Drag is positive at every angle and Reynolds number."""
    assert section_table(name)[..., 1].min() > 0.004


@pytest.mark.phenomenon(
    source="2.2", conditions="RG15, Re 59,900", why="below 4 deg the surrogate is still laminar, up to 0.16; above 0.05"
)
def test_surrogate_against_a_measured_run(evidence):
    """RG15, Re 59,900, UIUC wind tunnel [T]. From 4 to 9 deg within 0.05; below, the measured zero-lift angle lies 1.2
    deg lower and the surrogate, still laminar, misses by up to 0.16: stated, not mended."""
    alpha = np.array([-3.43, -0.39, 1.15, 2.72, 4.26, 5.80, 7.31, 8.84])
    cl = np.array([-0.129, 0.129, 0.305, 0.573, 0.705, 0.844, 0.950, 1.027])
    for a, measured in zip(alpha.tolist(), cl.tolist(), strict=True):
        got = at("thin aerofoil", a, 59_900)[0]
        evidence(f"cl of the thin aerofoil at {a:g} deg", got, measured, absolute=0.05 if a > 4.0 else 0.16)


@pytest.mark.parametrize(
    ("name", "camber"), [("flat plate", 0.0), ("shallow cambered plate", 0.03), ("cambered plate", 0.05)]
)
def test_shipped_plates_are_what_the_relations_give(name, camber):
    """To the five decimals of the file, at Reynolds numbers that the file holds."""
    for k in (0, 6, 16):
        want = plate(np.radians(np.arange(-180, 181)), RE_NODES[k], camber)
        assert np.abs(section_table(name)[k, 1:-1] - want).max() < 1e-5


@pytest.mark.parametrize("name", SECTIONS)
def test_each_file_says_where_it_comes_from(name):
    lines = (DATA / SECTIONS[name].file).read_text(encoding="utf-8").splitlines()
    head = [line for line in lines if line.startswith("#")]
    text = " ".join(head)
    assert len(head) >= 4
    assert any(mark in text for mark in ("[P]", "[T]", "[A]", "[C]", "[M]"))
    assert "NOT measured" in text
