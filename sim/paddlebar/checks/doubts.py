"""Doubtful entries: weights that do not fit their measures, gaps in the file, figures too good to be true."""

from __future__ import annotations

import math
from collections.abc import Iterator

from paddlebar.checks.findings import Finding
from paddlebar.craft.following_masses import left_behind
from paddlebar.craft.motors import motor_of
from paddlebar.craft.sections import minds_its_nose
from paddlebar.craft.strength.materials import MATERIALS
from paddlebar.craft.strength.members import AnyPart, blade_volume_mm3, density, volume_mm3
from paddlebar.files.craft import Craft, skein_mass_g
from paddlebar.files.kinds import BARS, HEADS
from paddlebar.files.parts import MeshPart, PlatePart, RingPart, RodPart, TubePart
from paddlebar.files.strict import Strict

# How far a weight may lie beside its volume: a scale of 0.01 g, a calliper of 0.05 mm; common practice, no source.
SCALE_G, CALLIPER_MM, PROTRACTOR_DEG = 0.01, 0.05, 0.5
RADIANS = 0.45  # a pitch of less is no pitch in degrees, and 2 to 26 degrees in radians; own choice
LEAD_KG_M3 = 11340.0  # from memory; the heaviest that a tip is commonly made of
ANYTHING = (20.0, 8000.0)  # kg/m3, foam and steel; from memory
MOST_WORK_KJ_KG = 12.8  # put into natural rubber pulled to 7.6 times its length (L. R. G. Treloar 1944, references section 6.6 [T], [C])
STRETCHED = 1.05  # hooks further apart than the skein is long


def doubtful_entries(craft: Craft) -> list[Finding]:
    """What is doubtful or missing in a craft file, one finding each; one that says so if there is nothing."""
    found = [
        *_parts(craft),
        *_blades(craft),
        *_radians(craft),
        *_bar(craft),
        *_skein(craft),
        *_mended(craft),
        *_friction(craft),
        *_idle(craft),
        *_left_behind(craft),
    ]
    return found or [
        Finding("fine", "entries", "weights fit measures, and nothing is missing that a flight needs", "nothing")
    ]


def _left_behind(craft: Craft) -> Iterator[Finding]:
    for key, (own, follows) in left_behind(craft).items():
        says = f"{key} stays {own:g} g while its part was made another size: of the same stuff it would weigh some {follows:.2g} g"
        yield Finding("look", key, says, f"weigh it, or take --set {key}={follows:.2g} along")


def _parts(craft: Craft) -> Iterator[Finding]:
    for part in craft.part:
        key = f"part.{part.name}.mass_g"
        if part.mass_g == 0.0:
            yield Finding("look", key, f"part {part.name} weighs nothing", "weigh it, or take it out")
            continue
        found = density(part.mass_g, volume_mm3(part))
        if math.isfinite(found):
            yield from _density(key, f"part {part.name}", part.mass_g, found, part.material, _slack(part))


def _blades(craft: Craft) -> Iterator[Finding]:
    rotor = craft.rotor
    found = density(rotor.blade_mass_g, blade_volume_mm3(rotor))
    if math.isnan(found):
        yield Finding(
            "look", "rotor.thickness_mm", "the blades have no thickness", "measure the sheet that they are made of"
        )
        return
    slack = SCALE_G / rotor.blade_mass_g + CALLIPER_MM / rotor.thickness_mm
    yield from _density("rotor.blade_mass_g", "a blade", rotor.blade_mass_g, found, rotor.material, slack)
    if rotor.blade_masses_g is not None:
        mean = math.fsum(rotor.blade_masses_g) / rotor.blades
        if abs(mean - rotor.blade_mass_g) > SCALE_G:
            says = f"blades weigh {mean:.2f} g on average, blade_mass_g says {rotor.blade_mass_g:.2f} g, which is the mean that flies"
            yield Finding("look", "rotor.blade_mass_g", says, f"write blade_mass_g = {mean:.2f}")
    if rotor.blade_pitches_deg is not None:
        mean = math.fsum(rotor.blade_pitches_deg) / rotor.blades
        if abs(mean - rotor.collective_deg) > PROTRACTOR_DEG:
            says = f"blades have {mean:.1f} deg of pitch on average, collective_deg says {rotor.collective_deg:.1f} deg, which is the mean that flies"
            yield Finding("look", "rotor.collective_deg", says, f"write collective_deg = {mean:.1f}")


def _radians(craft: Craft) -> Iterator[Finding]:
    tail = {} if craft.tail is None else {"tail.pitch_deg": craft.tail.pitch_deg}
    for key, pitch in {"rotor.collective_deg": craft.rotor.collective_deg, **tail}.items():
        if 0.035 <= abs(pitch) < RADIANS:
            says = f"{pitch:g} deg is hardly any pitch; as radians it would be {math.degrees(pitch):.1f} deg"
            yield Finding("look", key, says, f"write {key} = {math.degrees(pitch):.1f}, if that is what you measured")


def _bar(craft: Craft) -> Iterator[Finding]:
    bar = craft.bar
    if not BARS[bar.kind].present:
        return
    length = 2.0 * bar.arm_mm
    steel = MATERIALS["music wire"].density.nominal * length * math.pi / 4.0 * bar.wire_diameter_mm**2 * 1e-6
    found = density(bar.wire_mass_g, length * math.pi / 4.0 * bar.wire_diameter_mm**2)
    slack = SCALE_G / max(bar.wire_mass_g, SCALE_G) + 2.0 * CALLIPER_MM / bar.wire_diameter_mm
    if bar.wire_mass_g == 0.0:
        yield Finding(
            "look", "bar.wire_mass_g", "the bar's wire weighs nothing", f"weigh it; of steel it would be {steel:.2f} g"
        )
    elif found > (1.0 + slack) * ANYTHING[1] or found < (1.0 - slack) * MATERIALS["wrapped carbon"].density.low:
        says = f"the bar's wire, {length:.0f} mm of {bar.wire_diameter_mm:g} mm, has {found:.0f} kg/m3, which no wire or carbon has"
        yield Finding("look", "bar.wire_mass_g", says, f"weigh it again; of steel it would be {steel:.2f} g")
    if bar.given("tip_diameter_mm") and bar.tip_mass_g > 0.0 and bar.tip_diameter_mm > 0.0:
        ball = density(bar.tip_mass_g, math.pi / 6.0 * bar.tip_diameter_mm**3)
        if ball > (1.0 + 3.0 * CALLIPER_MM / bar.tip_diameter_mm) * LEAD_KG_M3:
            least = (6.0 * bar.tip_mass_g / (math.pi * LEAD_KG_M3 * 1e-6)) ** (1.0 / 3.0)
            says = f"a tip of {bar.tip_mass_g:g} g and {bar.tip_diameter_mm:g} mm is {ball / LEAD_KG_M3:.1f} times as dense as lead"
            yield Finding(
                "look", "bar.tip_diameter_mm", says, f"measure it again; a ball of lead would be {least:.1f} mm"
            )
    if bar.tip_masses_g is not None:
        mean = math.fsum(bar.tip_masses_g) / 2.0
        if abs(mean - bar.tip_mass_g) > SCALE_G:
            says = f"the tips weigh {mean:.2f} g on average, tip_mass_g says {bar.tip_mass_g:.2f} g, which is the mean that flies"
            yield Finding("look", "bar.tip_mass_g", says, f"write tip_mass_g = {mean:.2f}")


def _skein(craft: Craft) -> Iterator[Finding]:
    skein = craft.skein
    apart = math.dist(*skein.hooks_mm)
    if apart > STRETCHED * skein.length_mm:
        says = f"the hooks are {apart:.0f} mm apart, the skein is {skein.length_mm:g} mm long: it is stretched before it is wound"
        yield Finding(
            "look", "skein.length_mm", says, "measure it lying straight, not stretched; or make up a longer one"
        )
    most = MOST_WORK_KJ_KG * (1.0 - skein.loss_percent / 100.0)
    if motor_of(skein).kind.as_rubber and skein.energy_kJ_kg > most:
        says = f"rubber that gives {skein.energy_kJ_kg:g} kJ/kg and loses {skein.loss_percent:g} % of its winding: pulled to 7.6 times its length it takes {MOST_WORK_KJ_KG:g}"
        yield Finding("look", "skein.energy_kJ_kg", says, f"at most {most:.1f} kJ/kg come back; measure a torque curve")
    share = skein_mass_g(skein) / (craft.all_up_g or math.inf)
    if share > 0.6:
        says = f"the skein is {100.0 * share:.0f} % of the craft"
        yield Finding("look", "skein", says, "look at its strands, width, thickness and length again")


def _mended(craft: Craft) -> Iterator[Finding]:
    for part in craft.part:
        if isinstance(part, MeshPart) and part.stl.mended:
            says = f"the STL of {part.name} was broken and is mended here: {part.stl.mended}"
            yield Finding(
                "look", f"part.{part.name}.stl", says, "look at it in CAD; where it is right, export it again"
            )


def _friction(craft: Craft) -> Iterator[Finding]:
    free = [
        key
        for key, friction in (("shaft.friction_mN_m", craft.shaft.friction_mN_m), ("tail.friction_mN_m", craft.tail.friction_mN_m if craft.tail else 1.0))
        if friction == 0.0
    ]  # fmt: skip
    for key in free:
        yield Finding("look", key, "a bearing without friction", "leave the key out to have the program's own figure")
    bar = craft.bar
    if BARS[bar.kind].tilts and bar.friction_mN_m == 0.0 and bar.damping_mN_m_s == 0.0:
        yield Finding(
            "look", "bar.friction_mN_m", "the bar's hinge has neither friction nor damping; every pin and link has some",
            "try 0.002 mN m (common practice, no source), and see with `margins` whether the bar still holds",
        )  # fmt: skip


def _idle(craft: Craft) -> Iterator[Finding]:
    """Keys that were given a value of their own and do nothing with this head, bar or motor; what a measured torque does not follow."""
    head, bar, tail = craft.head, craft.bar, craft.tail
    yield from _nothing("head", head, HEADS[head.kind].idle, f"head.kind = {head.kind}, {HEADS[head.kind].says}")
    yield from _nothing("bar", bar, BARS[bar.kind].idle, f"bar.kind = {bar.kind}, {BARS[bar.kind].says}")
    for name, blades in (("rotor", craft.rotor), ("tail", tail)):
        if blades is not None and not minds_its_nose(blades.section):
            yield from _nothing(name, blades, ("nose",), f"{name}.section knows no difference")
    if BARS[bar.kind].present and not bar.has_paddles:
        yield from _nothing("bar", bar, _OF_PADDLES, "the bar has no paddles, paddle_span_mm = 0")
    skeins = {"skein": craft.skein}
    if tail is not None and tail.drive == "skein":
        yield from _nothing("tail", tail, _OF_THE_CORD, "tail.drive = skein, and no cord turns it")
    if tail is not None and tail.skein is not None:
        if tail.drive == "skein":
            skeins["tail.skein"] = tail.skein
        else:
            mass = skein_mass_g(tail.skein)
            says = f"tail.skein turns nothing with tail.drive = {tail.drive}, but its {mass:.2f} g fly along"
            yield Finding("look", "tail.skein", says, 'take it out, or write tail.drive = "skein"')
    for name, skein in skeins.items():
        kind = motor_of(skein).kind
        yield from _nothing(name, skein, kind.idle, f"{name}, {kind.settings(skein)}")
        if not kind.as_rubber:
            says = f"{name} has its {kind.settings(skein)}: other strands, length or warmth would not change it"
            yield Finding("fine", name, says, "measure again when you change the rubber")


_OF_THE_CORD = (
    "drive_pulley_mm",
    "tail_pulley_mm",
    "drive_pulley_at_mm",
    "cord_tension_mN",
    "cord_friction",
    "cord_wrap_deg",
    "loss_percent",
)
_OF_PADDLES = ("paddle_centre_mm", "paddle_incidence_deg", "paddle_section")


def _nothing(name: str, table: Strict, idle: tuple[str, ...], beside: str) -> Iterator[Finding]:
    """One finding for those of a table's keys that were given a value of their own and do nothing."""
    found = [key for key in idle if table.given(key) and getattr(table, key) != type(table).model_fields[key].default]
    if found:
        do, them = ("does", "it") if len(found) == 1 else ("do", "them")
        sentence = f"{' and '.join(found)} {do} nothing here ({beside})"
        yield Finding(
            "look", f"{name}.{found[0]}", sentence, f"leave {them} out: what you write there changes no flight"
        )


def _density(key: str, what: str, mass_g: float, found: float, named: str | None, slack: float) -> Iterator[Finding]:
    """One finding if a weight does not fit its volume and material."""
    low, high = ANYTHING
    stuff = f"anything that is built with, {low:.0f} to {high:.0f}"
    if named is not None:
        span = MATERIALS[named].density
        low, high, stuff = span.low, span.high, f"{named}, {span.low:.0f} to {span.high:.0f}"
    if (1.0 - slack) * low <= found <= (1.0 + slack) * high:
        return
    word, limit = ("lighter", low) if found < low else ("heavier", high)
    says = f"{what} is {word} than its volume allows: {found:.0f} kg/m3, outside {stuff}"
    other = " or the material" if named is not None else ""
    yield Finding(
        "look", key, says, f"weigh and measure it again{other}; of its volume it would weigh {mass_g * limit / found:.2f} g at {'least' if found < low else 'most'}"
    )  # fmt: skip


def _slack(part: AnyPart) -> float:
    """By how much a density may be wrong [1]: the scale's step, and the calliper's on what is thin."""
    match part:
        case RodPart():
            thin = 2.0 * CALLIPER_MM / max(part.diameter_mm, CALLIPER_MM)
        case TubePart():
            thin = CALLIPER_MM / max(part.wall_mm or part.diameter_mm, CALLIPER_MM)
        case PlatePart():
            thin = CALLIPER_MM / max(part.thickness_mm, CALLIPER_MM)
        case RingPart():
            thin = 2.0 * CALLIPER_MM / max(part.wire_diameter_mm, CALLIPER_MM)
        case _:
            thin = 0.0
    return min(0.9, SCALE_G / part.mass_g + thin)
