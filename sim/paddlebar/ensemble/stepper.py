"""The compiled stepper for many flights: it keeps a tally where scipy's keeps every step."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers
from paddlebar.ensemble import steps
from paddlebar.files.scenario import Run
from paddlebar.flight import derive, dop853, events, layout, rhs
from paddlebar.flight.rates import address_of
from paddlebar.flight.stretch import Hit, Stretch, Watched, each_tolerance
from paddlebar.flight.track import Track
from paddlebar.physics import bodies

Array = NDArray[np.float64]

_FIRST = 1e-3  # [s] first step that is tried; own choice
_NO_ERROR = 1e-4  # error that the step control assumes before the first step, as in Hairer's programs


class CompiledStepper:
    """Dormand and Prince's method of order 8 in compiled code, whatever method the scenario names; keeps a tally and, if asked, samples.

    It lets other threads run while it steps, and stops for Ctrl-C.
    """

    def __init__(self, numbers: Numbers, run: Run, every: int = 0) -> None:
        nf = int(numbers.params[0]["flaps"])
        size = layout.state_size(nf, numbers.pushed)
        self._numbers, self._max_step, self._every = numbers, run.max_step_s, every
        self._rtol, self._atol = each_tolerance(run.rtol, nf, numbers.pushed)
        self._scratch = (
            rhs.work_array(),
            np.zeros((dop853.ROWS, size)),
            np.empty(size),
            np.empty(bodies.FLAP + nf),
            np.empty(events.COUNT),
            np.empty(events.COUNT),
        )
        self._clock = np.zeros(steps.CLOCK)
        self._clock[[steps.STEP, steps.ERROR]] = _FIRST, _NO_ERROR
        self._kept = np.empty((steps.CALL_STEPS // every + 1 if every else 0, 1 + size + derive.COLUMNS))
        self._size = size
        self._samples: list[Array] = []
        self.tally: Array = np.zeros(steps.TALLY)
        self._begun = False

    @property
    def steps(self) -> tuple[int, int]:
        """Steps made, steps tried in vain."""
        return int(self._clock[steps.STEPS]), int(self._clock[steps.REFUSED])

    @property
    def samples(self) -> Array:
        """(n, 1 + state_size) time and state at each so-manieth step, without the launch."""
        return np.ascontiguousarray(self._rows()[:, : 1 + self._size])

    @property
    def loads(self) -> Array:
        """(n, derive.COLUMNS) loads at the samples."""
        return np.ascontiguousarray(self._rows()[:, 1 + self._size :])

    def whole(self, track: Track) -> tuple[Array, Array, Array]:
        """Time (n,), states and loads of a flight from its launch on, where every step was kept; track : what the driver made of it."""
        return (
            np.concatenate([track.time[:1], self.samples[:, 0]]),
            np.concatenate([track.states[:1], self.samples[:, 1:]]),
            np.concatenate([track.loads[:1], self.loads]),
        )

    def _rows(self) -> Array:
        return np.concatenate([np.empty((0, self._kept.shape[1])), *self._samples])

    def stretch(
        self, time: float, state: Array, stop: float, *, watched: Watched, limits: Array, sudden: float
    ) -> Stretch:
        """See flight/stretch.py; of the samples only the first and the last are there."""
        first, y = state.copy(), state.copy()
        loads = derive.derived(np.array([time]), y[None, :], self._numbers)
        if not self._begun:
            self._begin(y, loads[0])
        clock = self._clock
        clock[steps.TIME] = time
        spent, refused = clock[steps.EVALUATIONS], clock[steps.REFUSED]
        ends = dict(watched)
        asked = np.array([which for which, _ in watched], dtype=np.int64)
        row, hits, passed = np.empty(derive.COLUMNS), [], -1
        while True:
            said = self._advance(stop, y, asked, passed, limits, sudden, row)
            if said >= 0:
                hits.append(Hit(float(clock[steps.TIME]), said, ends[said], y.copy()))
                passed = said
                if said in (events.BAR_STOP, events.FLAP_STOP) or (
                    said == events.STRIKE and not ends[said]
                ):  # only the first is ever noted
                    asked = asked[asked != said]
            if said in (steps.REACHED, steps.STUCK) or (said >= 0 and ends[said]):
                break
        return Stretch(
            np.array([time, clock[steps.TIME]]),
            np.stack([first, y]),
            np.stack([loads[0], row]),
            hits,
            int(clock[steps.EVALUATIONS] - spent),
            int(clock[steps.REFUSED] - refused),
            "the step fell below what time can resolve" if said == steps.STUCK else "",
            float(clock[steps.TIME] + clock[steps.STEP] / dop853.LEAST),
        )

    def _begin(self, y: Array, row: Array) -> None:
        self._begun = True
        tally = self.tally
        tally[steps.PEAK_HEIGHT], tally[steps.MAX_TILT], tally[steps.HEADING] = (
            row[rhs.CG_HEIGHT],
            row[derive.TILT],
            row[derive.HEADING],
        )
        tally[steps.ENERGY], tally[steps.STORED] = derive.mechanical_energy(row), row[derive.STORED]
        steps.book(y, row, 0.0, tally)

    def _advance(
        self, stop: float, y: Array, asked: NDArray[np.int64], passed: int, limits: Array, sudden: float, row: Array
    ) -> int:
        n = self._numbers
        said: int = steps.advance(
            stop,
            y,
            (address_of(n), n.params, n.tables, n.gusts),
            (asked, passed, limits, sudden),
            (self._rtol, self._atol, self._max_step),
            self._scratch,
            (row, self._clock, self.tally, self._every, self._kept),
        )
        if self._every:
            count = int(self._clock[steps.KEPT])
            self._samples.append(self._kept[:count].copy())
            self._clock[steps.KEPT] = 0.0
        return said
