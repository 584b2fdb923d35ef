"""What a bar does for its craft: the same craft with the bar disconnected is the measure.

Disconnected means that the linkage is taken off (gain 0) while the bar stays on the hub, free to tilt: mass, inertia, drag and thrust
are then the same and only what the linkage does differs. Taking the bar off altogether would compare with a lighter craft that climbs
faster and turns its rotor otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from paddlebar.craft.build import Numbers, build
from paddlebar.errors import CannotTrim
from paddlebar.files.scenario import Scenario
from paddlebar.physics import bodies
from paddlebar.stability.branches import carried, steady_motions
from paddlebar.stability.equilibrium import Equilibrium, from_more_torque
from paddlebar.stability.return_map import ReturnMap, freeze

STABILISES, SLOWS, NO_HELP, REVERSES = "stabilises", "slows the fall", "no help", "reverses"
VERDICTS = (STABILISES, SLOWS, NO_HELP, REVERSES)

FOLLOWED = 2  # steady motions, the steadiest, while the bar is changed to find its margins
BAND_SHARE, BAND_LEAST = 0.05, 0.02  # of the growth without, and [1/s]: what counts as no difference; own choice


def band(without: float) -> float:
    """Difference in growth that counts as none [1/s]."""
    return max(BAND_SHARE * abs(without), BAND_LEAST)


def verdict(with_bar: float, without: float) -> str:
    """Words for two growth rates [1/s]."""
    if with_bar < 0.0:
        return STABILISES
    if with_bar < without - band(without):
        return SLOWS
    return REVERSES if with_bar > without + band(without) else NO_HELP


def by_flights(grown: str, controlled_s: float, beside_s: float) -> str:
    """Words where the craft's own flight speaks too: it is out of control before it comes to the steady motion, or growth says that the bar reverses.

    grown : verdict of the growth rates;  controlled_s, beside_s : in control with the bar and with it disconnected [s]
    """
    if grown == REVERSES:
        return REVERSES if controlled_s < (1.0 - BAND_SHARE) * beside_s else NO_HELP
    return SLOWS if controlled_s > (1.0 + BAND_SHARE) * beside_s else NO_HELP


def outside(which: str, with_bar: float, without: float) -> float:
    """How far two growth rates lie from the region of a verdict [1/s]: negative inside, zero on its edge, continuous across."""
    if which == STABILISES:
        return with_bar
    low, high = without - band(without), without + band(without)
    if which == SLOWS:
        return max(-with_bar, with_bar - low)
    if which == REVERSES:
        return max(-with_bar, high - with_bar)
    return max(-with_bar, low - with_bar, with_bar - high)


def disconnected(numbers: Numbers) -> Numbers | None:
    """The same craft with the linkage off and the bar free to tilt; None if it carries no bar."""
    left = numbers.copy()
    p = left.params[0]
    if p["bar_mass"] == 0.0:
        return None
    p["feather_share"] = 0.0
    p["locked"][bodies.BAR] = 0
    return left


@dataclass(frozen=True)
class Change:
    """A change of the bar: its gain by a factor, its lead by so many degrees, its tip masses by so many grams each."""

    gain: float = 1.0
    lead_deg: float = 0.0
    mass_g: float = 0.0


def changed(scenario: Scenario, change: Change) -> Numbers:
    """Numbers of the craft with its bar changed."""
    bar = scenario.craft.bar
    bar = bar.model_copy(
        update={
            "gain": bar.gain * change.gain,
            "lead_deg": bar.lead_deg + change.lead_deg,
            "tip_mass_g": bar.tip_mass_g + change.mass_g,
        }
    )
    return build(scenario.model_copy(update={"craft": scenario.craft.model_copy(update={"bar": bar})}))


class Branch:
    """Worst growth at one number of turns while the bar is changed step by step.

    All steady motions that the design has are followed from point to point; the steadiest of those that are still there counts. Where all
    of them end (two meet and vanish), those that can be found anew take their place, and the growth jumps.

    compare : False where only the growth with the bar is asked for; that without is then nan
    """

    def __init__(
        self,
        scenario: Scenario,
        turns: float,
        near: Sequence[Equilibrium],
        near_without: Equilibrium | None,
        compare: bool = True,
    ) -> None:
        self.scenario = scenario
        self.compare = compare
        self.turns = turns
        self.near = tuple(near)
        self.near_without = near_without
        self._without: dict[float, float] = {}

    def twin(self) -> Branch:
        """Another one at the same design, to be moved about by itself."""
        return Branch(self.scenario, self.turns, self.near, self.near_without, self.compare)

    def _steady(self, numbers: Numbers, near: Sequence[Equilibrium], jump: bool) -> tuple[Equilibrium, ...]:
        map_ = ReturnMap(freeze(numbers, self.turns))
        place = carried(map_, near)
        if place.found:
            return place.found
        if not jump:
            raise CannotTrim("none of the steady motions goes on", place.miss)
        anew = steady_motions(map_)
        return anew.found[:FOLLOWED] or (from_more_torque(map_, anew.miss),)

    def growth(self, change: Change, jump: bool = True) -> tuple[float, float]:
        """Worst growth with the bar and with it disconnected [1/s]; jump: to another steady motion if need be. Raises CannotTrim."""
        numbers = changed(self.scenario, change)
        found = self._steady(numbers, self.near, jump)
        self.near = found
        if not self.compare:
            return found[0].growth, math.nan
        without = self._without.get(change.mass_g)  # neither gain nor lead matters to a bar that is disconnected
        if without is None:
            free = disconnected(numbers)
            assert free is not None
            beside = [self.near_without] if self.near_without is not None else []
            self.near_without = self._steady(free, beside, jump=True)[0]
            without = self.near_without.growth
            self._without[change.mass_g] = without
        return found[0].growth, without
