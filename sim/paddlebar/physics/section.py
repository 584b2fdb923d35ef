"""Section coefficients by table: any angle of attack, Reynolds-number dependent."""

from __future__ import annotations

import math

import numpy as np

from paddlebar.physics.compiled import jitted

# which of the tables; numbers of numpy's, since for a bare one numba compiles whoever takes it anew
OF_BLADE, OF_PADDLE, OF_TAIL = np.int64(0), np.int64(1), np.int64(2)
LIFT, DRAG, MOMENT = 0, 1, 2  # last index of a table

N_RE = 17
N_ALPHA = 363
ALPHA_FIRST_DEG = -181.0
RE_FIRST = 2000.0
RE_STEP_LOG2 = 0.5

_DEG = 180.0 / math.pi
_LOG_RE_FIRST = math.log(RE_FIRST)
_PER_STEP = 1.0 / (RE_STEP_LOG2 * math.log(2.0))


@jitted
def coefficients(tables, which, alpha, log_re):
    """Lift, drag and quarter-chord moment coefficients of one section.

    tables  : (sections, N_RE, N_ALPHA, 3), cl cd cm (LIFT, DRAG, MOMENT) on one-degree and half-octave nodes [1]
    which   : OF_BLADE, OF_PADDLE or OF_TAIL
    alpha   : angle of attack in [-pi, pi] [rad]
    log_re  : natural logarithm of the Reynolds number; held at the ends of the table [1]
    Returns : (cl, cd, cm) [1]
    Holds for : whatever the table holds for; cubic (Catmull-Rom) in alpha so that the integrator sees continuous
        slopes, linear in log Re
    Source  : the table's own header; the interpolation is common practice, no source
    Checked : tests/physics/test_section.py
    """
    x = (log_re - _LOG_RE_FIRST) * _PER_STEP
    if not x > 0.0:
        x = 0.0
    elif x > N_RE - 1.000001:
        x = N_RE - 1.000001
    j = int(x)
    g = x - j
    a = alpha * _DEG - ALPHA_FIRST_DEG
    if not a > 1.0:
        a = 1.0
    elif a > N_ALPHA - 2.000001:
        a = N_ALPHA - 2.000001
    i = int(a)
    f = a - i
    w0 = f * (-0.5 + f * (1.0 - 0.5 * f))
    w1 = 1.0 + f * f * (-2.5 + 1.5 * f)
    w2 = f * (0.5 + f * (2.0 - 1.5 * f))
    w3 = f * f * (-0.5 + 0.5 * f)
    h = 1.0 - g
    cl = 0.0
    cd = 0.0
    cm = 0.0
    for m in range(2):
        s = h if m == 0 else g
        n = j + m
        cl += s * (
            w0 * tables[which, n, i - 1, LIFT]
            + w1 * tables[which, n, i, LIFT]
            + w2 * tables[which, n, i + 1, LIFT]
            + w3 * tables[which, n, i + 2, LIFT]
        )
        cd += s * (
            w0 * tables[which, n, i - 1, DRAG]
            + w1 * tables[which, n, i, DRAG]
            + w2 * tables[which, n, i + 1, DRAG]
            + w3 * tables[which, n, i + 2, DRAG]
        )
        cm += s * (
            w0 * tables[which, n, i - 1, MOMENT]
            + w1 * tables[which, n, i, MOMENT]
            + w2 * tables[which, n, i + 1, MOMENT]
            + w3 * tables[which, n, i + 2, MOMENT]
        )
    return cl, cd, cm
