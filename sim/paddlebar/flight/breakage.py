"""What breaks in flight: stick or boom under the wound skein, blades on a part. What `check` calls a stop, a flight knows.

A stick that gives way takes the rotor's bearing with it, and a blade that met a part is no blade any more: the flight ends there, since
nothing that these equations know goes on. A boom that gives way hangs on its cord, which slackens: the flight goes on without its tail's
drive (where the hanging tail moves the centre of gravity is not in it). The tail's own stick takes the tail's drive alone.
With `run.breakage = false` all is noted and nothing breaks.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import Numbers
from paddlebar.craft.strength.overload import Overload, overloads
from paddlebar.craft.strikes import fill_zones, zones
from paddlebar.files.scenario import Scenario
from paddlebar.flight import events, layout, mishaps
from paddlebar.physics.compiled import source_of
from paddlebar.physics.cord import NO_CORD
from paddlebar.physics.motor import NONE

Array = NDArray[np.float64]

STICK, BOOM, TAIL_STICK, BLADE = "stick broke", "boom broke", "tail stick broke", "blade struck"
OVERLOADED, PASSED = "overloaded", "blade passed through a part"  # noted, nothing broke
BREAKS = (STICK, BOOM, TAIL_STICK, BLADE)
_NAMES = {"stick": STICK, "boom": BOOM, "tail stick": TAIL_STICK}


@dataclass(frozen=True)
class Broken:
    """name : of the event;  sentence : what broke or would;  ends : the flight."""

    name: str
    sentence: str
    ends: bool = False


class Breakage:
    """What may still break in a flight; puts what the equations must watch into its numbers."""

    def __init__(self, scenario: Scenario, numbers: Numbers) -> None:
        self._breaks, self._craft, self._numbers = scenario.run.breakage, scenario.craft, numbers
        wound = scenario.skein
        self._turns = wound.turns
        self._left = list(overloads(scenario.craft, wound.turns, wound.tail_turns, scenario.air.temperature_C))
        fill_zones(numbers, scenario.craft)

    def at_launch(self, torque: float) -> Iterator[Broken]:
        """What broke or would have by the time of the launch; torque : of the skein now [N m], what was backed off off."""
        wound = f"wound to {self._turns:g} turns, "
        for each in self._left.copy():
            if not self._breaks:
                yield Broken(OVERLOADED, f"{wound}{each.says} (run.breakage is false)")
            elif each.torque_nm > torque:
                yield Broken(OVERLOADED, f"while it was {wound}{each.says}")
        if not self._breaks:
            self._left.clear()
        yield from self.under(torque, wound)

    def under(self, torque: float, when: str = "") -> Iterator[Broken]:
        """What breaks under that torque of the skein [N m]."""
        for each in self._left.copy():
            if each.torque_nm > torque + 1e-12:
                continue
            self._left.remove(each)
            self._take(each)
            yield Broken(_NAMES[each.part], when + each.says, each.part == "stick")
        borne = min((each.torque_nm for each in self._left), default=0.0)
        self._numbers.params[0]["break_torque"] = borne

    def touches(self, state: Array) -> bool:
        """Whether blades meet a part in that state."""
        return bool(source_of(events.strike_room)(state, self._numbers.params.view(np.recarray)[0]) <= 0.0)

    def struck(self, state: Array) -> Broken:
        """Which blade met which part, from the state in which it is about to."""
        p = self._numbers.params.view(np.recarray)[0]
        found = zones(self._craft)  # type: ignore[arg-type]
        plain = source_of(events.strike_room)
        room = []
        for k in range(len(found)):
            one = p.copy()
            one["zones"] = 1
            for name in ("zone_cos", "zone_sin", "zone_limit", "zone_sense"):
                one[name][0] = p[name][k]
            room.append(float(plain(state, one)))
        zone = found[int(np.argmin(room))]
        count, speed = int(p.blades), float(state[layout.ROTOR_SPEED])
        ahead = [
            (zone.azimuth - state[layout.ROTOR_AZIMUTH] - 2.0 * math.pi * i / count) % (2.0 * math.pi)
            for i in range(count)
        ]
        where = f"{1e3 * zone.out_m:.0f} mm from the shaft, at {speed * zone.out_m:.1f} m/s"
        blade = f"blade {int(np.argmin(ahead)) + 1}"
        if not self._breaks:
            return Broken(PASSED, f"{blade} passed through part {zone.part}, {where} (run.breakage is false)")
        return Broken(BLADE, f"{blade} struck part {zone.part}, {where}", ends=True)

    def _take(self, broken: Overload) -> None:
        if broken.part == "boom":
            mishaps.set_cord(self._numbers, NO_CORD)
        elif broken.part == "tail stick":
            self._numbers.params[0]["tail_skein"]["kind"] = NONE
