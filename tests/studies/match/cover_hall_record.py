"""How often the 90 % intervals of a match hold the truth where it is hard: five unknowns, long flights in the hall, a scale, a torque meter.

    PYTHONPATH=sim:tests python -m studies.match.cover_hall_record 100 22        # seeds 100 to 121, some minutes; by hand, too long for the suite

Each seed draws a true craft from the priors, makes the rows of hall-record.csv anew with noise, and fits them. A craft that does not fly
well enough to give every reading is left out.
"""

from __future__ import annotations

import sys
from dataclasses import replace

import numpy as np

from paddlebar.api import load_scenario
from paddlebar.files.flight_record import read_flight_record
from paddlebar.studies.match.study import match
from paddlebar.studies.match.unknowns import unknowns
from studies.match.make_hall_record import ROWS, SCENARIOS, noisy


def main(first: int, count: int) -> None:
    scenario = load_scenario(SCENARIOS / "hall-record.toml")
    asked = unknowns(scenario)
    shipped = read_flight_record(SCENARIOS / "hall-record.csv")
    inside = due = 0
    for seed in range(first, first + count):
        rng = np.random.default_rng(seed)
        truth = {u.key: float(np.clip(u.mean + u.sd * rng.normal(), u.low, u.high)) for u in asked}
        read = noisy(ROWS, truth, seed)
        if not all(np.isfinite(r.value) for row in read for r in row):
            print(seed, "left out")
            continue
        rows = tuple(
            replace(row, readings=tuple(r), line=k + 2) for k, (row, r) in enumerate(zip(ROWS, read, strict=True))
        )
        found = match(scenario, replace(shipped, rows=rows, text=""), further=False)
        held = [
            bool(low <= truth[u.key] <= high)
            for u, low, high in zip(found.unknowns, found.low, found.high, strict=True)
        ]
        inside, due = inside + sum(held), due + len(held)
        print(seed, held, f"p {found.p:.3f}, {inside} of {due} inside so far", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
