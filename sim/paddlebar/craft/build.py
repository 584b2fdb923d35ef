"""Description -> parameters: the only bridge between files and equations."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.bar import fill_bar, set_bar
from paddlebar.craft.blades import blade_mass, blade_offsets, blade_shares, rotor_elements
from paddlebar.craft.motors import motor_of
from paddlebar.craft.numbers import STOP_DAMPING, STOP_RATE, Numbers, all_up_mass, fill, fill_elements
from paddlebar.craft.parameters import MAX_BLADES, blank
from paddlebar.craft.parts import fuselage
from paddlebar.craft.sections import section_table, zero_lift_angle
from paddlebar.craft.shape import blades_of
from paddlebar.craft.surroundings import fill_air, fill_airframe
from paddlebar.craft.tail import fill_tail
from paddlebar.craft.wake import inflow_shapes, wash_at
from paddlebar.files.kinds import BARS, HEADS
from paddlebar.files.scenario import Scenario
from paddlebar.physics.bodies import BAR, TAIL
from paddlebar.physics.cord import GRIPS
from paddlebar.physics.inflow import DYNAMIC, FROZEN, NO_INFLOW
from paddlebar.physics.section import DRAG, OF_BLADE
from paddlebar.units import GRAVITY, to_si

__all__ = ["Numbers", "all_up_mass", "build", "set_bar"]

Array = NDArray[np.float64]


def build(scenario: Scenario) -> Numbers:
    """All parameters of a scenario.

    scenario : checked description (file units)
    Returns  : Numbers (SI)
    Raises   : BadInput for a section table that cannot be read, a head that cannot carry so many blades, too many parts
    """
    craft, run = scenario.craft, scenario.run
    rotor, head, bar, shaft = craft.rotor, craft.head, craft.bar, craft.shaft
    params = blank()
    temperature, rho, nu, gusts = fill_air(params, scenario.air, scenario.launch.height_m)
    blade, paddle = (rotor.section, rotor.nose), (bar.paddle_section, "sharp")
    tail = (craft.tail.section, craft.tail.nose) if craft.tail is not None else ("flat plate", "sharp")
    tables = np.ascontiguousarray(np.stack([section_table(name, nose) for name, nose in (blade, paddle, tail)]))
    tables[OF_BLADE, :, :, DRAG] *= rotor.drag_factor
    numbers = Numbers(params, tables, gusts)

    kind = HEADS[head.kind]
    if rotor.blades not in kind.blades:
        raise craft.bad(
            "rotor.blades",
            f"a {head.kind} head carries {kind.numbers_of_blades} blades, found {rotor.blades}",
        )
    body = fuselage(craft)
    blades = blades_of(craft)
    hub, offset = blades.hub, blades.offset
    hub_mass = to_si("hub_mass_g", shaft.hub_mass_g)
    mass, centre, inertia = blade_mass(rotor, offset)
    flaps = kind.flaps(rotor.blades)
    moves = [kind.moves(i) for i in range(rotor.blades)]
    tilts = BARS[bar.kind]
    about_hinge = float(inertia[1, 1]) + mass * float(centre[0] ** 2 + centre[2] ** 2)
    e = rotor_elements(rotor, run.blade_elements)
    fill_elements(params, "el", e, rho, nu, run.stall_delay)
    quarter = (rotor.feather_axis_percent / 100.0 - 0.25) * e.chord
    fill(
        params,
        gravity=GRAVITY,
        body_mass=body.mass,
        body_moment=body.moment,
        body_inertia=body.inertia,
        hub_place=hub.place,
        shaft_axis=hub.axis,
        aft=hub.aft,
        right=hub.right,
        hand=hub.hand,
        hub_mass=hub_mass,
        hub_polar=0.5 * hub_mass * hub.radius**2,
        hub_diametral=0.25 * hub_mass * hub.radius**2,
        shaft_friction=to_si("friction_mN_m", shaft.friction_mN_m),
        blades=rotor.blades,
        flaps=flaps,
        flap_of_blade=np.array([which for which, _ in moves]),
        flap_sign=np.array([sense for _, sense in moves]),
        feather_share=np.array(blades.shares),
        radius=blades.radius,
        precone=blades.precone,
        hinge_offset=offset,
        flap_coupling=blades.coupling,
        blade_mass=mass,
        blade_share=np.r_[
            blade_shares(rotor), np.ones(MAX_BLADES - rotor.blades)
        ],  # blades that there are not weigh as the others
        blade_pitch=blade_offsets(rotor),
        blade_centre=centre,
        blade_inertia=inertia,
        flap_spring=to_si("spring_mN_m_rad", head.spring_mN_m_rad),
        flap_damper=to_si("damping_mN_m_s", head.damping_mN_m_s),
        flap_friction=to_si("friction_mN_m", head.friction_mN_m),
        flap_stop=to_si("stop_deg", head.stop_deg),
        flap_stop_stiffness=STOP_RATE * about_hinge * (rotor.blades / flaps if flaps else 1.0),
        stop_damping=STOP_DAMPING,
        elements=run.blade_elements,
        el_x=e.x - offset,
        el_cos=np.cos(e.pitch),
        el_sin=np.sin(e.pitch),
        el_chord=e.chord,
        el_damping=math.pi * rho * e.chord**3 * e.dr / 16.0,
        el_y_quarter=quarter,
        rotor_alpha_zero=zero_lift_angle(section_table(rotor.section)),
        inflow_mode={"none": NO_INFLOW, "frozen": FROZEN, "dynamic": DYNAMIC}[run.inflow],
        ground_effect=int(scenario.room.ground_effect),
        ceiling=scenario.room.ceiling_m if scenario.room.ceiling_m is not None else math.inf,
        wall_north=0.5 * scenario.room.length_m if scenario.room.length_m is not None else math.inf,
        wall_east=0.5 * scenario.room.width_m if scenario.room.width_m is not None else math.inf,
    )
    fill_bar(params, bar, rho, nu, run)
    set_bar(params, craft)
    if scenario.force is not None:
        fill(params, own_force=scenario.force.address_on(scenario))
    wound = scenario.skein
    fill(params, skein=motor_of(craft.skein, temperature).wound(wound.turns - wound.backed_off)[0])
    if craft.tail is not None:
        fill_tail(numbers, craft.tail, rho, nu, run, wound.tail_turns, temperature)
    p = params[0]
    p["locked"][BAR] = int(not tilts.tilts)
    p["locked"][TAIL] = int(p["tail_mass"] == 0.0 or p["cord_mode"] == GRIPS)
    if run.radial_inflow == "annular":
        inflow_shapes(numbers, craft, e, run.tip_loss)
    fill_airframe(numbers, craft, rho)
    if p["tail_mass"] > 0.0:
        p["tail_wash_down"], p["tail_wash_up"] = wash_at(numbers, p["tail_place"])
    return numbers
