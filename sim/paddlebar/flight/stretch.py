"""A stretch of flight between two changes of the equations, and scipy's solver for it.

The driver (integrate.py) knows what may happen and what it changes; how the time between is bridged is exchangeable: scipy's solvers,
which keep every step, or the compiled one (compiled.py), which keeps a tally.
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple, Protocol

import numpy as np
import scipy.integrate
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from paddlebar.craft.build import Numbers
from paddlebar.files.scenario import Run
from paddlebar.flight import derive, events, layout, rhs
from paddlebar.flight.dop853 import CompiledDOP853

Array = NDArray[np.float64]
_RAISED = (ArithmeticError, ValueError, np.linalg.LinAlgError)  # by scipy's solvers over numbers that are none
_TELLS = (
    scipy.integrate.RK23,
    scipy.integrate.RK45,
    scipy.integrate.DOP853,
)  # as many evaluations for every step that is tried
COMPILED: dict[str, Any] = {"DOP853": CompiledDOP853}  # in place of scipy's of that name
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
    evaluations : of the right-hand side;  refused : steps tried in vain, None where the method does not tell
    message     : the solver's own words where it gave up, "" where all is well; the samples end before that
    tried       : time that it had last looked at [s];  spoilt : (state_size,) a state that it made and that is not finite, None without one
    """

    times: Array
    states: Array
    loads: Array
    hits: list[Hit]
    evaluations: int
    refused: int | None
    message: str = ""
    tried: float = math.nan
    spoilt: Array | None = None


class Stepper(Protocol):
    """Whatever carries a state through time while the equations stay the same."""

    def stretch(
        self, time: float, state: Array, stop: float, *, watched: Watched, limits: Array, sudden: float
    ) -> Stretch:
        """From time to stop [s] or to the first condition that ends the stretch.

        limits : (LIMITS,) see events.conditions_of();  sudden : energy gone in sudden changes so far [J]
        """


NewStepper = Callable[[Numbers, Run], Stepper]


def each_tolerance(rtol: float, nf: int, own: bool = False) -> tuple[Array, Array]:
    """Relative and absolute tolerance of every state, (state_size,) each; unbounded coordinates (place, azimuth, work) get an absolute one only."""
    return np.where(layout.bounded(nf, own), rtol, 1e-13), rtol * layout.scales(nf, own)


def tolerances(run: Run, nf: int, own: bool = False) -> tuple[Any, Array]:
    """each_tolerance as the scenario's method takes it: the implicit methods of scipy have one relative tolerance for all."""
    rtol, atol = each_tolerance(run.rtol, nf, own)
    return (run.rtol if run.method in ("Radau", "BDF", "LSODA") else rtol), atol


def careful(name: str) -> Any:
    """A solver of scipy.integrate that counts steps tried in vain (`refused`), and gives up with a sentence where scipy's would raise.

    The implicit ones raise when they meet what is no number, and solve_ivp then loses all that was flown. `stages`: evaluations of a
    tried step, 0 where a method does not tell. `_step_impl` is what scipy documents for solvers of one's own (scipy.integrate.OdeSolver).
    """
    base: Any = COMPILED.get(name) or getattr(scipy.integrate, name)

    class Careful(base):  # type: ignore[misc]
        stages = int(base.n_stages) if issubclass(base, _TELLS) else 0
        refused = 0
        spoilt: Array | None = None
        in_vain: int

        def _step_impl(self) -> tuple[bool, str | None]:
            before, found = self.nfev, type(self)
            try:
                done, message = super()._step_impl()
            except _RAISED as error:
                return False, str(error)
            if name in COMPILED:
                found.refused, self.in_vain = found.refused + self.in_vain, 0
            elif self.stages:
                found.refused += (self.nfev - before) // self.stages - bool(done)
            if done and not np.isfinite(self.y).all():
                found.spoilt = self.y.copy()
                return False, "a step ended in what is no number"
            return done, message

    return Careful


class _Rates:
    """dy/dt as scipy asks for it; `asked` is the time that was looked at last [s]."""

    def __init__(self, numbers: Numbers) -> None:
        self._given = numbers.params, numbers.tables, numbers.gusts, rhs.work_array()
        self.asked = math.nan

    def __call__(self, t: float, y: Array) -> Array:
        self.asked = t
        return rhs.rhs(t, y, *self._given)  # type: ignore[no-any-return]

    def finite_or_nan(self, t: float, y: Array) -> Array:
        """An infinite rate keeps LSODA in its own loop for ever."""
        rate = self(t, y)
        return rate if np.isfinite(rate).all() else np.full_like(rate, math.nan)


class ScipyStepper:
    """scipy.integrate.solve_ivp with the method that the scenario names; keeps every step."""

    def __init__(self, numbers: Numbers, run: Run) -> None:
        self._numbers, self._run = numbers, run
        self._rtol, self._atol = tolerances(run, int(numbers.params[0]["flaps"]), numbers.pushed)
        self._rates = _Rates(numbers)

    def stretch(
        self, time: float, state: Array, stop: float, *, watched: Watched, limits: Array, sudden: float
    ) -> Stretch:
        """See Stepper."""
        rates, run, method = self._rates, self._run, careful(self._run.method)
        if not np.isfinite(rates(time, state)).all():  # scipy would look for a first step without end
            return self._stopped(time, state, "no rate of change to start with")
        conditions = events.Conditions(self._numbers, limits)
        more = {"numbers": self._numbers, "conditions": conditions, "rates": rates} if run.method in COMPILED else {}
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # a solver that gives up says so in its status, which is read below
            try:
                sol = solve_ivp(
                    rates.finite_or_nan if run.method == "LSODA" else rates,
                    (time, stop),
                    state,
                    method=method,
                    rtol=self._rtol,
                    atol=self._atol,
                    max_step=run.max_step_s,
                    **more,
                    events=[conditions.event(which, terminal) for which, terminal in watched],
                )
            except _RAISED as error:  # outside a step, as where the place of an event is sought
                return self._stopped(time, state, str(error))
        times, states = sol.t, np.ascontiguousarray(sol.y.T)
        return Stretch(
            times,
            states,
            derive.derived(times, states, self._numbers),
            _hits(sol, watched),
            int(sol.nfev) + 1,
            method.refused if method.stages else None,
            "" if sol.status >= 0 else str(sol.message),
            rates.asked,
            method.spoilt,
        )

    def _stopped(self, time: float, state: Array, message: str) -> Stretch:
        start, there = np.array([time]), state[None, :].copy()
        loads = derive.derived(start, there, self._numbers)
        return Stretch(start, there, loads, [], 1, None, message, self._rates.asked)


def _hits(sol: Any, watched: Watched) -> list[Hit]:
    """Events of a solution in the order of time."""
    found = [
        Hit(float(t), which, terminal, y)
        for (which, terminal), ts, ys in zip(watched, sol.t_events or [], sol.y_events or [], strict=False)
        for t, y in zip(ts, ys, strict=True)
    ]
    return sorted(found, key=lambda hit: hit[:2])
