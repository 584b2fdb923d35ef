"""The study of yaw: what it adds up, what it finds on a short run-down, and that it goes on where it was stopped."""

from __future__ import annotations

import functools
import json
import math
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from paddlebar import load_scenario, yaw
from paddlebar.craft.build import build
from paddlebar.errors import BadInput
from paddlebar.physics.motor import motor_torque
from paddlebar.plain import plain
from paddlebar.studies import rundown
from paddlebar.studies.rundown import BINS, KNEE, NAMES_OUT, POWERS, TABLES, RunDown
from paddlebar.studies.yaw import balance
from paddlebar.studies.yaw.balance import crossings, drift, window
from told import Told

SCENARIOS = Path(__file__).parents[3] / "scenarios"
# few turns and a coarse solver: what is asked of these flights holds for any
QUICK = {"skein.turns": 170, "skein.backed_off": 20, "run.rtol": 1e-4, "run.blade_elements": 4}
RATIOS = (3.8, 4.6, 5.4)


def quick(**changes):
    return load_scenario(
        SCENARIOS / "first-flight.toml", {**QUICK, **{k.replace("__", "."): v for k, v in changes.items()}}
    )


@functools.cache
def found():
    return yaw(quick(), RATIOS, [10.0])


def made_up(spin, last=BINS):
    """A run-down of one second a share with these spins [deg/s]; nan from `last` on."""
    spin = np.broadcast_to(np.asarray(spin, dtype=float), BINS).copy()
    spin[last:] = math.nan
    columns = {name: np.full(BINS, math.nan) for name in TABLES}
    columns["spin_deg_s"], columns["heading_deg"] = spin, np.cumsum(spin)
    columns["time_s"] = np.where(np.isnan(spin), math.nan, np.arange(1.0, BINS + 1.0))
    return RunDown(**columns)


def test_a_small_ratio_turns_the_nose_right_and_a_large_one_left():
    """The rotor turns counter-clockwise: its reaction turns the nose to the right, the tail's thrust to the left."""
    y = found()
    spin = y.mean_spin_deg_s[0, 0]
    assert spin[0] > 30.0
    assert spin[-1] < -30.0
    assert RATIOS[0] < y.balance.mean < RATIOS[-1]
    assert y.balance.best_drift_deg_s <= y.own_drift_deg_s
    assert y.body_turns[0, 0] == pytest.approx(spin * y.duration_s[0, 0] / 360.0, rel=1e-9)


def test_the_root_is_a_root():
    y = found()
    at = {float(r): k for k, r in enumerate(y.line_ratios)}
    for which in balance.WINDOWS:
        root = getattr(y.balance, which)
        if math.isfinite(root) and which not in y.balance.jumps:
            assert abs(window(y.line.at((at[root],)), which)) < balance.JUMP_DEG_S


def test_turns_add_up():
    """What the skein lets out is what the rotor turns over the ground and the body turns against it."""
    run = found().run
    assert run.rotor_turns_over_ground + run.heading_deg / 360.0 == pytest.approx(
        run.turns_unwound, abs=1e-6, nan_ok=True
    )


def test_power_adds_up():
    """Skein = air + hinges + drive + what lifts the craft, in shares where speed and spin hardly change. 3 mW of 130: what they still change."""
    y = found()
    run = y.run.at((0, 0, 1))
    lift = y.weight_mn * run.climb_m_s
    parts = sum(getattr(run, name) for name in POWERS) + lift
    assert parts[6:KNEE] == pytest.approx(run.skein_power_mw[6:KNEE], abs=3.0)


def test_the_tail_takes_more_the_faster_it_turns():
    assert (np.diff(found().tail_power_share[0, 0]) > 0.0).all()


def test_a_spinning_craft_circles_and_a_still_one_drifts_to_the_side_of_the_tails_push():
    y = found()
    assert 0.1 < y.circle_radius_m[0, 0, 0] < 2.0
    assert y.best.side_m_s[10:14].mean() > 0.0


def test_what_is_flown_does_not_depend_on_wind_room_and_mishaps():
    base = rundown.high_up(quick())
    other = rundown.high_up(quick(air__wind_m_s=3.0, air__turbulence=True, room__ceiling_m=4.0, launch__height_m=2.0))
    assert other.air.wind_m_s == 0.0
    assert other.mishap == ()
    assert other.effective_toml() == base.effective_toml()


def test_going_on_gives_what_one_go_gives_and_flies_nothing_twice(tmp_path):
    file, broken = tmp_path / "s.h5", Told(break_at=6)
    with pytest.raises(KeyboardInterrupt):
        yaw(quick(), RATIOS, [10.0], file=file, progress=broken)
    assert broken.closed == 1
    counted = Told()
    again = yaw(quick(), RATIOS, [10.0], file=file, progress=counted)
    assert json.dumps(plain(again.to_json())) == json.dumps(plain(found().to_json()))
    assert len(counted.steps) == again.flights - 6
    assert counted.closed == 1
    nothing = Told()
    yaw(quick(), RATIOS, [10.0], file=file, progress=nothing)
    assert nothing.steps == []


def test_another_grid_or_craft_is_another_study(tmp_path):
    yaw(quick(skein__turns=60), (4.0, 5.0), [10.0], file=tmp_path / "s.h5")
    with pytest.raises(BadInput, match="another grid"):
        yaw(quick(skein__turns=60), (4.0, 5.5), [10.0], file=tmp_path / "s.h5")
    with pytest.raises(BadInput, match="another scenario"):
        yaw(quick(skein__turns=61), (4.0, 5.0), [10.0], file=tmp_path / "s.h5")


@pytest.mark.parametrize(
    ("changes", "grid", "says"),
    [
        ({"craft__tail__drive": "none"}, (None, None, None), "tail.drive: yaw looks for the ratio of a tail on a cord"),
        ({"skein__turns": 20}, (None, None, None), "skein.turns: yaw needs turns"),
        ({}, ([4.0], None, None), "two values at least"),
        ({}, ([-1.0, 4.0], None, None), "above 0"),
        ({}, ([4.0, math.nan], None, None), "finite"),
        ({}, (None, [90.0], None), "tail.pitch_deg"),
        ({}, (None, None, [10.0]), "tail.r"),
        ({}, (np.linspace(3, 5, 500), np.linspace(3, 5, 5), None), "at most 2000"),
    ],
)
def test_the_impossible_is_refused_in_one_line(changes, grid, says):
    with pytest.raises(BadInput, match=says) as caught:
        yaw(quick(**changes), *grid)
    assert "\n" not in str(caught.value)


def test_window_and_drift_by_hand():
    run = made_up([10.0, -10.0] * (BINS // 2))
    assert drift(run) == pytest.approx(10.0)
    assert window(run, "mean") == pytest.approx(10.0 / KNEE)
    assert window(run, "full_wind") == pytest.approx(10.0 / 3.0)
    assert window(made_up(7.0), "end") == pytest.approx(7.0)
    assert math.isnan(drift(made_up(7.0, last=15)))
    assert math.isfinite(window(made_up(7.0, last=15), "mid_run"))


def test_crossings_by_hand():
    ratios, spin = (
        np.array([1.0, 2.0, 3.0, 4.0]),
        np.array([[4.0, 2.0, -2.0, -4.0], [1.0, 2.0, 3.0, 4.0], [1.0, -1.0, 1.0, -1.0]]),
    )
    assert crossings(ratios, spin, 3.4) == pytest.approx([2.5, math.nan, 3.5], nan_ok=True)


def test_the_band_round_the_best():
    drifts = {1.0: 50.0, 2.0: 15.0, 3.0: 5.0, 4.0: 19.0, 5.0: 30.0, 6.0: 10.0}
    assert balance._still(drifts, 3.0) == (2.0, 4.0)
    assert all(math.isnan(end) for end in balance._still({1.0: 50.0}, 1.0))


def test_the_knee_is_where_the_torque_has_fallen_to_two_thirds():
    numbers = build(quick())
    turns = rundown.knee_turns(numbers, 150.0)
    motor = numbers.params.view(np.recarray)[0].skein
    motor.spike = 1.0
    plateau, here = (motor_torque(motor, n) for n in (300.0, turns))
    assert here / plateau == pytest.approx(1.0 - math.exp(-1.0), rel=0.01)
    assert rundown.knee_turns(numbers, 40.0) == 20.0


def test_names_and_columns_agree():
    assert len(NAMES_OUT) == len(TABLES) * BINS + len(rundown.SCALARS)
    row = np.arange(float(len(NAMES_OUT)))
    assert [RunDown.of(row).tail_thrust_mn[3]] == [row[NAMES_OUT.index("tail_thrust_mn[3]")]]


CHILD = """
import sys
sys.path[:0] = {paths!r}
from studies.yaw.test_yaw import RATIOS, quick
from paddlebar import yaw
class One:
    def start(self, steps): pass
    def step(self, what): print("one", flush=True)
    def close(self): pass
yaw(quick(), RATIOS, [10.0], file={file!r}, progress=One())
"""


@pytest.mark.slow
def test_killed_eight_times_it_ends_as_if_it_never_was(tmp_path):
    """kill -9 at random moments of a real study; what was reported finished is not flown again, the answer is that of one go."""
    file = tmp_path / "s.h5"
    code = CHILD.format(paths=[str(Path(rundown.__file__).parents[2]), str(Path(__file__).parents[2])], file=str(file))
    rng, reported, kills = random.Random(11), 0, 0
    while kills < 8:
        child = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)
        assert child.stdout is not None
        child.stdout.readline()  # one flight, or the end
        time.sleep(rng.uniform(0.0, 0.12))
        child.send_signal(signal.SIGKILL)
        reported += 1 + child.communicate()[0].count("one")
        if child.returncode == 0:
            break
        kills += 1
    counted = Told()
    again = yaw(quick(), RATIOS, [10.0], file=file, progress=counted)
    print(f"{kills} kills, {reported} flights reported, {len(counted.steps)} flown afterwards, {again.flights} in all")
    assert kills >= 5
    assert len(counted.steps) <= again.flights - reported
    assert json.dumps(plain(again.to_json())) == json.dumps(plain(found().to_json()))
