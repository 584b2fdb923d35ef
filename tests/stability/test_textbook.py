"""The average over a revolution against the turning rotor, in words and numbers."""

from __future__ import annotations

import math

import numpy as np
import pytest

from paddlebar.stability.textbook import Averages


def compared(periodic: list[complex], averaged: list[complex]) -> Averages:
    return Averages(200.0, 2, np.array(periodic, complex), np.array(averaged, complex))


@pytest.mark.parametrize(
    ("periodic", "averaged", "says"),
    [
        ([0.5 + 2j], [0.4 + 2j], "says the same sign: +0.40 /s where the turning rotor has +0.50 /s"),
        ([-0.5 + 2j], [0.4 + 2j], "gets the sign wrong: +0.40 /s where the turning rotor has -0.50 /s"),
        ([], [0.4], "no steady motion found to compare"),
        ([0.4], [], "no steady motion found to compare"),
    ],
)
def test_what_it_is_worth(periodic: list[complex], averaged: list[complex], says: str) -> None:
    assert (
        compared(periodic, averaged).sentence == f"the average over a revolution{':' if 'found' in says else ''} {says}"
    )


def test_numbers_of_each_exponent() -> None:
    """2 pi rad/s are one a second, whichever of a pair."""
    found = compared([0.5 - 2j * math.pi, -3.0], []).to_json()
    assert found["turns_left"] == 200.0
    assert found["periodic"] == [
        {"growth_per_s": 0.5, "frequency_hz": pytest.approx(1.0)},
        {"growth_per_s": -3.0, "frequency_hz": 0.0},
    ]
    assert found["averaged"] == []
