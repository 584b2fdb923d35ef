"""The head: hub and roots of the blades, from the side and from above, nose to the right, blade 1 over the tail."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from paddlebar.craft.shape import arms_of, blade_azimuth, hub_of
from paddlebar.files.craft import Craft
from paddlebar.files.kinds import BARS, HEADS
from paddlebar.sheet.dims import ROW, Measure, arrow, figure, measures_in_rows
from paddlebar.sheet.outline import edges
from paddlebar.sheet.page import CHAIN, MID, THICK, THIN, Page, Spot2
from paddlebar.sheet.scale import BAR_ROOM, View, beside_the_bar, fitting, scale_bar
from paddlebar.sheet.views import from_above

EDGE: Final = 1.8  # leading edges are so thick [point]
ARCS: Final = 40
ARM: Final = 0.7  # an arm of the bar is drawn so far, as a share of a blade's root
SHAFT_MM: Final = 12.0  # of the shaft that is drawn below the hub


def head_page(craft: Craft) -> Page:
    """The page."""
    page = Page("Head", craft.name, landscape=True)
    rotor, bar = craft.rotor, craft.bar
    stub = max(min(rotor.root_mm + 0.9 * rotor.chord_mm, rotor.radius_mm), 0.8 * craft.shaft.hub_diameter_mm)
    height = bar.height_mm if BARS[bar.kind].present else 0.0
    rise = stub * math.sin(math.radians(craft.head.precone_deg))
    up, down = max(height, rise, 3.0) + 3.0, max(SHAFT_MM, -height, -rise)
    across = _across(craft, stub)
    rows = 2.0 * ROW + 36.0
    room = (page.right - page.left - 60.0, page.high - page.low - BAR_ROOM - rows)
    scale = fitting(2.0 * stub, up + down + 2.0 * across, *room, largest=2.0)
    x = 0.5 * (page.left + page.right)
    spare = max(room[1] - (up + down + 2.0 * across) * scale, 0.0)
    side = View(scale, x, page.high - 13.0 - 0.3 * spare - up * scale)
    plan = View(scale, x, side.y0 - (down + across) * scale - 13.0 - 0.3 * spare)
    _side(page, side, craft, stub, height)
    _above(page, plan, craft, stub, across)
    top = page.high
    for words in _words(craft):
        top = page.paragraph(page.left, top, words, page.right - page.left)
    beside_the_bar(
        page, "Above: from the right. Below: from above. Nose to the right; blade 1 over the tail. Thick: leading edge."
    )
    scale_bar(page, scale, page.left + 4.0, page.low + 5.0)
    return page


def _across(craft: Craft, stub: float) -> float:
    """Half the height of the plan [mm]."""
    blades = craft.rotor.blades
    widest = float(np.abs(np.sin(blade_azimuth(0.0, np.arange(blades), blades))).max())
    return max(stub * widest, 0.5 * craft.rotor.chord_mm, ARM * stub) + 3.0


class _Plan:
    """The hub's plane from above as it lies on paper: the shaft upright, the nose to the right."""

    def __init__(self, view: View, craft: Craft) -> None:
        self.view, self.hub = view, hub_of(craft.shaft).upright()

    def at(self, azimuth: float, out: float, ahead: float = 0.0) -> Spot2:
        """So far out from the shaft along an azimuth, and ahead of that in the sense of rotation [mm]."""
        place = out * self.hub.out(azimuth) + ahead * self.hub.ahead(azimuth)
        return self.view.at(*from_above((float(place[0]), float(place[1]), 0.0)))

    def angle(self, azimuth: float) -> float:
        """Angle of an azimuth on paper [rad]."""
        x, y, _ = self.hub.out(azimuth).tolist()
        return math.atan2(-y, x)


def _side(page: Page, view: View, craft: Craft, stub: float, height: float) -> None:
    """Blades 1 and, where there is one, opposite, with their precone; hub, shaft, hinge of the bar."""
    rotor, head, hub = craft.rotor, craft.head, 0.5 * craft.shaft.hub_diameter_mm
    cone = math.radians(head.precone_deg)
    page.line([view.at(0.0, -SHAFT_MM), view.at(0.0, max(height, 0.0))], width=2.0 * THICK)
    page.line([view.at(-hub, 0.0), view.at(hub, 0.0)], width=4.0 * THICK)
    page.line([view.at(-stub, 0.0), view.at(stub, 0.0)], color=MID, linestyle=CHAIN)
    for side in (-1.0, 1.0) if rotor.blades % 2 == 0 else (-1.0,):
        places = [view.at(side * r * math.cos(cone), r * math.sin(cone)) for r in (0.0, rotor.root_mm, stub)]
        page.line(places[:2], width=THICK)
        page.line(places[1:], width=max(EDGE, rotor.thickness_mm * view.scale / 25.4 * 72.0))
    offset = HEADS[head.kind].hinge_offset(head.hinge_offset_mm)
    if offset > 0.0:
        page.disc(*view.at(-offset, 0.0), 0.9, face="white", width=THICK, zorder=6)
        hinge = Measure(view.at(0.0, 0.0), view.at(-offset, 0.0), f"hinge {figure(offset)}")
        measures_in_rows(page, [hinge], "along", view.at(0.0, -SHAFT_MM)[1] - 3.0, -ROW)
    if BARS[craft.bar.kind].present and height:
        page.disc(*view.at(0.0, height), 0.9, face="white", width=THICK, zorder=6)
        measure = Measure(view.at(0.0, 0.0), view.at(0.0, height), f"bar's hinge {figure(abs(height))}")
        measures_in_rows(page, [measure], "up", view.at(stub, 0.0)[0] + 8.0, ROW)
    if head.precone_deg:
        page.label(
            view.at(-stub, 0.0)[0] - 14.0,
            view.at(0.0, 0.5 * stub * math.sin(cone))[1],
            f"precone {head.precone_deg:g} deg",
        )


def _above(page: Page, view: View, craft: Craft, stub: float, across: float) -> None:
    """Hub, roots, arms of the bar, their lead, the sense of rotation."""
    rotor, plan = craft.rotor, _Plan(view, craft)
    hub = 0.5 * craft.shaft.hub_diameter_mm
    page.disc(*view.at(0.0, 0.0), hub * view.scale, width=THICK, face="white", zorder=3)
    r, chord, _, ahead = edges(rotor)
    keep = r <= stub + 1e-9
    r, chord, ahead = r[keep], chord[keep], ahead[keep]
    azimuths = blade_azimuth(0.0, np.arange(rotor.blades), rotor.blades).tolist()
    for azimuth in azimuths:
        leading = [plan.at(azimuth, a, b) for a, b in zip(r, ahead, strict=True)]
        trailing = [plan.at(azimuth, a, b) for a, b in zip(r, ahead - chord, strict=True)]
        page.line([leading[-1], leading[0], trailing[0], trailing[-1]], width=THIN)
        page.line(leading, width=EDGE)
        page.line([leading[-1], trailing[-1]], color=MID, linestyle=(0, (2, 2)))
        page.line([plan.at(azimuth, 0.0), plan.at(azimuth, float(r[-1]))], color=MID, linestyle=CHAIN)
    arms = arms_of(craft)
    if arms is not None:
        lead = float(arms.azimuth(0.0))
        _arms(page, plan, craft, stub, lead)
    for number, azimuth in enumerate(azimuths, start=1):
        spot = plan.at(azimuth, 0.55 * float(r[0] + r[-1]), 0.3 * float(ahead[0] - chord[0]))
        page.label(*spot, f"blade {number}")
    _sense(page, plan, stub, azimuths if arms is None else [*azimuths, lead, lead + math.pi])
    low = view.at(0.0, -across)[1]
    below = [Measure(view.at(-hub, 0.0), view.at(hub, 0.0), f"hub {figure(2.0 * hub)}")]
    below.append(Measure(view.at(0.0, 0.0), view.at(-rotor.root_mm, 0.0), f"root {figure(rotor.root_mm)}"))
    measures_in_rows(page, below, "along", low - 2.0, -ROW)
    ends = [plan.at(0.0, float(r[0]), float(b)) for b in (ahead[0], ahead[0] - chord[0])]
    measures_in_rows(
        page, [Measure(ends[0], ends[1], f"chord {figure(float(chord[0]))}")], "up", view.at(-stub, 0.0)[0] - 6.0, -ROW
    )


def _arms(page: Page, plan: _Plan, craft: Craft, stub: float, lead: float) -> None:
    """The bar's wire across the hub as far as it is drawn, and its lead over blade 1 [rad]."""
    bar = craft.bar
    shown = min(bar.arm_mm, ARM * stub)
    page.line(
        [plan.at(lead, s * shown) for s in (1.0, -1.0)],
        width=max(THICK, bar.wire_diameter_mm * plan.view.scale / 25.4 * 72.0),
    )
    out = max(0.45 * stub, 0.6 * craft.shaft.hub_diameter_mm)
    turn = [plan.at(lead * k / ARCS, out) for k in range(ARCS + 1)]
    page.line(turn)
    if abs(bar.lead_deg) > 10.0:
        arrow(page, turn[-1], turn[-3])
    page.label(*plan.at(0.5 * lead, out), f"lead {bar.lead_deg:g} deg")
    for number, azimuth in ((1, lead), (2, lead + math.pi)):
        page.label(*plan.at(azimuth, shown), f"arm {number}")


def _sense(page: Page, plan: _Plan, stub: float, taken: list[float]) -> None:
    """An arrow in the sense of rotation, in the widest gap between what is drawn; of equal ones the first from the nose round by the left."""
    turns = sorted(each % (2.0 * math.pi) for each in taken)
    gaps = [(b - a, 0.5 * (a + b)) for a, b in zip(turns, [*turns[1:], turns[0] + 2.0 * math.pi], strict=True)]

    def place(gap: tuple[float, float]) -> tuple[float, float]:
        wide, middle = gap
        return round(wide, 3), -((plan.angle(middle) - 0.5 * wide + 1e-6) % (2.0 * math.pi))

    wide, middle = max(gaps, key=place)
    half = min(0.3, 0.3 * wide)
    line = [plan.at(middle + half * (k / 10.0 - 1.0), ARM * stub) for k in range(21)]
    page.line(line, width=THICK)
    arrow(page, line[-1], line[-3])
    page.label(*plan.at(middle, 0.52 * stub), "turns so")


def _words(craft: Craft) -> list[str]:
    """What cannot be drawn."""
    head, shaft, rotor = craft.head, craft.shaft, craft.rotor
    words = f"Head: {head.kind} ({HEADS[head.kind].says})."
    if HEADS[head.kind].hinged:
        words += f" The blades' stops are at {head.stop_deg:g} deg up and down."
    if head.delta3_deg:
        words += f" Hinge askew by {head.delta3_deg:g} deg (delta-3): a blade that rises lowers its pitch if positive."
    words += f" Pitch of the blades {rotor.collective_deg:g} deg at 75 % of the radius."
    lean = f"The shaft's top leans {shaft.tilt_forward_deg:g} deg to the nose and {shaft.tilt_right_deg:g} deg to the right."
    return [f"{words} {lean}" if shaft.tilt_forward_deg or shaft.tilt_right_deg else words]
