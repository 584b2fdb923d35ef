"""Thrust near the floor at equal power.

Source : I. C. Cheeseman, W. E. Bennett, ARC R&M 3021 (1955): T/T_oge = 1/(1 - (R/4z)^2) at equal power; references.md 1.7 [M], numbers [C].
How    : through the whole right-hand side: blades without drag, so that power is induced power; their pitch is raised near the
         floor until the torque is that far from it.
Allowed: 0.5 % (inflow uniform, its angles not quite small).
Seen   : within 0.03 %. The program's first version had 1.211 at z/R 0.5, -9.2 %, and failed here: v = v_oge (1 - (R/4z)^2) holds at
         equal power; at equal thrust, which is what an inflow state knows, the factor is to the power 1.5.
Below  : z/R 0.75 the program leaves that law, which is not meant for it, for a measured curve (references.md 1.7a [T]: v_ige/v_oge at equal
         thrust, R. W. Prouty's figure digitised by a third party). Below 0.5 the program's parabola was MADE from these points; above 0.75 they
         are a check of the law.
Broken : that was the try: the power 1 fails at every height.
"""

from __future__ import annotations

import math

import pytest
from scipy.optimize import brentq

from paddlebar.flight import layout
from paddlebar.flight.rhs import THRUST, TORQUE
from paddlebar.physics.ground import induced_share
from reference.rig import Rig, craft

pytestmark = [
    pytest.mark.reference,
    pytest.mark.phenomenon(
        "ground effect",
        source="1.7",
        conditions="equal power, blades without drag",
        why="inflow uniform, its angles not quite small",
    ),
]

SPEED, RADIUS = 48.0, 0.2


def settled(rig: Rig, pitch: float, height: float, near_floor: int) -> tuple[float, float]:
    """Thrust [N] and torque [N m] after the inflow has settled."""
    rig.p.ground_effect = near_floor
    rig.p.el_pitch[:] = pitch
    y = rig.still(SPEED)
    y[layout.POSITION + 2] = -height
    y[layout.INFLOW] = 0.5
    rig.rates(0.0, rig.run(y, 2.0, rtol=1e-8).y[:, -1])
    return rig.load(THRUST), rig.load(TORQUE)


@pytest.mark.parametrize(("share", "published"), [(0.75, 1.125), (1.0, 1.0667), (1.5, 1.0286), (2.0, 1.0159)])
def test_thrust_at_equal_power(evidence, share, published):
    rig = Rig(craft(rotor={"chord_mm": 30}), slope=5.0, inflow="dynamic", elements=10)
    thrust, torque = settled(rig, math.radians(8.0), 500.0, 0)
    pitch = brentq(
        lambda pitch: settled(rig, pitch, share * RADIUS, 1)[1] - torque,
        math.radians(7.0),
        math.radians(14.0),
        xtol=1e-6,
    )
    evidence(f"T/T_oge at z/R {share}", settled(rig, pitch, share * RADIUS, 1)[0] / thrust, published, 0.005)


# height over diameter, induced velocity over that far from the floor at equal thrust
TESTED = [
    (0.0585, 0.561), (0.127, 0.627), (0.191, 0.678), (0.269, 0.737), (0.365, 0.789), (0.459, 0.830), (0.580, 0.874), (0.663, 0.901),
    (0.784, 0.932), (0.902, 0.955), (1.022, 0.975),
]  # fmt: skip


@pytest.mark.phenomenon(
    conditions="equal thrust, a tested curve",
    why="8 % advised above z/R 0.5; below, what a parabola and its joint lose",
)
@pytest.mark.parametrize(("height", "published"), TESTED)
def test_induced_velocity_at_equal_thrust(evidence, height, published):
    share = 2.0 * height
    evidence(f"v/v_oge at z/R {share:.3g}", induced_share(share), published, 0.01 if share < 0.5 else 0.08)
