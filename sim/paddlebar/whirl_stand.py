"""The craft on a whirl stand: hub held, rotor turned at a set speed, air and load steady."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from paddlebar.craft.blades import Elements, rotor_elements, tail_elements
from paddlebar.craft.build import Numbers, all_up_mass, build
from paddlebar.errors import BadInput
from paddlebar.files.craft import Craft
from paddlebar.files.scenario import Air, Launch, Run, Scenario, Winding
from paddlebar.physics.annular import annular
from paddlebar.physics.bar import arm_loads
from paddlebar.physics.blade import element_load
from paddlebar.physics.compiled import source_of
from paddlebar.physics.cord import GRIPS, drive_loss
from paddlebar.physics.section import OF_BLADE, OF_TAIL
from paddlebar.physics.wash import developed
from paddlebar.units import GRAVITY

Array = NDArray[np.float64]

ELEMENTS = 40  # a steady point is cheap; how it converges: tests/reference/test_hover_closed_forms.py
FASTEST_RPM, FASTEST_CLIMB = 2e4, 30.0  # as in the scenario file
PITCH_DEG = (-40.0, 60.0)  # as in the craft file
_RPM = math.pi / 30.0
_FOLDS = math.pi / 4.0
# plain Python takes the record as it is, and one call a point is not worth compiling
_arm_loads: Callable[..., tuple[tuple[float, ...], tuple[float, ...]]] = source_of(arm_loads)


@dataclass(frozen=True)
class StandPoint:
    """One steady point. What does not exist (no tail, a tail on its own skein, no thrust to judge) is nan.

    rpm               : rotor speed [rev/min]
    collective_deg    : pitch at 75 % radius; with stations what is added to them [deg]
    climb_m_s         : speed of the hub along its shaft through the air [m/s]
    thrust_n          : of the blades along the shaft [N]
    torque_nm         : that the air takes from the blades [N m];  power_w : likewise [W]
    CT, CQ            : T/(rho A (Omega R)^2), Q/(rho A (Omega R)^2 R) [1]
    figure_of_merit   : ideal power T (V + v) of momentum theory over power_w [1]; in hover CT^1.5/(2^0.5 CQ)
    coning_deg        : blade above the plane across the shaft: built in and, on flapping heads, flapped [deg]
    reynolds_75       : of the turning speed and the chord at 75 % radius [1]
    bar_torque_nm     : of paddles, wire and tip masses, bar level [N m]
    shaft_torque_nm   : all that the skein must give: blades, bar, bearing, and tail rotor through its cord [N m]
    tail_rpm, tail_thrust_n, tail_torque_nm, tail_power_w : of the tail rotor on its cord, out of the main rotor's wash
    """

    rpm: float
    collective_deg: float
    climb_m_s: float
    thrust_n: float
    torque_nm: float
    power_w: float
    CT: float
    CQ: float
    figure_of_merit: float
    coning_deg: float
    reynolds_75: float
    bar_torque_nm: float
    shaft_torque_nm: float
    tail_rpm: float
    tail_thrust_n: float
    tail_torque_nm: float
    tail_power_w: float


def stand(
    craft: Craft,
    rpm: float | None,
    collective_deg: float | None = None,
    climb_m_s: float = 0.0,
    *,
    air: Air | None = None,
    run: Run | None = None,
) -> StandPoint:
    """Thrust, torque and coning of a craft's rotor at one speed.

    craft          : description (file units)
    rpm            : rotor speed [rev/min]; None for the one at which the rotor lifts the whole craft
    collective_deg : pitch at 75 % radius [deg]; None for the craft's own
    climb_m_s      : along the shaft, descent negative [m/s]
    air, run       : as in a scenario; of `run` the numbers of elements, tip_loss and stall_delay count, inflow is
        always solved ring by ring. None: 20 degrees at sea level, 40 elements
    Returns        : StandPoint
    Raises         : BadInput, one line: speed, pitch or climb out of the possible, a rotor that cannot lift its craft
    Holds for      : rigid blades, axial flow; loads of a coned blade as if level but for its incidence (cos 10 deg is 0.985)
    Source         : physics/annular.py
    Checked        : tests/reference/test_small_rotor.py, test_castles_gray.py, test_caradonna_tung.py
    """
    rig = _Rig(craft, air, run)
    return rig.point(rig.hover_rpm(collective_deg) if rpm is None else rpm, collective_deg, climb_m_s)


def stand_range(
    craft: Craft,
    rpm: Iterable[float],
    collective_deg: Iterable[float] | None = None,
    climb_m_s: float = 0.0,
    *,
    air: Air | None = None,
    run: Run | None = None,
) -> list[StandPoint]:
    """Every speed at every collective, collectives outermost; arguments and errors as `stand`."""
    rig = _Rig(craft, air, run)
    speeds = list(rpm)
    pitches = [None] if collective_deg is None else list(collective_deg)
    return [rig.point(speed, pitch, climb_m_s) for pitch in pitches for speed in speeds]


def hover_point(
    craft: Craft, collective_deg: float | None = None, *, air: Air | None = None, run: Run | None = None
) -> StandPoint:
    """The point at which the rotor's thrust carries the whole craft; arguments and errors as `stand`."""
    return stand(craft, None, collective_deg, air=air, run=run)


class _Rig:
    """A craft on the stand: numbers made once, any number of points."""

    def __init__(self, craft: Craft, air: Air | None, run: Run | None) -> None:
        run = Run(blade_elements=ELEMENTS, tail_elements=ELEMENTS // 2, paddle_elements=10) if run is None else run
        self.craft = craft
        self.tip = int(run.tip_loss)
        # the shape of the inflow is solved here at each point, so what build would find for hover is not wanted
        plain = run.model_copy(update={"radial_inflow": "uniform"})
        here, idle = Launch(height_m=1.0), Winding(turns=0.0)
        held = Scenario(craft=craft, skein=idle, launch=here, air=Air() if air is None else air, run=plain)
        self.numbers: Numbers = build(held)
        self.p: Any = self.numbers.params.view(np.recarray)[0]
        self.blade = rotor_elements(craft.rotor, run.blade_elements)
        self.tail = tail_elements(craft.tail, run.tail_elements) if craft.tail is not None else None

    def point(self, rpm: float, collective_deg: float | None, climb: float) -> StandPoint:
        _within("rpm", rpm, 0.0, FASTEST_RPM, open_below=True)
        _within("climb_m_s", climb, -FASTEST_CLIMB, FASTEST_CLIMB)
        own = self.craft.rotor.collective_deg
        collective = own if collective_deg is None else collective_deg
        more = self._more_pitch(collective)
        p, speed = self.p, rpm * _RPM
        flap = self._flap(speed, climb, more)
        thrust, torque, induced = self._rings(OF_BLADE, self.blade, speed, climb, self._pitch(more, flap))
        area = math.pi * p.radius**2
        pressure = p.rho * area * (speed * p.radius) ** 2
        bar = self._bar_torque(speed, climb, induced)
        tail_speed, tail_thrust, tail_torque = self._tail(speed)
        geared = 0.0
        if tail_speed > 0.0:
            geared = p.cord_ratio * (tail_torque - drive_loss(tail_torque, p.cord_loss, p.tail_friction, tail_speed))
        chord = float(np.interp(0.75 * p.radius, self.blade.x, self.blade.chord))
        return StandPoint(
            rpm=float(rpm),
            collective_deg=float(collective),
            climb_m_s=float(climb),
            thrust_n=thrust,
            torque_nm=torque,
            power_w=torque * speed,
            CT=float(thrust / pressure),
            CQ=float(torque / (pressure * p.radius)),
            figure_of_merit=_merit(thrust, torque * speed, climb, float(p.rho * area)),
            coning_deg=math.degrees(p.precone + flap),
            reynolds_75=float(0.75 * speed * p.radius * chord / p.nu),
            bar_torque_nm=bar,
            shaft_torque_nm=float(torque + bar + geared + p.shaft_friction),
            tail_rpm=tail_speed / _RPM,
            tail_thrust_n=tail_thrust,
            tail_torque_nm=tail_torque,
            tail_power_w=tail_torque * tail_speed,
        )

    def hover_rpm(self, collective_deg: float | None) -> float:
        """Speed at which thrust is weight [rev/min]; thrust rises with speed, so one root."""
        collective = self.craft.rotor.collective_deg if collective_deg is None else collective_deg
        more = self._more_pitch(collective)
        weight = all_up_mass(self.numbers.params) * GRAVITY

        def lack(rpm: float) -> float:
            pitch = self._pitch(more, self._flap(rpm * _RPM, 0.0, more))
            return self._rings(OF_BLADE, self.blade, rpm * _RPM, 0.0, pitch)[0] - weight

        if lack(FASTEST_RPM) <= 0.0:
            rule = f"no speed up to {FASTEST_RPM:g} rpm lifts the craft's {1e3 * weight / GRAVITY:.4g} g"
            raise self.craft.bad("rotor.collective_deg", f"{rule}, found {collective:g}")
        return _root(lack, 1e-3, FASTEST_RPM)

    def _more_pitch(self, collective_deg: float) -> float:
        _within("collective_deg", collective_deg, *PITCH_DEG)
        return math.radians(collective_deg - self.craft.rotor.collective_deg)

    def _pitch(self, more: float, flap: float) -> Array:
        """Pitch of each element [rad]: built in, `more`, less what delta-3 takes off, and what coning adds.

        A flat blade on a cone meets air that turns about the shaft: at its three-quarter chord, which gives the lift, the
        incidence is larger by sin(coning) times the chord between there and the feathering axis over r. As in physics/blade.py.
        """
        p, e = self.p, self.blade
        curved = (0.5 * e.chord - p.el_y_quarter[: e.x.size]) * math.sin(p.precone + flap) / e.x
        return np.asarray(e.pitch + more - p.flap_coupling * flap + curved)

    def _rings(
        self, which: np.int64, e: Elements, speed: float, climb: float, pitch: Array
    ) -> tuple[float, float, Array]:
        """Thrust [N], torque [N m] and induced velocity of each ring [m/s] of main (OF_BLADE) or tail rotor (OF_TAIL)."""
        p, n, induced = self.p, e.x.size, np.zeros_like(e.x)
        if which == OF_BLADE:
            blades, radius, zero = p.blades, p.radius, p.rotor_alpha_zero
            half_area, log_chord, delay = p.el_half_area, p.el_log_chord, p.el_chord_over_r
        else:
            blades, radius, zero = p.tail_blades, p.tail_radius, p.tail_alpha_zero
            half_area, log_chord, delay = p.tail_half_area, p.tail_log_chord, p.tail_chord_over_r
        tables, section = self.numbers.tables, (which, zero, 1.0)
        elements = e.x, e.chord, pitch, log_chord[:n], half_area[:n], delay[:n]
        thrust, torque = annular(tables, section, (blades, radius, p.rho), elements, speed, climb, self.tip, induced)
        return float(thrust), float(torque), induced

    def _bar_torque(self, speed: float, climb: float, induced: Array) -> float:
        """Torque that the air takes from the level bar [N m], in the rotor's inflow, developed to the bar's height."""
        p = self.p
        if p.bar_mass == 0.0:
            return 0.0
        here = p.copy()  # the record's shape arrays are set to the inflow itself, so that v0 is 1 m/s
        level = developed(-p.bar_height / p.radius)
        for x, shape in ((p.paddle_x, here.paddle_shape), (p.bar_lump_x, here.bar_lump_shape)):
            shape[:] = level * np.interp(x, self.blade.x, induced)
        turn = p.hand * speed
        torque = 0.0
        for arm in (0, 1):
            climbing, turning, shaft = (0.0, 0.0, climb), (0.0, 0.0, turn), (0.0, 0.0, 1.0)
            _, (_, _, moment) = _arm_loads(here, self.numbers.tables, arm, climbing, turning, shaft, 1.0)
            torque -= float(moment)
        return torque

    def _tail(self, speed: float) -> tuple[float, float, float]:
        """Speed [rad/s], thrust [N] and torque [N m] of the tail rotor on its cord; nan without one."""
        if self.tail is None or self.p.cord_mode != GRIPS:
            return math.nan, math.nan, math.nan
        own = float(self.p.cord_ratio) * speed
        thrust, torque, _ = self._rings(OF_TAIL, self.tail, own, 0.0, self.tail.pitch)
        return own, thrust, torque

    def _flap(self, speed: float, climb: float, more: float) -> float:
        """Steady flapping of a blade on its own hinge above the built-in coning [rad]: 0 on rigid and teetering heads.

        Lift about the hinge = Omega^2 [(Sxx - Szz) sin b cos b + Sxz cos 2b + e (Sx sin b + Sz cos b)]
                               + g (Sx cos b - Sz sin b) + k_spring (b - b0)
        with b the coning, b0 the built-in one, e the hinge offset, S the blade's mass moments about the hinge (x out,
        z up). delta-3 feathers the blade as it rises, which changes the lift (its inertia is taken unfeathered). At the
        stops it rests.
        Checked : tests/test_whirl_stand.py against the right-hand side and the closed form of references 3.5 item 5
        """
        p = self.p
        if p.flaps != p.blades:
            return 0.0
        m, c, j = p.blade_mass, p.blade_centre, p.blade_inertia
        e = p.hinge_offset
        sx, sz = m * c[0], m * c[2]
        sxx = 0.5 * (j[1, 1] + j[2, 2] - j[0, 0]) + m * c[0] ** 2
        szz = 0.5 * (j[0, 0] + j[1, 1] - j[2, 2]) + m * c[2] ** 2
        sxz = -j[0, 2] + m * c[0] * c[2]

        section = OF_BLADE, p.rotor_alpha_zero, 1.0

        def excess(flap: float) -> float:
            pitch = self._pitch(more, flap)
            induced = self._rings(OF_BLADE, self.blade, speed, climb, pitch)[2]
            lift = 0.0
            for k, x in enumerate(self.blade.x):
                strip = pitch[k], p.el_log_chord[k], p.el_half_area[k], p.el_chord_over_r[k]
                normal, _, _, _ = element_load(self.numbers.tables, section, strip, speed * x, -(climb + induced[k]))
                lift += normal * (x - e)
            b = p.precone + flap
            s, co = math.sin(b), math.cos(b)
            pull = speed**2 * ((sxx - szz) * s * co + sxz * math.cos(2.0 * b) + e * (sx * s + sz * co))
            return float(lift - pull - p.gravity * (sx * co - sz * s) - p.flap_spring * flap)

        # beyond 45 deg the centrifugal moment falls again: a blade that gets there folds up to its stop
        stop, furthest = float(p.flap_stop), min(float(p.flap_stop), _FOLDS)
        if excess(furthest) > 0.0:
            return stop
        return -stop if excess(-furthest) < 0.0 else _root(excess, -furthest, furthest)


def _within(key: str, value: float, low: float, high: float, *, open_below: bool = False) -> None:
    if not math.isfinite(value) or value > high or value < low or (open_below and value == low):
        rule = f"greater than {low:g} and at most {high:g}" if open_below else f"{low:g} to {high:g}"
        raise BadInput(f"{key}: input should be {rule}, found {value:g}")


def _root(f: Callable[[float], float], low: float, high: float) -> float:
    return float(brentq(f, low, high, xtol=1e-12, rtol=1e-12))


def _merit(thrust: float, power: float, climb: float, flow: float) -> float:
    """Ideal over real power; nan where the rotor does not lift, takes no power, or sinks (no ideal there)."""
    if thrust <= 0.0 or power <= 0.0 or climb < 0.0:
        return math.nan
    half = 0.5 * climb
    return thrust * (half + math.sqrt(half * half + thrust / (2.0 * flow))) / power
