"""Answers by chance, 4 to 30 g on 250 to 520 mm: how many of the craft that `new` makes of them fly?

    PYTHONPATH=sim:tests python -m sizing.chance [COUNT [FIRST]]

Half of the answers leave the rubber to the program; the others have it up to a tenth off what would fit, and of another length. A craft flies where it is in
control for 15 s from all three launches, unedited. What does not is printed with the sentence that `new` gives.
"""

from __future__ import annotations

import math
import sys
import time
from dataclasses import replace
from typing import Any

import numpy as np

from paddlebar.errors import BadInput
from paddlebar.sizing.answers import Answers
from paddlebar.sizing.sized import filled_in, size

LEAST_S = 15.0


def draw(index: int) -> Answers:
    """Weight evenly over its logarithm, all else evenly."""
    rng = np.random.default_rng([5, index])
    given: dict[str, Any] = {
        "weight_g": round(math.exp(rng.uniform(math.log(4.0), math.log(30.0))), 1),
        "rotor_mm": float(round(rng.uniform(250.0, 520.0))),
        "material": str(rng.choice(["balsa", "printed"])),
        "sense": str(rng.choice(["clockwise", "counter-clockwise"])),
        "hall_m": float(rng.choice([0.0, 8.0])),
    }
    if rng.random() < 0.5:
        known = filled_in(Answers.of(given))
        given["rubber_mm"] = float(round(known.rubber_mm * rng.uniform(0.85, 1.2)))
        fits = filled_in(Answers.of(given)).rubber
        given["rubber"] = str(replace(fits, width_mm=round(fits.width_mm * rng.uniform(0.9, 1.1), 1)))
    return Answers.of(given)


def main(count: int, first: int) -> None:
    fly = 0
    for index in range(first, first + count):
        answers, begun = draw(index), time.perf_counter()
        asked = ", ".join(f"{key} {value}" for key, value in answers.model_dump(exclude_none=True).items())
        try:
            found = size(answers)
        except BadInput as error:
            print(f"{index}: {asked}: {error}", flush=True)
            continue
        briefs = found.tried.briefs
        good = all(each.controlled_s >= LEAST_S for each in briefs)
        fly += good
        told = ", ".join(f"{each.outcome} {each.controlled_s:.0f} s" for each in briefs)
        print(
            f"{index}: {asked}: {'flies' if good else 'NOT'}: {told}; {time.perf_counter() - begun:.0f} s", flush=True
        )
    print(f"{fly} of {count} fly")


if __name__ == "__main__":
    asked = [int(each) for each in sys.argv[1:]]
    main(asked[0] if asked else 200, asked[1] if len(asked) > 1 else 0)
