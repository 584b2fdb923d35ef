"""The bar's lead against the rule of the lead: a first guess, of which only a flight tells whether it is right."""

from __future__ import annotations

import math
from typing import Final

from paddlebar.checks.drive import Drive
from paddlebar.checks.findings import Finding
from paddlebar.checks.weights import Balance
from paddlebar.files.craft import Craft
from paddlebar.files.kinds import BARS

FAR_DEG: Final = 25.0  # from the rule: beyond the window of leads that hold the craft tried here; own choice


def rule_deg(driven: Drive, level: Balance) -> float:
    """Lead by the rule [deg]; nan for a craft that cannot hover or hangs above its hub.

    L = 90 deg + atan(Q / (2 T h)), Q and T torque and thrust in hover, h the hub's height above the centre of gravity
    Source : references 3.6 [C]
    """
    torque, height = driven.hover_torque_nm, 1e-3 * level.below_hub_mm
    if not (math.isfinite(torque) and height > 0.0):
        return math.nan
    return 90.0 + math.degrees(math.atan(torque / (2.0 * driven.weight_n * height)))


def lead_findings(craft: Craft, driven: Drive, level: Balance) -> list[Finding]:
    """Said of a lead far from the rule, a linkage the other way round counted as half a turn."""
    bar = craft.bar
    rule = rule_deg(driven, level)
    if not BARS[bar.kind].tilts or bar.gain == 0.0 or not math.isfinite(rule):
        return []
    acts = bar.lead_deg if bar.gain > 0.0 else bar.lead_deg + 180.0
    if abs((acts - rule + 180.0) % 360.0 - 180.0) <= FAR_DEG:
        return []
    wanted = rule if bar.gain > 0.0 else rule - 180.0
    says = (
        f"lead {bar.lead_deg:g} deg with gain {bar.gain:g}: the rule of the lead gives {wanted:.0f} deg for this craft"
    )
    return [Finding("look", "bar.lead_deg", says, f"begin with {wanted:.0f} deg; a flight tells what holds it")]
