"""Ring by ring: what the blades take is what the air gets. Closed forms: tests/reference/test_hover_closed_forms.py; measured rotors:
test_castles_gray.py, test_small_rotor.py there.

Broken : 2 pi for 4 pi of momentum; torque with the other sign: each refused here.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from paddlebar.craft.blades import gauss
from paddlebar.craft.sections import section_table
from paddlebar.physics.annular import annular, ring_excess
from paddlebar.physics.blade import element_load
from paddlebar.physics.inflow import axial_flow, descent_excess
from paddlebar.physics.section import OF_BLADE, OF_PADDLE
from paddlebar.physics.tip_loss import tip_loss
from reference.rig import straight_tables

RHO, RADIUS, CHORD, BLADES, SPEED = 1.2, 0.2, 0.03, 2, 45.0


def solved(
    pitch_deg: float, climb: float = 0.0, tip: int = 1, drag: float = 0.0, rho: float = RHO
) -> tuple[float, float, np.ndarray, np.ndarray, np.ndarray]:
    """Thrust, torque, induced velocity, places and widths."""
    x, dr = gauss(0.03, RADIUS, 16)
    none = np.zeros_like(x)
    induced = np.zeros_like(x)
    chord, pitch, log_chord = none + CHORD, none + math.radians(pitch_deg), none + math.log(CHORD / 1.5e-5)
    elements = (x, chord, pitch, log_chord, 0.5 * rho * CHORD * dr, none)
    thrust, torque = annular(
        straight_tables(5.7, drag), (OF_BLADE, 0.0, 1.0), (BLADES, RADIUS, rho), elements, SPEED, climb, tip, induced
    )
    return thrust, torque, induced, x, dr


@pytest.mark.parametrize(
    ("pitch", "climb", "tip"), [(8.0, 0.0, 0), (8.0, 0.0, 1), (8.0, 0.7, 1), (10.0, -0.2, 1), (4.0, -3.0, 0)]
)
def test_thrust_is_the_momentum_of_the_rings(pitch: float, climb: float, tip: int) -> None:
    """sum of 4 pi r dr rho F v V_eff, F from the flow that was found. 1e-9 of the thrust (60 halvings)."""
    thrust, _, v, x, dr = solved(pitch, climb, tip)
    up = -(climb + v)
    loss = [
        tip_loss(BLADES, r / RADIUS, u / math.hypot(SPEED * r, u)) if tip else 1.0 for r, u in zip(x, up, strict=True)
    ]
    flow = [axial_flow(each, climb, 0.0) for each in v]
    assert thrust == pytest.approx(np.sum(4.0 * math.pi * x * dr * RHO * loss * v * flow), rel=1e-9)


def test_torque_pays_for_the_induced_flow_alone() -> None:
    """Without section drag Q Omega = sum dT (V + v), ring by ring; here with the momentum of the rings, tip loss off. 1e-9.

    Climbing at 0.5 m/s the innermost rings are pushed down (v < 0): their flow is the curve's, not |V + v|, and to them this is a descent,
    which costs descent_excess more."""
    _, torque, v, x, dr = solved(8.0, 0.5, 0)
    flow = np.array([axial_flow(each, 0.5, 0.0) for each in v])
    excess = np.array([descent_excess(each, 0.5) for each in v])
    ring = 4.0 * math.pi * x * dr * RHO * v * flow
    # the thrust of a strip over its speed, where the flow is slanted
    slant = np.hypot(1.0, (0.5 + v) / (SPEED * x))
    power = np.sum(ring * (0.5 + v + excess / slant))
    assert torque * SPEED == pytest.approx(power, rel=1e-9)


def test_drag_adds_its_own_torque() -> None:
    """1/8 Nb rho cd c Omega^2 (R^4 - r0^4), less than 1 % more for the slant of the flow."""
    clean, dirty = solved(0.0)[1], solved(0.0, drag=0.02)[1]
    assert clean == pytest.approx(0.0, abs=1e-12)
    assert dirty == pytest.approx(BLADES / 8.0 * RHO * 0.02 * CHORD * SPEED**2 * (RADIUS**4 - 0.03**4), rel=1e-9)


def test_blades_the_other_way_up_pull_the_other_way() -> None:
    up, down = solved(8.0), solved(-8.0)
    assert down[0] == pytest.approx(-up[0], rel=1e-9)
    assert down[1] == pytest.approx(up[1], rel=1e-9)
    assert down[2] == pytest.approx(-up[2], rel=1e-9)


def test_flat_pitch_lifts_nothing_and_thin_air_little() -> None:
    assert solved(0.0)[0] == pytest.approx(0.0, abs=1e-12)
    assert solved(8.0, rho=0.6)[0] == pytest.approx(0.5 * solved(8.0)[0], rel=1e-9)


def test_found_root_is_one_and_the_only_one() -> None:
    """ring_excess changes its sign once between no inflow and twice the blade's speed, at what annular found."""
    _, _, v, x, dr = solved(8.0)
    tables = straight_tables(5.7)
    for k in (0, 7, 15):
        strip = (math.radians(8.0), math.log(CHORD / 1.5e-5), 0.5 * RHO * CHORD * dr[k], 0.0)
        ring = (x[k], dr[k], strip)
        given = (tables, (OF_BLADE, 0.0, 1.0), (BLADES, RADIUS, RHO), ring, SPEED, 0.0, 1)
        excess = np.array([ring_excess(s, *given) for s in np.linspace(0.0, 4.0, 400)])
        assert np.count_nonzero(np.diff(np.sign(excess))) == 1
        assert ring_excess(v[k] - 1e-6, *given) > 0.0 > ring_excess(v[k] + 1e-6, *given)


@pytest.mark.parametrize("pitch_deg", [12.0, -9.0])
@pytest.mark.parametrize("climb", [0.0, -1.2])
def test_every_ring_is_in_balance_and_the_rotor_is_the_sum_of_its_strips(pitch_deg: float, climb: float) -> None:
    """Cambered sections with stall delay, twist and taper: what each ring's strip gives at the flow found is its share, momentum included."""
    tables = np.stack([section_table(name) for name in ("flat plate", "cambered plate", "thin aerofoil")])
    x, dr = gauss(0.03, RADIUS, 6)
    chord, pitch = 0.04 - 0.1 * x, math.radians(pitch_deg) + 0.1 - 0.8 * x
    half, log_chord, over = 0.5 * RHO * chord * dr, np.log(chord / 1.5e-5), chord / x
    induced = np.zeros(6)
    section, rotor = (OF_PADDLE, -0.05, 1.0), (3, RADIUS, RHO)  # the second table, here cambered
    elements = (x, chord, pitch, log_chord, half, over)
    thrust, torque = annular(tables, section, rotor, elements, SPEED, climb, 1, induced)
    normals, forwards = np.zeros(6), np.zeros(6)
    for k in range(6):
        strip = (pitch[k], log_chord[k], half[k], over[k])
        normals[k], forwards[k], _, met = element_load(tables, section, strip, SPEED * x[k], -(climb + induced[k]))
        forwards[k] -= normals[k] * descent_excess(induced[k], climb) / met
        given = (tables, section, rotor, (x[k], dr[k], strip), SPEED, climb, 1)
        # halved sixty times from at most 20 m/s: the root is met to rounding, and the excess to that times its slope
        assert ring_excess(induced[k], *given) == pytest.approx(0.0, abs=1e-9 * abs(3.0 * normals[k]))
    assert thrust == pytest.approx(3.0 * normals.sum(), rel=1e-12)
    assert torque == pytest.approx(-3.0 * (forwards @ x), rel=1e-12)
