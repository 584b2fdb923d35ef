"""Loss of lift towards the tip of a blade of finite number."""

from __future__ import annotations

import math

from paddlebar.physics.compiled import jitted


@jitted
def tip_loss(blades, share, sine):
    """Prandtl's factor F = (2/pi) acos exp(-f), f = (Nb/2)(1 - r/R) / (r/R sin phi).

    blades  : Nb [1];  share : r/R [1];  sine : of the inflow angle, its size [1]
    Returns : F in (0, 1] [1]: momentum of an annulus is carried by F of its air
    Source  : L. Prandtl, in A. Betz, Goettinger Nachrichten (1919); any rotor textbook, from memory
    Checked : tests/physics/test_tip_loss.py, tests/reference/test_hover_closed_forms.py (limits), test_castles_gray.py (through the rotor)
    """
    s = abs(sine)
    if s < 1e-4:
        s = 1e-4
    f = 0.5 * blades * (1.0 - share) / (share * s)
    if f > 20.0:
        return 1.0
    return 2.0 / math.pi * math.acos(math.exp(-f))
