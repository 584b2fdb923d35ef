"""Limits that need physics or geometry, and a whole scenario at once: turns against breaking, room to turn."""

from __future__ import annotations

from paddlebar.craft.clear import check_clear
from paddlebar.craft.standing import skein_section
from paddlebar.files.craft import Skein
from paddlebar.files.scenario import Scenario
from paddlebar.files.units import to_si
from paddlebar.physics.skein_limits import breaking_turns


def allowed_turns(skein: Skein) -> float:
    """Breaking turns of a skein as described; its section is mass / (density x length), however it was entered.

    Source: see ``physics.skein_limits.breaking_turns``.
    """
    return breaking_turns(to_si("length_mm", skein.length_mm), skein_section(skein), skein.breaking_constant)


def check_limits(scenario: Scenario) -> None:
    """Raise BadInput when something that turns strikes something (``strikes``), or a skein is wound past its breaking turns, the tail's too.

    A measured torque curve that goes further than the formula is believed: it was wound so far and held.
    """
    craft = scenario.craft
    check_clear(craft)
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
