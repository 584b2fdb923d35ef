"""Limits that need physics or geometry, and a whole scenario at once: turns against what a skein takes, room to turn."""

from __future__ import annotations

from paddlebar.craft.clear import check_clear
from paddlebar.craft.motors import motor_of
from paddlebar.files.scenario import Scenario


def check_limits(scenario: Scenario) -> None:
    """Raise BadInput when something that turns strikes something (clear.py), or a skein, be it the tail's own, is wound past its breaking
    turns or past what is known of its torque.

    A measured torque curve is believed as far as it goes, be it past the breaking turns of the formula: the skein was wound so far and held.
    No further: nobody knows what it gives there.
    """
    craft = scenario.craft
    check_clear(craft)
    wound = [("turns", scenario.skein.turns, craft.skein)]
    if craft.tail is not None and craft.tail.skein is not None:
        wound.append(("tail_turns", scenario.skein.tail_turns, craft.tail.skein))
    for key, turns, skein in wound:
        motor = motor_of(skein)
        if turns > motor.known:
            raise scenario.bad(f"skein.{key}", f"{motor.kind.too_many(skein)}, found {turns:g}")
