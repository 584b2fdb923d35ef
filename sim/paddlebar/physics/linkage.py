"""Which pitch the bar and the flapping give each blade."""

from __future__ import annotations

from paddlebar.physics.compiled import jitted


@jitted
def feathering(share, bar_angle, flap_coupling, flap_angle):
    """Pitch of a blade on top of what is built in, theta_i = k_i eta - tan(delta3) beta_i; linear, so rates obey it too.

    share         : degrees of this blade's pitch per degree of bar tilt [1]; for the blade led by arm 1 it is the gain
    bar_angle     : bar tilt relative to the hub, arm 1 up positive [rad], or its rate [rad/s]
    flap_coupling : tan(delta3) [1]
    flap_angle    : flapping of this blade, up positive [rad], or its rate [rad/s]
    Returns       : pitch, nose up positive [rad], or its rate [rad/s]
    Source        : geometry; delta-3 sign as in Johnson, Helicopter Theory, from memory (pitch falls as the blade rises)
    Checked       : tests/physics/test_linkage.py, tests/reference/test_flapping.py (delta-3 of 45 degrees), test_bar_phase.py
    """
    return share * bar_angle - flap_coupling * flap_angle
