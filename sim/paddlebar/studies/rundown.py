"""One whole run-down of the skein, flown high up in still open air, and what it means for yaw, turn by turn.

Floor, walls, wind and mishaps are left out, so that every craft unwinds all its turns and only its own pulleys and tail turn it; a craft
held level and over one place would not do: it is the drift that its tail's push causes which settles what the tail rotor meets.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, make_dataclass
from typing import Any, Final, Self

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import cumulative_trapezoid

from paddlebar.craft.build import Numbers, all_up_mass, build
from paddlebar.craft.clear import check_clear
from paddlebar.craft.shape import over_ground
from paddlebar.errors import BadInput
from paddlebar.files.load import parse_scenario
from paddlebar.files.scenario import Scenario
from paddlebar.flight import authority, layout, ledger, rhs
from paddlebar.flight.aloft import LONGEST_S, undisturbed
from paddlebar.flight.derive import HEADING, TILT
from paddlebar.flight.endings import Ending
from paddlebar.flight.integrate import fly_track
from paddlebar.flight.track import Track
from paddlebar.physics.cord import drive_loss
from paddlebar.studies.yaw_moments import down_moments
from paddlebar.whirl_stand import hover_point

Array = NDArray[np.float64]

BINS: Final = 24  # shares of the turns left at the release, equal down to the knee, and equal below it
AROUND: Final = 3  # shares on either side that a circle's radius is taken from: one alone lasts less than a slow circle
KNEE: Final = (
    21  # of them before the knee of the rubber: below it a craft sinks whatever its tail does, and high up it may tip
)
WELL, TIPPED, NOT_WHOLE, FAILED = 0, 1, 2, 3  # ending codes; failed: numerically


POWERS: Final = {f"{entry.power}_power_mw": entry for entry in layout.ENTRIES if entry.power}
_Powers: Any = make_dataclass("_Powers", [(name, Array) for name in POWERS], frozen=True, eq=False)


@dataclass(frozen=True, eq=False)
class RunDown(_Powers):  # type: ignore[misc]  # a field for each row of the ledger
    """Means over BINS shares of the turns, KNEE of them before the knee of the rubber, last axis; nan where the flight did not get so far. Nose to the right is positive.

    turns_left            : in the middle of the share [turn]
    time_s                : from the release to the end of the share
    heading_deg           : turned since the release, at the end of the share, over the ground
    turns_unwound, rotor_turns_over_ground : since the release, at its end: shaft against body, rotor against the ground
    spin_deg_s            : of the body over the ground;  rotor_rpm : relative to the body
    climb_m_s, drift_m_s  : mean speed up, and over the ground;  side_m_s : of it to the craft's own right
    circle_radius_m       : of the path about its mean drift, this share and three on either side; nan for less than one circle in them
    lean_right_deg        : of the body's up axis to its own right
    skein_torque_mn_m     : on the shaft
    rotor_moment_mn_m, bar_moment_mn_m, tail_moment_mn_m, airframe_moment_mn_m : that the air puts on the craft about its own down axis
        through the CG, right positive: by the main rotor's torque, the bar's, the tail rotor (its thrust at its arm, and its hub), the airframe
    rest_moment_mn_m      : what is missing to nothing: the body's speeding up, and forces of the hub in its plane
    tail_shaft_torque_mn_m, cord_loss_mn_m : that the tail takes from the main shaft, through its cord: by its air, by losses of the drive
    tail_thrust_mn        : of the tail rotor
    skein_power_mw        : that the skein gives to the shaft, its own loss taken off
    rotor_power_mw, bar_power_mw, tail_power_mw, airframe_power_mw : given to the air;  hinges_power_mw : lost in hinges and bar bearing
    drive_power_mw        : lost in shaft bearing and cord;  POWERS says which row of the ledger each power is of
    ring, stalled         : share of the time that the tail spent in its own vortex ring, stalled
    """

    turns_left: Array
    time_s: Array
    heading_deg: Array
    turns_unwound: Array
    rotor_turns_over_ground: Array
    spin_deg_s: Array
    rotor_rpm: Array
    climb_m_s: Array
    drift_m_s: Array
    side_m_s: Array
    circle_radius_m: Array
    lean_right_deg: Array
    skein_torque_mn_m: Array
    rotor_moment_mn_m: Array
    bar_moment_mn_m: Array
    tail_moment_mn_m: Array
    airframe_moment_mn_m: Array
    rest_moment_mn_m: Array
    tail_shaft_torque_mn_m: Array
    cord_loss_mn_m: Array
    tail_thrust_mn: Array
    skein_power_mw: Array
    ring: Array
    stalled: Array

    @classmethod
    def of(cls, outputs: Array) -> Self:
        """From the columns of a study, (..., OUTPUTS) -> arrays (..., BINS)."""
        return cls(**{f.name: outputs[..., k * BINS : (k + 1) * BINS] for k, f in enumerate(fields(cls))})

    @classmethod
    def stack(cls, runs: Sequence[RunDown]) -> Self:
        """Many flights, (n, BINS)."""
        return cls(**{f.name: np.array([getattr(run, f.name) for run in runs]) for f in fields(cls)})

    def at(self, where: tuple[int, ...]) -> RunDown:
        """One flight of many."""
        return RunDown(**{f.name: getattr(self, f.name)[where] for f in fields(self)})


TABLES: Final = tuple(f.name for f in fields(RunDown))
# of the whole flight: turns at the release, largest tilt up to the knee, how far it rose, weight, arm of the tail behind the CG
SCALARS: Final = ("turns_at_release", "max_tilt_deg", "rose_m", "weight_mn", "tail_arm_mm")
NAMES_IN: Final = ("ratio", "tail_pitch_deg", "tail_diameter_mm")
NAMES_OUT: Final = (*(f"{name}[{k}]" for name in TABLES for k in range(BINS)), *SCALARS)


def lasting(scenario: Scenario) -> float:
    """How long the turns should last [s]: at the speed that lifts the craft, and a quarter more; 60 where none lifts it."""
    try:
        speed = hover_point(scenario.craft).rpm / 60.0
    except BadInput:
        return 60.0
    return min(1.25 * scenario.skein.turns / speed + scenario.launch.hold_s + 5.0, LONGEST_S)


def high_up(scenario: Scenario) -> Scenario:
    """The same craft, winding and release, high up in still open air, for as long as the turns should last."""
    return undisturbed(scenario, lasting(scenario))


def changed(text: str, inputs: Array, where: str = "yaw") -> Scenario:
    """The scenario `text` (effective TOML) with ratio, tail pitch [deg] and tail diameter [mm] of a row. Raises BadInput."""
    ratio, pitch, diameter = (float(v) for v in inputs)
    plain = parse_scenario(text, where)
    assert plain.craft.tail is not None
    changes = {
        "craft.tail.drive_pulley_mm": ratio * plain.craft.tail.tail_pulley_mm,
        "craft.tail.pitch_deg": pitch,
        "craft.tail.radius_mm": 0.5 * diameter,
    }
    scenario = parse_scenario(text, where, overrides=changes)
    check_clear(scenario.craft)
    return scenario


def evaluate(index: int, inputs: Array, *, text: str) -> tuple[Array, int]:
    """Worker of the study: flies one row. Returns its outputs (len(NAMES_OUT),) and the ending code."""
    scenario = changed(text, inputs)
    while True:
        numbers = build(scenario)
        track = fly_track(scenario, numbers)
        left = float(track.loads[-1, rhs.TURNS_LEFT]) / max(float(numbers.params[0]["skein"]["turns"]), 1e-9)
        longer = min(1.6 * scenario.run.duration_s, LONGEST_S)
        if track.ending is not Ending.TIME or left <= 0.0 or scenario.run.duration_s >= LONGEST_S:
            break
        scenario = scenario.model_copy(update={"run": scenario.run.model_copy(update={"duration_s": longer})})
    outputs = figures(track, numbers)
    whole = math.isfinite(outputs[TABLES.index("time_s") * BINS + KNEE - 1])
    short = FAILED if track.ending.failed else TIPPED if track.tipped else NOT_WHOLE
    return outputs, WELL if whole else short


def figures(track: Track, numbers: Numbers) -> Array:
    """All figures of a flight in the order of NAMES_OUT; power and moments from the flight's own loads and ledger."""
    free = next((e.time_s for e in track.events if e.name == "release"), float(track.time[0]))
    first = int(np.searchsorted(track.time, free, side="right")) - 1
    run = _Samples(track, numbers, max(first, 0))
    edges = run.edges()
    found = run.tables(edges)
    out = [found[name] for name in TABLES]
    scalars = [run.turns[0], run.tilt, run.rose, run.weight, run.arm]
    return np.concatenate([*out, np.array(scalars)])


def knee_turns(numbers: Numbers, turns: float) -> float:
    """Turns left at which the rubber's torque has fallen to 1 - 1/e of its plateau (physics/motor.py), at most half of `turns`.

    Where that is not known, as with a measured torque: an eighth of `turns`, as a skein wound to seven tenths has it.
    """
    fade = float(numbers.params[0]["skein"]["fade"])
    return min(fade, 0.5 * turns) if fade > 0.0 else 0.125 * turns


class _Samples:
    """A flight from its release on, and means over shares of its turns."""

    def __init__(self, track: Track, numbers: Numbers, first: int) -> None:
        y, loads = track.states[first:], track.loads[first:]
        p = numbers.params.view(np.recarray)[0]
        self.time = track.time[first:]
        self.turns = np.minimum.accumulate(loads[:, rhs.TURNS_LEFT])
        hand, speed = float(p["hand"]), y[:, layout.ROTOR_SPEED]
        heading = np.unwrap(loads[:, HEADING])
        self.heading = np.degrees(heading - heading[0])
        self.place = np.column_stack([loads[:, rhs.CG_NORTH], loads[:, rhs.CG_EAST], loads[:, rhs.CG_HEIGHT]])
        knee = knee_turns(numbers, float(self.turns[0]))
        before = self.turns >= knee
        self.tilt = math.degrees(float(loads[before, TILT].max(initial=0.0)))
        self.rose = float(self.place[:, 2].max() - self.place[0, 2])
        self.weight = 1e3 * all_up_mass(numbers.params) * float(p["gravity"])
        cg = authority.centre(numbers)
        lever = np.cross(p["tail_place"] - cg, p["tail_axis"])[2]  # moment about body down for a newton of thrust
        self.arm = 1e3 * abs(float(lever))
        axis_down = -float(p["shaft_axis"][2])
        rotor, bar = (1e3 * hand * axis_down * loads[:, k] for k in (rhs.TORQUE, rhs.BAR_TORQUE))
        climb = np.ascontiguousarray(loads[:, rhs.ROTOR_CLIMB])
        frame, tail = 1e3 * down_moments(np.ascontiguousarray(y), climb, numbers.params, numbers.tables, cg).T
        geared = float(p["cord_ratio"])
        carried, drive = loads[:, rhs.TAIL_TORQUE], (float(p["cord_loss"]), float(p["tail_friction"]))
        lost = np.array([-drive_loss(q, *drive, s) for q, s in zip(carried, y[:, layout.TAIL_SPEED], strict=True)])
        state = authority.tail_state(y, loads, numbers)
        self.rates: dict[str, Array] = {
            "rotor_rpm": speed * 30.0 / math.pi,
            "side_m_s": self._side(y, heading),
            "lean_right_deg": self._lean(y, heading),
            "skein_torque_mn_m": 1e3 * loads[:, rhs.SKEIN_TORQUE],
            "rotor_moment_mn_m": rotor,
            "bar_moment_mn_m": bar,
            "tail_moment_mn_m": tail,
            "airframe_moment_mn_m": frame,
            "rest_moment_mn_m": -(rotor + bar + tail + frame),
            "tail_shaft_torque_mn_m": 1e3 * geared * carried,
            "cord_loss_mn_m": 1e3 * geared * lost,
            "tail_thrust_mn": 1e3 * loads[:, rhs.TAIL_THRUST],
            "ring": state.in_ring.astype(float),
            "stalled": state.in_stall.astype(float),
        }
        book = ledger.close(y, loads, track.sudden[first:])
        self.sums: dict[str, Array] = {
            "skein_power_mw": 1e3 * (book["skein"] - book["hysteresis"]),
            **{name: 1e3 * book[entry.label] for name, entry in POWERS.items()},
            "spin_deg_s": self.heading,
            "climb_m_s": self.place[:, 2],
        }
        turned = y[:, layout.ROTOR_AZIMUTH] - y[0, layout.ROTOR_AZIMUTH]
        self.over_ground = over_ground(turned, np.radians(self.heading), hand) / (2.0 * math.pi)
        self.wanted = np.concatenate(
            [np.linspace(self.turns[0], knee, KNEE + 1), np.linspace(knee, 0.0, BINS - KNEE + 1)[1:]]
        )

    def edges(self) -> Array:
        """Moments between the shares (BINS + 1,) [s]; nan where the skein was not unwound so far."""
        found = np.interp(-self.wanted, -self.turns, self.time)
        return np.where(self.wanted >= self.turns[-1] - 1e-9, found, math.nan)

    def tables(self, edges: Array) -> dict[str, Array]:
        """All rows of RunDown by name, (BINS,) each."""
        start, stop = edges[:-1], edges[1:]
        found = {name: self._step(values, edges) / (stop - start) for name, values in self.sums.items()}
        for name, values in self.rates.items():
            whole = cumulative_trapezoid(values, self.time, initial=0.0)
            found[name] = self._step(whole, edges) / (stop - start)
        north, east = (self._step(self.place[:, k], edges) for k in (0, 1))
        wide = [(edges[max(k - AROUND, 0)], edges[min(k + 1 + AROUND, BINS)]) for k in range(BINS)]
        return found | {
            "turns_left": 0.5 * (self.wanted[1:] + self.wanted[:-1]),
            "time_s": stop - self.time[0],
            "heading_deg": self._at(self.heading, stop),
            "turns_unwound": np.where(np.isnan(stop), math.nan, self.turns[0] - self.wanted[1:]),
            "rotor_turns_over_ground": self._at(self.over_ground, stop),
            "drift_m_s": np.hypot(north, east) / (stop - start),
            "circle_radius_m": np.array([self._radius(a, b) for a, b in wide]),
        }

    def _at(self, values: Array, time: Array) -> Array:
        return np.where(np.isnan(time), math.nan, np.interp(time, self.time, values))

    def _step(self, values: Array, edges: Array) -> Array:
        return np.diff(self._at(values, edges))

    def _radius(self, start: float, stop: float) -> float:
        """Root mean square distance from the mean drift; nan for less than one circle [m]."""
        if (
            not math.isfinite(stop)
            or abs(np.interp(stop, self.time, self.heading) - np.interp(start, self.time, self.heading)) < 360.0
        ):
            return math.nan
        t = np.linspace(start, stop, 200)
        path = np.column_stack([np.interp(t, self.time, self.place[:, k]) for k in (0, 1)])
        line = np.column_stack([np.ones_like(t), t])
        left = path - line @ np.linalg.lstsq(line, path, rcond=None)[0]
        return float(np.sqrt((left**2).sum(axis=1).mean()))

    def _side(self, y: Array, heading: Array) -> Array:
        """Speed of the datum over the ground to the craft's own right [m/s]."""
        w, a, b, c = y[:, layout.ATTITUDE : layout.ATTITUDE + 4].T
        vx, vy, vz = y[:, layout.VELOCITY_BODY : layout.VELOCITY_BODY + 3].T
        north = (w * w + a * a - b * b - c * c) * vx + 2.0 * (a * b - w * c) * vy + 2.0 * (a * c + w * b) * vz
        east = 2.0 * (a * b + w * c) * vx + (w * w - a * a + b * b - c * c) * vy + 2.0 * (b * c - w * a) * vz
        return np.asarray(east * np.cos(heading) - north * np.sin(heading))

    def _lean(self, y: Array, heading: Array) -> Array:
        """Lean of the body's up axis to its own right [deg]."""
        w, a, b, c = y[:, layout.ATTITUDE : layout.ATTITUDE + 4].T
        north, east = -2.0 * (a * c + w * b), -2.0 * (b * c - w * a)  # earth components of the body's up axis
        return np.asarray(np.degrees(np.arcsin(np.clip(east * np.cos(heading) - north * np.sin(heading), -1.0, 1.0))))
