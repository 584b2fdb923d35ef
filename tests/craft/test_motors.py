"""Rows of the table of motors, a measured curve from no turns to its end, and that nobody but the slot asks.

Broken : measured curve not raised to the middle one; the row of no turns not put before the first; `known` that takes the formula's breaking
turns; `skein.measured is None` put back into a study: each refused here.
"""

from __future__ import annotations

import ast
import math
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import paddlebar
from paddlebar.craft.limits import check_limits
from paddlebar.craft.motors import FULL_WIND, MOTORS, Motor, facts, kind_of, motor_of
from paddlebar.craft.rubber import allowed_turns
from paddlebar.errors import BadInput
from paddlebar.files.craft import Skein
from paddlebar.files.load import load_craft, load_scenario
from paddlebar.physics import motor as equations
from paddlebar.physics import skein as law
from paddlebar.studies.tolerances import usual

ROOT = Path(__file__).parents[2]
FLIGHT = ROOT / "scenarios" / "first-flight.toml"
PACKAGE = Path(paddlebar.__file__).parent
PLAIN: dict[str, Any] = {"mass_g": 2.232, "length_mm": 200.0, "hooks_mm": ((0.0, 0.0, -20.0), (0.0, 0.0, -200.0))}
ROWS = ((0.0, 0.0), (100.0, 2.0), (400.0, 3.0), (500.0, 6.0))
BREAKING = 10.0 * 200.0 / math.sqrt(12.0)  # 577 turns
CODES = {"none": equations.NONE, "measured torque": equations.TABLE, "torque": equations.FORMULA}


def skein(**keys: Any) -> Skein:
    return Skein(**{**PLAIN, **keys})


def motor(**keys: Any) -> Motor:
    return motor_of(skein(**keys))


# ---- rows


def test_each_skein_has_one_row_and_each_row_its_number_in_the_record() -> None:
    assert {name: kind_of(each)[0] for name, each in (("none", None), ("measured torque", skein(measured=ROWS)), ("torque", skein()))} == {
        name: name for name in CODES
    }  # fmt: skip
    assert set(CODES) == set(MOTORS)
    for name, kind in MOTORS.items():
        assert kind.numbers(skein(measured=ROWS), 293.15)["kind"] == CODES[name]


def test_rows_name_keys_that_there_are_and_relations_that_name_their_source() -> None:
    for kind in MOTORS.values():
        assert set(kind.idle) <= set(Skein.model_fields)
        assert kind.source
        assert kind.settings(skein())
        if kind.relation:
            module, _, function = kind.relation.rpartition(".")
            assert "Source" in getattr(import_module(f"paddlebar.{module}"), function).__doc__


def test_keys_said_to_do_nothing_do_nothing_and_all_others_do() -> None:
    """Each idle key of a measured skein changed: the record stays as it is, cold as warm. The same keys move a skein by formula."""
    other = {"energy_kJ_kg": 3.0, "knee_percent": 15.0, "spike": 4.0, "percent_per_K": -0.5, "reference_C": 0.0}
    assert set(other) == set(MOTORS["measured torque"].idle)
    for key, value in other.items():
        for rows, same in ((ROWS, True), (None, False)):
            before, after = (motor_of(skein(measured=rows, **more), 283.15).record for more in ({}, {key: value}))
            assert (before.tobytes() == after.tobytes()) == same, key


# ---- a measured curve


def test_measured_table_is_what_unwinding_gives_and_overrides_the_formula() -> None:
    """Unwinding (z = -1) gives the table back at its rows; energy with it is the table's own area, whatever energy_kJ_kg says."""
    for loss in (0.0, 30.0):
        made = motor(measured=ROWS, loss_percent=loss, energy_kJ_kg=0.1)
        for turns, torque in ROWS:
            assert made.torque(turns, -1.0) == pytest.approx(1e-3 * torque, rel=0.02, abs=1e-12)
        area = 2.0 * math.pi * 1e-3 * (100.0 * 1.0 + 300.0 * 2.5 + 100.0 * 4.5)
        assert made.let_out(500.0) == pytest.approx(area, rel=1e-3)
    assert motor().record["kind"] == equations.FORMULA


def test_measured_straight_line_is_kept_exactly() -> None:
    made = motor(measured=((0.0, 0.0), (512.0, 4.0)))
    turns = np.linspace(0.0, 512.0, 37)
    assert [made.torque(t, -1.0) for t in turns] == pytest.approx(4e-3 * turns / 512.0, rel=1e-12, abs=1e-18)


def test_below_the_first_row_torque_falls_to_none_with_the_turns() -> None:
    """A curve from 128 turns on (a node of the table): half the first torque at half its turns, and no energy out of nothing."""
    made = motor(measured=((128.0, 3.0), (256.0, 3.0), (384.0, 3.0), (512.0, 3.0)))
    for turns in (1.0, 32.0, 64.0, 127.0):
        assert made.torque(turns, -1.0) == pytest.approx(3e-3 * turns / 128.0, rel=1e-9)
    assert made.torque(0.0, -1.0) == 0.0
    assert made.let_out(512.0) == pytest.approx(2.0 * math.pi * 3e-3 * (64.0 + 384.0), rel=1e-9)


def test_what_is_known_breaks_and_is_safe() -> None:
    """By formula all follow breaking turns; a measured curve is known to its last row, and holds to there at least."""
    assert (motor().breaking, motor().known) == pytest.approx((BREAKING, BREAKING))
    assert motor().safe == pytest.approx(FULL_WIND * BREAKING)
    short, long = motor(measured=ROWS[:3]), motor(measured=(*ROWS, (700.0, 9.0)))
    assert (short.breaking, short.known, short.safe) == pytest.approx((BREAKING, 400.0, 400.0))
    assert (long.breaking, long.known, long.safe) == pytest.approx((700.0, 700.0, FULL_WIND * 700.0))


@pytest.mark.parametrize("table", ["skein", "tail.skein"])
def test_no_more_is_wound_than_was_measured(table: str) -> None:
    """Though the formula would let it: 577 turns, 6 J were measured, and what more turns would give nobody knows."""
    key = "skein.turns" if table == "skein" else "skein.tail_turns"
    changes: dict[str, Any] = {f"craft.{table}.measured": [list(row) for row in ROWS[:3]] + [[410.0, 3.0]]}
    if table == "tail.skein":
        changes = {"craft.tail.drive": "skein", "craft.tail.skein": {**OWN, "measured": changes.popitem()[1]}}
    check_limits(load_scenario(FLIGHT, {**changes, key: 410.0}))
    with pytest.raises(BadInput, match=rf"{key}: the skein's torque was measured up to 410 turns; .*, found 411$"):
        check_limits(load_scenario(FLIGHT, {**changes, key: 411.0}))


OWN = {
    "strands": 4,
    "width_mm": 2.0,
    "thickness_mm": 1.0,
    "length_mm": 200,
    "hooks_mm": [[-10, 0, -20], [-200, 0, -20]],
}


def test_facts_of_either_kind() -> None:
    by_formula, measured = facts(skein()), facts(skein(measured=ROWS))
    assert (by_formula["measured"], by_formula["torque_from"], by_formula["energy_kJ_kg"]) == (False, "settings", 6.0)
    assert (measured["measured"], measured["torque_from"]) == (True, "measured curve")
    area = 2.0 * math.pi * (100.0 * 1.0 + 300.0 * 2.5 + 100.0 * 4.5) * 1e-3
    assert measured["energy_kJ_kg"] == pytest.approx(area / 2.232, rel=1e-3)
    assert measured["breaking_turns"] == allowed_turns(skein())


def test_a_rank_does_not_vary_what_changes_no_torque() -> None:
    scenario = load_scenario(FLIGHT)
    width, length = "craft.skein.width_mm", "craft.skein.length_mm"
    assert {width, length} <= set(usual(scenario, "rank"))
    measured = load_scenario(FLIGHT, {"craft.skein.measured": [list(row) for row in ROWS]})
    assert not {width, length} & set(usual(measured, "rank"))


def test_a_settled_loop_gives_what_the_energy_says() -> None:
    """Set -1 all the way: the torque is (1 - h) of the middle curve, and so is the energy."""
    made = motor_of(load_craft(ROOT / "models" / "hall-ten.toml").skein)
    out = law.hysteresis_factor(-1.0, made.record["half_loss"][0])
    assert made.torque(200.0, -1.0) == pytest.approx(out * made.torque(200.0, 0.0), rel=1e-14)
    assert made.let_out(200.0) == pytest.approx(out * made.energy(200.0), rel=1e-14)


# ---- nobody else asks


def asked(source: str) -> list[int]:
    """Lines that read `x.measured` of something, or a record's kind of motor against another than NONE."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Attribute) and node.attr == "measured" and isinstance(node.ctx, ast.Load):
            found.append(node.lineno)
        if isinstance(node, ast.Compare):
            names = {each.id for each in ast.walk(node) if isinstance(each, ast.Name)}
            if names & {"FORMULA", "TABLE", "STEADY"}:
                found.append(node.lineno)
    return found


@pytest.mark.parametrize(
    ("source", "caught"),
    [
        ("if craft.skein.measured is None: pass", True),
        ("rows = skein.measured", True),
        ("if p.skein.kind == TABLE: pass", True),
        ("measured = 3", False),
        ("if p.skein.kind != NONE: pass", False),
        ("motor_of(skein).torque(turns, 1.0)", False),
    ],
)
def test_asking_is_seen(source: str, caught: bool) -> None:
    assert bool(asked(source)) == caught


def test_no_module_asks_whether_a_skein_is_measured() -> None:
    slot = {PACKAGE / "craft" / "motors.py", PACKAGE / "physics" / "motor.py"}
    found = {
        f"{file.relative_to(PACKAGE)}:{line}"
        for file in PACKAGE.rglob("*.py")
        if file not in slot
        for line in asked(file.read_text(encoding="utf-8"))
    }
    assert not found
