"""The register of what may be changed: one row a number, read by rank, improve, match, report, the form and whatever advises.

Nobody else keeps a tolerance, a range or a size of change; a test says so. Tolerances are what careful hands hold at a kitchen table with a
ruler, a scale that reads 0.01 g, a protractor and a printer. All figures are common practice, no source, but where a row names one; why
they are what they are where earlier tables disagreed stands in docs/inside/registers.md.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final

from paddlebar.craft.knob import (
    Knob,
    Move,
    Names,
    Size,
    Switch,
    Verb,
    about,
    found_in,
    moves,
    share,
    short,
    sized,
    times,
    unit,
    within,
)
from paddlebar.craft.motors import motor_of
from paddlebar.craft.strength.members import stick_of
from paddlebar.files.checks import sum_g
from paddlebar.files.craft import Craft
from paddlebar.files.keys import value_at
from paddlebar.files.kinds import BARS
from paddlebar.files.parts import MeshPart, PlatePart, PointPart, RingPart, RodPart, TubePart
from paddlebar.files.scenario import Scenario

Has = Callable[[Scenario], bool]

# ---- who has it ---------------------------------------------------------------------------------------------------------------


def _tilts(s: Scenario) -> bool:
    return BARS[s.craft.bar.kind].tilts


def _paddles(s: Scenario) -> bool:
    return s.craft.bar.paddle_span_mm > 0.0


def _rubber(s: Scenario) -> bool:
    """Its torque comes from strands, length and energy, not from a measured curve."""
    return motor_of(s.craft.skein).kind.as_rubber


def _straight(s: Scenario) -> bool:
    """The blade is given by chord and twist, not by stations."""
    return not s.craft.rotor.station


def _cord(s: Scenario) -> bool:
    return s.craft.tail is not None and s.craft.tail.drive == "cord"


def _all(*kinds: type) -> Names:
    return lambda craft: [part.name for part in craft.part if type(part) in kinds]


def heaviest(craft: Craft) -> tuple[str, ...]:
    """The heaviest part that stands in one place, in most craft the ballast; of all parts where none does."""
    placed = [part for part in craft.part if isinstance(part, PointPart | PlatePart | RingPart | MeshPart)]
    return (max(placed or craft.part, key=lambda part: part.mass_g).name,)


def _each(table: str, key: str, first: int = 1) -> Names:
    """Numbers of a list that says how parts differ, from the first or the second on, where a craft has it."""
    return lambda craft: [str(n) for n in range(first, 1 + len(getattr(getattr(craft, table), key) or ()))]


def _stick(craft: Craft) -> tuple[str, ...]:
    stick = stick_of(craft)
    return () if stick is None else (stick.name,)


# ---- from where to where a search goes: round figures that hold what is flown at this size -------------------------------------------


def _gains(s: Scenario, own: float) -> tuple[float, float]:
    return (-1.0, -0.2) if own < 0.0 else (0.2, 1.0)


def _tips(s: Scenario, own: float) -> tuple[float, float]:
    weight = sum_g(s.craft)
    return 0.01 * weight, 0.1 * weight


def _pitches(s: Scenario, own: float) -> tuple[float, float]:
    return (4.0, 16.0) if _straight(s) else (own - 4.0, own + 6.0)


def _windings(s: Scenario, own: float) -> tuple[float, float]:
    """Up to what just breaks it; no mishap on cue may come before the launch."""
    breaks = motor_of(s.craft.skein).known
    least = max((cue.at_turns for cue in s.mishap if cue.at_turns is not None), default=1.0) + s.skein.backed_off
    return max(0.36 * breaks, math.ceil(least)), 1.08 * breaks


def _pulleys(s: Scenario, own: float) -> tuple[float, float]:
    assert s.craft.tail is not None
    return 2.0 * s.craft.tail.tail_pulley_mm, 7.0 * s.craft.tail.tail_pulley_mm


LUMPS: Final = _all(PointPart)  # every one may be ballast
PLACED: Final = _all(PointPart, PlatePart, RingPart, MeshPart)
EVERY: Final = _all(PointPart, RodPart, TubePart, PlatePart, RingPart, MeshPart)
ALL: Final[tuple[Verb, ...]] = ("rank", "improve")

# fmt: off
KNOBS: Final = (
    # -- blades and head
    Knob("craft.rotor.collective_deg", "blades", "blade pitch", "turn every blade to more pitch", "turn every blade to less pitch",
         Size(1.0), search=_pitches, small=Size(1.0), large=Size(3.0), usual=(*ALL, "match")),  # protractor at three quarters of the blade
    Knob("craft.rotor.radius_mm", "blades", "rotor radius", "make longer blades", "trim the blade tips",
         Size(1.0), search=times(0.8, 1.2), small=share(0.05), large=share(0.12), usual=("rank",)),
    Knob("craft.rotor.chord_mm", "blades", "blade chord", "cut wider blades", "trim the trailing edges",
         Size(0.5), search=times(0.7, 1.4), small=share(0.1), large=share(0.25), usual=("rank",), has=_straight),  # knife along a ruler
    Knob("craft.rotor.tip_chord_mm", "blades", "chord at the tip", "leave the tips wider", "trim the tips narrower",
         Size(0.5), search=times(0.5, 1.3), small=share(0.1), large=share(0.25), has=_straight),
    Knob("craft.rotor.twist_deg", "blades", "twist of the blades", "twist the tips to more pitch", "twist the tips to less pitch",
         Size(1.0), search=about(6.0, 6.0), small=Size(2.0), large=Size(5.0), has=_straight),
    Knob("craft.rotor.blade_mass_g", "blades", "mass of each blade", "use heavier wood for the blades", "use lighter wood for the blades",
         Size(0.05), search=times(0.7, 1.5), small=share(0.1), large=share(0.25), usual=("rank",)),  # balsa differs within one sheet
    # one against the others, their mean stays: blades matched on a scale and set by a protractor, tips weighed in pairs
    Knob("craft.rotor.blade_masses_g.NAME", "blades", "mass of blade NAME against the others", "put mass on blade NAME", "sand blade NAME lighter",
         Size(0.02), usual=("builds",), parts=_each("rotor", "blade_masses_g"), foremost=_each("rotor", "blade_masses_g", 2)),
    Knob("craft.rotor.blade_pitches_deg.NAME", "blades", "pitch of blade NAME against the others", "turn blade NAME to more pitch", "turn blade NAME to less pitch",
         Size(1.0), usual=("builds",), parts=_each("rotor", "blade_pitches_deg"), foremost=_each("rotor", "blade_pitches_deg", 2)),
    Knob("craft.rotor.root_mm", "blades", "where the blade begins", "begin the blades farther out", "begin the blades farther in", Size(0.5)),
    Knob("craft.rotor.feather_axis_percent", "blades", "feathering axis", "move the blade pivots back", "move the blade pivots forward",
         Size(2.0), search=within(15.0, 45.0), small=Size(4.0), large=Size(10.0)),
    Knob("craft.rotor.mass_axis_percent", "blades", "mass axis of the blades", "let the trailing edges be heavier", "add mass to the leading edges",
         Size(3.0), search=within(25.0, 50.0), small=Size(5.0), large=Size(12.0)),
    Knob("craft.rotor.drag_factor", "blades", "drag of the blades", "leave the blades rougher", "sand and dope the blades",
         None, Size(0.15), usual=("match",)),
    Knob("craft.head.precone_deg", "blades", "coning built in", "bend the blades up", "bend the blades down",
         Size(1.0), search=within(0.0, 8.0), small=Size(1.0), large=Size(3.0)),
    Knob("craft.head.delta3_deg", "blades", "delta-3 of the hinge", "turn the hinge so that a rising blade loses pitch",
         "turn the hinge so that a rising blade keeps its pitch", Size(3.0), search=within(-30.0, 45.0), small=Size(5.0), large=Size(15.0)),
    Knob("craft.head.hinge_offset_mm", "blades", "hinges off the shaft", "set the hinges farther out", "set the hinges farther in",
         Size(0.5), small=share(0.1), large=share(0.3)),
    Knob("craft.head.spring_mN_m_rad", "blades", "spring of the hinge", "stiffer hinge", "softer hinge", None, share(0.3), small=share(0.3), large=share(1.0)),
    Knob("craft.head.damping_mN_m_s", "blades", "damping of the hinge", "thicker oil on the hinge", "thinner oil on the hinge", None, Size(0.005, 0.5)),
    Knob("craft.head.friction_mN_m", "blades", "friction of the hinge", "tighter hinge", "free the hinge", None, Size(0.01, 0.5)),
    Knob("craft.head.stop_deg", "blades", "stops of the hinge", "file the stops back", "set the stops closer", Size(2.0), small=Size(3.0), large=Size(8.0)),
    # -- the bar
    Knob("craft.bar.tip_mass_g", "bar", "mass of each bar tip", "add mass to both bar tips", "take mass off both bar tips",
         Size(0.05), search=_tips, small=share(0.15), large=share(0.5), usual=ALL),  # solder or shot, with its glue
    Knob("craft.bar.arm_mm", "bar", "arm of the bar", "move the tip masses out", "move the tip masses in",
         Size(1.0), search=times(0.7, 1.4), small=share(0.08), large=share(0.25), usual=("rank",)),
    Knob("craft.bar.lead_deg", "bar", "lead of the bar", "turn the bar forward on the hub, in the sense of rotation",
         "turn the bar back on the hub, against the sense of rotation",
         Size(2.0), search=within(30.0, 150.0), small=Size(5.0), large=Size(15.0), usual=ALL, has=_tilts),  # by eye over the hub
    Knob("craft.bar.gain", "bar", "gain of the linkage", "link farther out on the bar, or nearer in at the blades",
         "link nearer in on the bar, or farther out at the blades",
         Size(0.02), search=_gains, small=share(0.12), large=share(0.4), usual=ALL, has=_tilts),  # 0.5 mm on a horn of ten; 0.02 on a gain of half
    Knob("craft.bar.height_mm", "bar", "height of the bar", "raise the bar on the shaft", "lower the bar on the shaft", Size(1.0), small=Size(3.0), large=Size(10.0)),
    Knob("craft.bar.wire_diameter_mm", "bar", "wire of the bar", "use thicker wire", "use thinner wire", Size(0.02), small=Size(0.1), large=Size(0.2)),
    Knob("craft.bar.wire_mass_g", "bar", "mass of the wire", "use heavier wire", "use lighter wire", Size(0.05)),
    Knob("craft.bar.tip_masses_g.NAME", "bar", "mass of bar tip NAME against the other", "put mass on bar tip NAME", "take mass off bar tip NAME",
         Size(0.02), usual=("builds",), parts=_each("bar", "tip_masses_g"), foremost=_each("bar", "tip_masses_g", 2)),
    Knob("craft.bar.tip_diameter_mm", "bar", "size of each tip mass", "use larger tip masses", "use smaller tip masses", Size(0.3)),
    Knob("craft.bar.paddle_span_mm", "bar", "span of each paddle", "cut longer paddles", "cut shorter paddles", Size(0.5), small=share(0.15), large=share(0.4), has=_paddles),
    Knob("craft.bar.paddle_chord_mm", "bar", "chord of each paddle", "cut wider paddles", "cut narrower paddles", Size(0.5), small=share(0.15), large=share(0.4), has=_paddles),
    Knob("craft.bar.paddle_centre_mm", "bar", "place of the paddles", "move the paddles out", "move the paddles in", Size(1.0), has=_paddles),
    Knob("craft.bar.paddle_mass_g", "bar", "mass of each paddle", "use heavier paddles", "use lighter paddles", Size(0.05), has=_paddles),
    Knob("craft.bar.paddle_incidence_deg", "bar", "pitch of the paddles", "twist the paddles to more pitch", "twist the paddles to less pitch", Size(1.0), has=_paddles),
    Knob("craft.bar.friction_mN_m", "bar", "friction of the bar's hinge", "tighter bar hinge", "free the bar's hinge", None, Size(0.01, 0.5), usual=("match",)),
    Knob("craft.bar.damping_mN_m_s", "bar", "damping of the bar's hinge", "thicker oil on the bar's pin", "thinner oil on the bar's pin",
         None, Size(0.005, 0.5), small=Size(0.005, 0.3), large=Size(0.01, 1.0)),
    Knob("craft.bar.spring_mN_m_rad", "bar", "spring of the bar's hinge", "stiffer spring on the bar", "softer spring on the bar", None, share(0.3)),
    Knob("craft.bar.stop_deg", "bar", "stops of the bar", "file the bar's stops back", "set the bar's stops closer", Size(2.0), small=Size(3.0), large=Size(8.0)),
    # -- balance: where the weight hangs and which way the shaft leans
    Knob("craft.shaft.tilt_right_deg", "balance", "shaft tilt to the right", "tilt the shaft to the right", "tilt the shaft to the left",
         Size(1.0), search=within(-8.0, 8.0), small=Size(1.0), large=Size(3.0), usual=ALL),  # a bearing glued by eye
    Knob("craft.shaft.tilt_forward_deg", "balance", "shaft tilt forward", "tilt the shaft forward", "tilt the shaft back",
         Size(1.0), search=within(-8.0, 8.0), small=Size(1.0), large=Size(3.0), usual=ALL),
    Knob("craft.part.NAME.mass_g", "balance", "mass of NAME", "make NAME heavier", "make NAME lighter",
         Size(0.05), search=times(0.3, 2.0), small=Size(0.05, 0.2), large=Size(0.1, 0.6), usual=("rank",), parts=EVERY, foremost=heaviest, offered=LUMPS),
    Knob("craft.part.NAME.at_mm.1", "balance", "place of NAME, forward", "move NAME forward", "move NAME back",
         Size(2.0), search=about(40.0, 40.0), small=Size(5.0), large=Size(20.0), usual=("rank",), parts=PLACED, foremost=heaviest, offered=LUMPS),  # where its glue has set
    Knob("craft.part.NAME.at_mm.2", "balance", "place of NAME, to the right", "move NAME to the right", "move NAME to the left",
         Size(2.0), search=about(20.0, 20.0), small=Size(3.0), large=Size(12.0), usual=ALL, parts=PLACED, foremost=heaviest, offered=LUMPS),
    Knob("craft.part.NAME.at_mm.3", "balance", "place of NAME, up", "move NAME up", "move NAME down",
         Size(2.0), search=about(40.0, 40.0), parts=PLACED),
    Knob("craft.part.NAME.diameter_mm", "balance", "thickness of NAME", "use a thicker NAME", "use a thinner NAME",
         Size(0.2), small=share(0.15), large=share(0.4), usual=("rank",), parts=_all(RodPart, TubePart), foremost=_stick, offered=_stick),  # as sanded; its mass stays as weighed
    Knob("craft.part.NAME.thickness_mm", "balance", "thickness of NAME", "use a thicker NAME", "use a thinner NAME",
         Size(0.2), small=share(0.15), large=share(0.4), usual=("rank",), parts=_all(PlatePart), foremost=_stick, offered=_stick),
    Knob("craft.part.NAME.length_mm", "balance", "length of NAME", "make NAME longer", "make NAME shorter", Size(0.5), small=share(0.15), large=share(0.4), parts=_all(PlatePart)),
    Knob("craft.part.NAME.width_mm", "balance", "width of NAME", "make NAME wider", "make NAME narrower", Size(0.5), small=share(0.15), large=share(0.4), parts=_all(PlatePart)),
    Knob("craft.part.NAME.wall_mm", "balance", "wall of NAME", "use a thicker wall for NAME", "use a thinner wall for NAME", Size(0.1), parts=_all(TubePart)),
    Knob("craft.part.NAME.wire_diameter_mm", "balance", "wire of NAME", "use thicker wire for NAME", "use thinner wire for NAME", Size(0.02), parts=_all(RingPart)),
    Knob("craft.part.NAME.drag_area_mm2", "balance", "drag area of NAME", "make NAME draggier", "fair NAME in", None, Size(5.0, 0.3), parts=_all(PointPart)),
    Knob("craft.part.NAME.drag_coefficient", "balance", "drag coefficient of NAME", "make NAME draggier", "fair NAME in", None, Size(0.1, 0.2), parts=EVERY),
    Knob("craft.airframe_drag_factor", "balance", "drag of the airframe", "leave more in the wind", "leave less in the wind", None, Size(0.3), usual=("match",)),
    Knob("craft.shaft.hub_mass_g", "balance", "mass of the hub", "use a heavier hub", "use a lighter hub", Size(0.05)),
    Knob("craft.shaft.friction_mN_m", "rubber", "friction of the shaft", "tighter shaft bearing", "oil the shaft bearing", None, Size(0.01, 0.5)),
    # -- rubber
    Knob("craft.skein.strands", "rubber", "strands", "add strands", "take strands out",
         None, search=about(2.0, 2.0), small=Size(1.0), large=Size(2.0), usual=("improve",), has=_rubber),
    Knob("craft.skein.width_mm", "rubber", "width of the strip", "use wider strip", "use narrower strip",
         Size(0.05), search=times(0.7, 1.5), small=share(0.1), large=share(0.3), usual=("rank",), has=_rubber),  # of strip as it is cut
    Knob("craft.skein.thickness_mm", "rubber", "thickness of the strip", "use thicker strip", "use thinner strip", Size(0.05), has=_rubber),
    Knob("craft.skein.linear_density_g_m", "rubber", "mass of a metre of strip", "use heavier strip", "use lighter strip", share(0.03), small=share(0.1), large=share(0.3), has=_rubber),
    Knob("craft.skein.mass_g", "rubber", "mass of the skein", "more rubber of the same length", "less rubber of the same length",
         Size(0.05), search=times(0.6, 1.6), small=share(0.1), large=share(0.3), usual=ALL, has=_rubber),
    Knob("craft.skein.length_mm", "rubber", "length of the skein", "make a longer skein", "make a shorter skein",
         Size(5.0), search=times(0.7, 1.4), small=share(0.1), large=share(0.25), usual=("rank",), has=_rubber),  # knotted by hand
    Knob("craft.skein.density_kg_m3", "rubber", "density of the rubber", "denser rubber", "lighter rubber", None, share(0.01), has=_rubber),
    Knob("craft.skein.energy_kJ_kg", "rubber", "energy of the rubber", "fresher rubber", "older rubber",
         None, Size(1.25), usual=("match",), has=_rubber),  # references 6.4: 6, range 4 to 9
    Knob("craft.skein.breaking_constant", "rubber", "breaking constant", "rubber that stretches farther", "rubber that stretches less",
         None, Size(1.25)),  # references 6.1: 10, range 8 to 13
    Knob("craft.skein.loss_percent", "rubber", "loss of the rubber", "rubber that loses more", "rubber that loses less", None, Size(8.0)),  # references 6.4: 30 +- 8
    Knob("craft.skein.knee_percent", "rubber", "knee of the torque", "rubber that gives out earlier", "rubber that gives out later", None, Size(4.0), has=_rubber),
    Knob("craft.skein.spike", "rubber", "first burst of torque", "rubber with a stronger burst", "rubber with a weaker burst", None, Size(0.75), has=_rubber),
    Knob("craft.skein.settle_percent", "rubber", "turns until the loss is there", "rubber that gives later", "rubber that gives at once", None, Size(2.0)),
    Knob("skein.turns", "rubber", "turns", "wind more turns", "wind fewer turns",
         Size(5.0), search=_windings, small=share(0.05), large=share(0.2), usual=ALL),  # lost count at the winder
    Knob("skein.backed_off", "rubber", "turns let back", "let back more turns", "let back fewer turns", Size(5.0), small=Size(10.0), large=Size(30.0)),
    # -- tail
    Knob("craft.tail.drive_pulley_mm", "tail", "drive pulley", "fit a larger drive pulley", "fit a smaller drive pulley",
         Size(0.5), search=_pulleys, small=share(0.08), large=share(0.25), usual=ALL, has=_cord),  # over the bottom of the groove, the cord's own thickness unknown
    Knob("craft.tail.tail_pulley_mm", "tail", "tail pulley", "fit a larger tail pulley", "fit a smaller tail pulley",
         Size(0.2), search=times(0.7, 1.5), small=share(0.1), large=share(0.25), usual=("rank",), has=_cord),  # likewise; a small one is turned more exactly
    Knob("craft.tail.pitch_deg", "tail", "pitch of the tail's blades", "set the tail's blades to more pitch", "set the tail's blades to less pitch",
         Size(1.0), search=within(4.0, 18.0), small=Size(1.5), large=Size(4.0), usual=ALL),
    Knob("craft.tail.radius_mm", "tail", "radius of the tail rotor", "make longer tail blades", "trim the tail's blades",
         Size(0.5), search=times(0.75, 1.35), small=share(0.08), large=share(0.25), usual=ALL),
    Knob("craft.tail.chord_mm", "tail", "chord of the tail's blades", "cut wider tail blades", "cut narrower tail blades",
         Size(0.5), search=times(0.7, 1.5), small=share(0.1), large=share(0.3)),
    Knob("craft.tail.twist_deg", "tail", "twist of the tail's blades", "twist the tail's tips to more pitch", "twist the tail's tips to less pitch", Size(1.0)),
    Knob("craft.tail.at_mm.1", "tail", "place of the tail rotor, forward", "shorten the boom", "make the boom longer", Size(2.0), small=Size(10.0), large=Size(40.0)),
    Knob("craft.tail.at_mm.2", "tail", "place of the tail rotor, to the right", "move the tail rotor to the right", "move the tail rotor to the left", Size(1.0), small=Size(3.0), large=Size(10.0)),
    Knob("craft.tail.at_mm.3", "tail", "height of the tail rotor", "raise the tail rotor", "lower the tail rotor",
         Size(2.0), search=about(40.0, 40.0), small=Size(5.0), large=Size(20.0)),
    Knob("craft.tail.mass_g", "tail", "mass of the tail rotor", "use a heavier tail rotor", "use a lighter tail rotor", Size(0.05)),
    Knob("craft.tail.cord_tension_mN", "tail", "tension of the cord", "tighten the cord", "slacken the cord", share(0.3), small=share(0.3), large=share(1.0), has=_cord),
    Knob("craft.tail.cord_friction", "tail", "grip of the cord", "wax the cord with rosin", "let the cord run smooth", None, Size(0.1), has=_cord),
    Knob("craft.tail.friction_mN_m", "tail", "friction of the tail's bearing", "tighter tail bearing", "oil the tail's bearing", None, Size(0.01, 0.5)),
    Knob("craft.tail.loss_percent", "tail", "loss of the cord drive", "leave the pulleys rough", "true the pulleys up", None, Size(3.0), has=_cord),
    # -- how it is let go, and the air
    Knob("launch.tilt_deg", "launch", "tilt at the launch", "let it go with more tilt", "let it go more upright", Size(2.0)),
    Knob("launch.heading_deg", "launch", "heading at the launch", "let it go turned to the right", "let it go turned to the left", Size(5.0)),
    Knob("launch.height_m", "launch", "height of the launch", "let it go higher", "let it go lower", Size(0.1)),
    Knob("launch.push_m_s.1", "launch", "push forward", "push it forward", "push it back", Size(0.2)),
    Knob("launch.push_m_s.2", "launch", "push to the right", "push it to the right", "push it to the left", Size(0.2)),
    Knob("launch.push_m_s.3", "launch", "push up", "push it up", "let it drop", Size(0.2)),
    Knob("launch.spin_deg_s", "launch", "spin at the launch", "let it go turning to the right", "let it go turning to the left", Size(10.0)),
    Knob("launch.bar_deg", "launch", "tilt of the bar at the launch", "let the bar go tilted more", "let the bar go tilted less", Size(2.0), has=_tilts),
    Knob("air.temperature_C", "air", "temperature", "fly where it is warmer", "fly where it is colder", Size(2.0)),
    Knob("air.wind_m_s", "air", "wind", "fly in more wind", "fly in less wind", Size(0.2, 0.3)),
    Knob("air.wind_from_deg", "air", "where the wind comes from", "wind from farther right", "wind from farther left", Size(15.0)),
)
# fmt: on


def _push(s: Scenario) -> str:
    assert s.craft.tail is not None
    return "right" if s.craft.tail.thrust_to == "left" else "left"


SWITCHES: Final = (
    Switch(
        "craft.tail.thrust_to", "tail", "side to which the tail pushes",
        _push,
        lambda s: f"turn the pitch of the tail's blades round, so that it pushes to the {_push(s)}",
        lambda s: s.craft.tail is not None,
    ),
    Switch(
        "craft.bar.gain", "bar", "sense of the linkage",
        lambda s: -s.craft.bar.gain,
        lambda s: f"reverse the linkage: bar.gain from {s.craft.bar.gain:g} to {-s.craft.bar.gain:g}",
        lambda s: _tilts(s) and s.craft.bar.gain != 0.0,
    ),
    Switch(
        "craft.bar.kind", "bar", "whether the bar tilts",
        lambda s: next(kind for kind, bar in BARS.items() if bar.tilts),
        lambda s: "free the bar, so that it tilts and pitches the blades",
        lambda s: BARS[s.craft.bar.kind].present and not _tilts(s),
    ),
)  # fmt: skip


def knobs(scenario: Scenario) -> tuple[Knob, ...]:
    """Every number of a description that may be changed, in the register's order."""
    return tuple(found_in(KNOBS, scenario))


# why a number that stands in the file does nothing in this craft
_WHY: Final[dict[Has, str]] = {
    _tilts: "the bar does not tilt",
    _paddles: "there are no paddles: craft.bar.paddle_span_mm is 0",
    _rubber: "the torque comes from a measured curve",
    _straight: "the blade is given by stations",
    _cord: "no cord drives the tail",
}


def idle(scenario: Scenario) -> dict[str, str]:
    """Keys of the register that stand in a description and do nothing there, and why."""
    works = {knob.key for knob in knobs(scenario)}
    craft, found = scenario.craft, {}
    for row in KNOBS:
        if row.parts is None and row.key not in works and value_at(scenario, row.key) is not None:
            of_head = f'a head of kind "{craft.head.kind}" does not use it'
            of_bar = f'a bar of kind "{craft.bar.kind}" does not use it'
            table = row.key.split(".")[1]
            found[row.key] = _WHY.get(row.has) or {"head": of_head, "bar": of_bar}.get(table, "nothing asks for it")
    return found


def usual(scenario: Scenario, *verbs: Verb) -> tuple[Knob, ...]:
    """Those that a verb, or any of several, varies where nothing is named."""
    return tuple(knob for knob in knobs(scenario) if not set(verbs).isdisjoint(knob.usual))


def knob_at(scenario: Scenario, key: str) -> Knob | None:
    """The row of a key, None for what nobody may change or what this craft does not have."""
    return next((knob for knob in knobs(scenario) if knob.key == key), None)


def hand_moves(scenario: Scenario) -> tuple[Move, ...]:
    """Every single change that a hand can make: switches first, then each number less and more, small and large."""
    choices = [switch.move(scenario) for switch in SWITCHES if switch.has(scenario)]
    return (*choices, *(move for knob in knobs(scenario) for move in moves(knob, scenario)))


def prior(key: str) -> float:
    """Standard deviation of what is believed of a key, where that is the same amount for any craft, in its unit. Raises LookupError for another."""
    size = next((knob.prior or knob.tolerance for knob in KNOBS if knob.key == key), None)
    if size is None or size.share:
        raise LookupError(key)
    return size.plain


__all__ = [
    "KNOBS",
    "SWITCHES",
    "Knob",
    "Move",
    "hand_moves",
    "heaviest",
    "idle",
    "knob_at",
    "knobs",
    "prior",
    "short",
    "sized",
    "unit",
    "usual",
]
