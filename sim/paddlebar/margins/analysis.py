"""The answer for a craft: run-down, modes, verdict, margins."""

from __future__ import annotations

import math
import time as clock
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from paddlebar.craft.build import build
from paddlebar.errors import CannotTrim
from paddlebar.files.scenario import Scenario
from paddlebar.margins.equilibrium import Equilibrium
from paddlebar.margins.floquet import Floquet, floquet, worst
from paddlebar.margins.gain_lead import BarMargins, Edge, bar_margins
from paddlebar.margins.modes import Mode, modes
from paddlebar.margins.verdict import Branch, along, disconnected, verdict

POINTS = 9  # along the run-down, both ends included
MIDDLE = 0.5  # share of the turns at which the verdict is given: on the plateau of a skein's torque
STEPS_OF_WORK = 2 * POINTS + 7  # calls of `step` in margins()


@dataclass(frozen=True, eq=False)
class RunDownPoint:
    """Steady motion and growth with so many turns left; nan where none was found, `miss` then says by how much [scales].

    climb_m_s, rotor_rpm, body_rate_deg_s : means over a revolution, nose to the right positive;  drift_m_s : over the ground, circling
    tilt_deg : lean of the body;  torque_mn_m : of the skein, unwinding;  modes : fastest growing first, empty where none
    """

    turns_left: float
    torque_mn_m: float
    worst_growth_per_s: float
    worst_growth_without_bar_per_s: float
    climb_m_s: float
    rotor_rpm: float
    body_rate_deg_s: float
    drift_m_s: float
    tilt_deg: float
    miss: float
    modes: tuple[Mode, ...]

    def to_json(self) -> dict[str, Any]:
        """Plain numbers, None for nan."""
        out = {k: v if math.isfinite(v) else None for k, v in vars(self).items() if k != "modes"}
        out["modes"] = [mode.to_json() for mode in self.modes]
        return out


@dataclass(frozen=True, eq=False)
class Margins:
    """What holds for a craft: see the fields.

    verdict      : "stabilises" (all modes decay), "slows the fall" (grows, slower than without), "no help", "reverses" (grows faster),
        against the bar disconnected (see verdict.py), at `turns_at_verdict`; without a bar "no help"
    worst_growth_per_s, worst_growth_without_bar_per_s : growth of the fastest growing mode there [1/s]; nan where no steady motion was found
    modes        : all modes there, errors of their exponents included
    caution      : "" or why the verdict says less than it seems to
    gain_margin  : factors (down, up) on the gain at which the verdict changes;  lead_margin_deg : by how much the lead may go back and
        forward [deg, negative and positive];  mass_margin_g : each tip mass likewise [g]. None where the verdict does not change within
        the limits of the search (gain_lead.py) or no steady motion was found; `margin_reasons` says which
    along_rundown : from the turns at launch to none
    worst_along_rundown_per_s, turns_at_worst : largest growth on the whole run-down and where
    error_per_s  : estimated numerical error of worst_growth_per_s
    """

    verdict: str
    sentence: str
    caution: str
    turns_at_verdict: float
    worst_growth_per_s: float
    worst_growth_without_bar_per_s: float
    error_per_s: float
    modes: tuple[Mode, ...]
    modes_without_bar: tuple[Mode, ...]
    gain_margin: tuple[float | None, float | None]
    lead_margin_deg: tuple[float | None, float | None]
    mass_margin_g: tuple[float | None, float | None]
    margin_reasons: dict[str, tuple[str, str]]
    along_rundown: tuple[RunDownPoint, ...]
    worst_along_rundown_per_s: float
    turns_at_worst: float
    wall_s: float

    def to_json(self) -> dict[str, Any]:
        """The JSON document of the command: plain numbers, None for what does not exist."""

        def plain(value: Any) -> Any:
            if isinstance(value, float):
                return value if math.isfinite(value) else None
            if isinstance(value, (Mode, RunDownPoint)):
                return value.to_json()
            if isinstance(value, tuple):
                return [plain(v) for v in value]
            return {k: plain(v) for k, v in value.items()} if isinstance(value, dict) else value

        return {name: plain(value) for name, value in vars(self).items()}


def margins(scenario: Scenario, step: Callable[[], None] = lambda: None, *, points: int = POINTS) -> Margins:
    """Steady motions along the run-down, modes, verdict of the bar and its margins.

    scenario : craft and turns; launch, wind, room and mishaps do not enter: open still air
    step     : called after each piece of work (STEPS_OF_WORK of them with the default `points`)
    points   : along the run-down
    Returns  : Margins; what could not be found is nan or None
    Raises   : BadInput where only building the craft shows that the input is impossible
    Source   : G. Floquet (1883) on the one right-hand side; see floquet.py, equilibrium.py, verdict.py
    Checked  : tests/margins/, tests/reference/test_floquet_flights.py, test_floquet_closed_forms.py
    """
    start = clock.perf_counter()
    numbers = build(scenario)
    turns = [float(v) for v in np.linspace(float(numbers.params[0]["skein_turns"]), 0.0, points)]
    free = disconnected(numbers)
    with_bar = along(numbers, turns, step)
    without = along(free, turns, step) if free is not None else with_bar
    middle = _middle(with_bar)
    found = [
        floquet(e.map, e.x, check=k == middle) if isinstance(e, Equilibrium) else None for k, e in enumerate(with_bar)
    ]
    other = (
        [worst(e.map, e.x) if isinstance(e, Equilibrium) else math.nan for e in without] if free is not None else None
    )
    step()
    if other is None:
        other = [f.worst if f is not None else math.nan for f in found]
    rundown = tuple(_point(t, e, f, g) for t, e, f, g in zip(turns, with_bar, found, other, strict=True))
    here, there = rundown[middle].worst_growth_per_s, rundown[middle].worst_growth_without_bar_per_s
    near = with_bar[middle]
    edges = None
    words = "no help"
    if free is not None and math.isfinite(here):
        apart = without[middle]
        words = verdict(here, there) if math.isfinite(there) else ("stabilises" if here < 0.0 else "no help")
        if isinstance(near, Equilibrium) and isinstance(apart, Equilibrium):
            edges = bar_margins(Branch(scenario, turns[middle], near, apart), words, step)
    growths = [p.worst_growth_per_s for p in rundown]
    top = int(np.nanargmax(growths)) if np.isfinite(growths).any() else middle
    at, reference = found[middle], without[middle]
    beside = floquet(reference.map, reference.x) if isinstance(reference, Equilibrium) else None
    return Margins(
        verdict=words,
        sentence=_sentence(words, free is not None, turns[middle], here, there),
        caution=_caution(near, reference),
        turns_at_verdict=turns[middle],
        worst_growth_per_s=here,
        worst_growth_without_bar_per_s=there,
        error_per_s=float(at.error[0]) if at is not None else math.nan,
        modes=modes(at) if at is not None else (),
        modes_without_bar=modes(beside) if beside is not None else (),
        gain_margin=_values(edges, "gain"),
        lead_margin_deg=_values(edges, "lead"),
        mass_margin_g=_values(edges, "mass"),
        margin_reasons={
            name: (pair[0].reason, pair[1].reason) for name, pair in (vars(edges).items() if edges else ())
        },
        along_rundown=rundown,
        worst_along_rundown_per_s=growths[top],
        turns_at_worst=turns[top],
        wall_s=clock.perf_counter() - start,
    )


def _middle(found: list[Equilibrium | CannotTrim]) -> int:
    """The point for the verdict: half the turns left, or the nearest to it that has a steady motion."""
    wanted = MIDDLE * (len(found) - 1)
    order = sorted(range(len(found)), key=lambda k: abs(k - wanted))
    return next((k for k in order if isinstance(found[k], Equilibrium)), order[0])


def _point(turns: float, e: Equilibrium | CannotTrim, with_bar: Floquet | None, other: float) -> RunDownPoint:
    if not isinstance(e, Equilibrium) or with_bar is None:
        nan = math.nan
        miss = e.residual if isinstance(e, CannotTrim) else nan
        return RunDownPoint(turns, nan, nan, other, nan, nan, nan, nan, nan, miss, ())
    torque = 1e3 * float(e.map.numbers.params[0]["skein_plateau"])
    figures = (e.climb_m_s, e.rotor_rpm, e.body_rate_deg_s, e.drift_m_s, e.tilt_deg, e.residual)
    return RunDownPoint(turns, torque, with_bar.worst, other, *figures, modes(with_bar))


def _values(edges: BarMargins | None, name: str) -> tuple[float | None, float | None]:
    if edges is None:
        return None, None
    pair: tuple[Edge, Edge] = getattr(edges, name)
    return pair[0].value, pair[1].value


def _caution(near: Equilibrium | CannotTrim, apart: Equilibrium | CannotTrim) -> str:
    """Said where the steady motion is not one that a flight from rest would come to."""
    for e, which in ((near, "the craft"), (apart, "the craft with its bar disconnected")):
        if isinstance(e, Equilibrium) and e.in_own_wake:
            return (
                f"{which} was found steady only while it sinks at {-e.climb_m_s:.2f} m/s in its own wake; "
                "whether it stays upright until it sinks so, only a flight tells"
            )
    return ""


def _sentence(words: str, bar: bool, turns: float, here: float, there: float) -> str:
    """The verdict for a reader."""
    where = f"with {turns:.0f} turns left"
    if not math.isfinite(here):
        return "no steady motion was found anywhere along the run-down, so nothing can be said"
    does = (
        f"disturbances die out, the slowest by half in {-math.log(2) / here:.2g} s"
        if here < 0.0
        else f"a disturbance doubles in {math.log(2) / max(here, 1e-12):.2g} s"
    )
    if not bar:
        return f"no bar: {where} {does}"
    if not math.isfinite(there):
        return f"the bar {words}: {where} {does}; no steady motion was found with the bar disconnected"
    apart = (
        f"die out, half in {-math.log(2) / there:.2g} s"
        if there < 0.0
        else f"double in {math.log(2) / max(there, 1e-12):.2g} s"
    )
    helped = {
        "stabilises": "the bar stabilises",
        "slows the fall": "the bar slows the fall",
        "no help": "the bar is no help",
        "reverses": "the bar makes it worse",
    }
    return f"{helped[words]}: {where} {does}; with the bar disconnected they {apart}"
