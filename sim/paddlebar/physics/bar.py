"""The air on the paddle bar: paddles, wire and tip masses."""

from __future__ import annotations

import math

from paddlebar.physics.blade import element_load
from paddlebar.physics.compiled import jitted
from paddlebar.physics.section import OF_PADDLE
from paddlebar.physics.vectors import scale


@jitted
def arm_loads(p, tables, arm, v, w, shaft, v0):
    """Load of the air on one arm of the bar, in the arm's axes: out along the arm, forward, up (right-handed for a counter-clockwise rotor).

    p, tables  : parameters (paddle_*, bar_*), section tables;  arm : 0 or 1
    v          : velocity of the bar's hinge through the undisturbed air [m/s];  w : angular rate of the bar [rad/s]
    shaft      : the shaft axis [1];  v0 : uniform inflow of the main rotor [m/s]
    Returns    : force forward and up [N]; moment about the hinge, components of the right-hand rule times hand (3) [N m]
    Source     : element_load with the lift slope of a short wing (Helmbold, references section 2.1 [C]); wire and tip masses as
        bodies of drag area cd d l (cylinder across the wind 1.2, sphere 0.5; references 2.1 [M], sphere from memory)
    Checked    : tests/reference/test_bar_following.py (damping of a paddle), tests/physics/test_bar.py
    """
    _, v2, v3 = v
    _, w2, w3 = scale(p.hand, w)
    _, a2, a3 = shaft
    f2 = 0.0
    f3 = 0.0
    m1 = 0.0
    m2 = 0.0
    m3 = 0.0
    if p.paddle_on[arm] > 0.0:
        section = (OF_PADDLE, 0.0, p.paddle_slope)
        for k in range(p.paddle_elements):
            x = p.paddle_x[k]
            vi = v0 * p.paddle_shape[k]
            strip = (p.paddle_pitch, p.paddle_log_chord, p.paddle_half_area[k], 0.0)
            ut = v2 + w3 * x + vi * a2
            up = w2 * x - v3 - vi * a3
            normal, forward, couple, _ = element_load(tables, section, strip, ut, up)
            f2 += forward
            f3 += normal
            m1 += couple * p.paddle_chord
            m2 -= x * normal
            m3 += x * forward
    for k in range(p.bar_lumps):
        area = p.bar_half_drag[arm, k]
        if area > 0.0:
            x = p.bar_lump_x[k]
            vi = v0 * p.bar_lump_shape[k]
            ut = v2 + w3 * x + vi * a2
            up = w2 * x - v3 - vi * a3
            drag = area * math.sqrt(ut * ut + up * up)
            forward = -drag * ut
            normal = drag * up
            f2 += forward
            f3 += normal
            m2 -= x * normal
            m3 += x * forward
    return (f2, f3), (m1, m2, m3)
