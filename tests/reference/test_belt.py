"""Grip of the tail's cord, and a slipping cord in the equations of flight.

Source : Euler-Eytelwein T1/T2 = exp(mu phi), references.md 7 [C]: mu .2, 180 deg 1.874; .3 2.566; .5 4.810; mu .3, 90 deg 1.602.
Broken : wrap in degrees; ratio of the pulleys turned over; slip that drives: each refused here.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from evidence import Recorder
from paddlebar.flight import layout
from paddlebar.physics.cord import cord_grip
from paddlebar.physics.motor import STEADY
from reference.rig import SHAFT, Rig, craft

pytestmark = [
    pytest.mark.reference,
    pytest.mark.phenomenon("belt", source="7", why="last digit of the table"),
]

CORD: dict[str, Any] = {
    "drive": "cord", "at_mm": [-300, 0, -20], "thrust_to": "left", "radius_mm": 40, "root_mm": 5, "chord_mm": 10, "pitch_deg": 0, "section": "flat plate",
    "mass_g": 0.5, "drive_pulley_mm": 20, "tail_pulley_mm": 5, "cord_tension_mN": 300, "cord_friction": 0.3, "cord_wrap_deg": 180,
    "friction_mN_m": 0, "loss_percent": 0,
}  # fmt: skip


@pytest.mark.parametrize(
    ("mu", "wrap", "published"), [(0.2, 180, 1.874), (0.3, 180, 2.566), (0.5, 180, 4.810), (0.3, 90, 1.602)]
)
def test_ratio_of_tensions(evidence: Recorder, mu: float, wrap: float, published: float) -> None:
    evidence(
        f"tight over slack tension, mu {mu:g}, {wrap:g} deg",
        cord_grip(1.0, math.radians(wrap), mu),
        published,
        absolute=5.1e-4,
    )


@pytest.mark.phenomenon(conditions="300 mN, half a turn, mu .3, tail pulley 5 mm", why="rounding of the 2.566")
def test_limit_of_a_described_cord(evidence: Recorder) -> None:
    """300 mN, half a turn, mu .3, tail pulley of 5 mm: 2 x .3 x .0025 x 1.566/3.566 = .6587 mN m, and four tail turns a rotor turn."""
    p = Rig(craft(tail=CORD)).p
    want = 2.0 * 0.3 * 0.0025 * (2.566 - 1.0) / (2.566 + 1.0)
    evidence("torque at which the cord slips", float(p.cord_limit), want, 3e-4, unit="N m")
    assert p.cord_ratio == pytest.approx(4.0, rel=1e-14)


@pytest.mark.parametrize("sense", [1.0, -1.0])
def test_slipping_cord_pulls_with_its_limit_on_both_pulleys(sense: float) -> None:
    """No air: tail speeds up with limit / I, shaft is held back by ratio x limit; what is lost is limit x slip, never less than nought."""
    rig = Rig(craft(tail=CORD))
    rig.vacuum()
    rig.p.cord_mode = 2
    rig.p.cord_sense = sense
    rig.p.locked[8] = 0
    rig.p.locked[SHAFT] = 0
    y = rig.still(40.0)
    y[layout.TAIL_SPEED] = 160.0 - sense * 50.0
    found = rig.rates(0.0, y)
    limit = float(rig.p.cord_limit)
    assert found[layout.TAIL_SPEED] == pytest.approx(sense * limit / float(rig.p.tail_polar), rel=1e-12)
    rotor = 2.0 * (
        1e-3 * 0.2**2 / 3.0 + 1e-3 * 0.02**2 / 12.0 + 1e-3 * 0.004**2
    )  # blades: rods with a chord, mass axis 4 mm behind
    assert found[layout.ROTOR_SPEED] == pytest.approx(-sense * 4.0 * limit / rotor, rel=1e-4)
    assert found[layout.LOST_SHAFT] == pytest.approx(limit * 50.0, rel=1e-12)


@pytest.mark.phenomenon(conditions="gripping cord, ratio 4, vacuum", why="closed form")
def test_gripping_cord_joins_two_inertias(evidence: Recorder) -> None:
    """Shaft torque Q turns I_rotor + ratio^2 I_tail, and the tail four times as fast."""
    rig, bare = Rig(craft(tail=CORD)), Rig(craft())
    for each in (rig, bare):
        each.vacuum()
        each.p.locked[SHAFT] = 0
        motor = each.p.skein
        motor.kind, motor.steady, motor.runs_back, motor.turns, motor.half_loss = STEADY, 2e-3, 1, 10.0, 0.0
    y = rig.still(0.0)
    with_, without = rig.rates(0.0, y), bare.rates(0.0, y)
    own = 2e-3 / without[layout.ROTOR_SPEED]
    joined = own + 16.0 * float(rig.p.tail_polar)
    evidence(
        "inertia that the shaft feels, I_rotor + ratio^2 I_tail",
        2e-3 / with_[layout.ROTOR_SPEED],
        joined,
        1e-12,
        unit="kg m^2",
    )
    evidence(
        "acceleration of the tail over the rotor's", with_[layout.TAIL_SPEED] / with_[layout.ROTOR_SPEED], 4.0, 1e-14
    )
    assert np.isfinite(with_).all()
