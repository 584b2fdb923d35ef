"""Limits that need physics and a whole scenario at once: turns against breaking."""

from __future__ import annotations

from paddlebar.files.craft import Skein, skein_mass_g
from paddlebar.files.scenario import Scenario
from paddlebar.files.units import to_si
from paddlebar.physics.skein_limits import breaking_turns


def allowed_turns(skein: Skein) -> float:
    """Breaking turns of a skein as described; its section is mass / (density x length), however it was entered.

    Source: see ``physics.skein_limits.breaking_turns``.
    """
    length = to_si("length_mm", skein.length_mm)
    section = to_si("mass_g", skein_mass_g(skein)) / (skein.density_kg_m3 * length)
    return breaking_turns(length, section, skein.breaking_constant)


def check_limits(scenario: Scenario) -> None:
    """Raise BadInput when a skein is wound past its breaking turns; also for the tail's own skein.

    A measured torque curve that goes further than the formula is believed: it was wound so far and held.
    """
    craft = scenario.craft
    wound = [("turns", scenario.skein.turns, craft.skein)]
    if craft.tail is not None and craft.tail.skein is not None:
        wound.append(("tail_turns", scenario.skein.tail_turns, craft.tail.skein))
    for key, turns, skein in wound:
        allowed = allowed_turns(skein)
        if skein.measured is not None:
            allowed = max(allowed, skein.measured[-1][0])
        if turns > allowed:
            rule = f"the skein breaks at {allowed:.0f} turns (breaking_constant {skein.breaking_constant:g})"
            raise scenario.bad(f"skein.{key}", f"{rule}, found {turns:g}")
