"""Dynamic inflow of a rotor: three states, from climb through the vortex ring to the windmill."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from paddlebar.physics.compiled import jitted

# what `inflow_mode` of the parameters says
NO_INFLOW, FROZEN, DYNAMIC = 0, 1, 2

APPARENT_UNIFORM = 8.0 / (3.0 * math.pi)  # apparent mass over rho A R; references section 3.4 [M], the common choice
APPARENT_HARMONIC = 16.0 / (45.0 * math.pi)  # likewise [M]

_LEAST_FLOW = (
    0.7  # of v_h: what the harmonics are carried away with at least, inside the ring; own choice, no data found
)

# Axial flow in the vortex ring: r = V/v (climb speed over induced speed) against g = (v_h/v)^2, made from the medians of
# W. Castles, R. B. Gray, NACA TN 2474 (1951), Table I, 6-ft untwisted rotor, ten runs [T medians, C]; references section 3.2.
# Two nodes are not measured: r = 0 holds momentum theory (g = 1), the last joins |1 + r| of the windmill at V = -2.6 v_h: joined any
# earlier the curve would fold, since measured 1.00 at 2.35 lies above momentum theory. Two medians are moved inside
# their measured range, 1.57 from 2.42 to 2.28 and 1.65 from 1.84 to 1.95: else the curve falls by more than 0.4 v_h in 0.05 v_h.
_DESCENT = (0.20, 0.40, 0.60, 0.90, 1.05, 1.20, 1.35, 1.50, 1.57, 1.65, 1.80, 1.94, 2.10, 2.35)
_INDUCED = (1.21, 1.47, 1.62, 1.87, 2.11, 2.21, 2.38, 2.52, 2.28, 1.95, 1.64, 1.43, 1.28, 1.00)

_KAPPA = 1.22  # induced power factor of the windmill, see descent_excess


def _monotone_slopes(x: list[float], y: list[float], first: float, last: float) -> list[float]:
    """Slopes of a piecewise cubic without overshoot (F. N. Fritsch, R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238, from memory)."""
    slopes = [first]
    for i in range(1, len(x) - 1):
        left = (y[i] - y[i - 1]) / (x[i] - x[i - 1])
        right = (y[i + 1] - y[i]) / (x[i + 1] - x[i])
        slopes.append(0.0 if left * right <= 0.0 else 2.0 * left * right / (left + right))
    return [*slopes, last]


_R = (-5.540, *(-d / v for d, v in zip(_DESCENT[::-1], _INDUCED[::-1], strict=True)), 0.0)
_G = (4.540, *(1.0 / v**2 for v in _INDUCED[::-1]), 1.0)
_S = tuple(_monotone_slopes(list(_R), list(_G), -1.0, 1.0))


def hover_induced(thrust: Any, rho: float, radius: float) -> Any:
    """Induced velocity of a rotor in hover, (|T| / 2 rho A)^0.5 with the sign of the thrust.

    thrust      : along its axis, a number or an array [N];  rho, radius : [kg/m^3], [m], both above nought
    Returns     : [m/s], of the shape of the thrust
    Source      : axial momentum theory (Glauert), references section 3.1
    Checked     : tests/physics/test_inflow.py
    """
    return np.copysign(np.sqrt(np.abs(thrust) / (2.0 * rho * math.pi * radius**2)), thrust)


@jitted
def axial_flow_factor(ratio):
    """Mass flow through the disc over that of its own induced speed, g = V_eff / v = (v_h / v)^2, in axial flight.

    ratio   : climb speed over induced speed, V/v, negative in descent [1]
    Returns : g [1]; momentum theory gives |1 + V/v|, kept for V >= 0 and for V/v <= -5.54
    Holds for : climb, hover, vortex ring, turbulent wake, windmill; single-valued
    Source  : momentum theory (Glauert) and the medians of NACA TN 2474 (1951) Table I [T]; references sections 3.1, 3.2
    Checked : tests/reference/test_vortex_ring.py, test_momentum.py
    """
    if ratio >= 0.0 or ratio <= _R[0]:
        return abs(1.0 + ratio)
    i = 0
    while ratio > _R[i + 1]:
        i += 1
    h = _R[i + 1] - _R[i]
    t = (ratio - _R[i]) / h
    u = 1.0 - t
    return u * u * ((1.0 + 2.0 * t) * _G[i] + t * h * _S[i]) + t * t * ((3.0 - 2.0 * t) * _G[i + 1] - u * h * _S[i + 1])


@jitted
def axial_flow(induced, climb, edgewise):
    """Speed of the axial flow that the induced velocity meets, V_eff = v g(V/v), fading to |V + v| in edgewise flight.

    induced  : mean induced velocity v, against the thrust positive [m/s];  climb : speed along the shaft V [m/s]
    edgewise : speed in the disc plane [m/s]
    Returns  : V_eff >= 0 [m/s]
    Source   : axial_flow_factor; the fading with edgewise speed, (edgewise/v)^4, is an own choice: the ring is blown away, no source
    Checked  : tests/physics/test_inflow.py
    """
    through = abs(climb + induced)
    if climb * induced >= 0.0 or abs(climb) >= -_R[0] * abs(induced):
        return through
    fade = edgewise / induced
    fade *= fade
    share = 1.0 / (1.0 + fade * fade)
    return share * abs(induced) * axial_flow_factor(climb / induced) + (1.0 - share) * through


@jitted
def descent_excess(induced, climb):
    """Speed that the thrust pays for beside the induced one: a rotor that sinks turns less of the air's power into its own.

    excess = (kappa - 1) s v,  kappa = 1.22 from V/v = -1.22 on, s between there and hover a cubic of zero end slopes

    induced  : mean induced velocity v, against the thrust positive [m/s];  climb : speed along the shaft V [m/s]
    Returns  : [m/s], of the sign of the induced velocity; thrust times it is lost, thrust itself is not touched
    Holds for : descent; none in hover and climb, where the rings of craft/wake.py hold what uneven inflow costs
    Source   : kappa from W. Castles, R. B. Gray, NACA TN 2474 (1951): rotors without section drag turned freely (dCQ = 0) at 1.87 vh of
        descent on the mean of nine runs, where their induced velocity is 1.53 vh: 1.87/1.53 [T] runs, [C]; references section 3.3.
        Held at 1.22 in faster descent, and in slanting flight too; that, and the way from hover to there, is an own choice
    Checked  : tests/reference/test_autorotation.py, tests/physics/test_inflow.py
    """
    if climb * induced >= 0.0:
        return 0.0
    s = min(-climb / (_KAPPA * induced), 1.0)
    return (_KAPPA - 1.0) * s * s * (3.0 - 2.0 * s) * induced


@jitted
def inflow_rates(inflow, flow, load, rho, radius, turning):
    """Rates of the three inflow states of one rotor, v_i(x, y) = v0 s(r) + vx x/R + vy y/R, downward through the disc positive.

    M0 v0' + rho A V_T [L^-1 v]_0 = T,   M1 v1' + rho A V [L^-1 v]_1 = M/R   (Pitt and Peters gains, dimensional form)

    inflow          : v0, vx, vy: uniform part, slope forward, slope to the right [m/s]
    flow            : velocity of the hub through the air: climb along the shaft, forward, right [m/s]
    load            : thrust on the rotor along the shaft [N]; sum of it times x (forward) and y (right) of where it acts [N m]
    rho, radius     : [kg/m^3], [m]
    turning         : rate of the x-y axes about the shaft [rad/s]; the flow itself does not turn with the body
    Returns         : rates of the inflow [m/s^2]
    Holds for       : disc-wise smooth loads; no radial dynamics, no wake time lag beyond the apparent mass
    Source          : D. M. Pitt, D. A. Peters, Vertica 5 (1981) 21-34; D. A. Peters, N. HaQuang, J. AHS 33(4) (1988) 64-68;
        matrices as restated in references section 3.4 [T], apparent masses [M]
    Checked         : tests/reference/test_dynamic_inflow.py (steady gains, time constants, edgewise coupling)
    """
    v0, vx, vy = inflow
    climb, ux, uy = flow
    thrust, moment_x, moment_y = load
    stream = rho * math.pi * radius * radius
    mu = math.sqrt(ux * ux + uy * uy)
    axial = axial_flow(v0, climb, mu)
    total = math.sqrt(mu * mu + axial * axial)
    mass = stream * radius
    if total > 1e-9:
        harmonic = (mu * mu + (climb + v0) * (climb + 2.0 * v0)) / total
        # momentum theory has no answer inside the ring; v_h = sqrt(v V_T) is what the same thrust induces in hover
        floor = _LEAST_FLOW * math.sqrt(abs(v0) * total)
        if harmonic < floor:
            harmonic = floor
        skew = mu / (total + axial)
    else:
        harmonic = 0.0
        skew = 0.0
    ex = 1.0
    ey = 0.0
    if mu > 1e-9:
        ex = ux / mu
        ey = uy / mu
    along = vx * ex + vy * ey
    across = vy * ex - vx * ey
    moment_along = moment_x * ex + moment_y * ey
    moment_across = moment_y * ex - moment_x * ey
    a = 0.5
    b = 15.0 * math.pi / 64.0 * skew
    d = 2.0 * (1.0 - skew * skew)
    det = a * d + b * b
    rate_0 = (thrust - stream * total * (d * v0 - b * along) / det) / (APPARENT_UNIFORM * mass)
    per = 1.0 / (APPARENT_HARMONIC * mass)
    rate_along = (moment_along / radius - stream * harmonic * (b * v0 + a * along) / det) * per
    rate_across = (moment_across / radius - stream * harmonic * across / (2.0 * (1.0 + skew * skew))) * per
    rate_x = rate_along * ex - rate_across * ey + turning * vy
    rate_y = rate_along * ey + rate_across * ex - turning * vx
    return rate_0, rate_x, rate_y


@jitted
def uniform_rate(v, climb, edgewise, thrust, rho, radius):
    """Rate of a single uniform inflow state (tail rotor), M0 v' + 2 rho A V_T v = T.

    v        : induced velocity, against the thrust positive [m/s];  climb, edgewise : of the hub through the air [m/s]
    thrust   : [N];  rho, radius : [kg/m^3], [m]
    Returns  : [m/s^2]
    Source   : first row of inflow_rates without wake skew
    Checked  : tests/physics/test_inflow.py
    """
    area = math.pi * radius * radius
    axial = axial_flow(v, climb, edgewise)
    total = math.sqrt(edgewise * edgewise + axial * axial)
    return (thrust - 2.0 * rho * area * total * v) / (APPARENT_UNIFORM * rho * area * radius)
