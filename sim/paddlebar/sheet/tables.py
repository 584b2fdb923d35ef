"""Parts list, pulleys and the table to wind by."""

from __future__ import annotations

import math
from typing import Final

from paddlebar.checks.winding import winding_table
from paddlebar.craft.motors import motor_of
from paddlebar.files.cautions import CAUTIONS
from paddlebar.files.craft import Craft, Skein, skein_mass_g, weights_g
from paddlebar.files.parts import MeshPart, PlatePart, PointPart, RingPart, RodPart, TubePart
from paddlebar.sheet.dims import ROW, Measure, figure, measures_in_rows
from paddlebar.sheet.flow import Flow
from paddlebar.sheet.page import THICK, Page
from paddlebar.sheet.scale import BAR_ROOM, View, fitting, scale_bar

WINDERS: Final = (5, 10, 15)  # turns of the hook for one of the crank; common practice, no source
CORDS_MM: Final = (0.2, 0.3, 0.5)
PULLEYS_HIGH: Final = 70.0  # room that their drawing may take [mm of paper]
PARTS: Final = (9.0, 34.0, 42.0, 63.0, 18.0, 20.0)
TURNS: Final = (24.0, 18.0, *(22.0,) * len(WINDERS), 26.0, 26.0, 24.0)


def parts_pages(craft: Craft) -> list[Page]:
    """The parts list, numbered as in the drawings."""
    flow = Flow("Parts list", craft.name)
    if craft.note:
        flow.paragraph(craft.note)
    rows = []
    by_name = {f"part {part.name}": part for part in craft.part}
    for number, (item, mass) in enumerate(weights_g(craft).items(), start=1):
        part = by_name.get(item)
        size, place = (made(part), _place(part)) if part is not None else item_of(craft, item)
        rows.append([str(number), item.removeprefix("part "), size, place, f"{mass:.2f}", ""])
    rows.append(["", "all", "", "", f"{math.fsum(weights_g(craft).values()):.2f}", ""])
    heads = ["no.", "name", "what it is", "place [forward, right, up] from the datum", "mass g", "weighed g"]
    flow.table(heads, PARTS, rows, sides="><<<><", row_mm=5.0)
    if craft.all_up_g is not None:
        flow.paragraph(f"The whole craft on the scale, as the file has it: {craft.all_up_g:g} g.")
    flow.paragraph(
        "Masses are those of the craft file. Weigh each piece before it is glued, and put what you find into the file."
    )
    return flow.pages


def drive_pages(craft: Craft) -> list[Page]:
    """Pulleys, to scale, and turns."""
    flow = Flow("Pulleys and turns", craft.name)
    scale = _pulleys(flow, craft)
    _turns(flow, craft.skein, "Turns of the skein")
    if craft.tail is not None and craft.tail.skein is not None:
        _turns(flow, craft.tail.skein, "Turns of the tail's own skein")
    if scale is not None:
        page = flow.pages[0]
        if (
            flow.page is page and flow.top < page.low + BAR_ROOM
        ):  # cannot happen with the tables as they are; asked all the same
            raise AssertionError("no room for the scale bar")
        scale_bar(page, scale, page.left + 4.0, page.low + 5.0)
    return flow.pages


def _pulleys(flow: Flow, craft: Craft) -> float | None:
    """Both pulleys side by side; their scale, None if there are none."""
    tail = craft.tail
    if tail is None or tail.drive != "cord":
        return None
    flow.heading("Pulleys")
    ratio = tail.drive_pulley_mm / tail.tail_pulley_mm
    flow.paragraph(
        f"Drive pulley on the shaft {figure(tail.drive_pulley_mm)} mm, tail pulley {figure(tail.tail_pulley_mm)} mm: the tail turns "
        f"{ratio:.2f} times as fast as the rotor. Both are measured where the middle of the cord runs, so turn the groove one thickness "
        "of the cord smaller:"
    )
    rows = []
    for words, size in (("drive pulley", tail.drive_pulley_mm), ("tail pulley", tail.tail_pulley_mm)):
        rows.append([words, figure(size), *(f"{size - cord:.2f}" if size > cord else "-" for cord in CORDS_MM)])
    heads = ["", "to the cord's middle mm", *(f"groove for cord {cord:g} mm" for cord in CORDS_MM)]
    flow.table(heads, (34.0, 38.0, 38.0, 38.0, 38.0), rows, sides="<>>>>")
    sizes = (tail.drive_pulley_mm, tail.tail_pulley_mm)
    wide = sum(sizes) + 0.3 * max(sizes)
    scale = fitting(wide, max(sizes), flow.width - 50.0, PULLEYS_HIGH, largest=2.0)
    height = max(sizes) * scale
    y = flow.top - 3.0 - 0.5 * height
    x = flow.page.left + 25.0
    for size in sizes:
        view = View(scale, x + 0.5 * size * scale, y)
        flow.page.disc(view.x0, view.y0, 0.5 * size * scale, width=THICK)
        flow.page.line([(view.x0 - 1.5, y), (view.x0 + 1.5, y)])
        flow.page.line([(view.x0, y - 1.5), (view.x0, y + 1.5)])
        ends = Measure(view.at(-0.5 * size, 0.0), view.at(0.5 * size, 0.0), figure(size))
        measures_in_rows(flow.page, [ends], "along", y - 0.5 * height - 5.0, -ROW)
        x += size * scale + 25.0
    flow.top = y - 0.5 * height - 10.0
    return scale


def _turns(flow: Flow, skein: Skein, words: str) -> None:
    motor = motor_of(skein)
    flow.heading(words, keep=75.0)
    flow.paragraph(CAUTIONS[0], bold=True)
    flow.paragraph(
        f"Skein: {strands(skein)}, {figure(skein.length_mm)} mm long made up, {skein_mass_g(skein):.2f} g. It should break at about "
        f"{motor.breaking:.0f} turns (breaking constant {skein.breaking_constant:g}: good rubber 8 to 13, fresh and lubricated)."
    )
    rows = []
    found = winding_table(skein)
    for each in found:
        cranks = [f"{each.turns / gear:.0f}" for gear in WINDERS]
        figures = (1e3 * each.torque_winding_nm, 1e3 * each.torque_nm, each.energy_j)
        given = ["*" if each.beyond_measured else f"{value:.2f}" for value in figures]
        rows.append([f"{100.0 * each.share:.0f} %", f"{each.turns:.0f}", *cranks, *given])
    heads = ["of breaking", "turns", *(f"winder {gear}:1 cranks" for gear in WINDERS)]
    heads += ["torque winding mN m", "torque letting out mN m", "energy let out J"]
    flow.table(heads, TURNS, rows, sides=">" * len(heads))
    if any(each.beyond_measured for each in found):
        flow.paragraph(f"* beyond the {motor.known:.0f} turns to which the torque was measured: not known.")
    flow.paragraph(
        f"Settings: {motor.kind.settings(skein)}, loss {skein.loss_percent:g} % of the winding work, at {skein.reference_C:g} deg C. Energy and loss are the "
        "weakest figures here (club tests give 4 to 9 kJ/kg and about 30 %): measure your own rubber, or fit them to flights. Rubber "
        "differs from batch to batch and breaks sooner when old, dry or warm: do not go past 80 to 85 %."
    )


def made(part: PointPart | RodPart | TubePart | PlatePart | RingPart | MeshPart) -> str:
    """Size, and what it is made of where the file says so."""
    return f"{_size(part)}, {part.material}" if part.material is not None else _size(part)


def _size(part: PointPart | RodPart | TubePart | PlatePart | RingPart | MeshPart) -> str:
    match part:
        case PointPart():
            return "lump"
        case RodPart():
            shape = "square" if part.cross_section == "square" else "rod"
            return f"{shape} {figure(part.diameter_mm)} x {figure(math.dist(part.from_mm, part.to_mm))} long"
        case TubePart():
            wall = f", wall {figure(part.wall_mm)}" if part.wall_mm is not None else ""
            return f"tube {figure(part.diameter_mm)}{wall} x {figure(math.dist(part.from_mm, part.to_mm))} long"
        case PlatePart():
            return f"plate {figure(part.length_mm)} x {figure(part.width_mm)} x {figure(part.thickness_mm)}"
        case RingPart():
            return f"ring {figure(part.diameter_mm)}, wire {figure(part.wire_diameter_mm)}"
        case MeshPart():
            box = part.stl.box
            sides = (figure((b - a) * part.scale_mm) for a, b in zip(box[:3], box[3:], strict=True))
            return f"from its STL, {' x '.join(sides)}{', mirrored' if part.mirrored else ''}"


def _place(part: PointPart | RodPart | TubePart | PlatePart | RingPart | MeshPart) -> str:
    if isinstance(part, RodPart | TubePart):
        return f"{_spot(part.from_mm)} to {_spot(part.to_mm)}"
    return _spot(part.at_mm)


def item_of(craft: Craft, item: str) -> tuple[str, str]:
    """What the items that are no parts are, and where."""
    shaft, rotor, bar, tail = craft.shaft, craft.rotor, craft.bar, craft.tail
    if item == "hub":
        return f"hub {figure(shaft.hub_diameter_mm)} across, with shaft", _spot(shaft.hub_mm)
    if item == "blades":
        return (
            f"{rotor.blades} of {rotor.blade_mass_g:g} g",
            f"on the hub, {figure(rotor.root_mm)} to {figure(rotor.radius_mm)} from the shaft",
        )
    if item == "bar":
        return (
            f"wire {figure(bar.wire_diameter_mm)} x {figure(2.0 * bar.arm_mm)}",
            f"{figure(bar.height_mm)} above the hub",
        )
    if tail is not None and item == "tail rotor":
        return f"{tail.blades} blades, {figure(2.0 * tail.radius_mm)} across", _spot(tail.at_mm)
    skein = tail.skein if item == "tail skein" and tail is not None and tail.skein is not None else craft.skein
    first, last = skein.hooks_mm
    return f"{strands(skein)}, {figure(skein.length_mm)} long", f"{_spot(first)} to {_spot(last)}"


def _spot(place: tuple[float, float, float]) -> str:
    return "[" + ", ".join(figure(each) for each in place) + "]"


def strands(skein: Skein) -> str:
    """What a skein is made up of, as far as the file says."""
    if skein.strands is None:
        return "rubber by its mass"
    of = f" of {skein.width_mm:g} x {skein.thickness_mm:g} mm" if skein.width_mm and skein.thickness_mm else ""
    return f"{skein.strands} strands{of}"
