"""Averaged multi-blade model against Floquet's periodic one: equal for many blades on a heavy body, different for two on a light one.

Source : averaging of multi-blade coordinates, R. P. Coleman, A. M. Feingold, NACA Report 1351 (1958) [M]; the comparison itself is ours.
How    : blades on hinges, no bar, no tail rotor (the body turns against the rotor), constant torque. Modes that differ between the
         blades (differential flapping) are not in the averaged model and are not compared.
Seen   : body as built, two blades: 10 % apart in the growing mode, six blades 0.3 %; body of twenty times the inertia: 0.01 to 0.09 %.
Broken : tried, failed: sign of the gyroscopic term of the planes (many blades).
"""

from __future__ import annotations

import numpy as np
import pytest

from paddlebar.stability.averaged import Averaged
from paddlebar.stability.equilibrium import equilibrium
from paddlebar.stability.floquet import floquet
from paddlebar.stability.return_map import ReturnMap
from stability.steady import frozen, steady

pytestmark = pytest.mark.reference


def apart(blades: int, heavier: float, first: int = 5) -> list[float]:
    """Distance of the averaged model's first exponents from the nearest periodic ones, over their size."""
    numbers = frozen(
        5.5,
        {
            "craft.head.kind": "flapping", "craft.head.stop_deg": 60.0, "craft.head.precone_deg": 0.0, "craft.bar.kind": "none",
            "craft.tail.drive": "none", "craft.rotor.blades": blades, "craft.rotor.blade_mass_g": 1.8 / blades,
        },
    )  # fmt: skip
    numbers.params[0]["body_inertia"] *= heavier
    e = equilibrium(ReturnMap(numbers))
    averaged, periodic = Averaged(e).exponents(), floquet(e.map, e.x).exponents
    averaged = averaged[(averaged.imag >= 0.0) & (np.abs(averaged.imag) < 0.45 * 2.0 * np.pi / e.period)][:first]
    found = []
    for s in averaged:
        near = periodic[np.argmin(np.abs(periodic - s))]
        found.append(float(abs(near - s) / abs(s)))
        print(
            f"{blades} blades, body x {heavier:g}: averaged {s:.4f}, periodic {near:.4f}, {100 * found[-1]:.2f} % apart"
        )
    return found


@pytest.mark.parametrize("blades", [4, 6])
def test_many_blades_on_a_heavy_body(blades):
    """Five slow modes, 1 % of their size."""
    assert max(apart(blades, 20.0)) < 0.01


def test_two_blades_come_to_the_average_on_a_heavy_body_only():
    """The average needs blades or a heavy body; two blades on the light body are off by a tenth of the growing mode (last seen: 9.8 %)."""
    light, heavy = apart(2, 1.0, 1)[0], apart(2, 20.0, 1)[0]
    assert light > 0.08
    assert heavy < 0.02 * light


def test_more_blades_bring_the_light_body_to_the_average():
    assert apart(6, 1.0, 1)[0] < 0.1 * apart(2, 1.0, 1)[0]


def test_teetering_craft_with_its_bar():
    """The craft as built (two blades, a bar of two arms): what the average would have answered; printed."""
    e = steady(3.4)
    averaged, periodic = Averaged(e).exponents()[0], floquet(e.map, e.x).exponents[0]
    print(
        f"averaged {averaged:.4f}, periodic {periodic:.4f}: growth {100 * (averaged.real / periodic.real - 1):+.1f} %"
    )
    assert abs(averaged - periodic) > 0.03 * abs(periodic)
