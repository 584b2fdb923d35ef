"""Numbers of the tail rotor and its drive."""

from __future__ import annotations

from paddlebar.craft.blades import tail_elements
from paddlebar.craft.motors import motor_of
from paddlebar.craft.numbers import Numbers, fill, fill_elements
from paddlebar.craft.sections import section_table, zero_lift_angle
from paddlebar.craft.standing import tail_of
from paddlebar.files.craft import Tail
from paddlebar.files.scenario import Run
from paddlebar.physics.cord import GRIPS, NO_CORD, grip_torque
from paddlebar.units import to_si


def fill_tail(numbers: Numbers, tail: Tail, rho: float, nu: float, run: Run, turns: float, temperature: float) -> None:
    params = numbers.params
    disc = tail_of(tail)
    radius, mass = to_si("radius_mm", tail.radius_mm), to_si("mass_g", tail.mass_g)
    polar = mass * radius**2 / 3.0  # blades as uniform rods from the hub; own simplification
    e = tail_elements(tail, run.tail_elements)
    fill_elements(params, "tail", e, rho, nu, run.stall_delay)
    pulley = to_si("tail_pulley_mm", tail.tail_pulley_mm)
    fill(
        params,
        tail_place=disc.place,
        tail_axis=disc.axis,
        tail_one=disc.one,
        tail_two=disc.two,
        tail_hand=params[0]["hand"],
        tail_mass=mass,
        tail_polar=polar,
        tail_diametral=0.5 * polar,
        tail_radius=radius,
        tail_blades=tail.blades,
        tail_elements=run.tail_elements,
        tail_alpha_zero=zero_lift_angle(section_table(tail.section)),
        tail_friction=to_si("friction_mN_m", tail.friction_mN_m),
        cord_mode=NO_CORD,
        cord_sense=1.0,
    )
    if tail.drive == "cord":
        limit = grip_torque(
            to_si("cord_tension_mN", tail.cord_tension_mN),
            to_si("cord_wrap_deg", tail.cord_wrap_deg),
            tail.cord_friction,
            0.5 * pulley,
        )
        fill(params, cord_mode=GRIPS, cord_ratio=tail.drive_pulley_mm / tail.tail_pulley_mm, cord_limit=limit)
        fill(params, cord_loss=to_si("loss_percent", tail.loss_percent))
    elif tail.skein is not None:
        fill(params, tail_skein=motor_of(tail.skein, temperature).wound(turns)[0])
