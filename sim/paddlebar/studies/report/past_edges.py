"""What becomes of a bar beyond each edge of its verdict: on which side it holds the craft, which the edge alone does not tell."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from paddlebar.craft.build import build
from paddlebar.craft.knobs import tolerance
from paddlebar.errors import BadInput, CannotTrim
from paddlebar.files.scenario import Scenario
from paddlebar.progress import SILENT, Progress
from paddlebar.stability.analysis import FOLLOWED, half_way
from paddlebar.stability.result import Margins
from paddlebar.stability.verdict import Branch, Change, verdict

PAST: Final = 2.0  # tolerances of a builder (craft/knobs.py) past an edge, so that who aims there arrives; own choice
MOST: Final = 6


@dataclass(frozen=True)
class Beyond:
    """A place past an edge.

    key : of the bar, "gain", "lead_deg" or "tip_mass_g";  own, value : as built and there, in the unit of the key
    """

    key: str
    own: float
    value: float

    @property
    def words(self) -> str:
        """The change for a builder."""
        return f"bar.{self.key} from {self.own:g} to {self.value:g}"

    @property
    def change(self) -> Change:
        """The same for the margins."""
        if self.key == "gain":
            return Change(gain=self.value / self.own)
        return (
            Change(lead_deg=self.value - self.own) if self.key == "lead_deg" else Change(mass_g=self.value - self.own)
        )


def places(scenario: Scenario, found: Margins) -> list[Beyond]:
    """Just past each edge of the verdict that was found; none without a bar."""
    bar, out = scenario.craft.bar, []
    pairs = {
        "gain": (bar.gain, [None if f is None else bar.gain * f for f in found.gain_margin]),
        "lead_deg": (bar.lead_deg, [None if d is None else bar.lead_deg + d for d in found.lead_margin_deg]),
        "tip_mass_g": (bar.tip_mass_g, [None if d is None else bar.tip_mass_g + d for d in found.mass_margin_g]),
    }
    for key, (own, edges) in pairs.items():
        for edge in edges:
            if edge is not None and edge != own:
                outward = math.copysign(PAST * tolerance(f"craft.bar.{key}"), edge - own)
                out.append(Beyond(key, own, float(f"{edge + outward:.3g}")))
    return out


def looked_at(scenario: Scenario, beyond: list[Beyond], progress: Progress = SILENT) -> list[tuple[Beyond, str, float]]:
    """Verdict and growth of the fastest growing disturbance [1/s] at each place, at half the turns; without those that cannot be had.

    progress : told of each before it is looked at
    Source   : stability/verdict.py
    """
    turns, place = half_way(scenario, build(scenario))
    out = []
    progress.start(len(beyond[:MOST]))
    for each in beyond[:MOST]:
        progress.step("looking beyond an edge")
        branch = Branch(scenario, turns, place.found[:FOLLOWED], None)
        try:
            here, without = branch.growth(each.change)
        except (CannotTrim, BadInput):
            continue
        out.append((each, verdict(here, without), here))
    return out
