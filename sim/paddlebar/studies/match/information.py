"""What a record leaves open, and which further reading would tell it.

A direction in the space of the unknowns (each in deviations of its prior) along which the record has hardly narrowed the prior is said in
words. A further reading with slopes j and standard error s brings 1/2 log2(1 + j C j'/s^2) bits about the unknowns, C the covariance now.
Source  : expected information of a linear normal measurement, D. V. Lindley, Ann. Math. Stat. 27 (1956) 986, from memory
Checked : tests/studies/match/test_information.py (closed form of two readings, a pair that cannot be told apart)
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from paddlebar.errors import BadInput
from paddlebar.files.flight_record import FLIGHT, QUANTITIES, SKEIN, STAND, Reading, Row, standard_error
from paddlebar.files.scenario import Scenario
from paddlebar.progress import Progress
from paddlebar.studies.axes import open_text
from paddlebar.studies.match.predictions import Forward, Stand, row_scenario
from paddlebar.studies.match.unknowns import Unknown

Array = NDArray[np.float64]

HARDLY = 0.6  # of the prior's width left: the record has hardly told; own choice
TAKES_PART = 0.25  # smallest share of a direction that is worth a word; own choice
SHOWN = 6  # further readings that are told
STEP, NARROWEST = (
    1.0,
    0.02,
)  # half width of differences, in deviations of the prior: most; least, wide against adaptive steps' noise
_IN_FLIGHT = ("duration_s", "powered_s", "peak_height_m", "drift_m", "body_turns", "turns_left", "rotor_rpm")


@dataclass(frozen=True)
class Direction:
    """Unknowns that may go up and down together without the record telling: by how much each, in its own unit.

    left : width along it over that of the prior [1];  parts : (key, change for one deviation left)
    """

    left: float
    parts: tuple[tuple[str, float], ...]

    @property
    def sentence(self) -> str:
        """The same in words."""
        told = f"{100.0 * self.left:.0f} % of the uncertainty there was before is left"
        if len(self.parts) == 1:
            return f"the record says little about {self.parts[0][0]}: {told}"
        words = [f"{key} {change:+.2g}" for key, change in self.parts]
        return f"not told apart: {', '.join(words[:-1])} with {words[-1]} gives nearly the same record ({told})"


@dataclass(frozen=True)
class Candidate:
    """A reading that was not taken: what to do, what to read, bits it would bring, and what it would narrow most.

    expected, sd : what the fitted model gives and the standard error reckoned with, in the unit of the quantity
    narrows      : key of the unknown;  to : its deviation afterwards over that before [1]
    row          : the same as a row of a record, with what is expected as its reading
    """

    what: str
    quantity: str
    bits: float
    expected: float
    sd: float
    narrows: str
    to: float
    row: Row

    @property
    def sentence(self) -> str:
        """The same in words."""
        return f"{self.what}: {self.quantity} (about {self.expected:.3g}, to {self.sd:.2g})"


def directions(unknowns: Sequence[Unknown], cov: Array) -> Iterator[Direction]:
    """Directions hardly narrowed, widest first; cov (n, n) in deviations of the priors."""
    sizes, vectors = np.linalg.eigh(cov)
    for size, v in sorted(zip(sizes, vectors.T, strict=True), key=lambda pair: -pair[0]):
        left = math.sqrt(size)
        if left < HARDLY:
            return
        main = [int(k) for k in np.argsort(-np.abs(v)) if abs(v[k]) > TAKES_PART]
        up = left * math.copysign(1.0, v[main[0]])
        yield Direction(left, tuple((unknowns[k].key, float(v[k] * up * unknowns[k].sd)) for k in main))


def reach(cov: Array) -> Array:
    """(n, n) a step a column along each axis of a covariance, one deviation long, between NARROWEST and STEP: there differences are asked for."""
    sizes, vectors = np.linalg.eigh(cov)
    return np.asarray(vectors * np.clip(np.sqrt(sizes), NARROWEST, STEP))


def gain(slopes: Array, sd: float, cov: Array) -> float:
    """Bits that a reading brings: slopes (n) in its unit for a deviation of each prior, sd its standard error."""
    return 0.5 * math.log2(1.0 + float(slopes @ cov @ slopes) / sd**2)


def candidates(
    scenario: Scenario, unknowns: Sequence[Unknown], rows: Sequence[Row], stand: Stand, z: Array, cov: Array,
    executor: Executor, progress: Progress,
) -> list[Candidate]:  # fmt: skip
    """Further readings by what they would tell, best first."""
    text = open_text(scenario)
    probe = Forward(scenario, unknowns, [])
    plans = []
    for what, row in _plans(scenario, rows):
        try:
            row_scenario(text, scenario, row, probe.values(z))
        except BadInput:  # a pitch or a wind that the craft does not allow
            continue
        plans.append((what, row))
    forward = Forward(scenario, unknowns, [row for _, row in plans], stand=stand, executor=executor, progress=progress)
    slopes, bend = forward.slopes(z, reach(cov))
    expected = forward.readings(z)
    entries = [(what, row, reading.quantity) for what, row in plans for reading in row.readings]
    found = []
    for (what, row, quantity), value, j, bent in zip(entries, expected, slopes, bend, strict=True):
        if not math.isfinite(value):
            continue
        sd = math.hypot(standard_error(quantity, float(value)), bent)  # a reading that jumps tells little
        bits = gain(j, sd, cov)
        after = cov - np.outer(cov @ j, cov @ j) / (sd**2 + float(j @ cov @ j))
        to = np.sqrt(np.diag(after) / np.diag(cov))
        k = int(np.argmin(to))
        taken = replace(row, readings=(Reading(quantity, float(value), sd),))
        found.append(Candidate(what, quantity, bits, float(value), sd, unknowns[k].key, float(to[k]), taken))
    return sorted(found, key=lambda c: -c.bits)[:SHOWN]


def _plans(scenario: Scenario, rows: Sequence[Row]) -> Iterator[tuple[str, Row]]:
    """What a builder could do next: the flight again, with half the turns, held in the hand, two degrees more pitch; stand; torque meter."""
    flown = next((row for row in rows if row.kind == FLIGHT), None)
    base: dict[str, Any] = dict(flown.changes) if flown is not None else {}
    turns = float(base.get("skein.turns", scenario.skein.turns))
    back = float(base.get("skein.backed_off", scenario.skein.backed_off))
    blank = [Reading(name, 0.0, 1.0) for name in _IN_FLIGHT]
    seen = max(
        (r.value for row in rows for r in row.readings if r.quantity == "duration_s"), default=scenario.run.duration_s
    )

    def flight(
        changes: dict[str, Any], shifts: dict[str, float], at: float, readings: Sequence[Reading] = blank
    ) -> Row:
        return Row(0, "", FLIGHT, base | changes, shifts, tuple(readings), rpm_at_s=at)

    yield f"the flight with {turns:.0f} turns again", flight({}, {}, min(2.0, 0.4 * seen))
    half = {"skein.turns": 0.5 * turns, "skein.backed_off": 0.5 * back}
    yield f"a flight with {0.5 * turns:.0f} turns", flight(half, {}, min(1.0, 0.2 * seen))
    shift = {"craft.rotor.collective_deg": 2.0}
    yield f"the flight with {turns:.0f} turns and 2 deg more pitch", flight({}, shift, min(2.0, 0.4 * seen))
    held = {"launch.release": "held", "launch.hold_s": 4.0, "run.duration_s": 4.0}
    yield (
        f"held in the hand with {turns:.0f} turns, 3 s after letting the rotor go",
        flight(held, {}, -1.0, [Reading("rotor_rpm", 0.0, 1.0)]),
    )
    both = tuple(Reading(name, 0.0, 1.0) for name, q in QUANTITIES.items() if STAND in q.kinds)
    for rpm in _speeds(scenario):
        yield f"on the stand at {rpm:.0f} rpm", Row(0, "", STAND, {}, {}, both, at_rpm=rpm)
    torque = (Reading("torque_mN_m", 0.0, 1.0),)
    for share in (0.4, 0.9):
        says = f"the skein on a torque meter, wound to {turns:.0f} and let back to {share * turns:.0f}"
        yield says, Row(0, "", SKEIN, {}, {}, torque, turns=share * turns, backed_off=(1.0 - share) * turns)


def _speeds(scenario: Scenario) -> tuple[float, float]:
    """A slow and a quick speed of the rotor [rev/min] whose tips move at 5 and 9 m/s, as such models' do; own choice."""
    radius = 1e-3 * scenario.craft.rotor.radius_mm
    return tuple(round(speed / radius * 30.0 / math.pi, -1) for speed in (5.0, 9.0))  # type: ignore[return-value]
