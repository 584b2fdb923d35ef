"""Checks across several keys, one clear sentence each; what needs physics or geometry (breaking turns, room to turn) is in ``craft.limits``."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from difflib import get_close_matches
from typing import Any

from paddlebar.files.craft import Craft, Rotor, Skein, weights_g
from paddlebar.files.kinds import BARS, HEADS
from paddlebar.files.parts import MeshPart, PlatePart, RingPart, RodPart, TubePart
from paddlebar.files.scenario import Scenario
from paddlebar.files.sentences import Problem
from paddlebar.files.strict import Strict

# A scale and the sum of its parts may differ by so much (glue, a kitchen scale's step); a choice, no source.
WEIGHING_SHARE = 0.05
SLIP_SHARE, HEAVIEST_TOLD = 0.1, 3  # of the gap, how near a slipped decimal point must fit; own choice
LIGHTEST_G, HEAVIEST_G = 1.0, 500.0
SMALLEST_MM, LARGEST_MM = 0.5, 2000.0  # of a mesh; own choice, the latter as of every place


def sum_g(craft: Craft) -> float:
    """Sum of all entered masses [g]."""
    return math.fsum(weights_g(craft).values())


def craft_problems(craft: Craft) -> list[Problem]:
    """Everything in a craft that each key by itself allows, but the whole does not."""
    problems = list(_single_tables(craft))
    # Weight means little while an entry is absent or wrong: one slip, one complaint.
    return problems or list(_weight(craft))


def _single_tables(craft: Craft) -> Iterator[Problem]:
    for name, count in Counter(part.name for part in craft.part).items():
        if count > 1:
            rule = f"each part needs a name of its own, found {name!r} {count} times"
            yield Problem(("part", name, "name"), rule, 0)
    for part in craft.part:
        if isinstance(part, PlatePart | RingPart | MeshPart):
            yield from _directions(part)
        if isinstance(part, MeshPart):
            yield from _mesh(part)
        if isinstance(part, RodPart | TubePart) and math.dist(part.from_mm, part.to_mm) < 0.1:
            yield Problem(("part", part.name, "to_mm"), f"should differ from from_mm, found {list(part.to_mm)}")
        if isinstance(part, TubePart) and part.wall_mm is not None and part.wall_mm > 0.5 * part.diameter_mm:
            rule = f"should be at most half of diameter_mm {part.diameter_mm:g}, found {part.wall_mm:g}"
            yield Problem(("part", part.name, "wall_mm"), rule)
    absent = list(_needed(craft))
    yield from absent
    yield from _rotor(craft.rotor)
    yield from _skein(craft.skein, ("skein",))
    yield from _stick(craft, craft.skein, ("skein",))
    if craft.tail is not None and craft.tail.skein is not None:
        yield from _skein(craft.tail.skein, ("tail", "skein"))
        yield from _stick(craft, craft.tail.skein, ("tail", "skein"))
    if not absent:
        yield from _bar(craft)
        yield from _tail(craft)


def _needed(craft: Craft) -> Iterator[Problem]:
    described: dict[str, Strict | None] = {"bar": craft.bar, "tail": craft.tail}
    for name, table in described.items():
        if table is None:
            continue
        kind = getattr(table, table.picker)
        for key in table.needs.get(kind, ()):
            if not table.given(key):
                yield Problem((name, key), f'is missing ({name} with {table.picker} = "{kind}" needs it)', 2)


def _directions(part: Any) -> Iterator[Problem]:
    for key in ("along", "normal"):
        vector = getattr(part, key, None)
        if vector is not None and math.hypot(*vector) < 1e-6:
            yield Problem(("part", part.name, key), "a direction should not be all zero, found [0, 0, 0]")
            return
    if isinstance(part, PlatePart | MeshPart):
        cosine = sum(a * b for a, b in zip(part.along, part.normal, strict=True))
        if abs(cosine) > 0.1 * math.hypot(*part.along) * math.hypot(*part.normal):
            yield Problem(
                ("part", part.name, "normal"), f"should stand at right angles on along, found {list(part.normal)}"
            )


def _mesh(part: MeshPart) -> Iterator[Problem]:
    """Weighed or not, and of a size that a craft may have."""
    if part.density_kg_m3 is not None:
        rule = f"leave it out where mass_g is given, found {part.density_kg_m3:g}"
        yield Problem(("part", part.name, "density_kg_m3"), rule)
    if not part.stl.volume > 0.0 or not min(part.stl.inertia[:3]) > 0.0 or not part.stl.lines or not part.stl.ends:
        yield Problem(("part", part.name, "stl"), "holds measures of no body")  # only in a record that somebody changed
        return
    size = max(b - a for a, b in zip(part.stl.box[:3], part.stl.box[3:], strict=True)) * part.scale_mm
    if not SMALLEST_MM <= size <= LARGEST_MM:
        rule = f"the STL should be {SMALLEST_MM:g} to {LARGEST_MM:g} mm long, found {size:.4g} mm with unit {part.unit!r}; is it in another unit?"
        yield Problem(("part", part.name, "unit"), rule)


def _rotor(rotor: Rotor) -> Iterator[Problem]:
    for name, what in (("blade_masses_g", "mass"), ("blade_pitches_deg", "pitch")):
        each = getattr(rotor, name)
        if each is not None and len(each) != rotor.blades:
            rule = f"should hold one {what} for each of {rotor.blades} blades, found {len(each)}"
            yield Problem(("rotor", name), rule)
    yield from _apart(rotor.masses_g(), "rotor", "blade_masses_g", "blade_mass_g")
    if rotor.root_mm >= rotor.radius_mm:
        yield Problem(
            ("rotor", "root_mm"), f"input should be less than radius_mm {rotor.radius_mm:g}, found {rotor.root_mm:g}"
        )
    last = -1.0
    for number, station in enumerate(rotor.station, start=1):
        key = ("rotor", "station", str(number), "radius_mm")
        if station.radius_mm <= last:
            yield Problem(key, f"stations should go outwards, found {station.radius_mm:g} after {last:g}")
        if station.radius_mm > rotor.radius_mm:
            yield Problem(key, f"input should be at most radius_mm {rotor.radius_mm:g}, found {station.radius_mm:g}")
        last = station.radius_mm
    if len(rotor.station) == 1:
        yield Problem(("rotor", "station", "1", "radius_mm"), "one station makes no blade; give at least two")


def _apart(masses: tuple[float, ...], table: str, key: str, mean: str) -> Iterator[Problem]:
    """Unequal parts whose mean was written so small that one of them would weigh nothing, or less."""
    least = min(masses)
    if least < 0.0 or (least == 0.0 and table == "rotor"):
        which = masses.index(least) + 1
        yield Problem(
            (table, key), f"{mean} should be their mean: as it is, number {which} would weigh, found {least:g} g"
        )


def _stick(craft: Craft, skein: Skein, table: tuple[str, ...]) -> Iterator[Problem]:
    long = [part.name for part in craft.part if isinstance(part, RodPart | TubePart | PlatePart)]
    if skein.stick is not None and skein.stick not in long:
        guess = get_close_matches(skein.stick, long, n=1)
        which = f"; did you mean {guess[0]!r}?" if guess else ""
        rule = f"should be the name of a part of kind rod, tube or plate, found {skein.stick!r}{which}"
        yield Problem((*table, "stick"), rule)


def _skein(skein: Skein, table: tuple[str, ...]) -> Iterator[Problem]:
    needs = (
        "is missing (a skein needs strands, width_mm and thickness_mm, or strands and linear_density_g_m, or mass_g)"
    )
    by_metre = skein.linear_density_g_m is not None
    strands = {"strands": skein.strands, "width_mm": skein.width_mm, "thickness_mm": skein.thickness_mm}
    absent = [key for key, value in strands.items() if value is None]
    if skein.mass_g is not None and (len(absent) < 3 or by_metre):
        other = "strands and linear_density_g_m" if by_metre else "strands, width_mm and thickness_mm"
        yield Problem((*table, "mass_g"), f"give mass_g or {other}, not both, found {skein.mass_g:g}")
    elif by_metre and not {"width_mm", "thickness_mm"} <= set(absent):
        rule = "give linear_density_g_m or width_mm and thickness_mm, not both"
        yield Problem((*table, "linear_density_g_m"), f"{rule}, found {skein.linear_density_g_m:g}")
    elif skein.mass_g is None and absent and not (by_metre and skein.strands is not None):
        yield Problem((*table, absent[0]), needs, 2)
    if math.dist(*skein.hooks_mm) < 1.0:
        apart = math.dist(*skein.hooks_mm)
        yield Problem((*table, "hooks_mm"), f"the hooks should be apart, found {apart:g} mm between them")
    if skein.settle_percent + skein.knee_percent > 90.0:
        rule = "knee_percent and settle_percent should leave a plateau (90 at most together)"
        rule += f", found {skein.knee_percent:g} and {skein.settle_percent:g}"
        yield Problem((*table, "knee_percent"), rule)


def _weight(craft: Craft) -> Iterator[Problem]:
    total = sum_g(craft)
    if not LIGHTEST_G <= total <= HEAVIEST_G:
        heaviest = max(weights_g(craft).items(), key=lambda item: item[1])
        rule = f"the craft should weigh {LIGHTEST_G:g} to {HEAVIEST_G:g} g in all"
        rule += f", found {total:.4g} g ({heaviest[0]} {heaviest[1]:.4g} g)"
        yield Problem(("name",), rule, 3)
    elif craft.all_up_g is not None and abs(craft.all_up_g - total) > WEIGHING_SHARE * craft.all_up_g:
        rule = f"should agree within 5 % with the sum of all entries, {total:.4g} g, found {craft.all_up_g:.4g}; {suspect(weights_g(craft), craft.all_up_g)}, or take this line out"
        yield Problem(("all_up_g",), rule, 3)


def suspect(weights: Mapping[str, float], scale_g: float) -> str:
    """Which weight to look at first where the sum is not what the scale says: one with its point in the wrong place, or the heaviest.

    weights : name -> [g];  scale_g : the whole on the scale
    """
    total = math.fsum(weights.values())
    large = abs(total - scale_g) > WEIGHING_SHARE * scale_g  # a small gap would fit any small part
    for name, mass in weights.items():
        for slip in (0.1, 10.0):
            if large and mass > 0.0 and abs(total + (slip - 1.0) * mass - scale_g) <= SLIP_SHARE * abs(total - scale_g):
                return f"{name} of {mass:g} g would fit as {slip * mass:g} g: look at its point"
    if total > scale_g:
        heavy = sorted(weights.items(), key=lambda each: -each[1])[:HEAVIEST_TOLD]
        return "weigh the heaviest again: " + ", ".join(f"{name} {mass:.2f} g" for name, mass in heavy)
    return f"{scale_g - total:.2f} g are missing: glue, hooks, links, a part without its weight"


def _positive(table: Any, name: str, keys: tuple[str, ...]) -> Iterator[Problem]:
    for key in keys:
        if getattr(table, key) <= 0.0:
            yield Problem((name, key), f"input should be greater than 0, found {getattr(table, key):g}")


def _bar(craft: Craft) -> Iterator[Problem]:
    bar = craft.bar
    if not BARS[bar.kind].present:
        return
    yield from _positive(bar, "bar", ("arm_mm", "wire_diameter_mm"))
    yield from _apart(bar.tips_g(), "bar", "tip_masses_g", "tip_mass_g")
    if bar.wire_mass_g + bar.tip_mass_g + bar.paddle_mass_g <= 0.0:
        yield Problem(("bar", "tip_mass_g"), 'a bar needs some mass; give one, or kind = "none", found 0')
    if (bar.paddle_span_mm > 0.0) != (bar.paddle_chord_mm > 0.0):
        key = "paddle_chord_mm" if bar.paddle_span_mm > 0.0 else "paddle_span_mm"
        yield Problem(("bar", key), "a paddle needs both paddle_span_mm and paddle_chord_mm, found 0")
    if bar.paddle_span_mm / 2.0 > bar.paddle_centre_mm > 0.0:
        rule = f"the paddle reaches past the hinge: should be at least half of paddle_span_mm {bar.paddle_span_mm:g}"
        yield Problem(("bar", "paddle_centre_mm"), f"{rule}, found {bar.paddle_centre_mm:g}")


def _tail(craft: Craft) -> Iterator[Problem]:
    tail = craft.tail
    if tail is None:
        return
    yield from _positive(tail, "tail", ("radius_mm", "chord_mm"))
    if tail.drive == "cord":
        yield from _positive(tail, "tail", ("drive_pulley_mm", "tail_pulley_mm"))
    if 0.0 < tail.radius_mm <= tail.root_mm:
        yield Problem(
            ("tail", "root_mm"), f"input should be less than radius_mm {tail.radius_mm:g}, found {tail.root_mm:g}"
        )


def scenario_problems(scenario: Scenario) -> Iterator[Problem]:
    """Everything in a scenario that each key by itself allows, but the whole does not."""
    wound, craft = scenario.skein, scenario.craft
    if wound.backed_off > wound.turns:
        yield Problem(
            ("skein", "backed_off"), f"input should be at most skein.turns {wound.turns:g}, found {wound.backed_off:g}"
        )
    if wound.tail_turns > 0.0 and (craft.tail is None or craft.tail.skein is None):
        yield Problem(("skein", "tail_turns"), f"the craft has no tail skein to wind, found {wound.tail_turns:g}")
    room, launch = scenario.room, scenario.launch
    if room.ceiling_m is not None and launch.height_m >= room.ceiling_m:
        yield Problem(
            ("launch", "height_m"),
            f"input should be below room.ceiling_m {room.ceiling_m:g}, found {launch.height_m:g}",
        )
    if (room.length_m is None) != (room.width_m is None):
        key = "width_m" if room.width_m is None else "length_m"
        yield Problem(("room", key), "is missing (walls need both length_m and width_m)", 2)
    if any(abs(each) > 30.0 for each in launch.push_m_s):
        yield Problem(("launch", "push_m_s"), f"each speed should lie in -30..30, found {list(launch.push_m_s)}")
    for number, mishap in enumerate(scenario.mishap, start=1):
        both = (mishap.at_s is not None) + (mishap.at_turns is not None)
        if both != 1:
            rule = "give exactly one of at_s and at_turns, found " + ("both" if both else "neither")
            yield Problem(("mishap", str(number), "what"), rule)
        elif mishap.at_turns is not None and mishap.at_turns > wound.turns - wound.backed_off:
            left = wound.turns - wound.backed_off
            rule = f"input should be at most the turns wound at launch {left:g}, found {mishap.at_turns:g}"
            yield Problem(("mishap", str(number), "at_turns"), rule)
    yield from _mishaps(scenario)


def _mishaps(scenario: Scenario) -> Iterator[Problem]:
    """What can go wrong only with a craft that has it, and only once."""
    craft, bar = scenario.craft, BARS[scenario.craft.bar.kind].present
    lacking = {
        "cord off": "" if craft.tail is not None and craft.tail.drive == "cord" else "no cord",
        "tip mass lost": "" if bar and max(craft.bar.tips_g()) > 0.0 else "no tip mass to lose",
        "paddle lost": "" if craft.bar.has_paddles else "no paddle to lose",
        "bar locked": "" if bar else "no bar",
        "teeter locked": "" if HEADS[craft.head.kind].flaps(craft.rotor.blades) else "no hinge to lock",
    }
    lacking["cord slips"] = lacking["cord off"]
    before: dict[tuple[str, int], int] = {}
    for number, mishap in enumerate(scenario.mishap, start=1):
        key = ("mishap", str(number), "what")
        if lacking.get(mishap.what):
            yield Problem(key, f"the craft has {lacking[mishap.what]}, found {mishap.what!r}")
        which = mishap.what, mishap.arm if mishap.what in ("tip mass lost", "paddle lost") else 0
        if which in before:
            yield Problem(key, f"happens only once, and mishap {before[which]} is the same, found {mishap.what!r}")
        before.setdefault(which, number)
