"""Description -> parameters: the only bridge between files and equations."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft import rubber, turbulence
from paddlebar.craft.blades import Elements, bar_mass, blade_mass, gauss, helmbold, rotor_elements, tail_elements
from paddlebar.craft.kinds import BARS, HEADS, feather_share
from paddlebar.craft.parameters import MAX_CONTACTS, MAX_STATIONS, blank
from paddlebar.craft.parts import ROD_CD, Station, body_place, contact_points, fuselage, rod_stations, skein_section, stations
from paddlebar.craft.sections import section_table, zero_lift_angle
from paddlebar.files.craft import Bar, Craft, Tail
from paddlebar.files.scenario import Air, Run, Scenario
from paddlebar.files.units import to_si
from paddlebar.physics.air import density, viscosity
from paddlebar.physics.annular import annular
from paddlebar.physics.cord import grip_torque
from paddlebar.physics.wash import developed, wash_share

Array = NDArray[np.float64]

GRAVITY = 9.80665  # m/s^2, standard acceleration of free fall (ISO 80000-3), from memory
SPHERE_CD = 0.5  # from memory
STOP_RATE = 1.3e5  # [1/s^2 rad^-0.5] stiffness of a stop over the inertia that hits it: soft plastic, gives a degree or two; own choice
STOP_DAMPING = 0.1  # [s/rad] own choice: a bounce at 5 rad/s keeps about half its speed


@dataclass
class Numbers:
    """Everything that the equations need.

    params : (1,) record, see craft/parameters.py;  tables : (3, N_RE, N_ALPHA, 3) sections of blade, paddle, tail;
    gusts  : (n, 3) turbulence [m/s]
    """

    params: NDArray[np.void]
    tables: Array
    gusts: Array

    def copy(self) -> Numbers:
        """The same numbers with parameters that can be changed apart."""
        return Numbers(self.params.copy(), self.tables, self.gusts)


def _fill(params: NDArray[np.void], **values: object) -> None:
    for name, value in values.items():
        field = params[name]
        if field.ndim == 1:
            field[0] = value
        else:
            value = np.asarray(value)
            field[0][tuple(slice(0, n) for n in value.shape)] = value


def axes(tilt_forward: float, tilt_right: float) -> tuple[Array, Array, Array]:
    """Shaft axis (up), aft and right across it, unit vectors in body axes, from two angles of tilt [rad]."""
    axis = np.array([math.tan(tilt_forward), math.tan(tilt_right), -1.0])
    axis /= np.linalg.norm(axis)
    aft = np.array([-1.0, 0.0, 0.0])
    aft -= (aft @ axis) * axis
    aft /= np.linalg.norm(aft)
    return axis, aft, np.cross(axis, aft)


def _elements(params: NDArray[np.void], prefix: str, e: Elements, rho: float, nu: float, delay: bool) -> None:
    _fill(
        params,
        **{
            f"{prefix}_x": e.x,
            f"{prefix}_pitch": e.pitch,
            f"{prefix}_log_chord": np.log(e.chord / nu),
            f"{prefix}_half_area": 0.5 * rho * e.chord * e.dr,
            f"{prefix}_chord_over_r": e.chord / e.x if delay else np.zeros_like(e.x),
            f"{prefix}_shape": np.ones_like(e.x),
        },
    )


def mean_shape(numbers: Numbers, which: int, prefix: str, e: Elements, speed: float, tip: bool) -> tuple[Array, float]:
    """Local over mean induced velocity of each element in hover at a speed [rad/s], and the thrust there [N].

    Where the annular solution carries no thrust worth speaking of, the inflow is taken as uniform.
    """
    p = numbers.params[0]
    induced = np.zeros_like(e.x)
    n = e.x.size
    blades, radius = (p["blades"], p["radius"]) if which == 0 else (p["tail_blades"], p["tail_radius"])
    zero = p["rotor_alpha_zero"] if which == 0 else p["tail_alpha_zero"]
    thrust, _ = annular(
        numbers.tables, which, blades, radius, p["rho"], e.x, e.chord, p[f"{prefix}_half_area"][:n], e.pitch,
        p[f"{prefix}_log_chord"][:n], p[f"{prefix}_chord_over_r"][:n], zero, speed, 0.0, int(tip), induced,
    )  # fmt: skip
    mean = math.copysign(math.sqrt(abs(thrust) / (2.0 * p["rho"] * math.pi * radius**2)), thrust)
    if abs(mean) < 0.02 * speed * radius:
        return np.ones_like(e.x), thrust
    return induced / mean, thrust


def _hover_speed(numbers: Numbers, e: Elements, weight: float, tip: bool) -> float:
    """Rotor speed at which the annular thrust carries the weight [rad/s]; a nominal one if none does."""
    radius = float(numbers.params[0]["radius"])
    speed = 8.0 / radius
    for _ in range(12):
        _, thrust = mean_shape(numbers, 0, "el", e, speed, tip)
        if thrust <= 0.0:
            return 8.0 / radius
        ratio = math.sqrt(weight / thrust)
        speed *= ratio
        if abs(ratio - 1.0) < 1e-4:
            break
    return speed


def _bar(params: NDArray[np.void], bar: Bar, rho: float, nu: float, run: Run) -> None:
    """Fixed numbers of the bar; what depends on what is still there comes from set_bar."""
    kind = BARS[bar.kind]
    if not kind.present:
        return
    _fill(
        params,
        bar_lead=to_si("lead_deg", bar.lead_deg),
        bar_height=to_si("height_mm", bar.height_mm),
        bar_spring=to_si("spring_mN_m_rad", bar.spring_mN_m_rad),
        bar_damper=to_si("damping_mN_m_s", bar.damping_mN_m_s),
        bar_friction=to_si("friction_mN_m", bar.friction_mN_m),
        bar_stop=to_si("stop_deg", bar.stop_deg),
        paddle_elements=0,
    )
    arm = to_si("arm_mm", bar.arm_mm)
    wire = ROD_CD * to_si("wire_diameter_mm", bar.wire_diameter_mm)
    x, dr = gauss(0.0, arm, 2)
    sphere = SPHERE_CD * math.pi / 4.0 * to_si("tip_diameter_mm", bar.tip_diameter_mm) ** 2
    _fill(params, bar_lumps=3, bar_lump_x=np.array([*x, arm]), bar_lump_shape=np.ones(3))
    half = 0.5 * rho * np.array([*(wire * dr), sphere if bar.tip_mass_g > 0.0 else 0.0])
    _fill(params, bar_half_drag=np.array([half, half]))
    span, chord = to_si("paddle_span_mm", bar.paddle_span_mm), to_si("paddle_chord_mm", bar.paddle_chord_mm)
    if span > 0.0 and chord > 0.0:
        centre = to_si("paddle_centre_mm", bar.paddle_centre_mm)
        x, dr = gauss(centre - 0.5 * span, centre + 0.5 * span, run.paddle_elements)
        _fill(
            params,
            paddle_on=np.ones(2),
            paddle_elements=run.paddle_elements,
            paddle_x=x,
            paddle_half_area=0.5 * rho * chord * dr,
            paddle_shape=np.ones_like(x),
            paddle_chord=chord,
            paddle_log_chord=math.log(chord / nu),
            paddle_pitch=to_si("paddle_incidence_deg", bar.paddle_incidence_deg),
            paddle_slope=helmbold(span / chord),
        )


def set_bar(params: NDArray[np.void], craft: Craft, tips: tuple[float, float] = (1.0, 1.0), paddles: tuple[float, float] = (1.0, 1.0)) -> None:
    """Mass of the bar with what is still on it (1 there, 0 lost, for arm 1 and 2), and what the air still finds."""
    bar = craft.bar
    if not BARS[bar.kind].present:
        return
    mass, centre, inertia = bar_mass(bar, tips, paddles)
    _fill(params, bar_mass=mass, bar_centre=centre, bar_inertia=inertia)
    p = params[0]
    for k in range(2):
        if tips[k] == 0.0:
            p["bar_half_drag"][k, 2] = 0.0
        if paddles[k] == 0.0:
            p["paddle_on"][k] = 0.0
    across = float(inertia[1, 1]) + mass * float(centre[0]) ** 2
    _fill(params, bar_stop_stiffness=STOP_RATE * across)


def _tail(numbers: Numbers, tail: Tail, rho: float, nu: float, run: Run, turns: float, temperature: float) -> None:
    params = numbers.params
    axis = np.array([0.0, 1.0 if tail.thrust_to == "right" else -1.0, 0.0])
    one = np.array([1.0, 0.0, 0.0])
    radius, mass = to_si("radius_mm", tail.radius_mm), to_si("mass_g", tail.mass_g)
    polar = mass * radius**2 / 3.0  # blades as uniform rods from the hub; own simplification
    e = tail_elements(tail, run.tail_elements)
    _elements(params, "tail", e, rho, nu, run.stall_delay)
    pulley = to_si("tail_pulley_mm", tail.tail_pulley_mm)
    _fill(
        params,
        tail_place=body_place(tail.at_mm),
        tail_axis=axis,
        tail_one=one,
        tail_two=np.cross(axis, one),
        tail_hand=params[0]["hand"],
        tail_mass=mass,
        tail_polar=polar,
        tail_diametral=0.5 * polar,
        tail_radius=radius,
        tail_blades=tail.blades,
        tail_elements=run.tail_elements,
        tail_alpha_zero=zero_lift_angle(numbers.tables[2]),
        tail_friction=to_si("friction_mN_m", tail.friction_mN_m),
        cord_mode=0,
        cord_sense=1.0,
    )
    if tail.drive == "cord":
        limit = grip_torque(
            to_si("cord_tension_mN", tail.cord_tension_mN), to_si("cord_wrap_deg", tail.cord_wrap_deg), tail.cord_friction, 0.5 * pulley
        )
        _fill(params, cord_mode=1, cord_ratio=tail.drive_pulley_mm / tail.tail_pulley_mm, cord_limit=limit)
        _fill(params, cord_loss=to_si("loss_percent", tail.loss_percent))
    elif tail.skein is not None:
        curve = rubber.torque_curve(tail.skein, temperature)
        _fill(
            params,
            tail_skein_on=1,
            tail_skein_turns=turns,
            tail_skein_breaking=curve.breaking,
            tail_skein_plateau=curve.plateau,
            tail_skein_knee=curve.knee,
            tail_skein_spike=curve.spike,
            tail_skein_half_loss=curve.half_loss,
            tail_skein_settle=curve.settle,
        )


def _airframe(numbers: Numbers, craft: Craft, rho: float) -> None:
    """Stations of the fuselage and the skein, with their share of the rotor's wash; points that may touch."""
    p = numbers.params[0]
    found: list[Station] = [station for part in craft.part for station in stations(part)]
    start, end = (body_place(hook) for hook in craft.skein.hooks_mm)
    found += rod_stations(start, end, 2.0 * math.sqrt(skein_section(craft) / math.pi), ROD_CD)
    touch = [point for part in craft.part for point in contact_points(part)]
    if craft.tail is not None and p["tail_mass"] > 0.0:
        touch += [p["tail_place"] + p["tail_radius"] * d for d in (p["tail_one"], p["tail_two"], -p["tail_one"], -p["tail_two"])]
    if len(found) > MAX_STATIONS or len(touch) > MAX_CONTACTS:
        raise craft.bad("part", f"at most {MAX_STATIONS // 2} parts, found {len(craft.part)}")
    _fill(numbers.params, stations=len(found), contacts=len(touch))
    for k, s in enumerate(found):
        p["st_kind"][k] = s.kind
        p["st_place"][k] = s.place
        p["st_axis"][k] = s.axis
        p["st_half_drag"][k] = 0.5 * rho * s.drag_area
        p["st_wash_down"][k], p["st_wash_up"][k] = _wash(numbers, s.place)
    for k, place in enumerate(touch):
        p["contact_place"][k] = place


def _wash(numbers: Numbers, place: Array) -> tuple[float, float]:
    """Share of the main rotor's inflow at a place for flow down and flow up through the disc [1]."""
    p = numbers.params[0]
    d = place - p["hub_place"]
    below = -float(d @ p["shaft_axis"])
    off = math.sqrt(max(float(d @ d) - below**2, 0.0))
    radius = float(p["radius"])
    return wash_share(below / radius, off / radius, 1.0), wash_share(below / radius, off / radius, -1.0)


def _air(params: NDArray[np.void], air: Air, launch_height: float) -> tuple[float, float, float, Array]:
    temperature = to_si("temperature_C", air.temperature_C)
    rho = air.density_kg_m3 if air.density_kg_m3 is not None else density(temperature, to_si("pressure_hPa", air.pressure_hPa))
    nu = viscosity(temperature) / rho
    toward = to_si("wind_from_deg", air.wind_from_deg) + math.pi
    gust = to_si("gust_from_deg", air.gust_from_deg) + math.pi
    _fill(
        params,
        rho=rho,
        nu=nu,
        wind_north=air.wind_m_s * math.cos(toward),
        wind_east=air.wind_m_s * math.sin(toward),
        wind_reference=air.reference_height_m,
        wind_shear=air.shear_exponent,
        gust_north=air.gust_m_s * math.cos(gust),
        gust_east=air.gust_m_s * math.sin(gust),
        gust_start=air.gust_start_s,
        gust_length=air.gust_length_s,
    )
    gusts = np.zeros((4, 3))
    if air.turbulence and air.wind_m_s > 0.0:
        twenty_feet = air.wind_m_s * (6.096 / air.reference_height_m) ** air.shear_exponent
        here = air.wind_m_s * (max(launch_height, 0.5) / air.reference_height_m) ** air.shear_exponent
        gusts = turbulence.gust_table(air.seed, launch_height, twenty_feet, max(here, 0.5), toward)
        _fill(params, turbulence_rate=turbulence.RATE)
    return temperature, rho, nu, gusts


def build(scenario: Scenario) -> Numbers:
    """All parameters of a scenario.

    scenario : checked description (file units)
    Returns  : Numbers (SI)
    Raises   : BadInput for a section table that cannot be read, a head that cannot carry so many blades, too many parts
    """
    craft, run = scenario.craft, scenario.run
    rotor, head, bar, shaft = craft.rotor, craft.head, craft.bar, craft.shaft
    params = blank()
    temperature, rho, nu, gusts = _air(params, scenario.air, scenario.launch.height_m)
    tail_section = craft.tail.section if craft.tail is not None else "flat plate"
    tables = np.ascontiguousarray(np.stack([section_table(name) for name in (rotor.section, bar.paddle_section, tail_section)]))
    numbers = Numbers(params, tables, gusts)

    kind = HEADS[head.kind]
    if rotor.blades not in kind.blades:
        raise craft.bad("rotor.blades", f"a {head.kind} head carries {kind.blades.start} to {kind.blades.stop - 1} blades, found {rotor.blades}")
    body = fuselage(craft)
    axis, aft, right = axes(to_si("tilt_forward_deg", shaft.tilt_forward_deg), to_si("tilt_right_deg", shaft.tilt_right_deg))
    hub_mass, hub_radius = to_si("hub_mass_g", shaft.hub_mass_g), 0.5 * to_si("hub_diameter_mm", shaft.hub_diameter_mm)
    offset = to_si("hinge_offset_mm", head.hinge_offset_mm) if head.kind == "flapping" else 0.0
    radius = to_si("radius_mm", rotor.radius_mm)
    mass, centre, inertia = blade_mass(rotor, offset)
    flaps = kind.flaps(rotor.blades)
    moves = [kind.moves(i) for i in range(rotor.blades)]
    tilts = BARS[bar.kind]
    gain = bar.gain if tilts.present else 0.0
    about_hinge = float(inertia[1, 1]) + mass * float(centre[0] ** 2 + centre[2] ** 2)
    e = rotor_elements(rotor, run.blade_elements)
    _elements(params, "el", e, rho, nu, run.stall_delay)
    quarter = (rotor.feather_axis_percent / 100.0 - 0.25) * e.chord
    _fill(
        params,
        gravity=GRAVITY,
        body_mass=body.mass,
        body_moment=body.moment,
        body_inertia=body.inertia,
        hub_place=body_place(shaft.hub_mm),
        shaft_axis=axis,
        aft=aft,
        right=right,
        hand=1.0 if shaft.turns == "counter-clockwise" else -1.0,
        hub_mass=hub_mass,
        hub_polar=0.5 * hub_mass * hub_radius**2,
        hub_diametral=0.25 * hub_mass * hub_radius**2,
        shaft_friction=to_si("friction_mN_m", shaft.friction_mN_m),
        blades=rotor.blades,
        flaps=flaps,
        flap_of_blade=np.array([which for which, _ in moves]),
        flap_sign=np.array([sense for _, sense in moves]),
        feather_share=np.array([feather_share(gain, i, rotor.blades) for i in range(rotor.blades)]),
        radius=radius,
        precone=to_si("precone_deg", head.precone_deg),
        hinge_offset=offset,
        flap_coupling=math.tan(to_si("delta3_deg", head.delta3_deg)),
        blade_mass=mass,
        blade_centre=centre,
        blade_inertia=inertia,
        flap_spring=to_si("spring_mN_m_rad", head.spring_mN_m_rad),
        flap_damper=to_si("damping_mN_m_s", head.damping_mN_m_s),
        flap_friction=to_si("friction_mN_m", head.friction_mN_m),
        flap_stop=to_si("stop_deg", head.stop_deg),
        flap_stop_stiffness=STOP_RATE * about_hinge * (2.0 if head.kind == "teetering" else 1.0),
        stop_damping=STOP_DAMPING,
        elements=run.blade_elements,
        el_x=e.x - offset,
        el_cos=np.cos(e.pitch),
        el_sin=np.sin(e.pitch),
        el_chord=e.chord,
        el_damping=math.pi * rho * e.chord**3 * e.dr / 16.0,
        el_y_quarter=quarter,
        el_y34=quarter - 0.5 * e.chord,
        rotor_alpha_zero=zero_lift_angle(tables[0]),
        inflow_mode={"none": 0, "frozen": 1, "dynamic": 2}[run.inflow],
        ground_effect=int(scenario.room.ground_effect),
        ceiling=scenario.room.ceiling_m if scenario.room.ceiling_m is not None else math.inf,
        wall_north=0.5 * scenario.room.length_m if scenario.room.length_m is not None else math.inf,
        wall_east=0.5 * scenario.room.width_m if scenario.room.width_m is not None else math.inf,
    )
    _bar(params, bar, rho, nu, run)
    set_bar(params, craft)
    curve = rubber.torque_curve(craft.skein, temperature)
    _fill(
        params,
        skein_on=1,
        skein_runs_back=int(craft.skein.run_out == "rewinds"),
        skein_turns=scenario.skein.turns - scenario.skein.backed_off,
        skein_breaking=curve.breaking,
        skein_plateau=curve.plateau,
        skein_knee=curve.knee,
        skein_spike=curve.spike,
        skein_half_loss=curve.half_loss,
        skein_settle=curve.settle,
        skein_section=curve.section,
        skein_measured=int(curve.table is not None),
        skein_table_last=curve.table_last,
    )
    if curve.table is not None:
        _fill(params, skein_table=curve.table)
    if craft.tail is not None:
        _tail(numbers, craft.tail, rho, nu, run, scenario.skein.tail_turns, temperature)
    p = params[0]
    p["locked"][7] = int(not tilts.tilts)
    p["locked"][8] = int(p["tail_mass"] == 0.0 or p["cord_mode"] == 1)
    if run.radial_inflow == "annular":
        _inflow_shapes(numbers, craft, e, run.tip_loss)
    _airframe(numbers, craft, rho)
    if p["tail_mass"] > 0.0:
        p["tail_wash_down"], p["tail_wash_up"] = _wash(numbers, p["tail_place"])
    return numbers


def all_up_mass(params: NDArray[np.void]) -> float:
    """Mass of the whole craft [kg]."""
    p = params[0]
    return float(p["body_mass"] + p["hub_mass"] + p["blades"] * p["blade_mass"] + p["bar_mass"] + p["tail_mass"])


def _inflow_shapes(numbers: Numbers, craft: Craft, e: Elements, tip: bool) -> None:
    """Radial shape of the inflow of main rotor, bar and tail from the annular solution in hover at the craft's own weight."""
    params = numbers.params
    p = params[0]
    speed = _hover_speed(numbers, e, all_up_mass(params) * GRAVITY, tip)
    shape, _ = mean_shape(numbers, 0, "el", e, speed, tip)
    _fill(params, el_shape=shape)
    if p["bar_mass"] > 0.0:
        level = developed(-p["bar_height"] / p["radius"])
        n, m = int(p["paddle_elements"]), int(p["bar_lumps"])
        _fill(params, paddle_shape=level * np.interp(p["paddle_x"][:n], e.x, shape), bar_lump_shape=level * np.interp(p["bar_lump_x"][:m], e.x, shape))
    if craft.tail is not None and p["tail_mass"] > 0.0:
        tail_e = tail_elements(craft.tail, int(p["tail_elements"]))
        tail_speed = p["cord_ratio"] * speed if p["cord_mode"] == 1 else 8.0 / p["tail_radius"]
        shape, _ = mean_shape(numbers, 2, "tail", tail_e, float(tail_speed), tip)
        _fill(params, tail_shape=shape)
