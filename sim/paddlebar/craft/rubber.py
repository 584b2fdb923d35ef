"""What a skein is as rubber: its section, when it breaks, how far it is set, how wide its loop of winding and unwinding is."""

from __future__ import annotations

import math

from paddlebar.files.craft import Skein, skein_mass_g
from paddlebar.physics.skein_limits import breaking_turns
from paddlebar.units import to_si


def section_of(skein: Skein) -> float:
    """Section of all strands, unstretched, mass / (density x length), however it was entered [m^2]."""
    return to_si("mass_g", skein_mass_g(skein)) / (skein.density_kg_m3 * to_si("length_mm", skein.length_mm))


def allowed_turns(skein: Skein) -> float:
    """Breaking turns of a skein as described [turns]. Source: see ``physics.skein_limits.breaking_turns``."""
    return breaking_turns(to_si("length_mm", skein.length_mm), section_of(skein), skein.breaking_constant)


def half_loss(loss: float) -> float:
    """Half width h of the loss loop: winding takes 1 + h, unwinding gives 1 - h, so loss = 2h/(1+h) of what was put in [1]."""
    return loss / (2.0 - loss)


def warmth(skein: Skein, temperature: float) -> float:
    """Torque at a temperature [K] over that at the skein's reference (references 6.4); never below 0.1, by the range of percent_per_K [1]."""
    return 1.0 + skein.percent_per_K / 100.0 * (temperature - to_si("reference_C", skein.reference_C))


def set_after_backing_off(backed_off: float, settle: float) -> float:
    """Set of the rubber after letting back so many turns from full winding, -1 + 2 exp(-turns/settle) (solution of set_rate) [1]."""
    return -1.0 + 2.0 * math.exp(-backed_off / settle)
