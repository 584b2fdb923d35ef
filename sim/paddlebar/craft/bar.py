"""Numbers of the paddle bar."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.blades import bar_mass, gauss, helmbold
from paddlebar.craft.numbers import STOP_RATE, fill
from paddlebar.craft.parts import ROD_CD
from paddlebar.files.craft import Bar, Craft
from paddlebar.files.kinds import BARS
from paddlebar.files.scenario import Run
from paddlebar.units import to_si

SPHERE_CD = 0.5  # from memory


def fill_bar(params: NDArray[np.void], bar: Bar, rho: float, nu: float, run: Run) -> None:
    """Fixed numbers of the bar; what depends on what is still there comes from set_bar."""
    kind = BARS[bar.kind]
    if not kind.present:
        return
    fill(
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
    fill(params, bar_lumps=3, bar_lump_x=np.array([*x, arm]), bar_lump_shape=np.ones(3))
    half = 0.5 * rho * np.array([*(wire * dr), sphere if bar.tip_mass_g > 0.0 else 0.0])
    fill(params, bar_half_drag=np.array([half, half]))
    span, chord = to_si("paddle_span_mm", bar.paddle_span_mm), to_si("paddle_chord_mm", bar.paddle_chord_mm)
    if span > 0.0 and chord > 0.0:
        centre = to_si("paddle_centre_mm", bar.paddle_centre_mm)
        x, dr = gauss(centre - 0.5 * span, centre + 0.5 * span, run.paddle_elements)
        fill(
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


def set_bar(
    params: NDArray[np.void],
    craft: Craft,
    tips: tuple[float, float] = (1.0, 1.0),
    paddles: tuple[float, float] = (1.0, 1.0),
) -> None:
    """Mass of the bar with what is still on it (1 there, 0 lost, for arm 1 and 2), and what the air still finds."""
    bar = craft.bar
    if not BARS[bar.kind].present:
        return
    mass, centre, inertia = bar_mass(bar, tips, paddles)
    fill(params, bar_mass=mass, bar_centre=centre, bar_inertia=inertia)
    p = params[0]
    for k in range(2):
        if tips[k] == 0.0:
            p["bar_half_drag"][k, 2] = 0.0
        if paddles[k] == 0.0:
            p["paddle_on"][k] = 0.0
    across = float(inertia[1, 1]) + mass * float(centre[0]) ** 2
    fill(params, bar_stop_stiffness=STOP_RATE * across)
