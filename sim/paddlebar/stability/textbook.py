"""The craft's own modes against the textbook's average over a revolution, at half the run-down."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import build
from paddlebar.files.scenario import Scenario
from paddlebar.stability.analysis import half_way
from paddlebar.stability.averaged import Averaged
from paddlebar.stability.floquet import floquet

Complex = NDArray[np.complex128]


@dataclass(frozen=True, eq=False)
class Averages:
    """periodic (n), averaged (m) : exponents [1/s], fastest growing first, of a pair the one of positive frequency; empty where there are none

    turns_left : at which;  blades : of the rotor
    """

    turns_left: float
    blades: int
    periodic: Complex
    averaged: Complex

    @property
    def sentence(self) -> str:
        """What the average is worth for this craft."""
        if self.periodic.size == 0 or self.averaged.size == 0:
            return "the average over a revolution: no steady motion found to compare"
        real, mean = (float(each[0].real) for each in (self.periodic, self.averaged))
        same = "says the same sign" if (real < 0.0) == (mean < 0.0) else "gets the sign wrong"
        return f"the average over a revolution {same}: {mean:+.2f} /s where the turning rotor has {real:+.2f} /s"

    def to_json(self) -> dict[str, Any]:
        """Growth [1/s] and frequency [Hz] of each exponent."""

        def pairs(values: Complex) -> list[dict[str, float]]:
            return [
                {"growth_per_s": float(v.real), "frequency_hz": abs(float(v.imag)) / (2.0 * math.pi)} for v in values
            ]

        return {
            "turns_left": self.turns_left,
            "periodic": pairs(self.periodic),
            "averaged": pairs(self.averaged),
            "sentence": self.sentence,
        }


def averages(scenario: Scenario) -> Averages:
    """Both sets of exponents about the steady motion that margins gives its verdict on.

    scenario : from load_scenario
    Raises   : BadInput where only building the craft shows that the input is impossible
    Source   : stability/floquet.py, stability/averaged.py
    """
    turns, place = half_way(scenario, build(scenario))
    none = np.empty(0, dtype=np.complex128)
    blades = scenario.craft.rotor.blades
    if not place.found:
        return Averages(turns, blades, none, none)
    found = place.found[0]
    mean = Averaged(found).exponents()
    return Averages(turns, blades, floquet(found.map, found.x).exponents, mean[np.isfinite(mean) & (mean.imag >= 0.0)])
