"""Gaps: by hand on the drawing, and against clouds of points put into place by rotations."""

from __future__ import annotations

import json
import math
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.spatial import cKDTree
from scipy.spatial.transform import Rotation

from paddlebar.checks import clearance
from paddlebar.checks.clearance import Gap, clearance_findings, clearances
from paddlebar.files.craft import Craft
from paddlebar.files.load import load_craft

HALL = Path(__file__).parents[2] / "models" / "hall-ten.toml"
TEXT = HALL.read_text(encoding="utf-8")


def craft(**changes: Any) -> Craft:
    return load_craft(HALL, {key.replace("__", "."): value for key, value in changes.items()})


def with_peg(place: str, **changes: Any) -> Craft:
    """hall-ten with flat unpitched blades and a lump somewhere, shaft upright."""
    text = TEXT.replace(
        "[shaft]\n", f'[[part]]\nname = "peg"\nkind = "point"\nat_mm = {place}\nmass_g = 0\n\n[shaft]\n', 1
    )
    plain = {
        "shaft__tilt_right_deg": 0,
        "rotor__collective_deg": 0,
        "rotor__twist_deg": 0,
        "bar__gain": 0.0,
        "head__precone_deg": 0,
    }
    tables = tomllib.loads(text)
    for key, value in {**plain, **changes}.items():
        table, name = key.split("__")
        tables[table][name] = value
    return Craft.model_validate_json(json.dumps(tables))  # past the checks of files, which refuse what strikes


def gap(found: tuple[Gap, ...], what: str, other: str) -> Gap:
    return next(each for each in found if (each.what, each.other) == (what, other))


def test_a_lump_below_a_rigid_disc_by_hand():
    """30 mm below a 1 mm sheet: 29.5 mm."""
    found = clearances(with_peg("[0, 150, -30]", head__kind="rigid"))
    assert gap(found, "blades", "part peg").gap_mm == pytest.approx(29.5, abs=1e-9)


def test_a_lump_below_a_teetering_disc_by_hand():
    """At (150, -30) the lump lies 152.97 mm out and 11.31 deg down; blades reach 5 deg down: 152.97 sin 6.31 deg - .5 = 16.31 mm.
    With 15 deg they reach it: the gap is what the sheet is thick."""
    found = clearances(with_peg("[0, 150, -30]", head__stop_deg=5))
    assert gap(found, "blades", "part peg").gap_mm == pytest.approx(16.31, abs=0.01)
    met = clearances(with_peg("[0, 150, -30]", head__stop_deg=15))
    assert gap(met, "blades", "part peg").gap_mm == pytest.approx(-0.5, abs=1e-9)
    assert clearance_findings(met)[0].severity == "stop"


def test_a_blade_on_its_own_hinge_by_hand():
    """Hinge 40 mm out, stops at 10 deg: from the hinge (110, -30) lies 15.26 deg down, 114.02 mm out: 114.02 sin 5.26 deg - .5."""
    found = clearances(with_peg("[0, 150, -30]", head__kind="flapping", head__hinge_offset_mm=40, head__stop_deg=10))
    by_hand = 114.018 * math.sin(math.atan2(30, 110) - math.radians(10)) - 0.5
    assert gap(found, "blades", "part peg").gap_mm == pytest.approx(by_hand, abs=1e-3)


def test_a_lump_past_the_tip_and_inside_the_root_by_hand():
    """10 mm past the tip in the plane of a rigid disc; (15, -20) from a root at 25: hypot(10, 20)."""
    assert gap(clearances(with_peg("[0, 210, 0]", head__kind="rigid")), "blades", "part peg").gap_mm == pytest.approx(
        9.5
    )
    inside = gap(clearances(with_peg("[0, 15, -20]", head__kind="rigid")), "blades", "part peg")
    assert inside.gap_mm == pytest.approx(math.hypot(10, 20) - 0.5)


def test_a_bar_above_the_hub_by_hand():
    """Locked bar 14 mm above the hub, tip ball 4 mm at 100 mm, lump 10 mm above the tip: 10 - 2."""
    found = clearances(with_peg("[0, 100, 24]", head__kind="rigid", bar__kind="locked"))
    assert gap(found, "bar", "part peg").gap_mm == pytest.approx(8.0)


@pytest.mark.parametrize("lead", [10.0, 25.0, 90.0, 200.0])
def test_bar_and_blades_against_clouds_of_points(monkeypatch, lead):
    """Paddles over blades: both surfaces as clouds, put into place by scipy's rotations, nearest pair by a k-d tree, 5 x 5 angles.

    A cloud of 1 mm spacing can miss the nearest pair by half a diagonal, .7 mm, never find one that is nearer than it is.
    Broken once: tilt, flap, lead, pitch of the wrong sign each: refused.
    """
    monkeypatch.setattr(clearance, "ANGLES", 5)
    paddles = {
        "bar__paddle_span_mm": 30,
        "bar__paddle_chord_mm": 16,
        "bar__paddle_mass_g": 0.1,
        "bar__paddle_incidence_deg": 10,
    }
    made = craft(
        bar__lead_deg=lead,
        bar__height_mm=40,
        head__stop_deg=8,
        head__delta3_deg=20,
        bar__gain=0.7,
        bar__stop_deg=12,
        **paddles,
        all_up_g=10.6,
    )
    found = gap(clearances(made), "bar", "blades")
    rotor, bar = made.rotor, made.bar
    x = np.arange(25.0, 200.5, 1.0)
    pitch = np.radians(9.0 - 4.0 * (x / 200.0 - 0.75))
    y = np.linspace(-0.7, 0.3, 31) * 30.0
    paddle_x, paddle_y = np.meshgrid(np.arange(85.0, 115.5, 1.0), np.linspace(-8.0, 8.0, 17))
    slope = math.radians(10.0)
    paddle = np.column_stack(
        [paddle_x.ravel(), (paddle_y * math.cos(slope)).ravel(), (paddle_y * math.sin(slope)).ravel()]
    )
    wire = np.column_stack([np.arange(9.0, 97.5, 0.5), np.zeros(177), np.zeros(177)])
    arm = np.vstack([paddle, wire])
    both = np.vstack([arm, Rotation.from_euler("z", 180, degrees=True).apply(arm)])
    best = math.inf
    for eta in np.radians([-12, -6, 0, 6, 12]):
        bar_points = Rotation.from_euler("y", -eta).apply(both) + [0, 0, bar.height_mm]
        tree = cKDTree(Rotation.from_euler("z", math.radians(lead)).apply(bar_points))
        for blade in range(2):
            sign = 1.0 if blade == 0 else -1.0
            for flap in np.radians([-8, -4, 0, 4, 8]):
                theta = pitch + sign * 0.7 * eta - math.tan(math.radians(20.0)) * flap
                sheet = np.stack(
                    [np.broadcast_to(x, (31, x.size)), y[:, None] * np.cos(theta), y[:, None] * np.sin(theta)], axis=-1
                ).reshape(-1, 3)
                raised = Rotation.from_euler("y", -(math.radians(3.0) + flap)).apply(sheet)
                placed = Rotation.from_euler("z", math.pi * blade).apply(raised)
                best = min(best, float(tree.query(placed)[0].min()))
    best -= 0.5 * bar.wire_diameter_mm + 0.5 * rotor.thickness_mm
    assert found.gap_mm <= best + 0.05
    assert found.gap_mm >= best - 0.8


def test_every_thing_is_compared_and_the_nearest_is_told():
    made = craft()
    found = clearances(made)
    # the ball of the bar and the hub's own neighbours included: parts and tail rotor with blades and with bar, and these two
    assert len(found) == 2 * (len(made.part) + 1) + 1
    assert [each.gap_mm for each in found] == sorted(each.gap_mm for each in found)
    assert len(clearance_findings(found)) == 1


def test_a_locked_bar_and_no_bar():
    assert all(each.what == "blades" for each in clearances(craft(bar__kind="none")))
    locked = gap(clearances(craft(bar__kind="locked")), "bar", "blades")
    assert locked.bar_deg == 0.0
