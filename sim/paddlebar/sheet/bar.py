"""The bar: from its side with its stops, and from above with its paddles."""

from __future__ import annotations

import math
from typing import Final

from paddlebar.files.craft import Craft
from paddlebar.files.kinds import BARS, feather_share
from paddlebar.files.tables import section_name
from paddlebar.sheet.dims import ROW, Measure, arrow, figure, measures_in_rows
from paddlebar.sheet.page import MID, THICK, THIN, Page
from paddlebar.sheet.scale import BAR_ROOM, View, beside_the_bar, fitting, scale_bar

HORN_MM: Final = 10.0  # of the example that says what a gain means
SHOWN: Final = 0.6  # share of an arm that is drawn at its stop
POINT_MM: Final = 25.4 / 72.0


def bar_page(craft: Craft) -> Page | None:
    """The page; None for a craft without a bar."""
    bar = craft.bar
    if not BARS[bar.kind].present:
        return None
    page = Page("Bar", craft.name, landscape=True)
    reach = _reach(craft)
    lift = SHOWN * bar.arm_mm * math.sin(math.radians(bar.stop_deg)) if BARS[bar.kind].tilts else 2.0
    up, down = max(lift, 4.0), max(lift, bar.height_mm + 8.0)
    half = 0.5 * max(bar.paddle_chord_mm, bar.tip_diameter_mm, craft.shaft.hub_diameter_mm)
    rows = 5.0 * ROW + 42.0
    scale = fitting(
        2.0 * reach,
        up + down + 2.0 * half,
        page.right - page.left - 34.0,
        page.high - page.low - BAR_ROOM - rows,
        largest=2.0,
    )
    x = 0.5 * (page.left + page.right)
    side = View(scale, x, page.high - 32.0 - up * scale - bar.height_mm * scale)
    plan = View(scale, x, side.y0 + (bar.height_mm - down - half) * scale - 3.0 * ROW - 9.0)
    _side(page, side, craft, reach, down)
    _above(page, plan, craft, half)
    top = page.high
    for words in _words(craft):
        top = page.paragraph(page.left, top, words, page.right - page.left)
    beside_the_bar(page, "Above: the bar from its side, arm 1 to the right. Below: from above, the hub under it.")
    scale_bar(page, scale, page.left + 4.0, page.low + 5.0)
    return page


def _reach(craft: Craft) -> float:
    """From the shaft to the end of the bar [mm]."""
    bar = craft.bar
    paddle = bar.paddle_centre_mm + 0.5 * bar.paddle_span_mm if bar.paddle_span_mm > 0.0 else 0.0
    return max(bar.arm_mm + (0.5 * bar.tip_diameter_mm if bar.tip_mass_g > 0.0 else 0.0), paddle)


def _paddle(craft: Craft, side: float) -> tuple[float, float]:
    """Inner and outer end of a paddle from the shaft [mm]."""
    bar = craft.bar
    return side * (bar.paddle_centre_mm - 0.5 * bar.paddle_span_mm), side * (
        bar.paddle_centre_mm + 0.5 * bar.paddle_span_mm
    )


def _side(page: Page, view: View, craft: Craft, reach: float, down: float) -> None:
    bar, hub = craft.bar, 0.5 * craft.shaft.hub_diameter_mm
    page.line([view.at(0.0, -8.0), view.at(0.0, bar.height_mm)], width=THICK)
    page.line([view.at(-hub, 0.0), view.at(hub, 0.0)], width=3.0 * THICK)
    page.line([view.at(-bar.arm_mm, bar.height_mm), view.at(bar.arm_mm, bar.height_mm)], width=_wire(craft, view))
    page.disc(*view.at(0.0, bar.height_mm), 0.9, face="white", width=THICK, zorder=6)
    below = []
    for side in (-1.0, 1.0):
        end = view.at(side * bar.arm_mm, bar.height_mm)
        if bar.tip_mass_g > 0.0:
            page.disc(*end, max(0.5 * bar.tip_diameter_mm * view.scale, 0.6), face="0.3")
        if bar.paddle_span_mm > 0.0:
            page.line([view.at(r, bar.height_mm) for r in _paddle(craft, side)], width=3.0)
        below.append(Measure(view.at(0.0, bar.height_mm), end, f"arm {figure(bar.arm_mm)}"))
    if BARS[bar.kind].tilts:
        _stops(page, view, craft)
    low = view.at(0.0, bar.height_mm - down)[1]
    measures_in_rows(page, below, "along", low - 4.0, -ROW)
    if abs(bar.height_mm) > 0.1:
        first, last = view.at(-hub, 0.0), view.at(0.0, bar.height_mm)
        words = f"{figure(abs(bar.height_mm))} {'above' if bar.height_mm > 0.0 else 'below'} hub"
        measures_in_rows(page, [Measure(first, last, words)], "up", view.at(-reach, 0.0)[0] - 8.0, -ROW)


def _stops(page: Page, view: View, craft: Craft) -> None:
    """Arm 1 at either stop, and its angle."""
    bar = craft.bar
    angle, length = math.radians(bar.stop_deg), SHOWN * bar.arm_mm
    ends = [view.at(length * math.cos(angle), bar.height_mm + s * length * math.sin(angle)) for s in (1.0, -1.0)]
    for end in ends:
        page.line([view.at(0.0, bar.height_mm), end], color=MID, linestyle=(0, (5, 3)))
    angles = [angle * (k / 20.0 - 1.0) for k in range(41)]
    turn = [view.at(0.92 * length * math.cos(a), bar.height_mm + 0.92 * length * math.sin(a)) for a in angles]
    page.line(turn)
    arrow(page, turn[-1], turn[-3])
    arrow(page, turn[0], turn[2])
    page.label(view.at(0.92 * length, 0.0)[0], ends[0][1] + 3.0, f"stops at {bar.stop_deg:g} deg up and down")


def _above(page: Page, view: View, craft: Craft, half: float) -> None:
    bar, hub = craft.bar, 0.5 * craft.shaft.hub_diameter_mm
    page.disc(*view.at(0.0, 0.0), hub * view.scale, edgecolor=MID)
    page.line([view.at(-bar.arm_mm, 0.0), view.at(bar.arm_mm, 0.0)], width=_wire(craft, view))
    below = []
    low = view.at(0.0, -half)[1]
    for number, side in enumerate((1.0, -1.0), start=1):
        if bar.tip_mass_g > 0.0:
            radius = max(0.5 * bar.tip_diameter_mm * view.scale, 0.6)
            page.disc(*view.at(side * bar.arm_mm, 0.0), radius, face="0.3", zorder=5)
        if bar.paddle_span_mm > 0.0:
            wide = 0.5 * bar.paddle_chord_mm
            inner, outer = _paddle(craft, side)
            page.area(
                [view.at(*spot) for spot in ((inner, wide), (outer, wide), (outer, -wide), (inner, -wide))], width=THIN
            )
            below.append(Measure(view.at(inner, -wide), view.at(outer, -wide), f"paddle {figure(bar.paddle_span_mm)}"))
        words = f"arm {number}"
        page.label(view.at(side * 0.45 * bar.arm_mm, 0.0)[0], view.y0 + 3.0, words)
    if bar.tip_mass_g > 0.0:
        tip = 0.5 * bar.tip_diameter_mm
        across = [view.at(bar.arm_mm + s * tip, 0.0) for s in (-1.0, 1.0)]
        below.append(Measure(across[0], across[1], f"tip mass {figure(bar.tip_diameter_mm)}"))
    if bar.paddle_span_mm > 0.0:
        below.append(
            Measure(
                view.at(0.0, 0.0), view.at(bar.paddle_centre_mm, 0.0), f"to its centre {figure(bar.paddle_centre_mm)}"
            )
        )
        inner, _ = _paddle(craft, 1.0)
        wide = 0.5 * bar.paddle_chord_mm
        chord = Measure(view.at(inner, wide), view.at(inner, -wide), figure(bar.paddle_chord_mm))
        measures_in_rows(page, [chord], "up", view.at(_reach(craft), 0.0)[0] + 6.0, ROW)
    measures_in_rows(page, below, "along", low - 4.0, -ROW)


def _words(craft: Craft) -> list[str]:
    """What cannot be drawn."""
    bar = craft.bar
    words = f"Bar: {bar.kind} ({BARS[bar.kind].says}). Wire {figure(bar.wire_diameter_mm)} thick, {bar.wire_mass_g:g} g in all; "
    words += f"tip masses {bar.tip_mass_g:g} g each."
    if bar.paddle_span_mm > 0.0:
        words += (
            f" Paddles {figure(bar.paddle_span_mm)} x {figure(bar.paddle_chord_mm)}, {bar.paddle_mass_g:g} g each, "
            f"set at {bar.paddle_incidence_deg:g} deg, {section_name(bar.paddle_section)}."
        )
    if not BARS[bar.kind].tilts:
        return [words]
    shares = [feather_share(bar.gain, n, craft.rotor.blades) * 10.0 for n in range(craft.rotor.blades)]
    pitch = ", ".join(f"blade {n} by {round(each, 1) + 0.0:+.1f}" for n, each in enumerate(shares, start=1))
    link = f"Arm 1 up by 10 deg pitches {pitch} deg (+: leading edge rises)."
    if bar.gain:
        link += (
            f" Gain {bar.gain:g}: e.g. links {figure(abs(bar.gain) * HORN_MM)} from the bar's hinge and {HORN_MM:g} from the "
            "blade's pitch axis (plain levers, small angles). Try the direction by hand before the first flight."
        )
    return [words, link]


def _wire(craft: Craft, view: View) -> float:
    """Width of the bar's wire to scale, but never too thin to be seen [point]."""
    return max(THICK, craft.bar.wire_diameter_mm * view.scale / POINT_MM)
