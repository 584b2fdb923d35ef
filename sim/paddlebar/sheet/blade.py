"""Outlines to cut by: blades of the rotor, of the tail rotor, and paddles, full size where A4 allows it."""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.sections import SECTIONS
from paddlebar.craft.shape import hand_of
from paddlebar.files.craft import Craft, Polar
from paddlebar.files.tables import section_name
from paddlebar.sheet.dims import ROW, Measure, figure, measures_in_rows
from paddlebar.sheet.outline import edges
from paddlebar.sheet.page import BODY, CHAIN, MID, SMALL, THICK, THIN, Page, line_height, text_width
from paddlebar.sheet.scale import BAR_ROOM, View, fitting, scale_bar, scale_words

Array = NDArray[np.float64]
FIGURES: Final = 11.0  # room above an outline for radius, chord and pitch [mm of paper]
BELOW: Final = 6.0  # under the dimension line
SLIM: Final = 13.0  # chords less than this on paper have their figure outside the arrows
SIDE: Final = 12.0  # left and right of an outline, for the chord's dimension
NEAR: Final = 17.0  # stations nearer than this on paper have no figures of their own
DASHED: Final = (0, (5, 2.5))


class Outline(NamedTuple):
    """A blade laid flat, root at the left.

    r, chord, pitch : [mm], [mm], [deg];  ahead : from the pitch axis to the leading edge [mm]
    mass            : from the pitch axis back to the mass axis [mm], nan: unknown
    stations        : radii with figures [mm];  file, many : what a file of it is called, how many alike
    """

    words: str
    r: Array
    chord: Array
    pitch: Array
    ahead: Array
    mass: Array
    stations: list[float]
    leading_up: bool
    file: str
    many: int


def blade_pages(craft: Craft) -> list[Page]:
    """One page or more: every outline, one below the other, long ones in pieces."""
    pages: list[Page] = []
    cursor = 0.0
    for outline in outlines_to_cut(craft):
        probe = Page("", "", landscape=True)
        room = probe.right - probe.left - 2.0 * SIDE
        tallest = probe.high - probe.low - BAR_ROOM - FIGURES - BELOW - 11.0 - 3.0 * line_height(BODY)
        height, length = float(outline.chord.max()), float(outline.r[-1] - outline.r[0])
        pieces = 1
        scale = fitting(length, height, room, tallest)
        if scale < 1.0 and height <= tallest and length <= 4.0 * room:
            scale, pieces = 1.0, math.ceil(length / room)
        for piece in range(pieces):
            need = height * scale + FIGURES + BELOW + 11.0 + 3.0 * line_height(BODY)
            fresh = not pages or pages[-1].scale_words != scale_words(scale) or cursor - need < pages[-1].low + BAR_ROOM
            if fresh:
                pages.append(Page("Outlines to cut by", craft.name, landscape=True))
                scale_bar(pages[-1], scale, pages[-1].left + 4.0, pages[-1].low + 5.0)
                cursor = pages[-1].high
            cursor = _draw(pages[-1], cursor, outline, scale, piece, pieces)
    return pages


def outlines_to_cut(craft: Craft) -> list[Outline]:
    """Blade, tail blade and paddle, as far as the craft has them."""
    rotor, bar, tail = craft.rotor, craft.bar, craft.tail
    up = hand_of(craft.shaft) > 0.0
    r, chord, pitch, ahead = edges(rotor)
    shares = [rotor.root_mm, *(s * rotor.radius_mm for s in (0.25, 0.5, 0.75, 1.0))]
    stations = [s.radius_mm for s in rotor.station] or shares
    edge = "top" if up else "foot"
    words = (
        f"Blade, {rotor.blades} alike: {section_name(rotor.section)}, {figure(rotor.thickness_mm)} thick, {rotor.blade_mass_g:g} g each. Seen from "
        f"above, root at the left, leading edge at the {edge}. Dashed: pitch axis, {rotor.feather_axis_percent:g} % of the chord from "
        f"the leading edge; chain line: here the blade should balance, {rotor.mass_axis_percent:g} %.{_wider(rotor.section, rotor.chord_mm)}"
    )
    mass = (rotor.mass_axis_percent - rotor.feather_axis_percent) / 100.0 * chord
    radii = sorted({round(s, 3) for s in stations if rotor.root_mm <= s <= rotor.radius_mm})
    found = [Outline(words, r, chord, np.degrees(pitch), ahead, mass, radii, up, "blade", rotor.blades)]
    if tail is not None:
        r = np.array([tail.root_mm, tail.radius_mm])
        chord = np.full(2, tail.chord_mm)
        twisted = tail.pitch_deg + tail.twist_deg * (r / tail.radius_mm - 0.75)
        words = (
            f"Blade of the tail rotor, {tail.blades} alike: {section_name(tail.section)}; the whole tail rotor weighs {tail.mass_g:g} g and pushes the "
            f"tail to the {tail.thrust_to}. Leading edge at the top.{_wider(tail.section, tail.chord_mm)}"
        )
        found.append(
            Outline(
                words, r, chord, twisted, 0.25 * chord, np.full(2, np.nan), list(r), True, "tail-blade", tail.blades
            )
        )
    if bar.has_paddles:
        half = 0.5 * bar.paddle_span_mm
        r = np.array([bar.paddle_centre_mm - half, bar.paddle_centre_mm + half])
        chord = np.full(2, bar.paddle_chord_mm)
        words = f"Paddle of the bar, 2 alike: {section_name(bar.paddle_section)}, {bar.paddle_mass_g:g} g each. Dashed: the wire."
        pitch = np.full(2, bar.paddle_incidence_deg)
        found.append(Outline(words, r, chord, pitch, 0.5 * chord, np.full(2, np.nan), list(r), True, "paddle", 2))
    return found


def _wider(section: str | Polar, chord: float) -> str:
    """How much wider a sheet is cut that is then bent: a flat arc of camber f is 1 + 8/3 f^2 times as long as its chord (geometry)."""
    row = SECTIONS.get(section) if isinstance(section, str) else None
    if row is None or row.thickness > 0.05 or not row.camber:
        return ""
    more = 8.0 / 3.0 * row.camber**2 * chord
    return f" Drawn as the chord; bent to {100.0 * row.camber:g} % camber the sheet is {more:.2f} mm wider."


def _draw(page: Page, top: float, outline: Outline, scale: float, piece: int, pieces: int) -> float:
    """One piece of an outline; where the next may begin [mm of paper]."""
    first, last = float(outline.r[0]), float(outline.r[-1])
    start, end = (first + (last - first) * k / pieces for k in (piece, piece + 1))
    words = outline.words if piece == 0 else f"Piece {piece + 1} of {pieces}: join it to the one before at the cut."
    top = page.paragraph(page.left, top, words, page.right - page.left) - FIGURES
    inside = (outline.r > start) & (outline.r < end)
    r = np.concatenate([[start], outline.r[inside], [end]])
    ahead, chord = (np.interp(r, outline.r, each) for each in (outline.ahead, outline.chord))
    side = 1.0 if outline.leading_up else -1.0
    upper, lower = (ahead, ahead - chord) if outline.leading_up else (chord - ahead, -ahead)
    view = View(scale, page.left + SIDE - start * scale, top - float(upper.max()) * scale)
    edge = [view.at(a, b) for a, b in zip(r, upper, strict=True)]
    back = [view.at(a, b) for a, b in zip(r, lower, strict=True)]
    page.line(edge, width=THICK)
    page.line(back, width=THICK)
    for k, cut in ((0, piece > 0), (-1, piece < pieces - 1)):
        page.line([edge[k], back[k]], width=THIN if cut else THICK, linestyle=DASHED if cut else "-")
    page.line([view.at(start, 0.0), view.at(end, 0.0)], color=MID, linestyle=DASHED)
    mass = np.interp(r, outline.r, outline.mass)
    if np.isfinite(mass).all():
        page.line([view.at(a, -side * b) for a, b in zip(r, mass, strict=True)], color=MID, linestyle=CHAIN)
    _figures(page, view, outline, start, end, top)
    low = view.at(0.0, float(lower.min()))[1]
    length = figure(end - start)
    if pieces > 1:
        length += f": from {figure(start)} to {figure(end)} out from the shaft"
    slim = min(edge[k][1] - back[k][1] for k in (0, -1)) < SLIM  # there the chord's figure stands below its arrows
    under = 11.0 if slim else 5.0
    measures_in_rows(page, [Measure(back[0], back[-1], length)], "along", low - under, -ROW)
    ends = [] if piece else [Measure(edge[0], back[0], figure(float(chord[0])))]
    measures_in_rows(page, ends, "up", edge[0][0] - 6.0, -ROW)
    ends = [Measure(edge[-1], back[-1], figure(float(chord[-1])))] if piece == pieces - 1 else []
    measures_in_rows(page, ends, "up", edge[-1][0] + 6.0, ROW)
    return low - under - BELOW


def _figures(page: Page, view: View, outline: Outline, start: float, end: float, top: float) -> None:
    """Radius, chord and pitch over the stations that lie on this piece."""
    rows = [top + 1.2 + k * 3.1 for k in (2, 1, 0)]
    page.text(page.left - 1.0, rows[0], "from shaft", 0.8 * SMALL)
    page.text(page.left - 1.0, rows[1], "chord", 0.8 * SMALL)
    page.text(page.left - 1.0, rows[2], "pitch", 0.8 * SMALL)
    left = page.left - 1.0 + text_width("from shaft", 0.8 * SMALL) + 1.0
    for station in _apart([r for r in outline.stations if start - 1e-6 <= r <= end + 1e-6], NEAR / view.scale):
        x = view.at(station, 0.0)[0]
        chord, pitch = (float(np.interp(station, outline.r, each)) for each in (outline.chord, outline.pitch))
        ahead = float(np.interp(station, outline.r, outline.ahead))
        ends = (ahead, ahead - chord) if outline.leading_up else (chord - ahead, -ahead)
        page.line([view.at(station, ends[0]), view.at(station, ends[1])], color=MID, width=0.7 * THIN)
        lines = (figure(station), figure(chord), f"{pitch:.1f} deg")
        x = max(x, left + 0.5 * max(text_width(words, SMALL) for words in lines))
        for y, words in zip(rows, lines, strict=True):
            page.text(x, y, words, SMALL, ha="center")


def _apart(stations: list[float], least: float) -> list[float]:
    """Stations at least so far from each other, the first and the last among them."""
    kept = stations[:1]
    for station in stations[1:-1]:
        if station - kept[-1] >= least and stations[-1] - station >= least:
            kept.append(station)
    return kept + [each for each in stations[1:][-1:] if each - kept[-1] >= least]
