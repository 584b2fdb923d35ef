"""Out of balance, by hand."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from paddlebar import load_craft
from paddlebar.checks.shaking import shaking, shaking_findings

HALL = Path(__file__).parents[2] / "models" / "hall-ten.toml"
SQUARE = (500.0 * math.pi / 30.0) ** 2  # 2741.6 rad2/s2


def shaken(**changes: Any):
    craft = load_craft(HALL, {key.replace("__", "."): value for key, value in changes.items()})
    return craft, shaking(craft, 500.0, 0.1)


def test_a_hundredth_of_a_gram_and_a_millimetre():
    """Blade: weight at (25 + 200)/2 = 112.5 mm (the 0.3 mm by which its mass lies behind count nothing). Bar: 100 mm, .6 g."""
    _, (blades, bar) = shaken()
    assert blades.per_step_g_n == pytest.approx(1e-5 * 0.1125 * SQUARE, rel=1e-4)
    assert blades.per_mm_n == pytest.approx(0.68e-3 * 1e-3 * SQUARE, rel=1e-9)
    assert bar.per_step_g_n == pytest.approx(1e-5 * 0.1 * SQUARE, rel=1e-9)
    assert bar.per_mm_n == pytest.approx(0.6e-3 * 1e-3 * SQUARE, rel=1e-9)
    assert math.isnan(blades.measured_n)


def test_two_blades_weighed():
    """.70 and .66 g: .04 g x 112.5 mm x 2741.6 = 12.3 mN, an eighth of a weight of .1 N; blade 2 is the light one."""
    craft, (blades, _) = shaken(rotor__blade_masses_g=[0.70, 0.66])
    assert blades.measured_n == pytest.approx(0.04e-3 * 0.1125 * SQUARE, rel=1e-4)
    assert (blades.lighter, blades.by_g) == (2, pytest.approx(0.04))
    finding = shaking_findings(craft, (blades,))[0]
    assert finding.severity == "look"
    assert "0.04 g on blade 2, 113 mm" in finding.advice


def test_the_advice_balances():
    _, (blades, _) = shaken(rotor__blade_masses_g=[0.70, 0.66 + 0.04])
    assert blades.measured_n == pytest.approx(0.0, abs=1e-12)
    assert blades.lighter == 0


def test_three_blades_add_as_vectors():
    """.70, .68, .68 g: what is over on one alone, .02 g."""
    _, (blades, _) = shaken(
        head__kind="flapping", rotor__blades=3, rotor__blade_masses_g=[0.70, 0.68, 0.68], all_up_g=11.0
    )
    assert blades.measured_n == pytest.approx(0.02e-3 * 0.1125 * SQUARE, rel=1e-3)


def test_bar_weighed_and_no_bar():
    craft, (_, bar) = shaken(bar__tip_masses_g=[0.6, 0.6])
    assert shaking_findings(craft, (bar,))[0].severity == "fine"
    assert len(shaken(bar__kind="none")[1]) == 1


@pytest.mark.parametrize(
    ("pitches", "severity", "words"),
    [([9.3, 8.7], "fine", "alike to 0.6 deg"), ([8.0, 10.0], "look", "blade 2 has 2.0 deg more pitch than blade 1")],
)
def test_blades_of_unequal_pitch(pitches: list[float], severity: str, words: str):
    craft, found = shaken(rotor__blade_pitches_deg=pitches)
    finding = shaking_findings(craft, found)[-1]
    assert (finding.key, finding.severity) == ("rotor.blade_pitches_deg", severity)
    assert words in finding.sentence
