"""The page to build from: a drawing with the measures that matter, what to cut, what it may weigh, and turns to start with."""

from __future__ import annotations

import math
from typing import Final, NamedTuple

from paddlebar.craft.motors import motor_of
from paddlebar.craft.shape import arms_of
from paddlebar.files.cautions import CAUTIONS
from paddlebar.files.craft import Craft, skein_mass_g, weights_g
from paddlebar.files.kinds import BARS
from paddlebar.files.parts import MeshPart
from paddlebar.files.strict import Spot
from paddlebar.files.tables import section_name
from paddlebar.sheet.cut import Piece, pieces
from paddlebar.sheet.dims import figure
from paddlebar.sheet.flow import Flow
from paddlebar.sheet.lettered import Lettered, draw_lettered, lettering
from paddlebar.sheet.outline import spots
from paddlebar.sheet.page import SMALL, Page, Spot2
from paddlebar.sheet.tables import made, strands
from paddlebar.sheet.testplan import STEPS
from paddlebar.sheet.views import from_the_right, rotor_places

DRAWING: Final = 68.0  # height of the drawing [mm of paper]
PIECES: Final = (34.0, 84.0, 17.0, 17.0, 17.0, 19.0)
FIRST: Final = 26.0  # width of the words before the turns
TO_START: Final = STEPS[1:6]  # of the test plan: up to the first flight that holds its height


class Taken(NamedTuple):
    """One measure of the page. words : what it is;  says : its figure;  ends : between which places, none: it is not drawn

    aside : how far beside them its arrows stand, right where they run up, up where they run along [mm of paper]
    """

    words: str
    says: str
    ends: tuple[Spot, Spot] | None = None
    aside: Spot2 = (6.0, 5.0)


def cut_pages(craft: Craft) -> list[Page]:
    """One page for most craft; what finds no room goes on overleaf."""
    flow = Flow("To build from", craft.name)
    found = measures(craft)
    _drawing(flow.page, craft, found, flow.top)
    flow.top -= DRAWING
    rows = [[letter, each.words, each.says] for letter, each in zip(lettering(len(found)), found, strict=True)]
    half = math.ceil(len(rows) / 2)
    paired = [
        [*left, *(rows[half + n] if half + n < len(rows) else ("", "", ""))] for n, left in enumerate(rows[:half])
    ]
    flow.table((), (7.0, 56.0, 31.0) * 2, paired, sides="<<><<>")
    _pieces(flow, craft)
    _turns(flow, craft)
    return flow.pages


def measures(craft: Craft) -> list[Taken]:
    """The twelve that matter most, fewer where the craft has no bar or no tail rotor."""
    rotor, shaft, bar, tail, skein = craft.rotor, craft.shaft, craft.bar, craft.tail, craft.skein
    top, tips = rotor_places(craft)
    hub, (upper, lower) = shaft.hub_mm, skein.hooks_mm
    found = [
        Taken(
            "rotor, tip to tip", f"{figure(2.0 * rotor.radius_mm)} mm", (tips[0], tips[1]) if len(tips) > 1 else None
        ),
        Taken("blade: width, and at its tip", f"{figure(rotor.chord_mm)}, {figure(rotor.tip_chord_mm)} mm"),
        Taken("blade: pitch at three quarters", f"{rotor.collective_deg:g} deg"),
        Taken("between the hooks", f"{figure(math.dist(upper, lower))} mm", (upper, lower)),
        Taken("shaft's top leans right, forward", f"{shaft.tilt_right_deg:g}, {shaft.tilt_forward_deg:g} deg"),
    ]
    arms = arms_of(craft)
    if BARS[bar.kind].present and arms is not None:
        one, other = spots(arms.tips())
        found += [
            Taken("bar, end to end", f"{figure(2.0 * bar.arm_mm)} mm", (one, other), (6.0, 10.0)),
            Taken("bar above the blades' axis", f"{figure(bar.height_mm)} mm", (hub, top)),
            Taken("bar ahead of the blades", f"{bar.lead_deg:g} deg"),
        ]
    if tail is not None and tail.drive != "none":
        (x, y, z), radius = tail.at_mm, tail.radius_mm
        under, behind = z - radius, x - radius
        found += [
            Taken(
                "shaft to tail rotor", f"{figure(abs(x - hub[0]))} mm", ((x, y, under), (hub[0], y, under)), (0.0, -4.0)
            ),
            Taken("tail rotor below the blades' axis", f"{figure(hub[2] - z)} mm", (tail.at_mm, (x, y, hub[2]))),
            Taken(
                "tail rotor across",
                f"{figure(2.0 * radius)} mm",
                ((behind, y, under), (behind, y, z + radius)),
                (-4.0, 0.0),
            ),
            Taken("pitch of its blades, pushes to", f"{tail.pitch_deg:g} deg, {tail.thrust_to}"),
        ]
    return found


def _drawing(page: Page, craft: Craft, found: list[Taken], top: float) -> None:
    """From the right; what has arrows, with its letter."""
    drawn = [
        Lettered(letter, each.ends, each.aside)
        for letter, each in zip(lettering(len(found)), found, strict=True)
        if each.ends is not None
    ]
    draw_lettered(page, craft, from_the_right, drawn, (page.left, top), (page.right - page.left, DRAWING))
    words = "Seen from the right, nose to the right; drawn to no scale: the pages behind are. Letters: the measures below, in mm."
    page.text(page.left, top - DRAWING + 1.5, words, SMALL)


def _pieces(flow: Flow, craft: Craft) -> None:
    """What to cut or to bend, and what each may weigh."""
    flow.heading("Pieces and weights")
    grams = {name.removeprefix("part "): f"{mass:.2f}" for name, mass in weights_g(craft).items()}
    rotor, tail, bar = craft.rotor, craft.tail, craft.bar
    flat = {piece.name: piece for piece in pieces(craft)}
    rows = [["hub, with shaft", f"{figure(craft.shaft.hub_diameter_mm)} across", "1", grams["hub"], "head"]]
    stuff = f"{figure(rotor.thickness_mm)} mm sheet{f' of {rotor.material}' if rotor.material else ''}, {section_name(rotor.section)}"
    rows.append(
        ["blade", f"{_size(flat['blade'])}, {stuff}", str(rotor.blades), f"{rotor.blade_mass_g:.2f}", "outlines"]
    )
    if BARS[bar.kind].present:
        wire = f"wire {figure(bar.wire_diameter_mm)} x {figure(2.0 * bar.arm_mm)} long"
        rows.append(["bar's wire", wire, "1", f"{bar.wire_mass_g:.2f}", "bar"])
        rows.append(["bar's tip", f"{figure(bar.tip_diameter_mm)} across", "2", f"{bar.tip_mass_g:.2f}", "bar"])
        if "paddle" in flat:
            rows.append(
                [
                    "paddle",
                    f"{_size(flat['paddle'])}, {section_name(bar.paddle_section)}",
                    "2",
                    f"{bar.paddle_mass_g:.2f}",
                    "outlines",
                ]
            )
    if tail is not None:
        rows.append(
            [
                "tail blade",
                f"{_size(flat['tail-blade'])}, {section_name(tail.section)}",
                str(tail.blades),
                "",
                "outlines",
            ]
        )
        rows.append(
            ["tail rotor, whole", f"{figure(2.0 * tail.radius_mm)} across", "1", grams["tail rotor"], "outlines"]
        )
    for part in craft.part:
        where = "its STL" if isinstance(part, MeshPart) else "parts list"
        rows.append([part.name, made(part), "1", grams[part.name], where])
    rubber = f"{strands(craft.skein)}, {figure(craft.skein.length_mm)} long made up"
    rows.append(["rubber", rubber, "1", f"{skein_mass_g(craft.skein):.2f}", "turns"])
    if tail is not None and tail.skein is not None:
        rows.append(
            [
                "tail's rubber",
                f"{strands(tail.skein)}, {figure(tail.skein.length_mm)} long made up",
                "1",
                grams["tail skein"],
                "turns",
            ]
        )
    rows.append(["all, ready to fly", "", "", f"{math.fsum(weights_g(craft).values()):.2f}", ""])
    rows = [[*row[:4], "", row[4]] for row in rows]
    flow.table(["piece", "from what, in mm", "how many", "g each", "weighed", "see"], PIECES, rows, sides="<<>><<")


def _size(piece: Piece) -> str:
    long, wide = piece.edge.max(axis=0) - piece.edge.min(axis=0)
    return f"{figure(long)} x {figure(wide)}"


def _turns(flow: Flow, craft: Craft) -> None:
    """Column by column, as in the test plan."""
    breaking = motor_of(craft.skein).breaking
    flow.heading("Turns to start with", keep=32.0)
    flow.paragraph(CAUTIONS[0], bold=True)
    heads = ["of those that break it", *(f"{100.0 * share:.0f} %" for share, *_ in TO_START)]
    rows = [
        ["wind in", *(f"{share * breaking:.0f} turns" for share, *_ in TO_START)],
        ["launch", *(launch for _, launch, *_ in TO_START)],
    ]
    widths = (FIRST, *((flow.width - FIRST) / len(TO_START),) * len(TO_START))
    flow.table(heads, widths, rows)
