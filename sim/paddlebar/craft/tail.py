"""Numbers of the tail rotor and its drive."""

from __future__ import annotations

import numpy as np

from paddlebar.craft import rubber
from paddlebar.craft.blades import tail_elements
from paddlebar.craft.numbers import Numbers, fill, fill_elements
from paddlebar.craft.parts import body_place
from paddlebar.craft.sections import zero_lift_angle
from paddlebar.files.craft import Tail
from paddlebar.files.scenario import Run
from paddlebar.files.units import to_si
from paddlebar.physics.cord import GRIPS, NO_CORD, grip_torque
from paddlebar.physics.section import OF_TAIL


def fill_tail(numbers: Numbers, tail: Tail, rho: float, nu: float, run: Run, turns: float, temperature: float) -> None:
    params = numbers.params
    axis = np.array([0.0, 1.0 if tail.thrust_to == "right" else -1.0, 0.0])
    one = np.array([1.0, 0.0, 0.0])
    radius, mass = to_si("radius_mm", tail.radius_mm), to_si("mass_g", tail.mass_g)
    polar = mass * radius**2 / 3.0  # blades as uniform rods from the hub; own simplification
    e = tail_elements(tail, run.tail_elements)
    fill_elements(params, "tail", e, rho, nu, run.stall_delay)
    pulley = to_si("tail_pulley_mm", tail.tail_pulley_mm)
    fill(
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
        tail_alpha_zero=zero_lift_angle(numbers.tables[OF_TAIL]),
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
        curve = rubber.torque_curve(tail.skein, temperature)
        fill(
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
