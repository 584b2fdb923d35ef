"""Shipped sections against the published bounds of references.md 2.0 and 2.1; marks as there."""

from __future__ import annotations

import math

import numpy as np
import pytest

from paddlebar.craft.plate import laminar_plate_drag, plate
from paddlebar.craft.sections import ALPHA_NODES_DEG, DATA, RE_NODES, SECTIONS, section_table, zero_lift_angle
from paddlebar.physics.section import coefficients
from paddlebar.physics.stall_delay import stall_delay
from reference import measured_sections as measured

pytestmark = [
    pytest.mark.reference,
    pytest.mark.phenomenon("section data", source="2.1", why="data reach that share of thin-aerofoil theory at low Re"),
]

PLATES = ("flat plate", "shallow cambered plate", "cambered plate")
LOW_RE = (5e3, 1e4, 2e4, 3e4, 6e4)


TABLES = {nose: np.stack([section_table(name, nose) for name in SECTIONS]) for nose in ("sharp", "rounded")}


def at(name, alpha_deg, reynolds, nose="sharp"):
    return coefficients(TABLES[nose], list(SECTIONS).index(name), math.radians(alpha_deg), math.log(reynolds))


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


@pytest.mark.parametrize("nose", TABLES)
@pytest.mark.parametrize("name", SECTIONS)
def test_drag_never_below_laminar_friction_of_a_plate(name, nose):
    """[C] floor 2.1, between zero and moderate lift; a 2 % margin for interpolation in log Re."""
    for reynolds in LOW_RE:
        lowest = min(at(name, a, reynolds, nose)[1] for a in range(-8, 13))
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


@pytest.mark.phenomenon(source="2.0", why="an assumption of a sharp sheet's relations; own figure")
@pytest.mark.parametrize("name", PLATES)
def test_sharp_sheets_are_assumed_to_change_little_with_reynolds_number(evidence, name):
    """2.0 (Laitone, Winslow et al. [A]) say that plates hardly change, Re 5e3 to 6e4; taken for sharp sheets as |d cl / d ln Re| < 0.05.
    It is not so of the measured plate with a rounded nose at small angles, see below."""
    re = np.array([5e3, 1e4, 2e4, 4e4, 6e4])
    lift = np.array([[at(name, alpha, each)[0] for each in re] for alpha in range(-15, 21)])
    change = np.diff(lift, axis=1) / np.diff(np.log(re))
    most = change.flat[np.abs(change).argmax()]
    evidence(
        f"greatest change of cl with ln Re, sharp {name}, -15 to 20 deg",
        most,
        0.0,
        absolute=0.05,
        conditions="Re 5e3 to 6e4",
    )


MADE = pytest.mark.phenomenon(
    source="2.3",
    conditions="GOE 417a, 5.9 % camber, nose rounded; the table was made from these rows",
    why="what rounding to nodes of Re and of one degree loses",
)


@MADE
@pytest.mark.parametrize(("run", "least"), [(60_200.0, 0.04), (100_000.0, 0.03), (199_700.0, 0.03)])
def test_rounded_plate_arrives_at_the_rows_it_is_made_of(evidence, run, least):
    """No prediction: that the table says what was measured. Linear in log Re between half octaves, of which one straddles the start of the
    fade at 6e4: there 2 % of the sharp sheet's drag comes in, and that is eight times as much at 12 deg."""
    rows = measured.lift("GOE 417a", run)
    off = [at("cambered plate", a, run, "rounded")[0] - cl for a, cl, _ in rows if -5.0 <= a <= 17.0]
    evidence(
        f"cl of the rounded plate less measured, worst of {len(off)}, Re {run:.0f}",
        max(off, key=abs),
        0.0,
        absolute=least,
    )
    drags = sorted(measured.DRAG["GOE 417a"], key=lambda re: abs(re - run))[0]
    share = [at("cambered plate", a, drags, "rounded")[1] / cd for a, cd in measured.drag("GOE 417a", drags)]
    worst = max(share, key=lambda s: abs(math.log(s)))
    evidence(f"cd of the rounded plate over measured, worst of {len(share)}, Re {drags:.0f}", worst, 1.0, 0.2)


@pytest.mark.phenomenon(
    source="2.3",
    conditions="BW-3, a second plate, about 5 % thick and deeply cambered [M], Re 60k",
    why="another plate: .15 in cl from 3 to 12 deg, a factor 1.6 in cd from 4 to 11 deg advised",
)
def test_rounded_plate_against_a_second_plate(evidence):
    """Nothing was made of these rows. The sharp sheet's relations miss both: cl to -0.28 at 10 deg, cd up to 4 times (see below)."""
    for a, cl in measured.lift("BW-3", 60_000.0):
        if 3.0 <= a <= 12.0:
            evidence(
                f"cl of the rounded plate at {a:g} deg", at("cambered plate", a, 6e4, "rounded")[0], cl, absolute=0.15
            )
    for a, cd in measured.drag("BW-3", 59_400.0):
        if 4.0 <= a <= 11.0:
            evidence(
                f"cd of the rounded plate at {a:g} deg", at("cambered plate", a, 6e4, "rounded")[1], cd, (-0.375, 0.6)
            )


def test_a_rounded_nose_makes_a_difference_worth_a_key():
    """Re 60k, 8.65 deg: the sharp sheet, which is assumed to have lost its suction, has more than three times the drag that the rounded
    plate had in the tunnel. No evidence for either: no sharp sheet was measured there."""
    assert at("cambered plate", 8.65, 6e4)[1] > 3.0 * 0.0226


@pytest.mark.phenomenon(source="2.3", conditions="GOE 417a, Re 60k to 200k", why="own choice: a third of the slope")
def test_measured_plate_changes_with_reynolds_number_at_small_angles(evidence):
    """[C]: slope of cl on ln Re .26 at 2.5 deg, .08 at 5.6, .05 from 8 deg: lower-surface separation below 3 deg."""
    for alpha, slope, off in ((2.5, 0.26, 0.09), (5.6, 0.08, 0.03), (8.5, 0.05, 0.03)):
        low, high = (at("cambered plate", alpha, re, "rounded")[0] for re in (60_200.0, 199_700.0))
        got = (high - low) / math.log(199_700.0 / 60_200.0)
        evidence(f"d cl / d ln Re of the rounded plate at {alpha:g} deg", got, slope, absolute=off)


@pytest.mark.parametrize("reynolds", [2e3, 5e3, 1e4])
def test_rounded_plates_are_sharp_ones_up_to_ten_thousand(reynolds):
    """Nothing measured was found there: the relations of the sharp sheet are left (1e-4: rounding of the files)."""
    for name in PLATES:
        for alpha in range(-180, 181, 3):
            rounded, sharp = (np.array(at(name, alpha, reynolds, nose)) for nose in ("rounded", "sharp"))
            # a seventh of the difference stands at the node above 1e4 already
            assert np.abs(rounded - sharp).max() < (1e-4 if reynolds < 8e3 else 0.03)


@pytest.mark.parametrize("alpha", [5.0, 8.0, 12.0, 20.0, 40.0])
def test_flat_plate_has_lost_its_suction(evidence, alpha):
    """[C] 2.1: cd - cd0 = cl tan(alpha) within 20 % above 4 deg. Measured plates of aspect ratio 1 bear that out, those of aspect ratio 2 only
    from 8 deg on: below it overstates their rise of drag by 20 to 45 % (2.0a [T])."""
    cl, cd, _ = at("flat plate", alpha, 2e4)
    rise = cd - at("flat plate", 0.0, 2e4)[1]
    evidence(
        f"cd - cd0 of a flat plate at {alpha:g} deg, cl tan alpha",
        rise,
        cl * math.tan(math.radians(alpha)),
        0.2,
        why="20 % advised above 4 deg; measured so from 8 deg, or at aspect ratio 1",
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


@pytest.mark.phenomenon(
    source="1.8",
    conditions="flat plate, c/r 0.6, Re 1e4",
    why="direction only: revolving plates of Re 1e2 keep lift, 1.3 to 2 times",
)
@pytest.mark.parametrize("alpha", [20.0, 25.0, 30.0])
def test_root_of_a_turning_blade_lifts_more_than_the_plane_plate(evidence, alpha):
    """Sane and Dickinson 2002 (1.8a [T]): a plate that turns keeps a vortex at its nose and lifts 1.3 to 2 times the plane one at 20 to
    50 deg. Re 1e2 to 2e2 there, so only the direction is asked."""
    cl, cd, _ = at("flat plate", alpha, 1e4)
    turning = stall_delay(cl, cd, math.radians(alpha), 0.0, 0.6)[0]
    evidence(f"lift of a blade root over the plane plate's at {alpha:g} deg", turning / cl, (1.0, math.inf))


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
    source="2.2",
    conditions="RG15, a third model, Re 59,900",
    why="the table is the mean of two others, which differ by as much",
)
def test_aerofoil_against_a_third_model(evidence):
    """RG15, Re 59,900 [T]. Models B and C, of which the table is made, lie up to 0.1 apart above 8 deg."""
    for a, cl in measured.lift("RG15, first run", 59_900.0):
        evidence(f"cl of the thin aerofoil at {a:g} deg", at("thin aerofoil", a, 59_900)[0], cl, absolute=0.1)


@pytest.mark.phenomenon(
    source="2.2",
    conditions="RG15, three models, Re 6e4",
    why="spread of the three: -1.2 to -1.7 deg; .04 in cl advised",
)
def test_aerofoil_lifts_near_zero_as_three_models_did(evidence):
    """Zero lift -1.45 +-.4 deg, cl .12 +-.04 at 0 deg. The surrogate alone had -.3 deg and .02."""
    angle = np.arange(-3.0, 1.0, 0.01)
    cl = [at("thin aerofoil", a, 6e4)[0] for a in angle]
    evidence("zero lift of the thin aerofoil", float(np.interp(0.0, cl, angle)), -1.45, absolute=0.4, unit="deg")
    evidence("cl of the thin aerofoil at 0 deg", at("thin aerofoil", 0.0, 6e4)[0], 0.12, absolute=0.04)


@pytest.mark.parametrize(
    ("name", "camber"), [("flat plate", 0.0), ("shallow cambered plate", 0.03), ("cambered plate", 0.05)]
)
def test_shipped_plates_are_what_the_relations_give(name, camber):
    """To the five decimals of the file, at Reynolds numbers that the file holds."""
    for k in (0, 6, 16):
        want = plate(np.radians(np.arange(-180, 181)), RE_NODES[k], camber)
        assert np.abs(section_table(name)[k, 1:-1] - want).max() < 1e-5


@pytest.mark.parametrize("file", [file for row in SECTIONS.values() for file in (row.file, row.rounded) if file])
def test_each_file_says_where_it_comes_from(file):
    lines = (DATA / file).read_text(encoding="utf-8").splitlines()
    head = [line for line in lines if line.startswith("#")]
    text = " ".join(head)
    assert len(head) >= 4
    assert any(mark in text for mark in ("[P]", "[T]", "[A]", "[C]", "[M]"))
    assert "NOT measured" in text
