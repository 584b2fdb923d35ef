"""Parts that a builder took for alike, named one by one, so that studies may ask what a difference between them does."""

from __future__ import annotations

from typing import Any

from paddlebar.files.kinds import BARS
from paddlebar.files.scenario import Scenario


def one_by_one(scenario: Scenario) -> Scenario:
    """The same scenario, with the mass and pitch of each blade and the mass of each bar tip said where no file says them: all alike."""
    craft = scenario.craft
    rotor, bar = craft.rotor, craft.bar
    blades: dict[str, Any] = {"blade_masses_g": rotor.masses_g(), "blade_pitches_deg": rotor.pitches_deg()}
    tips: dict[str, Any] = {"tip_masses_g": bar.tips_g()} if BARS[bar.kind].present and bar.tip_mass_g > 0.0 else {}
    tables = {
        name: table.model_copy(update={key: value for key, value in each.items() if getattr(table, key) is None})
        for name, table, each in (("rotor", rotor, blades), ("bar", bar, tips))
    }
    return scenario.model_copy(update={"craft": craft.model_copy(update=tables)})
