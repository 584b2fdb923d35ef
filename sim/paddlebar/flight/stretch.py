"""A stretch of flight between two changes of the equations, and scipy's solver for it.

The driver (integrate.py) knows what may happen and what it changes; how the time between is bridged is exchangeable: scipy's solvers,
which keep every step, or the compiled one (compiled.py), which keeps a tally.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from paddlebar.craft.build import Numbers
from paddlebar.files.scenario import Run
from paddlebar.flight import derive, events, layout, rhs

Array = NDArray[np.float64]
Watched = Sequence[tuple[int, bool]]  # condition of events.py, does it end the stretch?


class Hit(NamedTuple):
    """A condition that fell through zero: when [s], which of events.py, did it end the stretch, state there."""

    time: float
    which: int
    terminal: bool
    state: Array


@dataclass(frozen=True)
class Stretch:
    """What one stretch leaves.

    times (n,) [s], states (n, state_size), loads (n, derive.COLUMNS), SI: first and last stand where it began and where it stopped
    hits        : in order of time
    evaluations : of the right-hand side
    sound       : False when the solver gave up or the last step was not finite; the samples end before that
    finite      : False when the reason is a state that is no longer finite
    """

    times: Array
    states: Array
    loads: Array
    hits: list[Hit]
    evaluations: int
    sound: bool
    finite: bool


class Stepper(Protocol):
    """Whatever carries a state through time while the equations stay the same."""

    def stretch(
        self, time: float, state: Array, stop: float, *, watched: Watched, limits: Array, sudden: float
    ) -> Stretch:
        """From time to stop [s] or to the first condition that ends the stretch.

        limits : (3,) see events.conditions();  sudden : energy gone in sudden changes so far [J]
        """


NewStepper = Callable[[Numbers, Run], Stepper]


def each_tolerance(rtol: float, nf: int) -> tuple[Array, Array]:
    """Relative and absolute tolerance of every state, (state_size,) each; unbounded coordinates (place, azimuth, work) get an absolute one only."""
    return np.where(layout.bounded(nf), rtol, 1e-13), rtol * layout.scales(nf)


def tolerances(run: Run, nf: int) -> tuple[Any, Array]:
    """each_tolerance as the scenario's method takes it: the implicit methods of scipy have one relative tolerance for all."""
    rtol, atol = each_tolerance(run.rtol, nf)
    return (run.rtol if run.method in ("Radau", "BDF", "LSODA") else rtol), atol


class ScipyStepper:
    """scipy.integrate.solve_ivp with the method that the scenario names; keeps every step."""

    def __init__(self, numbers: Numbers, run: Run) -> None:
        self._numbers, self._run = numbers, run
        self._rtol, self._atol = tolerances(run, int(numbers.params[0]["flaps"]))
        self._work = rhs.work_array()

    def stretch(
        self, time: float, state: Array, stop: float, *, watched: Watched, limits: Array, sudden: float
    ) -> Stretch:
        """See Stepper."""
        numbers, work, compiled = self._numbers, self._work, rhs.rhs
        params, tables, gusts = numbers.params, numbers.tables, numbers.gusts

        def f(t: float, y: Array) -> Array:
            return compiled(t, y, params, tables, gusts, work)  # type: ignore[no-any-return]

        conditions = events.Conditions(numbers, limits)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # a solver that gives up says so in its status, which is read below
            sol = solve_ivp(
                f,
                (time, stop),
                state,
                method=self._run.method,
                rtol=self._rtol,
                atol=self._atol,
                max_step=self._run.max_step_s,
                events=[conditions.event(which, terminal) for which, terminal in watched],
            )
        good = np.isfinite(sol.y).all(axis=0)
        count = int(good.argmin()) if not good.all() else good.size
        times, states = sol.t[:count], np.ascontiguousarray(sol.y.T[:count])
        hits = sorted(
            (
                Hit(float(t), which, terminal, y)
                for (which, terminal), ts, ys in zip(watched, sol.t_events or [], sol.y_events or [], strict=False)
                for t, y in zip(ts, ys, strict=True)
            ),
            key=lambda hit: hit[:2],
        )
        return Stretch(
            times,
            states,
            derive.derived(times, states, numbers),
            hits,
            int(sol.nfev),
            sound=sol.status >= 0 and bool(good.all()),
            finite=bool(good.all()),
        )
