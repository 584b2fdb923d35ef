"""What a craft with given unknowns would have had in its record: each row flown, stood or wound."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import build
from paddlebar.craft.limits import check_limits
from paddlebar.craft.rubber import set_after_backing_off
from paddlebar.craft.shape import hand_of, over_ground
from paddlebar.ensemble.many import Brief, fly_brief
from paddlebar.errors import BadInput
from paddlebar.files.craft import Craft
from paddlebar.files.flight_record import FLIGHT, OUTCOMES, STAND, Row
from paddlebar.files.keys import number_at, with_number
from paddlebar.files.load import parse_scenario
from paddlebar.files.scenario import Air, Scenario
from paddlebar.flight import layout
from paddlebar.physics.motor import motor_drive
from paddlebar.progress import SILENT, Progress
from paddlebar.studies.axes import followers, open_text
from paddlebar.studies.match.unknowns import Unknown
from paddlebar.studies.store import Study
from paddlebar.units import GRAM_FORCE
from paddlebar.whirl_stand import stand as on_the_stand

Array = NDArray[np.float64]

FLYING = "flying the record"
LONGER = 1.5  # a flight is followed so many times as long as it was seen to last, that a longer one be seen too
NO_OUTCOME, FAILED = -1.0, -2.0  # not flown; failed numerically
FEWEST, WHOLE = (
    0.1,
    0.99,
)  # of a step and its opposite: what a difference needs, what a bend needs on both sides; own choice
_RPM = 30.0 / math.pi


class OnStand(Protocol):
    """Steady figures of a rotor, see whirl_stand.py."""

    @property
    def thrust_n(self) -> float:
        """Of the blades along the shaft [N]."""

    @property
    def shaft_torque_nm(self) -> float:
        """All that must be given to the shaft [N m]."""


Stand = Callable[[Craft, float, Air], OnStand]  # craft, rev/min, air


def steady(craft: Craft, rpm: float, air: Air) -> OnStand:
    """A rotor on the stand, see whirl_stand.py."""
    return on_the_stand(craft, rpm, air=air)


def row_scenario(text: str, scenario: Scenario, row: Row, values: Mapping[str, float] | None = None) -> Scenario:
    """The scenario of one row: what the record says was different, over the unknowns' values.

    text    : effective TOML of the scenario (axes.open_text: a chord that the row changes takes its tip along);  values : dotted key -> value of the unknowns, None: as the scenario has them
    Raises  : BadInput for a change that does not exist or is not allowed
    """
    changes: dict[str, Any] = dict(row.changes)
    for key, more in row.shifts.items():
        changes[key] = float(changes.get(key, number_at(scenario, key, "change").value)) + more
    if row.kind == FLIGHT:
        changes.setdefault(
            "run.breakage", False
        )  # what was flown and recorded did bear its load, whatever a handbook says
        last = max(
            (r.value for r in row.readings if r.quantity in ("duration_s", "powered_s", "tipped_at_s")), default=0.0
        )
        hold = float(changes.get("launch.hold_s", scenario.launch.hold_s))
        own = float(changes.get("run.duration_s", scenario.run.duration_s))
        if {r.quantity for r in row.readings} == {"rotor_rpm"} and not row.outcome:
            changes["run.duration_s"] = max(hold + row.rpm_at_s + 0.1, 0.1)  # nothing later was recorded
        else:
            changes["run.duration_s"] = min(max(own, LONGER * last + hold), 600.0)
    made = parse_scenario(text, "scenario", overrides=changes)
    check_limits(made)
    return made if values is None else with_values(made, row, values)


def with_values(made: Scenario, row: Row, values: Mapping[str, float]) -> Scenario:
    """The scenario of a row with the unknowns' values, but for those that the row itself says; with += they count from the unknown.

    Raises  : BadInput when a skein would break
    """
    for key, value in values.items():
        if key not in row.changes:
            for each in (key, *followers(made, key)):
                made = with_number(made, each, value + row.shifts.get(key, 0.0))
    check_limits(made)
    return made


def predict(scenario: Scenario, row: Row, stand: Stand = steady) -> list[float]:
    """A figure for each reading of a row, in the unit of its name, nan where there is none; and the place in OUTCOMES at last."""
    if row.kind == STAND:
        point = stand(scenario.craft, row.at_rpm, scenario.air)
        figures = {"thrust_g": point.thrust_n / GRAM_FORCE, "torque_mN_m": 1e3 * point.shaft_torque_nm}
        return [*(figures[r.quantity] for r in row.readings), NO_OUTCOME]
    if row.kind != FLIGHT:
        p = build(scenario).params.view(np.recarray)[0]
        torque = motor_drive(p.skein, row.turns, set_after_backing_off(row.backed_off, float(p.skein.settle)))[0]
        return [*(1e3 * float(torque) for _ in row.readings), NO_OUTCOME]
    heard = any(r.quantity == "rotor_rpm" for r in row.readings)
    brief = fly_brief(scenario, 1 if heard else 0)
    if brief.broke_off:
        return [*(math.nan for _ in row.readings), FAILED]
    held = scenario.launch.hold_s if scenario.launch.release == "held" else 0.0  # its end may lie past what was flown
    let_go = next((e.time_s for e in brief.events if e.name == "release"), held)
    figures = {
        "duration_s": brief.duration_s - let_go,
        "powered_s": brief.powered_s - let_go,
        "tipped_at_s": brief.tipped_at_s - let_go,
        "rotor_rpm": _rpm(scenario, brief, let_go + row.rpm_at_s) if heard else math.nan,
    } | {name: getattr(brief, name) for name in ("peak_height_m", "drift_m", "body_turns", "turns_left")}
    outcome = OUTCOMES.index(brief.outcome) if brief.outcome in OUTCOMES else NO_OUTCOME
    return [*(figures[r.quantity] for r in row.readings), float(outcome)]


def _rpm(scenario: Scenario, brief: Brief, time: float) -> float:
    """Speed of the rotor over the ground at a time [rev/min]: against the body, and what the body turns the other way taken off."""
    if brief.samples is None or len(brief.samples) == 0 or not brief.samples[0, 0] <= time <= brief.duration_s:
        return math.nan
    own, spin = brief.samples[:, 1 + layout.ROTOR_SPEED], brief.samples[:, 1 + layout.RATE_BODY + 2]
    speed = over_ground(own, spin, hand_of(scenario.craft.shaft))
    return float(np.interp(time, brief.samples[:, 0], speed)) * _RPM


class Forward:
    """Predictions at points z, the unknowns in standard deviations of their priors from their means; each point is computed once.

    rows   : of a record, ``m`` readings in all; what a row cannot give at a point (not allowed, not flown) is nan
    stand  : steady figures of the rotor;  study : keeps every finished point, None: nothing is kept;  progress : told of each point
    """

    def __init__(
        self, scenario: Scenario, unknowns: Sequence[Unknown], rows: Sequence[Row], *, stand: Stand = steady,
        executor: Executor | None = None, study: Study | None = None, progress: Progress = SILENT,
    ) -> None:  # fmt: skip
        text = open_text(scenario)
        self._made = [row_scenario(text, scenario, row) for row in rows]
        self._unknowns, self._rows, self._stand = list(unknowns), list(rows), stand
        self._executor, self._study, self._progress = executor, study, progress
        self._done: dict[bytes, Array] = {}
        self._kept: dict[bytes, Array] = {}
        self._asked = 0
        if study is not None:
            found = study.arrays()
            self._kept = {z.tobytes(): out for z, out in zip(found.inputs, found.outputs, strict=True)}
            self._asked = len(found.index)
        mean, sd = (np.array([getattr(u, name) for u in unknowns]) for name in ("mean", "sd"))
        self.low, self.high = (np.array([getattr(u, name) for u in unknowns]) for name in ("low", "high"))
        self.mean, self.sd = mean, sd
        self.low, self.high = (self.low - mean) / sd, (self.high - mean) / sd
        starts = np.cumsum([0, *(len(row.readings) + 1 for row in rows)])
        self._outcome = starts[1:] - 1  # behind the readings of each row stands how it ended
        self._reading = np.setdiff1d(np.arange(starts[-1]), self._outcome)

    @property
    def points(self) -> int:
        """How many points were asked for, each with all rows."""
        return len(self._done)

    def values(self, z: Array) -> dict[str, float]:
        """Key -> value in its own unit at a point (n) of the prior's standard deviations."""
        found = np.clip(self.mean + self.sd * z, self.mean + self.sd * self.low, self.mean + self.sd * self.high)
        return {u.key: float(value) for u, value in zip(self._unknowns, found, strict=True)}

    def prepare(self, points: Sequence[Array]) -> None:
        """Compute several points at once, as many as there are workers at a time."""
        self._points(points)

    def readings(self, z: Array) -> Array:
        """(m) predictions of all readings at a point."""
        return np.asarray(self._points([z])[0][self._reading])

    def outcomes(self, z: Array) -> list[str]:
        """How each row ended at a point, "" where it is no flight."""
        codes = self._points([z])[0][self._outcome]
        return [OUTCOMES[int(code)] if code >= 0.0 else "failed" if code == FAILED else "" for code in codes]

    @property
    def failed(self) -> int:
        """Flights that failed numerically, of all points; their readings are missing."""
        return sum(int((out[self._outcome] == FAILED).sum()) for out in self._done.values())

    def slopes(self, z: Array, steps: Array) -> tuple[Array, Array]:
        """How the readings change with the unknowns, by central differences along ``n`` steps.

        steps   : (n, n) a step a column, in deviations of the priors, together spanning all; shortened where a limit is met
        Returns : (m, n) change for one deviation of each prior, none where a reading is missing on a side; (m) largest bend, the
            distance of a reading from the middle of the two beside it: a straight line has none, a jump half its height
        """
        up, down = (self._room(z, sign * steps) for sign in (1.0, -1.0))
        if np.any(up + down < FEWEST):  # a corner of the limits: along the axes one side is always open
            steps = np.diag(np.abs(steps).max(axis=1))
            up, down = (self._room(z, sign * steps) for sign in (1.0, -1.0))
        points = [z + share * column for share, column in zip([*up, *-down], [*steps.T, *steps.T], strict=True)]
        found = np.stack([row[self._reading] for row in self._points([*points, z])])
        above, below, here = found[: z.size], found[z.size : -1], found[-1]
        along = (above - below) / np.maximum(up + down, 1e-12)[:, None]
        bends = np.abs(0.5 * (above + below) - here[None, :])[(up > WHOLE) & (down > WHOLE)]
        bend = np.nan_to_num(bends, nan=0.0).max(axis=0, initial=0.0)
        return np.linalg.solve(steps.T, np.nan_to_num(along, nan=0.0)).T, np.asarray(bend)

    def _room(self, z: Array, steps: Array) -> Array:
        """(n) share of each step, at most all of it, that stays within the limits."""
        edge = np.where(steps > 0.0, self.high[:, None], self.low[:, None]) - z[:, None]
        share = np.divide(edge, steps, out=np.full_like(steps, np.inf), where=np.abs(steps) > 1e-9)
        return np.asarray(np.clip(share.min(axis=0), 0.0, 1.0))

    def _points(self, points: Sequence[Array]) -> list[Array]:
        names = [np.asarray(z, dtype=np.float64).tobytes() for z in points]
        for name in names:
            if name in self._kept:
                self._done.setdefault(name, self._kept[name])
        todo = {name: z for name, z in zip(names, points, strict=True) if name not in self._done}
        made = list(zip(self._rows, self._made, strict=True))
        jobs = [(name, self.values(z), row, scenario) for name, z in todo.items() for row, scenario in made]
        found = map(self._row, jobs) if self._executor is None else self._executor.map(self._row, jobs)
        for name, z in todo.items():
            self._done[name] = np.array([value for _ in self._rows for value in next(found)])
            if self._study is not None:
                self._study.add(self._asked, z, self._done[name])
            self._asked += 1
            self._progress.step(FLYING)
        return [self._done[name] for name in names]

    def _row(self, job: tuple[bytes, dict[str, float], Row, Scenario]) -> list[float]:
        _, values, row, made = job
        try:
            return predict(with_values(made, row, values), row, self._stand)
        except BadInput:  # the row itself was found possible before; with these values it is not
            return [math.nan] * len(row.readings) + [NO_OUTCOME]
