"""Hover of a short fat rotor, where plain blade elements with ring momentum are known to give too much thrust.

Source : F. X. Caradonna, C. Tung, NASA TM 81232 (1981); references.md 1.3 [T]. Two NACA 0012 blades, R 1.143 m, c 0.1905 m
         (aspect ratio 6), untwisted, 1250 rpm (tip Mach number 0.44).
Section: 5.73 /rad, drag constant 0.01 (from memory; thrust hardly feels it); root 0.167 R.
Expected: CT 0 to 40 % too high: the vortex of the blade ahead passes close under a short blade, and no ring theory knows of it.
         Reported here so that nobody trusts thrust of short wide blades to a few per cent. Tip loss is not to be tuned to
         this case: test_castles_gray.py would then fail.
Seen   : CT +38.0, +23.8, +23.0 % at 5, 8, 12 deg; ratios 1.932 (-10.3 %) and 1.723 (-0.6 %); peak of cl at 0.852 R.
         An independent program had +36, +22, +21 % (references.md 1.3 [C]); 1 to 2 % here is the incidence that
         0.5 deg of coning gives so wide a blade.
Broken : tried, failed: momentum halved, doubled, no tip loss.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from paddlebar.craft.blades import gauss
from paddlebar.files.scenario import Air, Run
from paddlebar.physics.annular import annular
from paddlebar.physics.blade import element_load
from paddlebar.physics.section import OF_BLADE
from paddlebar.whirl_stand import stand
from reference.rig import craft, straight_section, straight_tables

pytestmark = [
    pytest.mark.reference,
    pytest.mark.phenomenon(
        "hover, thrust and torque",
        source="1.3",
        conditions="2 blades NACA 0012, R 1.143 m, aspect ratio 6, 1250 rpm; torque was not measured",
        why="no ring theory knows the vortex close under a short blade: 0 to 40 % too high is expected",
    ),
]

RADIUS, CHORD, ROOT, SLOPE, DRAG = 1.143, 0.1905, 0.167, 5.73, 0.01
CT = {5.0: 0.00213, 8.0: 0.00459, 12.0: 0.00796}  # 1250 rpm [T]
# section cl at 8 deg, 1250 rpm: r/R, lowest and highest reading [T]
SECTION_CL = [(0.50, 0.21, 0.23), (0.68, 0.26, 0.28), (0.80, 0.29, 0.29), (0.89, 0.31, 0.33), (0.96, 0.28, 0.29)]


@pytest.fixture(scope="module")
def computed(tmp_path_factory):
    section = straight_section(tmp_path_factory.mktemp("sections"), SLOPE, DRAG)
    rotor = craft(
        rotor={"radius_mm": 1e3 * RADIUS, "root_mm": 1e3 * ROOT * RADIUS, "chord_mm": 1e3 * CHORD, "section": section},
        head={"kind": "rigid", "precone_deg": 0.5},
    )
    run = Run(blade_elements=40, stall_delay=False)
    return {pitch: stand(rotor, 1250.0, pitch, air=Air(temperature_C=15.0), run=run).CT for pitch in CT}


@pytest.mark.parametrize("pitch", CT)
def test_thrust_is_too_high_but_not_by_more_than_expected(evidence, computed, pitch):
    """0 to +40 % (references.md 1.3)."""
    evidence(f"CT, {pitch:g} deg", computed[pitch], CT[pitch], (0.0, 0.4))


@pytest.mark.parametrize(("high", "low"), [(8.0, 5.0), (12.0, 8.0)])
def test_ratios_between_collectives(evidence, computed, high, low):
    """What the missing vortex takes away is much the same share at each pitch: 12 % (references.md 1.3)."""
    evidence(
        f"CT({high:g})/CT({low:g})",
        computed[high] / computed[low],
        CT[high] / CT[low],
        0.12,
        why="what the missing vortex takes is much the same share at each pitch",
    )


def loading(pitch_deg: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """r/R, thrust per length [N/m] and section lift coefficient on OmegaR's own local speed, 1250 rpm."""
    speed, rho = 1250.0 * math.pi / 30.0, 1.225
    x, dr = gauss(ROOT * RADIUS, RADIUS, 60)
    chord, pitch = np.full_like(x, CHORD), np.full_like(x, math.radians(pitch_deg))
    half, log_chord, none, induced = 0.5 * rho * chord * dr, np.log(chord / 1.46e-5), np.zeros_like(x), np.zeros_like(x)
    tables = straight_tables(SLOPE, DRAG)
    section = (OF_BLADE, 0.0, 1.0)
    annular(tables, section, (2, RADIUS, rho), (x, chord, pitch, log_chord, half, none), speed, 0.0, 1, induced)
    strips = [(pitch[k], 0.0, half[k], 0.0) for k in range(x.size)]
    normal = np.array([element_load(tables, section, strips[k], speed * x[k], -induced[k])[0] for k in range(x.size)])
    return x / RADIUS, normal / dr, normal / (half * (speed * x) ** 2)


def test_section_lift_peaks_short_of_the_tip(evidence):
    """Section cl is greatest between 0.80 and 0.92 R (references.md 1.3; measured at 0.89). Seen: 0.852.

    Thrust per length, cl (r/R)^2, rises further out, as the measured one does (0.96 R more than 0.89 R). Seen: 0.937.
    """
    share, per_length, cl = loading(8.0)
    peak, further = share[np.argmax(cl)], share[np.argmax(per_length)]
    print(f"peak of dT/dr at r/R {further:.3f}")
    evidence(
        "r/R of the greatest section cl, 8 deg",
        peak,
        (0.80, 0.92),
        why="measured at 0.89, between stations at 0.80 and 0.96",
    )
    assert 0.89 < further < 0.98


def test_section_lift_is_too_high_like_the_thrust(evidence):
    """Section cl against Fig. 6 / Table 17: like the thrust, 0 to 40 % above, at every radius but the last, in the tip vortex."""
    share, _, cl = loading(8.0)
    for r, low, high in SECTION_CL:
        here, middle = float(np.interp(r, share, cl)), 0.5 * (low + high)
        print(f"cl at {r} R: published {low}-{high}, computed {here:.3f}, {100 * (here / middle - 1):+.0f} %")
        if r < 0.95:
            evidence(f"section cl at {r:g} R, 8 deg", here, (low, 1.4 * high))
