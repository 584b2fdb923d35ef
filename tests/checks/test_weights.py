"""Centre of gravity, inertia and what to move: by hand, by points, and against a flight."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from paddlebar import check, fly, load_craft, load_scenario
from paddlebar.checks.weighing import weight_findings
from paddlebar.checks.weights import Balance, balance, weight_table
from paddlebar.craft.blades import blade_mass
from paddlebar.craft.build import build
from paddlebar.craft.parts import fuselage
from paddlebar.files import parse_craft
from paddlebar.files.craft import Craft, weights_g
from paddlebar.units import GRAVITY

ROOT = Path(__file__).parents[2]
HALL = ROOT / "models" / "hall-ten.toml"


def numbers(craft_changes: dict[str, Any]) -> tuple[Craft, Any]:
    scenario = load_scenario(
        ROOT / "scenarios" / "first-flight.toml", {f"craft.{key}": value for key, value in craft_changes.items()}
    )
    return scenario.craft, build(scenario)


def level(torque: float = 0.0, **changes: Any) -> Balance:
    return balance(*numbers({key.replace("__", "."): value for key, value in changes.items()}), torque)


def test_table_holds_every_weight_once():
    craft = load_craft(HALL)
    rows = weight_table(craft)
    assert math.fsum(row.share for row in rows) == pytest.approx(1.0, rel=1e-12)
    assert sorted(row.mass_g for row in rows) == sorted(weights_g(craft).values())
    assert [row.mass_g for row in rows] == sorted((row.mass_g for row in rows), reverse=True)


def test_centre_of_gravity_is_that_of_a_flight():
    """Two blades and a level bar keep theirs on the shaft, so the flight's own is the average already: equal to rounding."""
    changes = {
        "launch.tilt_deg": 0,
        "launch.release": "free",
        "launch.hold_s": 0,
        "run.duration_s": 0.05,
        "pictures.draw": [],
    }
    scenario = load_scenario(ROOT / "scenarios" / "first-flight.toml", changes)
    flight = fly(scenario)
    body = Rotation.from_quat(flight.attitude[0], scalar_first=True)
    relative = body.inv().apply(flight.position_cg[0] - flight.position[0])
    found = balance(scenario.craft, build(scenario))
    assert found.cg_mm == pytest.approx((1e3 * relative[0], 1e3 * relative[1], -1e3 * relative[2]), abs=1e-6)
    assert found.total_g == pytest.approx(math.fsum(weights_g(scenario.craft).values()), rel=1e-12)


def test_inertia_of_three_blades_is_that_of_the_bodies_put_together():
    """Three alike need no average: each blade turned to its azimuth by scipy's rotations, added by the parallel-axis theorem.

    Broken once: precone turned the other way, blade's own inertia not turned: both refused.
    """
    changes = {
        "head.kind": "rigid",
        "rotor.blades": 3,
        "head.precone_deg": 8.0,
        "bar.kind": "none",
        "tail.drive": "none",
        "all_up_g": 9.1,
    }
    craft, made = numbers({**changes, "shaft.tilt_right_deg": 0.0, "shaft.tilt_forward_deg": 6.0})
    found = balance(craft, made)
    p = made.params[0]
    up = np.asarray(p["shaft_axis"])
    mass, centre, inertia = blade_mass(craft.rotor, 0.0)
    body = fuselage(craft)
    pieces = [(body.mass, body.moment / body.mass, None)]
    hub = np.asarray(p["hub_place"])
    disc = 1e-3 * craft.shaft.hub_mass_g * (0.5e-3 * craft.shaft.hub_diameter_mm) ** 2
    pieces.append((1e-3 * craft.shaft.hub_mass_g, hub, disc * (0.25 * np.eye(3) + 0.25 * np.outer(up, up))))
    out = np.cross(up, [0.0, 1.0, 0.0])
    out /= np.linalg.norm(out)
    for k in range(3):
        radial = Rotation.from_rotvec((0.3 + 2.0 * np.pi * k / 3.0) * up).apply(out)
        ahead = np.cross(up, radial)
        cone = math.radians(8.0)
        axes = np.column_stack(
            [math.cos(cone) * radial + math.sin(cone) * up, ahead, math.cos(cone) * up - math.sin(cone) * radial]
        )
        pieces.append((mass, hub + axes @ centre, axes @ inertia @ axes.T))
    total = sum(m for m, _, _ in pieces)
    cg = sum(m * c for m, c, _ in pieces) / total
    whole = body.inertia - body.mass * (
        (body.moment / body.mass) @ (body.moment / body.mass) * np.eye(3)
        - np.outer(body.moment, body.moment) / body.mass**2
    )
    for index, (m, c, own) in enumerate(pieces):
        d = c - cg
        whole = whole + m * (d @ d * np.eye(3) - np.outer(d, d)) + (own if index else 0.0)
    assert found.cg_mm == pytest.approx((1e3 * cg[0], 1e3 * cg[1], -1e3 * cg[2]), abs=1e-9)
    assert found.inertia_kg_m2 == pytest.approx(tuple(np.diag(whole)), rel=1e-9)
    polar = sum(
        up @ (own + m * ((c - hub) @ (c - hub) * np.eye(3) - np.outer(c - hub, c - hub))) @ up
        for m, c, own in pieces[1:]
    )
    assert found.rotor_kg_m2 == pytest.approx(polar, rel=1e-9)


@pytest.mark.parametrize("torque", [0.0, 2.99e-3])
def test_a_move_and_a_tilt_do_what_they_promise(torque):
    """Whatever is advised, done, leaves the centre of gravity where it is wanted.

    A moved part is out by what the tail's new arm changes, some hundredths of a millimetre of one; the tilt is sought until it fits.
    """
    before = level(torque)
    assert math.hypot(before.off_shaft_mm[0] - before.wanted_mm[0], before.off_shaft_mm[1] - before.wanted_mm[1]) > 0.5
    move = before.moves[0]
    assert move.part == "nose weight"
    moved = _moved(torque, move.by_mm)
    assert moved.off_shaft_mm == pytest.approx(moved.wanted_mm, abs=0.06)
    tilted = level(torque, shaft__tilt_forward_deg=before.tilt_deg[0], shaft__tilt_right_deg=2.5 + before.tilt_deg[1])
    assert tilted.off_shaft_mm == pytest.approx(tilted.wanted_mm, abs=1e-3)


def _moved(torque: float, by: tuple[float, float, float]) -> Balance:
    changes = {"part.nose weight.at_mm": [170.0 + by[0], by[1], -150.0 + by[2]]}
    return balance(*numbers(changes), torque)


def test_ballast_does_what_it_promises():
    """Tail-heavy by its nose weight: what is advised, put on the nose rod's end, brings the forward place back."""
    light = {"part.nose weight.mass_g": 0.4, "all_up_g": 9.9}
    before = balance(*numbers(light))
    assert before.off_shaft_mm[0] < -5.0
    assert before.ballast_mm == pytest.approx((170.0, 0.0, -150.0))
    after = balance(*numbers({"part.nose weight.mass_g": 0.4 + before.ballast_g, "all_up_g": 9.9 + before.ballast_g}))
    assert after.off_shaft_mm[0] == pytest.approx(0.0, abs=1e-6)


def test_the_tail_wants_the_weight_beside_the_shaft_by_hand():
    """Upright shaft. Push P = Q/l; above the centre of gravity by h it rolls with P h, which W takes up d = P h/W beside: d = Q h/(l W)."""
    torque = 3e-3
    found = level(torque, shaft__tilt_right_deg=0.0)
    arm = 248.0 + found.cg_mm[0]
    high = -100.0 - found.cg_mm[2]  # of the tail above the centre of gravity: below it, 0 > high
    weight = 1e-3 * found.total_g * GRAVITY
    # thrust to the right, below the centre of gravity: the craft would roll left, so its weight must lie to the right
    assert found.wanted_mm[1] == pytest.approx(-torque * high / (1e-3 * arm * weight), rel=1e-9)
    assert found.wanted_mm[1] > 0.0
    assert found.wanted_mm[0] == pytest.approx(0.0, abs=1e-9)


def test_the_lean_found_by_trial_is_the_one_that_statics_wants():
    """hall-ten's shaft leans 2.5 deg to the right "found by trial: the body hangs more upright for it": statics agrees within a degree."""
    found = check(load_craft(HALL)).balance
    assert math.hypot(*found.lean_deg) < 1.0


@pytest.mark.parametrize(("right", "severity"), [(0.0, "fine"), (6.0, "look"), (20.0, "stop")])
def test_how_bad_a_lean_is(right, severity):
    found = level(shaft__tilt_right_deg=right)
    findings = {finding.key: finding for finding in weight_findings(load_craft(HALL), found)}
    assert findings["centre of gravity"].severity == severity


def test_scale_against_sum():
    craft = load_craft(HALL, {"all_up_g": 10.9})
    finding = weight_findings(craft, level())[0]
    assert (finding.severity, "0.46 g missing" in finding.sentence) == ("look", True)


def finding_of(key: str, **changes: Any) -> Any:
    craft, params = numbers({name.replace("__", "."): value for name, value in changes.items()})
    return next(each for each in weight_findings(craft, balance(craft, params, 0.0)) if each.key == key)


def test_a_scale_is_asked_for_and_a_gap_has_its_direction():
    text = HALL.read_text(encoding="utf-8")
    without = "\n".join(line for line in text.splitlines() if not line.startswith("all_up_g"))
    found = check(parse_craft(without, folder=HALL.parent)).findings
    (asked,) = [each for each in found if each.key == "all_up_g"]
    assert (asked.severity, asked.sentence.split(";")[1]) == ("look", " no scale has checked that")
    total = math.fsum(weights_g(load_craft(HALL)).values())
    little, much = finding_of("all_up_g", all_up_g=total + 0.4), finding_of("all_up_g", all_up_g=total - 0.4)
    assert "0.40 g missing" in little.sentence
    assert "glue" in little.advice
    assert "0.40 g too much" in much.sentence
    assert "heaviest" in much.advice


def test_a_craft_whose_weight_is_above_its_hub_is_stopped():
    """A lump of 30 g 200 mm over the hub; of 0.1 g it hangs below."""
    lump = {"part__lump__kind": "point", "part__lump__at_mm": [0, 0, 200]}
    high = finding_of("centre of gravity", **lump, part__lump__mass_g=30.0, all_up_g=40.4)
    assert high.severity == "stop"
    assert "above the hub" in high.sentence
    assert "below the hub" in finding_of("centre of gravity", **lump, part__lump__mass_g=0.1).sentence
