"""Linear models of a steady motion: constant ones for the means over a turn, and periodic ones at each azimuth."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers, build
from paddlebar.errors import BadInput, CannotTrim
from paddlebar.files.scenario import Scenario
from paddlebar.flight import layout
from paddlebar.flight.own_loads import arm_tilt
from paddlebar.physics import bodies
from paddlebar.physics.motor import NONE
from paddlebar.stability.analysis import MIDDLE
from paddlebar.stability.branches import with_turns_left
from paddlebar.stability.equilibrium import Equilibrium, equilibrium
from paddlebar.stability.floquet import Complex, floquet, growth, transition
from paddlebar.stability.kinds import Motion
from paddlebar.stability.kinds import motion as motion_of
from paddlebar.stability.own_flight import own_flight
from paddlebar.stability.return_map import ReturnMap, freeze
from paddlebar.stability.still_axes import UNITS, still
from paddlebar.stability.turn_mean import constant

Array = NDArray[np.float64]
Kind = Literal["flight", "nose held", "hover"]
KINDS = ("flight", "nose held", "hover")

_STEP = 1e-5  # of a coordinate's scale, at each azimuth
_RANGE, _TRIES = 0.02, 40  # of the torque, for hover


@dataclass(frozen=True, eq=False)
class Linear:
    """Small disturbances of a steady motion, x' = A x + B u, y = C x + D u, SI.

    A (k, k), B (k, m), C (n, k), D (n, m) : of the means over a turn of the rotor, seen from the body; D is what follows an input at once
    states, inputs, outputs : names (k), (m), (n);  state_units, input_units, output_units : theirs
    left_out     : exponents of the modes that are none of a mean over a turn [1/s]: a teetering rotor's own swing, and what is over in a turn
    motion       : what it is about;  turns_left, torque_nm : of the skein there;  period_s : of a turn, rotor against body
    coordinates, coordinate_units : of the periodic model, in which bar and blades turn
    azimuth (j,) [rad], A_azimuth (j, n, n), B_azimuth (j, n, m) [1/s] : disturbances at equal azimuth, time that of the undisturbed motion
    monodromy (n, n) : of one turn from azimuth 0, in these coordinates
    Holds for    : inputs that change little within a turn; heading and place are no states, they follow from the others
    Source       : turn_mean.py, still_axes.py, floquet.py
    """

    A: Array
    B: Array
    C: Array
    D: Array
    states: tuple[str, ...]
    inputs: tuple[str, ...]
    outputs: tuple[str, ...]
    state_units: tuple[str, ...]
    output_units: tuple[str, ...]
    input_units: tuple[str, ...]
    motion: Motion
    turns_left: float
    torque_nm: float
    period_s: float
    left_out: Complex
    coordinates: tuple[str, ...]
    coordinate_units: tuple[str, ...]
    azimuth: Array
    A_azimuth: Array
    B_azimuth: Array
    monodromy: Array

    def __repr__(self) -> str:
        top = self.roots[0]
        return (
            f"Linear({len(self.states)} states, {len(self.inputs)} inputs, {self.motion.kind} with {self.turns_left:g} turns left, "
            f"turn {1e3 * self.period_s:.0f} ms, fastest root {top.real:+.3g}{top.imag:+.3g}j /s)"
        )

    @property
    def roots(self) -> Complex:
        """Eigenvalues of A, fastest growing first (n,) [1/s]."""
        return growth(self.A)

    def to_scipy(self) -> Any:
        """The same as a scipy.signal.StateSpace."""
        from scipy.signal import StateSpace  # noqa: PLC0415  most do without

        return StateSpace(self.A, self.B, self.C, self.D)

    def to_control(self) -> Any:
        """The same as a control.StateSpace with its names.

        Raises : ImportError, if python-control is not installed
        """
        try:
            import control  # noqa: PLC0415  not among what is installed with the program
        except ImportError as error:
            raise ImportError(
                "to_control() needs python-control: pip install control; to_scipy() does without"
            ) from error
        names = {"states": list(self.states), "inputs": list(self.inputs), "outputs": list(self.outputs)}
        return control.ss(self.A, self.B, self.C, self.D, **names)


def steady(scenario: Scenario, turns: float | None, motion: Kind) -> tuple[Equilibrium, float]:
    """The steady motion that is meant, and the turns left there; arguments and errors as linearise()."""
    if motion not in KINDS:
        raise BadInput(f"motion: {' | '.join(KINDS)}, found {motion!r}")
    numbers = build(scenario)
    full = float(numbers.params[0]["skein"]["turns"])
    left = MIDDLE * full if turns is None else float(turns)
    if not 0.0 < left <= full:
        raise BadInput(f"turns: above 0 and at most the {full:g} turns at launch, found {left:g}")
    frozen = freeze(numbers, left)
    if motion == "flight":
        place = with_turns_left(ReturnMap(frozen), own_flight(scenario).at(left))
        if not place.found:
            raise CannotTrim(f"no steady motion found with {left:g} turns left", place.miss)
        return place.found[0], left
    frozen.params[0]["locked"][bodies.BASE_RATE + 2] = 1
    e = equilibrium(ReturnMap(frozen))
    return (_hover(frozen, e) if motion == "hover" else e), left


def _hover(numbers: Numbers, near: Equilibrium) -> Equilibrium:
    """Followed from a climb or a descent to the torque at which there is neither: secants, in steps that the motion bears."""
    skein = numbers.params[0]["skein"]

    def at(torque: float, e: Equilibrium) -> Equilibrium:
        skein["steady"] = torque
        return equilibrium(ReturnMap(numbers.copy()), e)

    torque = float(skein["steady"])
    e, slope = near, math.nan
    for _ in range(_TRIES):
        if abs(e.climb_m_s) < 1e-6:
            return e
        step = (
            -e.climb_m_s / slope if math.isfinite(slope) and slope > 0.0 else -math.copysign(0.01 * torque, e.climb_m_s)
        )
        step = max(-_RANGE * torque, min(_RANGE * torque, step))
        there = at(torque + step, e)
        slope = (there.climb_m_s - e.climb_m_s) / step
        torque, e = torque + step, there
    raise CannotTrim("no torque found at which it hovers", abs(e.climb_m_s))


def linearise(scenario: Scenario, turns: float | None = None, motion: Kind = "flight") -> Linear:
    """See api.linearise."""
    e, left = steady(scenario, turns, motion)
    return linear(e, left)


def linear(e: Equilibrium, turns_left: float, names: list[str] | None = None) -> Linear:
    """The linear models about a steady motion; names : of inputs, None for all that the craft has."""
    map_ = e.map
    axes = still(map_)
    given = _inputs(map_.numbers)
    inputs = list(given) if names is None else names
    n, count = map_.size, map_.steps
    azimuth = np.arange(count) * 2.0 * math.pi / count
    a, b = np.empty((count, n, n)), np.empty((count, n, len(inputs)))
    turn, speed = np.empty((count, n, n)), np.empty(count)
    y = e.state
    for k in range(count):
        a[k], b[k] = _slopes(map_, y, [given[name] for name in inputs])
        turn[k], speed[k] = axes.at(y), y[layout.ROTOR_SPEED]
        map_.advance(y, 1)
    model = constant(floquet(map_, e.x), turn, a, b, speed, axes.taken_last)
    scale = map_.scale
    rows = tuple(c.row for c in map_.coordinates)
    return Linear(
        A=model.a,
        B=model.b,
        C=model.c,
        D=model.d,
        states=tuple(axes.names[k] for k in model.states),
        inputs=tuple(inputs),
        outputs=axes.names,
        state_units=tuple(axes.units[k] for k in model.states),
        output_units=axes.units,
        input_units=tuple(given[name].unit for name in inputs),
        motion=motion_of(e),
        turns_left=turns_left,
        torque_nm=float(map_.numbers.params[0]["skein"]["steady"]),
        period_s=e.period,
        left_out=model.left_out,
        coordinates=tuple(c.label for c in map_.coordinates),
        coordinate_units=tuple(UNITS[row] for row in rows),
        azimuth=azimuth,
        A_azimuth=a * scale[:, None] / scale,
        B_azimuth=b * scale[:, None],
        monodromy=transition(map_, e.x)[1][-1] * scale[:, None] / scale,
    )


@dataclass(frozen=True)
class Input:
    """One input: its unit, the step of its difference, and what puts so much of it into numbers of a moment."""

    unit: str
    step: float
    put: Callable[[Numbers, float, float], None]  # numbers, azimuth [rad], value


def _inputs(numbers: Numbers) -> dict[str, Input]:
    """All inputs that a craft has, by name."""
    p = numbers.params[0]

    def setting(column: int) -> Input:
        def put(n: Numbers, azimuth: float, value: float) -> None:
            n.params[0]["settings"][column] += value

        return Input("rad", 1e-4, put)

    def bar(forward: float, right: float) -> Input:
        def put(n: Numbers, azimuth: float, value: float) -> None:
            tilt = arm_tilt(n.params[0], azimuth, (forward * value, right * value))
            n.params[0]["settings"][bodies.BAR_TILT] += tilt

        return Input("rad", 1e-4, put)

    def torque(motor: str, sense: float) -> Input:
        def put(n: Numbers, azimuth: float, value: float) -> None:
            n.params[0][motor]["steady"] += sense * value

        return Input("N m", 1e-6, put)

    def wind(axis: int) -> Input:  # nose north
        def put(n: Numbers, azimuth: float, value: float) -> None:
            n.gusts = np.zeros((4, 3))
            n.gusts[:, axis] = value
            n.params[0]["turbulence_rate"] = 1.0

        return Input("m/s", 1e-4, put)

    found = {
        "collective": setting(bodies.COLLECTIVE),
        "cyclic_aft": setting(bodies.CYCLIC_AFT),
        "cyclic_right": setting(bodies.CYCLIC_RIGHT),
    }
    if p["feather_share"].any():
        found |= {"bar_tilt_forward": bar(1.0, 0.0), "bar_tilt_right": bar(0.0, 1.0)}
    if p["tail_mass"] > 0.0:
        found["tail_pitch"] = setting(bodies.TAIL_PITCH)
    found |= {"skein_torque": torque("skein", 1.0), "skein_brake": torque("skein", -1.0)}
    if p["tail_skein"]["kind"] != NONE:
        found["tail_skein_torque"] = torque("tail_skein", 1.0)
    return found | {"wind_forward": wind(0), "wind_right": wind(1), "wind_down": wind(2)}


def _slopes(map_: ReturnMap, y: Array, inputs: list[Input]) -> tuple[Array, Array]:
    """Slopes of the rates at a state of the steady motion, at equal azimuth, in the time of the undisturbed motion.

    Returns : on the free coordinates (n, n) and on the inputs (n, inputs), rates over scales [1/s]
    """
    speed, azimuth, x = y[layout.ROTOR_SPEED], y[layout.ROTOR_AZIMUTH], map_.reduced(y)

    def rate(moved: Array, of: ReturnMap) -> Array:
        there = of.full(moved)
        there[layout.ROTOR_AZIMUTH] = azimuth
        return np.asarray(speed / there[layout.ROTOR_SPEED] * of.rates(there))

    def slope(plus: Array, minus: Array, step: float) -> Array:
        return (plus - minus) / (2.0 * step)

    columns = []
    for i in range(x.size):
        step = np.zeros(x.size)
        step[i] = _STEP
        columns.append(slope(rate(x + step, map_), rate(x - step, map_), _STEP))
    forced = []
    for each in inputs:
        ends = []
        for value in (each.step, -each.step):
            numbers = map_.numbers.copy()
            each.put(numbers, azimuth, value)
            ends.append(rate(x, ReturnMap(numbers, map_.steps, map_.base)))
        forced.append(slope(ends[0], ends[1], each.step))
    return np.array(columns).T, np.array(forced).T.reshape(x.size, len(inputs))
